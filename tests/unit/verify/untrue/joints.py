"""Joints and their rules: a plan for each code of `verify/kinds` and `verify/rules`."""

from __future__ import annotations

import math
from dataclasses import replace

from nestcut.model.joint import JointRule, KeepClear
from nestcut.model.part import CutFrom
from nestcut.model.plan import Plan, SheetLayout
from nestcut.model.pose import Lie, Placement
from tests.builders import a_job, a_part, a_plan, judged, polygon_shape
from tests.unit.verify.untrue.made import (
    Case,
    a_rail_job,
    joined_twice,
    joint_changed,
    pieces_changed,
    says,
)


def rail_changed(plan: Plan, number: int, **changes: object) -> Plan:
    rails = list(plan.rail_pieces)
    rails[number] = replace(rails[number], **changes)  # type: ignore[arg-type]
    return replace(plan, rail_pieces=tuple(rails))


@says("VER-010")
def joint_lost() -> Case:
    return a_job(), replace(a_plan(), joints=a_plan().joints[1:])


@says("VER-011")
def not_to_be_joined() -> Case:
    job = a_job()
    rail = replace(job.rail_parts[0], joint=None)
    return replace(job, rail_parts=(rail,)), a_plan()


@says("VER-012")
def elsewhere() -> Case:
    plan = a_plan()
    piece = next(p for p in plan.pieces if p.id == "panel 1 1/2")
    (end,) = piece.ends
    (ax, ay), (bx, by) = end.line
    moved = replace(end, line=((ax + 60.0, ay), (bx + 60.0, by)))
    return a_job(), pieces_changed(plan, piece.id, ends=(moved,))


@says("VER-013")
def short_overlap() -> Case:
    return a_job(), joint_changed(a_plan(), 0, overlap_mm=47.0)


@says("VER-014")
def short_stretch() -> Case:
    return a_job(), rail_changed(a_plan(), 0, from_mm=1.0)


@says("VER-015")
def not_as_given() -> Case:
    return a_rail_job(JointRule(slope=12.0, at_mm=(1990.0,))), a_plan()


@says("VER-016")
def in_the_way() -> Case:
    zone = KeepClear(from_mm=1980.0, to_mm=2020.0, reason="rowlock")
    job = a_rail_job(JointRule(slope=12.0, keep_clear=(zone,)))
    return job, judged(job, a_plan())


@says("VER-017")
def runs_out() -> Case:
    job, plan = a_band()
    (placement,) = plan.sheets[0].placements[:1]
    limit = replace(job.sheet_parts[0].joint or JointRule(), run_out=2000.0)
    part = replace(job.sheet_parts[0], joint=limit)
    job = replace(job, sheet_parts=(part,))
    del placement
    return job, judged(job, plan)


def a_band() -> Case:
    """A straight cap of two pieces on one board, drawn half a degree off the board's length."""
    from nestcut.joints.split import split_part
    from tests.builders import SPRUCE

    lean = math.radians(0.5)
    c, s = math.cos(lean), math.sin(lean)
    corners = ((0, 0), (3000, 0), (3000, 50), (0, 50))
    points = tuple((x * c - y * s, x * s + y * c) for x, y in corners)
    part = a_part(
        "cap",
        shape=polygon_shape(points),
        material="spruce",
        thickness_mm=20.0,
        cut_from=CutFrom.BOARD,
        width_along_mm=50.0,
        joint=JointRule(slope=12.0, at_mm=(1500.0,)),
    )
    job = a_job(sheet_parts=(part,), rail_parts=())
    made = split_part(part, (1500.0,))
    sheets = []
    for number, piece in enumerate(made.pieces, start=1):
        xs = [x for x, _ in piece.shape.outline.points]
        ys = [y for _, y in piece.shape.outline.points]
        where = Placement(
            piece=piece.id,
            lie=Lie.FACE_UP,
            turn_deg=0.0,
            shift_mm=(10.0 - min(xs), 10.0 - min(ys)),
        )
        sheets.append(
            SheetLayout(
                stock=SPRUCE.name,
                number=number,
                length_mm=2400.0,
                width_mm=95.0,
                thickness_mm=20.0,
                outline=None,
                edge_trim_mm=0.0,
                keep_outs=(),
                placements=(where,),
                board=number,
            )
        )
    # each lies as it is drawn, half a degree from the board's length
    pieces = tuple(replace(p, grain_deg=0.0) for p in made.pieces)
    rail = a_plan().buy[1]
    plan = replace(
        a_plan(replace(job, sheet_parts=())),
        pieces=pieces,
        joints=made.joints,
        sheets=tuple(sheets),
        buy=(replace(rail, count=2),),
    )
    return job, judged(job, plan)


@says("VER-018")
def too_short() -> Case:
    job = a_rail_job(JointRule(slope=12.0, min_piece_mm=2150.0))
    return job, judged(job, a_plan())


@says("VER-019")
def abreast() -> Case:
    from tests.unit.verify.test_joint_rules import _pair_job, _plan_at

    job = _pair_job(250.0)
    return job, judged(job, _plan_at(job, 900.0, 1149.0))


@says("VER-038")
def other_slope() -> Case:
    return a_job(), joint_changed(a_plan(), 0, slope=4.0)


@says("VER-039")
def other_face() -> Case:
    plan = a_plan()
    piece = next(p for p in plan.pieces if p.id == "panel 1 1/2")
    (end,) = piece.ends
    other = replace(end, planed=next(p for p in plan.joints[0].planed if p != end.planed))
    return a_job(), pieces_changed(plan, piece.id, ends=(other,))


@says("VER-062")
def other_neighbours() -> Case:
    plan = a_plan()
    first, second = plan.joints[1].pieces
    return a_job(), joint_changed(plan, 1, pieces=(second, first))


@says("VER-063")
def one_joint_too_many() -> Case:
    job = a_rail_job(JointRule(slope=12.0, max_joints=0))
    return job, judged(job, a_plan())


@says("VER-064")
def into_each_other() -> Case:
    return joined_twice(1900.0, 2100.0)


@says("VER-069")
def near_and_not_told() -> Case:
    """Places that the builder gave may lie near each other, if the plan tells it."""
    return joined_twice(1700.0, 2300.0, are_given=True)


@says("VER-066")
def too_near_each_other() -> Case:
    return joined_twice(1700.0, 2300.0)
