"""Who may ask: this computer's own browser, with the secret, for pages of ours."""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers, MutableHeaders, QueryParams
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE = "nestcut_bench"
MAX_UPLOAD_BYTES = 40_000_000
"""Larger requests are refused before they are read. [bytes]"""
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self'; frame-src 'self'; form-action 'none'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
_WITHOUT_KEY = (
    "This browser hasn't shown the key of the page yet, or the page's server was started again and "
    "has another one.\n\nGo to the terminal in which 'nestcut bench' runs, and open the address "
    "that it printed there last; it carries the key. (If none runs any more, start it again.)\n\n"
    "Whatever the page said was saved is saved in the job file, and is there again. What was typed "
    "and not saved has to be typed once more.\n"
)
PAPER_POLICY = (
    "sandbox allow-scripts allow-modals; default-src 'none'; script-src 'unsafe-inline'; "
    "style-src 'unsafe-inline'; img-src data:; font-src data:; frame-ancestors 'self'"
)
"""For papers shown in a frame: their scripts run, but can't ask this server for anything."""


@dataclass(slots=True)
class Guard:
    """ASGI middleware: Host, Origin, secret, size, and headers on every answer.

    Parameters
    ----------
    app
        What is guarded.
    port
        Port that is listened on; Host must name it on this computer.
    secret
        What the first address carries, and the cookie afterwards.
    """

    app: ASGIApp
    port: int
    secret: str = field(default_factory=lambda: secrets.token_urlsafe(32))

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it at once."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        refusal = self._refusal(scope)
        if refusal is not None:
            await refusal(scope, receive, self._with_policy(send))
            return
        await self.app(scope, _bounded(receive), self._with_policy(send))

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        names = {f"127.0.0.1:{self.port}", f"localhost:{self.port}"}
        if headers.get("host", "") not in names:
            return PlainTextResponse("This page is served to this computer only.", 403)
        own = {f"http://{name}" for name in names}
        sites = {"same-origin", "none"}
        if headers.get("origin") not in {None, *own} or (
            headers.get("sec-fetch-site", "none") not in sites
        ):
            return PlainTextResponse("Asked from another page.", 403)
        size = headers.get("content-length", "0")
        if not size.isdigit() or int(size) > MAX_UPLOAD_BYTES:
            return PlainTextResponse("That is too large.", 413)
        key = QueryParams(scope.get("query_string", b"")).get("key")
        if scope["path"] == "/" and key is not None and self._is_secret(key):
            answer = RedirectResponse("/", 303)
            answer.set_cookie(COOKIE, self.secret, httponly=True, samesite="strict", path="/")
            return answer
        if not self._is_secret(_cookie(headers)):
            return PlainTextResponse(_WITHOUT_KEY, 403)
        return None

    def _is_secret(self, told: str) -> bool:
        return hmac.compare_digest(told.encode(), self.secret.encode())

    def _with_policy(self, send: Send) -> Send:
        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.setdefault("content-security-policy", _POLICY)
                headers["x-content-type-options"] = "nosniff"
                headers["referrer-policy"] = "no-referrer"
                headers["cross-origin-opener-policy"] = "same-origin"
                headers["cross-origin-resource-policy"] = "same-origin"
                headers.setdefault("cache-control", "no-store")
            await send(message)

        return sent


def _cookie(headers: Headers) -> str:
    try:
        found = SimpleCookie(headers.get("cookie", "")).get(COOKIE)
    except CookieError:
        return ""
    return found.value if found is not None else ""


def _bounded(receive: Receive) -> Callable[[], Awaitable[Message]]:
    """Count what really arrives: a chunked request names no length."""
    seen = 0

    async def counted() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > MAX_UPLOAD_BYTES:
            return {"type": "http.disconnect"}
        return message

    return counted
