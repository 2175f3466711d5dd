"""Shares of the time that is left, each still stopping when the whole is called off."""

from __future__ import annotations

from nestcut.model.plan import StopReason
from nestcut.search.settings import Deadline


class Share(Deadline):
    """A part of another deadline: ends with its own time, or when the whole ends."""

    __slots__ = ("_is_done", "_whole")

    def __init__(self, whole: Deadline, seconds: float | None) -> None:
        self._whole = whole
        self._is_done = False
        left = whole.remaining_s()
        own = min(left, seconds) if seconds is not None else left
        super().__init__(seconds=None if own == float("inf") else own, clock=whole.clock)

    def interrupt(self) -> None:
        """Call off the whole."""
        self._whole.interrupt()

    def finish(self) -> None:
        """End the share because nothing is left to be done in it."""
        self._is_done = True

    def is_cut_short(self) -> bool:
        """Whether time or an interruption, and not the end of the work, ended the share."""
        if self._whole.stop_reason() is not None:
            return True
        return not self._is_done and Deadline.stop_reason(self) is not None

    def remaining_s(self) -> float:
        """Seconds left of the share. [s]"""
        return min(self._whole.remaining_s(), Deadline.remaining_s(self))

    def stop_reason(self) -> StopReason | None:
        """Why to stop now, or None to go on."""
        if self._is_done:
            return self._whole.stop_reason() or StopReason.TIME_UP
        return self._whole.stop_reason() or Deadline.stop_reason(self)
