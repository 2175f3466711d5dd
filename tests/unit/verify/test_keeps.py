"""What is kept of the demos' sheets: none may be left out of a plan, none drawn shorter."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from nestcut.model.held import with_held
from nestcut.model.plan import Offcut, SheetLayout
from nestcut.verify import verify_plan
from nestcut.verify.stock import check_missing, check_offcuts
from tests.unit.papers.test_searched_plans import searched

DEMOS = ["punt", "beach-boat"]


def said_of(name: str, layout: SheetLayout) -> set[str]:
    """Codes of what the verifier has against what is kept of one sheet."""
    plan = searched(name).plan
    job, pieces = with_held(searched(name).job, plan.held), {p.id: p for p in plan.pieces}
    found = [*check_offcuts(job, (layout,), pieces), *check_missing(job, layout, pieces)]
    return {f.code for f in found}


def kept(name: str) -> list[tuple[SheetLayout, int]]:
    """Every rectangle that is kept: its sheet and its number there."""
    return [(s, k) for s in searched(name).plan.sheets for k in range(len(s.offcuts))]


def shortened(offcut: Offcut) -> Iterator[tuple[float, Offcut]]:
    """A rectangle shorter by 60, 100 and 200 mm on each of its sides."""
    for by in (60.0, 100.0, 200.0):
        for axis in (0, 1):
            for end in ("from_mm", "to_mm"):
                at = list(getattr(offcut, end))
                at[axis] += by if end == "from_mm" else -by
                short = replace(offcut, **{end: (at[0], at[1])})
                if short.from_mm[axis] < short.to_mm[axis]:
                    yield by, short


@pytest.mark.parametrize("name", DEMOS)
def test_a_plan_without_one_of_its_keeps_is_refused(name: str) -> None:
    assert len(kept(name)) >= 8
    for layout, number in kept(name):
        fewer = tuple(o for k, o in enumerate(layout.offcuts) if k != number)
        assert "VER-075" in said_of(name, replace(layout, offcuts=fewer))


@pytest.mark.parametrize("name", DEMOS)
def test_a_plan_with_one_of_its_keeps_drawn_shorter_is_refused(name: str) -> None:
    for layout, number in kept(name):
        for by, short in shortened(layout.offcuts[number]):
            drawn = tuple(short if k == number else o for k, o in enumerate(layout.offcuts))
            said = said_of(name, replace(layout, offcuts=drawn))
            assert said & {"VER-074", "VER-075"}, (layout.number, number, by)


@pytest.mark.parametrize("name", DEMOS)
def test_the_whole_verifier_asks_for_keeps(name: str) -> None:
    """The plan stands; without what its fullest sheet keeps it doesn't, and it says where."""
    verified = searched(name)
    layout = max(verified.plan.sheets, key=lambda s: len(s.offcuts))
    assert verify_plan(verified.job, verified.plan).is_proven
    bare = tuple(replace(s, offcuts=()) if s is layout else s for s in verified.plan.sheets)
    told = replace(verified.plan, sheets=bare, notes=())  # notes tell of the largest one too
    (said,) = verify_plan(verified.job, told).findings
    assert (said.code, said.where) == ("VER-075", f"sheet {layout.number}")
