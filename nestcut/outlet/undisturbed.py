"""A stretch of work that a signal can't break in two."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

HELD = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)
"""Signals that wait; SIGKILL can't, and is settled by the next run."""


@contextmanager
def undisturbed() -> Iterator[None]:
    """Hold signals back until the block is done, then let them do what they would have done.

    Python hands signals to the main thread only; elsewhere there is nothing to hold.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    came: list[int] = []

    def hold(number: int, frame: FrameType | None) -> None:
        del frame
        came.append(number)

    before = {}
    try:
        for number in HELD:
            before[number] = signal.signal(number, hold)
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        for number in dict.fromkeys(came):
            signal.raise_signal(number)
