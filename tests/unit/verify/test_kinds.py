"""Keys, straps and limits of joints: what the search makes is what the verifier asks for."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.joints.split import split_part, whole_pieces
from nestcut.joints.straps import strap_parts
from nestcut.model.curves import Arc, Line
from nestcut.model.job import Job
from nestcut.model.joint import Face, JointAxis, JointKind, JointRule
from nestcut.model.part import Hands
from nestcut.model.plan import Plan
from nestcut.model.shape import Ring, Shape
from nestcut.trade.joints import LEAST_SLOPE, LEAST_STRAP_THICKNESSES
from nestcut.verify import verify_plan
from nestcut.verify.kinds import KINDS
from tests.builders import a_job, a_part, a_plan, flat_pieces, in_rows, polygon_shape, rectangle
from tests.unit.verify.untrue.made import codes, joint_changed, pieces_changed

SHAPES_SAID = {"VER-005", "VER-007", "VER-008", "VER-029", "VER-037", "VER-012"}


def _keyed(shape: Shape, **rule: object) -> tuple[Job, Plan]:
    values: dict[str, object] = {"kind": JointKind.KEYED, "at_mm": (500.0,), **rule}
    part = a_part("panel", shape=shape, joint=JointRule(**values))  # type: ignore[arg-type]
    job = a_job(sheet_parts=(part,), rail_parts=())
    return job, a_plan(job)


WIDTHS_MM = (20.0, 33.0, 47.0, 60.0, 71.0, 95.0, 120.0, 160.0, 233.0)


@pytest.mark.parametrize("width_mm", WIDTHS_MM)
def test_a_keyed_joint_has_as_many_keys_as_have_room(width_mm: float) -> None:
    """From none in a slat to a row of them; none but the search's own number passes."""
    job, plan = _keyed(rectangle(1000.0, width_mm))
    assert not codes(job, plan) & SHAPES_SAID
    part = job.sheet_parts[0]
    other = split_part(
        replace(part, joint=JointRule(kind=JointKind.KEYED, key_clearance_mm=0.3)), (500.0,)
    )
    for old in plan.pieces:
        new = next(p for p in other.pieces if p.id == old.id)
        loose = pieces_changed(plan, old.id, shape=new.shape, net=new.net)
        assert "VER-007" in codes(job, loose)


@pytest.mark.parametrize("at_y_mm", [40.0, 60.0, 75.0, 90.0, 105.0, 120.0])
@pytest.mark.parametrize("at_x_mm", [478.0, 490.0, 505.0, 524.0, 540.0])
def test_keys_keep_clear_of_holes(at_x_mm: float, at_y_mm: float) -> None:
    """A hole of 12 mm here and there about the line: keys stand where wood is all round them."""
    hole = ring_from_curves((Arc((at_x_mm, at_y_mm), 6.0, 0.0, -360.0),), 0.05, Side.HOLE)
    shape = replace(rectangle(1000.0, 160.0), holes=(hole,))
    job, plan = _keyed(shape)
    assert not codes(job, plan) & (SHAPES_SAID - {"VER-005"})


@pytest.mark.parametrize("rise_mm", [-60.0, -25.0, 25.0, 60.0])
def test_keys_keep_clear_of_edges_that_narrow(rise_mm: float) -> None:
    steep = ((0, 0), (480, 0), (560, rise_mm), (1000, rise_mm), (1000, 200), (0, 200))
    job, plan = _keyed(polygon_shape(steep))
    assert not codes(job, plan) & SHAPES_SAID


def test_a_joint_at_the_limit_of_practice_is_not_weak() -> None:
    strap, slope = LEAST_STRAP_THICKNESSES.value, LEAST_SLOPE.value
    for rule in (
        JointRule(kind=JointKind.BUTT_STRAP, strap_width_thicknesses=strap),
        JointRule(kind=JointKind.SCARF, slope=slope),
    ):
        assert not KINDS[rule.kind].is_weak(rule)
        less = replace(rule, strap_width_thicknesses=0.99 * strap, slope=0.99 * slope)
        assert KINDS[rule.kind].is_weak(less)


def _strapped(shape: Shape, face: Face, **rule: object) -> tuple[Job, Plan]:
    values: dict[str, object] = {"at_mm": (400.0,), "strap_face": face, **rule}
    asked = JointRule(kind=JointKind.BUTT_STRAP, **values)  # type: ignore[arg-type]
    panel = a_part("panel", shape=shape, joint=asked)
    job = a_job(sheet_parts=(panel,), rail_parts=())
    straps, _ = strap_parts(panel, asked, (400.0,), Hands.NONE)
    pieces, joints = flat_pieces(job)
    pieces = (*pieces, *(p for s in straps for p in whole_pieces(s)))
    sheets = in_rows(pieces)
    plan = replace(a_plan(job), pieces=pieces, joints=joints, sheets=sheets, added_parts=straps)
    return job, plan


