"""What is asked for, and what is cut: a plan for each code of `verify/flat`."""

from __future__ import annotations

from dataclasses import replace

from nestcut.errors import Finding, Severity
from nestcut.facts import fact
from nestcut.joints.split import whole_pieces
from nestcut.model.joint import JointRule, KeepClear
from nestcut.model.plan import Unplaced
from nestcut.model.pose import Lie, Placement
from nestcut.model.shape import Mark
from tests.builders import a_job, a_part, a_plan, judged, polygon_shape, rectangle
from tests.unit.verify.untrue.made import (
    Case,
    a_holed_job,
    a_rail_job,
    first_sheet,
    grown_job,
    joint_changed,
    pieces_changed,
    says,
    turned_right,
)


def a_strapped() -> Case:
    from nestcut.model.joint import Face
    from tests.unit.verify.test_joint_rules import _strapped

    job, plan = _strapped(Face.BACK)
    return turned_right(job, plan)


@says("VER-001")
def listed_twice() -> Case:
    job, plan = a_job(), a_plan()
    return job, replace(plan, pieces=(*plan.pieces, plan.pieces[0]))


@says("VER-002")
def missing() -> Case:
    job = a_job()
    more = replace(job, sheet_parts=(*job.sheet_parts, a_part("thwart")))
    return more, a_plan()


@says("VER-003")
def unasked() -> Case:
    job = a_job()
    return replace(job, sheet_parts=job.sheet_parts[1:]), a_plan()


@says("VER-004")
def not_whole() -> Case:
    return a_job(), pieces_changed(a_plan(), "panel 1 2/2", share=3)


@says("VER-005")
def crossing() -> Case:
    plan = a_plan()
    shape = next(p for p in plan.pieces if p.id == "plate 1").shape
    a, b, c, d = shape.outline.points
    crossed = polygon_shape((a, c, b, d))
    return a_job(), pieces_changed(plan, "plate 1", shape=crossed, net=crossed)


@says("VER-007")
def smaller() -> Case:
    small = rectangle(400, 299.99)
    return a_job(), pieces_changed(a_plan(), "plate 1", shape=small, net=small)


@says("VER-008")
def bare() -> Case:
    job = grown_job()
    plan = a_plan(job)
    ring = rectangle(419.5, 319.5).outline
    moved = tuple((x - 9.75, y - 9.75) for x, y in ring.points)
    shape = plan.pieces[0].shape
    slim = replace(shape, outline=polygon_shape(moved).outline)
    return job, pieces_changed(plan, "plate 1", shape=slim)


@says("VER-009")
def other_wood() -> Case:
    return a_job(), pieces_changed(a_plan(), "plate 1", small_angle_deg=9.0)


@says("VER-029")
def other_points() -> Case:
    job = a_holed_job()
    plan = a_plan(job)
    shape = plan.pieces[0].shape
    (hole,) = shape.holes
    (x, y), *rest = hole.points
    bent = replace(shape, holes=(replace(hole, points=((x + 0.01, y), *rest)),))
    return job, pieces_changed(plan, "plate 1", shape=bent, net=bent)


@says("VER-037")
def mark_moved() -> Case:
    job = a_holed_job()
    plan = a_plan(job)
    shape = plan.pieces[0].shape
    moved = replace(shape, marks=(Mark(((125.0, 0.0), (125.0, 300.0)), (), "frame 1"),))
    return job, pieces_changed(plan, "plate 1", shape=moved, net=moved)


@says("VER-050")
def no_strap() -> Case:
    job, plan = a_strapped()
    strap = plan.added_parts[0]
    lost = replace(plan, added_parts=())
    gone = tuple(p for p in plan.pieces if p.part != strap.name)
    sheets = tuple(
        replace(s, placements=tuple(p for p in s.placements if not p.piece.startswith(strap.name)))
        for s in plan.sheets
    )
    return job, replace(lost, pieces=gone, sheets=sheets)


@says("VER-051")
def added_for_nothing() -> Case:
    job = a_job(rail_parts=())
    extra = a_part("cleat", shape=rectangle(100, 100))
    plan = a_plan(job)
    pieces = whole_pieces(extra)
    room = Placement(piece=pieces[0].id, lie=Lie.FACE_UP, turn_deg=0.0, shift_mm=(2000.0, 1000.0))
    laid_too = first_sheet(plan, placements=(*plan.sheets[0].placements, room))
    return job, replace(laid_too, pieces=(*plan.pieces, *pieces), added_parts=(extra,))


@says("VER-052")
def told_wrong() -> Case:
    zone = KeepClear(from_mm=500.0, to_mm=600.0, reason="frame")
    job = a_rail_job(JointRule(slope=12.0, keep_clear=(zone,)))
    plan = judged(job, a_plan())
    joint = plan.joints[1]
    false = replace(joint.standings[0], has=joint.standings[0].has + 1.0)
    return job, joint_changed(plan, 1, standings=(false, *joint.standings[1:]))


@says("VER-053")
def not_told() -> Case:
    told = Finding(code="JOB-035", severity=Severity.NOTE, where="plate", values=(("name", "it"),))
    return a_job(findings=(told,)), a_plan()


@says("VER-054")
def unknown_unplaced() -> Case:
    return a_job(), replace(a_plan(), unplaced=(Unplaced(piece="ghost 1", reason=fact("BRD-103")),))


@says("VER-060")
def hole_lost() -> Case:
    job = a_holed_job()
    plan = a_plan(job)
    shape = replace(plan.pieces[0].shape, holes=())
    return job, pieces_changed(plan, "plate 1", shape=shape, net=shape)
