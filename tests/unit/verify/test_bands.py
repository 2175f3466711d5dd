"""Bands along a curve: what is said of their joints and pieces is held against the true curve."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest

from nestcut.geometry.pose import move_shape
from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.joints.split import whole_pieces
from nestcut.model.curves import Point
from nestcut.model.held import with_held
from nestcut.model.job import CuttingRules, Job
from nestcut.model.joint import JointEnd
from nestcut.model.part import Hands
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.model.pose import Pose
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.verify.flat.bands import check_bands, long_edges, middle_line, own_run_out
from nestcut.verify.standing import check_standings
from tests.builders import rectangle
from tests.unit.joints.caps import BOARD, arc_cap, cornered_cap
from tests.unit.verify.untrue.made import codes, joint_changed, pieces_changed

CHORD_MM, SAGITTA_MM, WIDE_MM = 4800.0, 300.0, 45.0


@cache
def _planned() -> VerifiedPlan:
    job = Job(
        name="caps",
        file="job.toml",
        sha256="",
        cutting=CuttingRules(kerf_mm=2.0),
        board_stocks=(BOARD,),
        sheet_parts=(arc_cap(CHORD_MM, SAGITTA_MM, WIDE_MM),),
    )
    desk = Desk(settings=Settings(effort=Effort.QUICK), deadline=Deadline(), watcher=Silent())
    return plan_job(job, desk)


@pytest.fixture
def verified() -> VerifiedPlan:
    """A pair of caps along an arc, port and starboard, their joints free."""
    return _planned()


def _radius() -> float:
    return CHORD_MM**2 / (8.0 * SAGITTA_MM) + SAGITTA_MM / 2.0


def test_edges_and_middle_are_as_long_as_their_arcs(verified: VerifiedPlan) -> None:
    """An arc is as long as its radius times its angle."""
    part = verified.job.sheet_parts[0]
    angle = 2.0 * math.asin(CHORD_MM / 2.0 / _radius())
    lengths = sorted(e.length for e in long_edges(part))
    inner, outer = ((_radius() + s * WIDE_MM / 2.0) * angle for s in (-1.0, 1.0))
    assert lengths == pytest.approx([inner, outer], abs=0.1)
    assert middle_line(part).length == pytest.approx(_radius() * angle, abs=0.1)
    assert middle_line(part).coords[0][0] == pytest.approx(0.0, abs=0.5)


def test_the_plan_holds(verified: VerifiedPlan) -> None:
    assert codes(verified.job, verified.plan) == set()
    assert {p.hand.value for p in verified.plan.pieces if p.hand} == {"port", "starboard"}
    assert len(verified.plan.joints) >= 2


def _along(line: tuple[Point, Point], mm: float) -> tuple[Point, Point]:
    (ax, ay), (bx, by) = line
    long = math.hypot(bx - ax, by - ay)
    dx, dy = (by - ay) / long * mm, -(bx - ax) / long * mm
    return (ax + dx, ay + dy), (bx + dx, by + dy)


def _turned(line: tuple[Point, Point], deg: float) -> tuple[Point, Point]:
    (ax, ay), (bx, by) = line
    mx, my = (ax + bx) / 2.0, (ay + by) / 2.0
    c, s = math.cos(math.radians(deg)), math.sin(math.radians(deg))
    return (
        (mx + (ax - mx) * c - (ay - my) * s, my + (ax - mx) * s + (ay - my) * c),
        (mx + (bx - mx) * c - (by - my) * s, my + (bx - mx) * s + (by - my) * c),
    )


def _longer(line: tuple[Point, Point], mm: float) -> tuple[Point, Point]:
    (ax, ay), (bx, by) = line
    long = math.hypot(bx - ax, by - ay)
    dx, dy = (bx - ax) / long * mm / 2.0, (by - ay) / long * mm / 2.0
    return (ax - dx, ay - dy), (bx + dx, by + dy)


def _out(line: tuple[Point, Point], mm: float) -> tuple[Point, Point]:
    (ax, ay), (bx, by) = line
    long = math.hypot(bx - ax, by - ay)
    dx, dy = (bx - ax) / long * mm, (by - ay) / long * mm
    return (ax + dx, ay + dy), (bx + dx, by + dy)


WRONG: dict[str, Callable[[tuple[Point, Point]], tuple[Point, Point]]] = {
    "0.3 mm further along the curve": lambda line: _along(line, 0.3),
    "0.3 mm less far along it": lambda line: _along(line, -0.3),
    "askew by half a degree": lambda line: _turned(line, 0.5),
    "askew the other way": lambda line: _turned(line, -0.5),
    "longer than the band is wide": lambda line: _longer(line, 0.3),
    "shorter than it": lambda line: _longer(line, -0.3),
    "beside the band": lambda line: _out(line, 0.3),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_joint_lines_lie_square_across_the_curve_where_they_are_said_to(
    verified: VerifiedPlan, wrong: str
) -> None:
    for piece in verified.plan.pieces:
        for k, end in enumerate(piece.ends):
            ends = list(piece.ends)
            ends[k] = replace(end, line=WRONG[wrong](end.line))
            plan = pieces_changed(verified.plan, piece.id, ends=tuple(ends))
            assert "VER-012" in codes(verified.job, plan), (piece.id, end.joint)


def _of_hand(plan: Plan, hand: str) -> list[SheetPiece]:
    return [p for p in plan.pieces if p.hand is not None and p.hand.value == hand]


@pytest.mark.parametrize("hand", ["port", "starboard"])
@pytest.mark.parametrize("by_mm", [0.5, -0.5])
def test_a_piece_isnt_moved_along_its_own_drawing(
    verified: VerifiedPlan, hand: str, by_mm: float
) -> None:
    for piece in _of_hand(verified.plan, hand):
        by = Pose(shift_mm=(by_mm, 0.0))
        shape, net = move_shape(piece.shape, by), move_shape(piece.net, by)
        plan = pieces_changed(verified.plan, piece.id, shape=shape, net=net)
        assert codes(verified.job, plan), piece.id


@pytest.mark.parametrize("hand", ["port", "starboard"])
def test_each_share_is_its_own(verified: VerifiedPlan, hand: str) -> None:
    """A piece drawn as its neighbour is, ends and all, isn't the piece that is asked for."""
    pieces = _of_hand(verified.plan, hand)
    for one, other in pairwise(pieces):
        plan = pieces_changed(
            verified.plan, one.id, shape=other.shape, net=other.net, ends=other.ends
        )
        assert codes(verified.job, plan), one.id


