"""Places on boards."""

from __future__ import annotations

from dataclasses import replace

import nestcut
from nestcut.facts import fact
from nestcut.model.part import RailPart
from nestcut.model.plan import BoardCut, Plan, Unplaced
from nestcut.model.stock import BoardLength, BoardStock, Defect
from tests.builders import a_job, a_plan
from tests.unit.verify.untrue.made import Case, says


def first_board(plan: Plan, **changes: object) -> Plan:
    board = replace(plan.boards[0], **changes)  # type: ignore[arg-type]
    return replace(plan, boards=(board, *plan.boards[1:]))


def cut_changed(plan: Plan, number: int, **changes: float) -> Plan:
    cuts = list(plan.boards[0].cuts)
    cuts[number] = replace(cuts[number], **changes)  # type: ignore[arg-type]
    return first_board(plan, cuts=tuple(cuts))


@says("VER-030")
def no_such_board() -> Case:
    return a_job(), first_board(a_plan(), width_mm=96.0)


@says("VER-031")
def ghost_on_board() -> Case:
    plan = a_plan()
    stray = replace(plan.boards[0].cuts[0], piece="ghost 1")
    return a_job(), first_board(plan, cuts=(*plan.boards[0].cuts, stray))


@says("VER-032")
def other_section() -> Case:
    return a_job(), cut_changed(a_plan(), 1, rip_to_mm=91.0)


@says("VER-033")
def cut_short() -> Case:
    return a_job(), cut_changed(a_plan(), 0, to_mm=2119.9)


@says("VER-034")
def off_the_board() -> Case:
    return a_job(), cut_changed(a_plan(), 0, from_mm=280.1, to_mm=2400.1)


@says("VER-035")
def through_a_knot() -> Case:
    job = a_job()
    stock = job.board_stocks[0]
    knot = Defect(from_mm=100.0, to_mm=110.0, reason="knot")
    offers = (
        replace(stock.lengths[0], defects=(knot,)),
        BoardLength(length_mm=3000.0, price_minor=1200),
    )
    job = replace(job, board_stocks=(replace(stock, lengths=offers),))
    plan = a_plan()
    return job, replace(plan, boards=(replace(plan.boards[0], cuts=plan.boards[0].cuts),))


@says("VER-036")
def no_kerf() -> Case:
    return a_job(), cut_changed(a_plan(), 1, rip_from_mm=46.9, rip_to_mm=91.9)


@says("VER-067")
def a_whirl() -> Case:
    """Four pieces round a hole, each in the way of the cut that would free the next."""
    stock = BoardStock(
        name="board",
        material="larch",
        thickness_mm=20.0,
        width_mm=93.0,
        lengths=(BoardLength(length_mm=300.0, price_minor=500),),
    )
    long = RailPart(name="long", material="larch", thickness_mm=20.0, width_mm=30.0,
                    length_mm=60.0, count=2)  # fmt: skip
    wide = replace(long, name="wide", width_mm=60.0, length_mm=30.0)
    job = a_job(sheet_parts=(), rail_parts=(long, wide), board_stocks=(stock,))
    plan = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK)).plan
    boxes = {
        "long 1": (0.0, 60.0, 0.0, 30.0),
        "wide 1": (63.0, 93.0, 0.0, 60.0),
        "long 2": (33.0, 93.0, 63.0, 93.0),
        "wide 2": (0.0, 30.0, 33.0, 93.0),
    }
    cuts = tuple(
        BoardCut(piece=i, from_mm=a, to_mm=b, rip_from_mm=c, rip_to_mm=d)
        for i, (a, b, c, d) in boxes.items()
    )
    return job, first_board(plan, cuts=cuts)


@says("VER-041")
def cut_twice() -> Case:
    plan = a_plan()
    return a_job(), replace(plan, unplaced=(Unplaced(piece="plate 1", reason=fact("BRD-103")),))
