"""Shares of the time that is left, each still stopping when the whole is called off."""

from __future__ import annotations

from nestcut.model.plan import StopReason
from nestcut.search.settings import Deadline


class Share(Deadline):
    """A part of another deadline: ends with its own time, or when the whole ends."""

    __slots__ = ("_whole",)

    def __init__(self, whole: Deadline, seconds: float | None) -> None:
        self._whole = whole
        left = whole.remaining_s()
        own = min(left, seconds) if seconds is not None else left
        super().__init__(seconds=None if own == float("inf") else own, clock=whole.clock)

    def interrupt(self) -> None:
        """Call off the whole."""
        self._whole.interrupt()

    def remaining_s(self) -> float:
        """Seconds left of the share. [s]"""
        return min(self._whole.remaining_s(), Deadline.remaining_s(self))

    def stop_reason(self) -> StopReason | None:
        """Why to stop now, or None to go on."""
        return self._whole.stop_reason() or Deadline.stop_reason(self)
