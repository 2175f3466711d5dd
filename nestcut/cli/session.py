"""What one command knows of itself: when it began, and what it has written so far."""

from __future__ import annotations

import time
from dataclasses import dataclass, field


@dataclass(slots=True)
class Session:
    """One run of one command."""

    started_s: float = field(default_factory=time.monotonic)
    """The clock's reading when it began. [s]"""
    written: str = ""
    """Where whole results lie already; empty: nowhere."""

    is_stop_asked: bool = False
    """Whether a signal has asked to stop; libraries may swallow what it raises while they load."""

    def note_written(self, place: str) -> None:
        """Take note that results are whole and in their place."""
        self.written = place

    def told_state(self) -> str:
        """Say what has been written."""
        return f"all papers are in {self.written}" if self.written else "nothing was written"
