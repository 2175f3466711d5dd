"""Untrue plans by the code that is said of them, and what they are made with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from nestcut.byhand.left import measured
from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.model.curves import Arc
from nestcut.model.job import Job
from nestcut.model.joint import JointRule
from nestcut.model.plan import BoardCut, Plan
from nestcut.model.shape import Mark, Shape
from nestcut.verify import verify_plan
from tests.builders import a_job, a_part, a_plan, judged, rectangle

Case = tuple[Job, Plan]


MADE: dict[str, Callable[[], Case]] = {}


def says(code: str) -> Callable[[Callable[[], Case]], Callable[[], Case]]:
    """Register the plan that one code is said of."""

    def note(make: Callable[[], Case]) -> Callable[[], Case]:
        MADE[code] = make
        return make

    return note


def kept(job: Job, plan: Plan) -> Plan:
    """A plan of which only pieces were laid out, with what its sheets leave."""
    return measured(job, plan)


def codes(job: Job, plan: Plan) -> set[str]:
    """What is said of a plan with what its sheets leave."""
    return {f.code for f in verify_plan(job, kept(job, plan)).findings}


def a_holed_job(**changes: object) -> Job:
    """One plate with a round hole and two marks, nothing else."""
    plain = rectangle(400, 300)
    shape = Shape(
        plain.outline,
        (ring_from_curves((Arc((200.0, 150.0), 60.0, 0.0, -360.0),), 0.05, Side.HOLE),),
        (Mark(((100.0, 0.0), (100.0, 300.0)), (), "frame 1"),),
    )
    return a_job(sheet_parts=(a_part("plate", shape=shape, **changes),), rail_parts=())


def turned_right(job: Job, plan: Plan) -> Case:
    """Straps lie along the sheet: rows of pieces don't mind the grain, the verifier does."""
    free = tuple(replace(p, turning=p.turning) for p in job.sheet_parts)
    return replace(job, sheet_parts=free), judged(job, plan)


def pieces_changed(plan: Plan, piece: str, **changes: object) -> Plan:
    pieces = tuple(
        replace(p, **changes) if p.id == piece else p  # type: ignore[arg-type]
        for p in plan.pieces
    )
    return replace(plan, pieces=pieces)


def first_sheet(plan: Plan, **changes: object) -> Plan:
    sheet = replace(plan.sheets[0], **changes)  # type: ignore[arg-type]
    return replace(plan, sheets=(sheet, *plan.sheets[1:]))


def joint_changed(plan: Plan, number: int, **changes: object) -> Plan:
    joints = list(plan.joints)
    joints[number] = replace(joints[number], **changes)  # type: ignore[arg-type]
    return replace(plan, joints=tuple(joints))


def a_rail_job(rule: JointRule) -> Job:
    job = a_job()
    return replace(job, rail_parts=(replace(job.rail_parts[0], joint=rule),))


def grown_job() -> Job:
    return a_job(sheet_parts=(a_part("plate", allowance_mm=10.0),), rail_parts=())


def joined_twice(*at_mm: float, are_given: bool = False) -> Case:
    """A rail whose joints, of 240 mm each, the search chose, or the job gives."""
    from nestcut.boards import Rail, divide_rail

    part = replace(
        a_job().rail_parts[0], joint=JointRule(slope=12.0, at_mm=at_mm if are_given else None)
    )
    job = replace(a_job(sheet_parts=()), rail_parts=(part,))
    pieces, joints = divide_rail(Rail(part=part, hand=None, copy=1), at_mm)
    ends = ((0.0, 0.0), (0.0, 47.0), (2050.0, 0.0))
    board = replace(
        a_plan().boards[0],
        cuts=tuple(
            BoardCut(
                piece=p.id,
                from_mm=0.0,
                to_mm=p.length_mm,
                rip_from_mm=ends[k][1],
                rip_to_mm=ends[k][1] + 45.0,
            )
            for k, p in enumerate(pieces[:2])
        ),
    )
    third = replace(
        board,
        number=2,
        cuts=(
            BoardCut(
                piece=pieces[2].id,
                from_mm=0.0,
                to_mm=pieces[2].length_mm,
                rip_from_mm=0.0,
                rip_to_mm=45.0,
            ),
        ),
    )
    plan = replace(
        a_plan(job),
        sheets=(),
        pieces=(),
        rail_pieces=pieces,
        joints=joints,
        boards=(board, third),
        buy=(replace(a_plan().buy[1], count=2),),
    )
    return job, judged(job, plan)
