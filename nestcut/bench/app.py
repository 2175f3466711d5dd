"""The server's addresses: each hands a message to the desk and answers with what came of it."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Callable
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from nestcut.bench import messages
from nestcut.bench.answers import NotHere, Refused
from nestcut.bench.desk import Desk
from nestcut.bench.files import ChangedMeanwhile, EditError
from nestcut.bench.guard import PAPER_POLICY
from nestcut.bench.shown import forms_view

PAGE = Path(__file__).parent / "page"
_BEAT_S = 15.0
"""A line is sent at least this often, so that a closed page is noticed. [s]"""
_PATIENCE_S = 0.25
"""How often a search's progress is looked at. [s]"""


class Bell:
    """Rings in every page that listens, after each change; may be rung from any thread."""

    def __init__(self) -> None:
        self.count = 0
        self.is_still = False

    def ring(self) -> None:
        """Tell everyone that something has changed."""
        self.count += 1

    def fall_still(self) -> None:
        """Let go of everyone who listens: the server ends."""
        self.is_still = True


def make_app(folder: Path) -> Starlette:
    """Return the application for one folder; whoever serves it puts the guard before it."""
    bell = Bell()
    desk = Desk(folder, bell.ring)
    changes = [
        Route(f"/{name}", _answering(act, kind), methods=["POST"])
        for name, act, kind in _changes(desk)
    ]
    app = Starlette(
        routes=[
            Route("/", lambda _: FileResponse(PAGE / "index.html")),
            Route("/state", lambda _: JSONResponse(desk.state())),
            Route("/events", _listening(bell, desk)),
            *changes,
            Route("/upload", _uploading(desk), methods=["POST"]),
            Route("/forms", lambda _: JSONResponse(forms_view())),
            Route("/drawings", _asked(desk.drawings)),
            Route("/shown", _asked(desk.shown)),
            Route("/shown/{name}", _showing(desk.shown_picture)),
            Route("/picture/{name}", _showing(desk.picture)),
            Route("/papers/{name:path}", _paper(desk)),
            Mount("/page", StaticFiles(directory=PAGE)),
        ]
    )
    app.state.desk, app.state.bell = desk, bell
    return app


def _changes(desk: Desk) -> list[tuple[str, Callable[..., Any], type | None]]:
    """Return address, deed and kind of message of everything that changes something."""
    return [
        ("open", desk.open, messages.Open),
        ("begin", desk.begin, messages.Begin),
        ("demo", desk.demo, None),
        ("set", desk.set_value, messages.SetValue),
        ("remove", desk.remove, messages.Remove),
        ("add", desk.add, messages.AddTable),
        ("close-gaps", desk.close_gaps, messages.CloseGaps),
        ("no-part", desk.no_part, messages.NoPart),
        ("take-stock", desk.take_stock, None),
        ("put-away", desk.plans.put_away, None),
        ("text", desk.set_text, messages.SetText),
        ("take-theirs", desk.take_theirs, None),
        ("keep-mine", desk.keep_mine, None),
        ("undo", desk.undo, None),
        ("redo", desk.redo, None),
        ("plan", desk.plans.plan, messages.Plan),
        ("stop", desk.plans.stop, None),
        ("price-joints", desk.plans.price_joints, None),
        ("pin", desk.plans.pin, messages.Pin),
        ("cut", desk.plans.cut, messages.Cut),
        ("uncut", desk.plans.uncut, messages.Uncut),
        ("choose", desk.plans.choose, messages.Choose),
        ("push", desk.plans.push, messages.Push),
        ("exchange", desk.plans.exchange, messages.Exchange),
        ("papers", desk.plans.write_papers, messages.Papers),
    ]


def _answering(act: Callable[..., Any], kind: type | None) -> Callable[[Request], Any]:
    async def answer(request: Request) -> Response:
        body = await request.body()
        if kind is None:
            return await _told(act)
        try:
            message: object = messages.read_message(body, kind)
        except messages.MessageError as error:
            return JSONResponse({"fault": f"A message the server doesn't know: {error}"}, 400)
        return await _told(act, message)

    return answer


async def _told(act: Callable[..., Any], *matter: Any) -> Response:
    """Do it; what stands in the way is told with a status of its own."""
    try:
        told = await run_in_threadpool(act, *matter)
    except NotHere as error:
        return JSONResponse({"fault": str(error)}, 404)
    except EditError as error:
        return JSONResponse({"fault": f"The job file can't be changed so: {error}"}, 422)
    except ChangedMeanwhile as error:
        return JSONResponse({"fault": "changed outside", "theirs": error.theirs}, 409)
    except Refused as error:
        return JSONResponse({"fault": str(error), "findings": error.findings}, 422)
    except OSError as error:
        return JSONResponse({"fault": f"Can't be written: {error.strerror or error}"}, 507)
    return JSONResponse(told if isinstance(told, dict) else {"done": True})


def _asked(tell: Callable[[], Any]) -> Callable[[Request], Any]:
    async def answer(request: Request) -> Response:
        del request
        return await _told(lambda: {"told": tell()})

    return answer


def _uploading(desk: Desk) -> Callable[[Request], Any]:
    async def take(request: Request) -> Response:
        name = request.query_params.get("name", "")
        body = await request.body()
        return await _told(lambda: {"file": desk.take_in(name, body)})

    return take


def _showing(draw: Callable[[str], str]) -> Callable[[Request], Any]:
    def show(request: Request) -> Response:
        try:
            svg = draw(str(request.path_params["name"]))
        except (NotHere, Refused, OSError) as error:
            return JSONResponse({"fault": str(error)}, 404)
        return Response(svg, media_type="image/svg+xml")

    return show


def _paper(desk: Desk) -> Callable[[Request], Any]:
    def show(request: Request) -> Response:
        try:
            path = desk.plans.paper(str(request.path_params["name"]))
        except NotHere as error:
            return JSONResponse({"fault": str(error)}, 404)
        answer = FileResponse(path)
        if path.suffix in {".html", ".svg"}:
            answer.headers["content-security-policy"] = PAPER_POLICY
        return answer

    return show


def _listening(bell: Bell, desk: Desk) -> Callable[[Request], Any]:
    async def listen(request: Request) -> Response:
        async def lines() -> AsyncIterator[str]:
            heard, quiet_s, last = -1, 0.0, ""
            seen: dict[str, Any] = {}
            stamp = desk.stamp()
            while not bell.is_still and not await request.is_disconnected():
                progress = json.dumps(desk.plans.search.told or None)
                if stamp != (now := desk.stamp()):  # by the page, or by an editor
                    stamp, heard = now, -1
                if bell.count != heard or progress != last:
                    changed = bell.count != heard
                    heard, quiet_s, last = bell.count, 0.0, progress
                    stage = desk.plans.search.stage.value
                    told = {"changed": changed, "stage": stage, "last": json.loads(progress)}
                    if desk.plans.search.glance is not seen:  # pictures are sent once
                        seen = told["glance"] = desk.plans.search.glance
                    yield f"data: {json.dumps(told)}\n\n"
                elif quiet_s >= _BEAT_S:
                    quiet_s = 0.0
                    yield ": still here\n\n"
                await asyncio.sleep(_PATIENCE_S)
                quiet_s += _PATIENCE_S

        return StreamingResponse(lines(), media_type="text/event-stream")

    return listen