def test_a_scarfs_line_is_half_its_overlap_from_the_end(verified: VerifiedPlan) -> None:
    """Planed from 3 mm further in, a scarf would be steeper than the plans say."""
    for piece in verified.plan.pieces:
        for number, mark in enumerate(piece.shape.marks):
            marks = list(piece.shape.marks)
            marks[number] = replace(mark, points=_along(mark.points[:2], 3.0))  # type: ignore[arg-type]
            shape = replace(piece.shape, marks=tuple(marks))
            plan = pieces_changed(verified.plan, piece.id, shape=shape)
            assert codes(verified.job, plan), (piece.id, mark.label)


def test_an_end_isnt_told_of_another_joint(verified: VerifiedPlan) -> None:
    names = [j.id for j in verified.plan.joints]
    for piece in verified.plan.pieces:
        for k, end in enumerate(piece.ends):
            other = next(n for n in names if n != end.joint)
            ends: list[JointEnd] = list(piece.ends)
            ends[k] = replace(end, joint=other)
            plan = pieces_changed(verified.plan, piece.id, ends=tuple(ends))
            assert codes(verified.job, plan), (piece.id, end.joint)


@pytest.mark.parametrize("first", range(4))
def test_edges_are_found_wherever_the_outline_begins(first: int) -> None:
    part = arc_cap(CHORD_MM, SAGITTA_MM, WIDE_MM)
    curves = part.shape.outline.curves
    outline = ring_from_curves((*curves[first:], *curves[:first]), 0.05, Side.OUTLINE)
    turned = replace(part, shape=replace(part.shape, outline=outline))
    for edge, same in zip(long_edges(turned), long_edges(part), strict=True):
        assert edge.length == pytest.approx(same.length, abs=0.01)
        assert edge.hausdorff_distance(same) < 0.01


@pytest.mark.parametrize("by_mm", [0.3, -0.3])
def test_a_joint_tells_how_long_its_band_is(verified: VerifiedPlan, by_mm: float) -> None:
    for number, joint in enumerate(verified.plan.joints):
        told = joint_changed(verified.plan, number, part_length_mm=joint.part_length_mm + by_mm)
        assert "VER-038" in codes(verified.job, told)


def test_joints_tell_the_run_out_of_each_piece(verified: VerifiedPlan) -> None:
    """Grain that is turned in one piece is seen by the joints at its ends, and by no other."""
    job = with_held(verified.job, verified.plan.held)
    for piece in verified.plan.pieces:
        turned = pieces_changed(verified.plan, piece.id, grain_deg=piece.grain_deg + 3.0)
        said = {f.where for f in check_standings(job, turned) if f.code == "VER-052"}
        assert said == {e.joint for e in piece.ends}, piece.id


def test_a_piece_without_a_long_edge_isnt_taken_as_straight(verified: VerifiedPlan) -> None:
    """Nothing shows that its grain runs along it: it runs out at once."""
    part, piece = verified.job.sheet_parts[0], verified.plan.pieces[0]
    assert own_run_out(part, piece) > 5.0
    assert own_run_out(part, replace(piece, net=rectangle(10.0, 10.0))) == pytest.approx(0.0)


@pytest.mark.parametrize(("second_mm", "turn_deg"), [(1000.0, 35.0), (300.0, 35.0), (400.0, -60.0)])
def test_grain_runs_out_beyond_a_corner(
    verified: VerifiedPlan, second_mm: float, turn_deg: float
) -> None:
    """The leg that lies along its board is no longer all that is looked at."""
    part = replace(cornered_cap(1500.0, second_mm, turn_deg), hands=Hands.NONE)
    straight = replace(part, shape=rectangle(1500.0, 120.0))
    for cap, wanted in ((part, {"VER-017"}), (straight, set())):
        (piece,) = whole_pieces(cap)
        place = replace(verified.plan.sheets[0].placements[0], piece=piece.id, turn_deg=0.0)
        sheet = replace(verified.plan.sheets[0], placements=(place,))
        plan = replace(verified.plan, pieces=(piece,), sheets=(sheet,))
        found = check_bands(replace(verified.job, sheet_parts=(cap,)), plan)
        assert {f.code for f in found} == wanted
