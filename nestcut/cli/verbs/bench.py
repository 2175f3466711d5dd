"""``nestcut bench``: the page in the browser."""

from __future__ import annotations

import webbrowser
from pathlib import Path

import click

from nestcut.cli.talk import say
from nestcut.cli.verbs.browser import Browser
from nestcut.door.findings import InputError, Severity, finding


def run_bench(place: Path, port: int, browser: Browser) -> int:
    """Serve the page until Ctrl-C.

    Parameters
    ----------
    place
        A job file, or the folder of one.
    port
        Of the local server; 0: any that is free.

    Raises
    ------
    InputError
        If there is no such place, the extra isn't installed or the port is taken.
    """
    if not place.exists():
        raise InputError([finding("BEN-001", Severity.ERROR, str(place))])
    try:
        from nestcut.bench import serve
    except ModuleNotFoundError as error:
        if error.name not in {"starlette", "uvicorn"}:
            raise
        raise InputError([finding("BEN-002", Severity.ERROR, "nestcut bench")]) from None

    def tell(address: str) -> None:
        click.echo(address)
        say("Open this address in a browser on this computer; Ctrl-C here ends it.")
        if browser is Browser.OPENED:
            webbrowser.open(address)

    folder, job = (place, "") if place.is_dir() else (place.parent, place.name)
    try:
        serve(folder, job, port, tell)
    except OSError as error:
        raise InputError(
            [finding("BEN-003", Severity.ERROR, f"port {port}", reason=str(error.strerror))]
        ) from None
    return 0
