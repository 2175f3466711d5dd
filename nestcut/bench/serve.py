"""Start the server and say where the page is."""

from __future__ import annotations

import os
import socket
from collections.abc import Callable
from pathlib import Path
from types import FrameType

import uvicorn

from nestcut.bench.app import Bell, make_app
from nestcut.bench.guard import Guard


class _Server(uvicorn.Server):
    """A server whose pages, which listen as long as they are open, are let go when it ends."""

    def __init__(self, config: uvicorn.Config, bell: Bell) -> None:
        super().__init__(config)
        self._bell = bell

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        self._bell.fall_still()
        super().handle_exit(sig, frame)


def serve(folder: Path, job: str, port: int, say: Callable[[str], None]) -> None:
    """Serve the page for a folder until the process is interrupted.

    Parameters
    ----------
    folder
        The folder whose jobs are worked on; the process changes into it.
    job
        Name of a job file to open; empty: none.
    port
        Port on this computer; 0: any that is free.
    say
        Is told the address, with the secret in it, once the server can be asked.
    """
    os.chdir(folder)
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind(("127.0.0.1", port))
        listening.listen()  # whoever asks before the server is up waits for it
    except OSError:
        listening.close()
        raise
    app = make_app(Path())
    if job:
        from nestcut.bench.messages import Open

        app.state.desk.open(Open(file=job))
    guard = Guard(app, port=listening.getsockname()[1])
    say(f"http://127.0.0.1:{guard.port}/?key={guard.secret}")
    config = uvicorn.Config(guard, log_level="warning", lifespan="off", timeout_graceful_shutdown=2)
    try:
        _Server(config, app.state.bell).run(sockets=[listening])
    finally:
        app.state.desk.plans.search.stop_at_once()
        app.state.desk.plans.fewer.stop()
