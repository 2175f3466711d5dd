"""Shares of a deadline end with their own time, with the whole, or when they are done."""

from __future__ import annotations

from nestcut.model.plan import StopReason
from nestcut.search.settings import Deadline
from nestcut.sheets.timing import Share


class Clock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def test_a_share_ends_before_the_whole() -> None:
    clock = Clock()
    share = Share(Deadline(10.0, clock), 4.0)

    assert share.remaining_s() == 4.0
    clock.now = 4.0
    assert share.stop_reason() is StopReason.TIME_UP
    assert share.is_cut_short()


def test_a_share_never_outlasts_the_whole() -> None:
    clock = Clock()
    clock.now = 7.0
    whole = Deadline(10.0, clock)
    assert Share(whole, 50.0).remaining_s() == 10.0
    assert Share(Deadline(None, clock), None).remaining_s() == float("inf")


def test_interrupting_the_whole_or_the_share_stops_both() -> None:
    for index in (0, 1):
        whole = Deadline()
        share = Share(whole, None)
        (whole, share)[index].interrupt()
        assert share.stop_reason() is StopReason.INTERRUPTED
        assert whole.stop_reason() is StopReason.INTERRUPTED
        assert share.remaining_s() == 0.0
        assert share.is_cut_short()


def test_a_share_that_is_done_stops_without_being_cut_short() -> None:
    share = Share(Deadline(), None)
    assert share.stop_reason() is None
    share.finish()
    assert share.stop_reason() is not None
    assert not share.is_cut_short()