def _without(plan: Plan, strap: str) -> Plan:
    pieces = tuple(p for p in plan.pieces if p.part != strap)
    left = tuple(p for p in plan.added_parts if p.name != strap)
    return replace(plan, added_parts=left, pieces=pieces, sheets=in_rows(pieces))


STRAPS_SAID = {"VER-050", "VER-051"}


@pytest.mark.parametrize("face", list(Face))
@pytest.mark.parametrize("margin_mm", [0.0, 0.4, 20.0])
def test_a_long_strap_comes_in_lengths(face: Face, margin_mm: float) -> None:
    """2,400 mm across a panel that lies 900 mm above the drawing's line: three lengths."""
    shape = polygon_shape(((0, 900), (800, 900), (800, 3300), (0, 3300)))
    job, plan = _strapped(shape, face, strap_margin_mm=margin_mm)
    assert len(plan.added_parts) == 3
    assert not codes(job, plan) & STRAPS_SAID
    for strap in plan.added_parts:
        assert "VER-050" in codes(job, _without(plan, strap.name))
    plain = replace(job.sheet_parts[0].joint or JointRule(), strap_margin_mm=margin_mm + 0.8)
    asks = replace(job, sheet_parts=(replace(job.sheet_parts[0], joint=plain),))
    assert "VER-050" in codes(asks, plan)


def test_a_strap_round_a_notch_and_along_an_arch() -> None:
    """Both sides of a notch have a strap, and an edge that curves inwards is followed."""
    notch = polygon_shape(((0, 0), (800, 0), (800, 300), (450, 300), (450, 200), (350, 200),
                           (350, 300), (0, 300)))  # fmt: skip
    bow = [math.radians(150.0 - 0.5 * k) for k in range(241)]
    under = tuple((400.0 + 600.0 * math.cos(t), 600.0 * math.sin(t) - 500.0) for t in bow)
    arch = polygon_shape((*under, (950.0, 500.0), (-150.0, 500.0)))
    for shape in (notch, arch):
        job, plan = _strapped(shape, Face.GOOD, strap_margin_mm=15.0)
        assert not codes(job, plan) & STRAPS_SAID
        assert "VER-050" in codes(job, _without(plan, plan.added_parts[0].name))


@pytest.mark.parametrize("end", [0, 1])
@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize("by_mm", [0.01, -0.01])
def test_either_end_of_a_joints_line_is_where_it_lies(end: int, axis: int, by_mm: float) -> None:
    plan = a_plan()
    for piece in plan.pieces:
        for joint_end in piece.ends:
            line = [list(p) for p in joint_end.line]
            line[end][axis] += by_mm
            moved = replace(joint_end, line=tuple(map(tuple, line)))  # type: ignore[arg-type]
            bad = pieces_changed(plan, piece.id, ends=(moved,))
            assert codes(a_job(), bad) == {"VER-012"}


def test_a_joint_across_the_width_has_its_line_too() -> None:
    rule = JointRule(at_mm=(180.0,), axis=JointAxis.WIDTH)
    part = a_part("panel", shape=rectangle(900, 400), hands=Hands.PAIR, joint=rule)
    job = a_job(sheet_parts=(part,), rail_parts=())
    plan = a_plan(job)
    for piece in plan.pieces:
        (end,) = piece.ends
        (ax, ay), b = end.line
        bad = pieces_changed(plan, piece.id, ends=(replace(end, line=((ax, ay + 0.01), b)),))
        assert "VER-012" in codes(job, bad)


def test_one_piece_has_no_joint() -> None:
    """A joint of a part that lies there whole is objected to, not stumbled over."""
    plan = a_plan()
    pieces = ("plate 1", "plate 1")
    stray = replace(plan.joints[0], part="plate", id="plate 1 joint 1", pieces=pieces)
    assert "VER-010" in codes(a_job(), replace(plan, joints=(*plan.joints, stray)))


@pytest.mark.parametrize("by_mm", [0.01, -0.01])
def test_a_joint_tells_its_parts_length(by_mm: float) -> None:
    plan = a_plan()
    for number, joint in enumerate(plan.joints):
        other = joint_changed(plan, number, part_length_mm=joint.part_length_mm + by_mm)
        assert "VER-038" in codes(a_job(), other)


def test_a_strap_that_encloses_nothing_is_none() -> None:
    """A part that the plan adds is looked at as the job's own were when they were read."""
    job, plan = _strapped(rectangle(800, 300), Face.GOOD)
    (strap,) = plan.added_parts
    points = strap.shape.outline.points
    for curves in (
        (Line(points[0], points[1]),),
        (Line(points[0], points[2]), Line(points[2], points[0])),
    ):
        bad = replace(strap, shape=replace(strap.shape, outline=Ring(points, curves)))
        told = verify_plan(job, replace(plan, added_parts=(bad,))).findings
        assert {f.code for f in told} >= {"VER-005"}
