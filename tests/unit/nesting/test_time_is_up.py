"""A search whose time is up at whatever look at the clock keeps a valid layout."""

from __future__ import annotations

from itertools import count

from nestcut.model.plan import StopReason
from nestcut.nesting.problem import Budget, Container, Item, Problem, Turns
from nestcut.nesting.separating.bins import pack_bins
from nestcut.nesting.strips.strip import STRIP, pack_strip
from nestcut.search.settings import Deadline
from tests.unit.nesting.layouts import DART, ELL, box, faults, sheet

HALF = Turns(centres_deg=(0.0, 180.0))
ITEMS = tuple(
    Item(id=f"{k:02}", outline=(ELL, DART, box(2.0, 1.0))[k % 3], turns=HALF) for k in range(9)
)


def looks(most: int) -> Deadline:
    """A deadline that is over at the so-and-so-manieth look at its clock."""
    return Deadline(float(most), clock=count().__next__)


def test_sheets() -> None:
    problem = Problem(items=ITEMS, containers=(sheet(6.0, 6.0),))
    for most in range(1, 41):
        nest = pack_bins(problem, Budget(passes=10**6, deadline=looks(most)))

        assert faults(problem, nest) == [], most
        assert nest.stopped_by in (StopReason.TIME_UP, StopReason.PROVEN)


def test_strip() -> None:
    room = Container(id=STRIP, outline=box(100.0, 6.0))
    for most in range(1, 41):
        nest = pack_strip(ITEMS, 6.0, Budget(passes=10**6, deadline=looks(most)))

        assert faults(Problem(items=ITEMS, containers=(room,)), nest) == [], most
        assert len(nest.placements) == len(ITEMS)
