"""What is bought when a plan is made again: packs as they are sold, deliveries, begun boards."""

from __future__ import annotations

from dataclasses import replace

import pytest

import nestcut
from nestcut.again import Events
from nestcut.again.plan import continue_plan
from nestcut.boards import rests_of, sawing_of
from nestcut.model.held import Held
from nestcut.model.plan import BoardCut, BoardLayout, Plan, VerifiedPlan
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from tests.unit.boards.rails_to_cut import a_board, a_job, a_rail

HEAD = """
[job]
name = "bought again"
[saw]
kerf = "3 mm"
"""
PLATE = """
[[part]]
name = "plate"
material = "ply"
thickness = "6 mm"
count = {count}
[part.shape]
kind = "rectangle"
length = "900 mm"
width = "550 mm"
"""
SHEET = """
[[sheet]]
name = "{name}"
material = "ply"
length = "1000 mm"
width = "600 mm"
thickness = "6 mm"
price = {price}
{more}
"""


def planned(text: str) -> VerifiedPlan:
    job = nestcut.read_job(HEAD + text, drawings={})
    return nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))


def spoilt(done: VerifiedPlan, *pieces: str) -> Plan:
    events = Events(spoilt=frozenset(pieces))
    settings = Settings(effort=Effort.QUICK)
    return continue_plan(done.job, done.plan, events, settings, Deadline(), Silent()).plan


def bought(plan: Plan) -> dict[str, int]:
    return {b.stock: b.count for b in plan.buy if b.count}


TWO_YARDS = (
    SHEET.format(name="far", price=20, more='supplier = "far"')
    + SHEET.format(name="near", price=24, more='supplier = "near"')
    + '[[supplier]]\nname = "far"\ndelivery = 30\n[[supplier]]\nname = "near"\ndelivery = 0\n'
)


@pytest.mark.parametrize(("lost", "yard", "cost"), [(1, "near", 2400), (2, "near", 4800)])
def test_a_delivery_is_weighed_against_a_dearer_sheet(lost: int, yard: str, cost: int) -> None:
    """Ten plates were worth a delivery (200 + 30 against 240); one or two to make again aren't."""
    done = planned(TWO_YARDS + PLATE.format(count=10))
    assert bought(done.plan) == {"far": 10}
    plan = spoilt(done, *(f"plate {k}" for k in range(1, lost + 1)))
    assert bought(plan) == {yard: lost}
    assert plan.cost_minor == cost
    assert not plan.deliveries


PACKS = SHEET.format(name="three", price=15, more="pack = 3") + SHEET.format(
    name="single", price=20, more=""
)


@pytest.mark.parametrize(("lost", "what"), [(1, {"single": 1}), (2, {"single": 2}),
                                            (3, {"three": 3})])  # fmt: skip
def test_packs_are_weighed_against_single_sheets(lost: int, what: dict[str, int]) -> None:
    """A pack of three costs 45, a single sheet 20."""
    done = planned(PACKS + PLATE.format(count=6))
    assert bought(done.plan) == {"three": 6}
    plan = spoilt(done, *(f"plate {k}" for k in range(1, lost + 1)))
    assert bought(plan) == what


def test_what_is_over_of_a_pack_is_used_before_anything_is_bought() -> None:
    """Two sheets of a pack of three are cut: the third lies there."""
    text = SHEET.format(name="three", price=15, more="pack = 3") + PLATE.format(count=2)
    done = planned(text)
    assert bought(done.plan) == {"three": 3}
    assert bought(spoilt(done, "plate 1")) == {}
    assert bought(spoilt(done, "plate 1", "plate 2")) == {"three": 3}


def test_rests_of_a_board_can_be_sawn_off_what_is_cut_from_it() -> None:
    """Round three pieces of a whirl the largest rest would close it."""
    stock = a_board((300.0, 100), width=93.0)
    job = a_job((a_rail(length=60.0),), (stock,))
    boxes = [(0.0, 60.0, 0.0, 30.0), (63.0, 93.0, 0.0, 60.0), (33.0, 93.0, 63.0, 93.0)]
    cuts = [
        BoardCut(piece=str(k), from_mm=a, to_mm=b, rip_from_mm=c, rip_to_mm=d)
        for k, (a, b, c, d) in enumerate(boxes)
    ]
    layout = BoardLayout(
        stock="board", number=1, length_mm=300.0, width_mm=93.0, thickness_mm=20.0,
        cuts=tuple(cuts),
    )  # fmt: skip
    assert sawing_of(cuts, 3.0).comes_apart
    rests = rests_of(job, (layout,), {1: stock.lengths[0]})
    assert rests
    blocks = [
        replace(cuts[0], from_mm=r.from_mm, to_mm=r.from_mm + r.stock.lengths[0].length_mm,
                rip_from_mm=r.rip_from_mm, rip_to_mm=r.rip_from_mm + r.stock.width_mm)
        for r in rests
    ]  # fmt: skip
    assert sawing_of([*cuts, *blocks], 3.0).comes_apart


BOARD = """
[[board]]
name = "fir"
material = "fir"
thickness = "20 mm"
width = "97 mm"
lengths = [{ length = "3 m", price = 9 }]
"""
RAIL = """
[[rail]]
name = "{name}"
material = "fir"
section = ["20 mm", "{width} mm"]
length = "{length} mm"
count = {count}
"""


def begun_and(width: int, length: int, count: int) -> tuple[int, VerifiedPlan]:
    """What is bought for more rails once the first is cut: a board's rest is an L of 3 m by 47 mm
    and, beyond the first rail, 1797 mm by 97 mm."""
    first = HEAD + BOARD + RAIL.format(name="first", width=47, length=1200, count=1)
    quick = nestcut.Budget(effort=nestcut.Effort.QUICK)
    done = nestcut.plan_job(nestcut.read_job(first, drawings={}), quick)
    (cut,) = done.plan.boards[0].cuts
    assert (cut.from_mm, cut.rip_from_mm) == (0.0, 0.0)
    more = first + RAIL.format(name="more", width=width, length=length, count=count)
    new = continue_plan(
        nestcut.read_job(more, drawings={}),
        done.plan,
        Events(cut=frozenset({cut.piece}), spoilt=frozenset()),
        Settings(effort=Effort.QUICK),
        Deadline(),
        Silent(),
        Held(sheets=(), boards=done.job.board_stocks),
    )
    assert new.plan.is_complete
    assert cut in new.plan.boards[0].cuts
    return sum(b.count for b in new.plan.buy), new


@pytest.mark.parametrize(
    ("width", "length", "count"),
    [(47, 2990, 1), (97, 1790, 1), (47, 1790, 2), (30, 1790, 3), (97, 895, 2), (20, 2990, 2)],
)
def test_an_l_shaped_rest_gives_long_strips_and_wide_ends(
    width: int, length: int, count: int
) -> None:
    bought_now, new = begun_and(width, length, count)
    assert bought_now == 0
    assert len(new.plan.boards) == 1


def test_what_no_rest_gives_is_bought() -> None:
    assert begun_and(97, 1810, 1)[0] == 1
    assert begun_and(47, 2990, 2)[0] == 1
