"""Parts become pieces: hands, copies, overlaps, planed faces, allowances."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import unary_union
from shapely.geometry import Polygon, box

from nestcut.geometry.polygons import bounds_mm, to_polygon
from nestcut.geometry.rings import shape_area_mm2
from nestcut.joints.split import SplitPart, hand_copies, planed_faces, split_part, whole_pieces
from nestcut.model.joint import Face, JointAxis, JointKind, JointRule, LapFacing
from nestcut.model.part import Hand, Hands, SheetPart
from nestcut.model.piece import SheetPiece
from nestcut.model.shape import Ring, Shape
from tests.unit.joints.panels import curved_panel, plain_panel, polygon_outline, round_hole


def _nets(split: SplitPart, hand: Hand | None) -> list[Polygon]:
    return [to_polygon(p.net) for p in split.pieces if p.hand is hand]


def _codes(split: SplitPart) -> list[str]:
    return [f.code for f in split.findings]


def _with_rule(part: SheetPart, rule: JointRule) -> SheetPart:
    return replace(part, joint=rule)


def _mirror(polygon: Polygon) -> Polygon:
    return Polygon(
        [(-x, y) for x, y in polygon.exterior.coords],
        [[(-x, y) for x, y in r.coords] for r in polygon.interiors],
    )


def test_scarf_overlap_is_slope_times_thickness_about_the_position() -> None:
    split = split_part(plain_panel(), (1500.0,))
    first, second = _nets(split, Hand.PORT)
    assert first.bounds == (0.0, 0.0, 1524.0, 600.0)
    assert second.bounds == (1476.0, 0.0, 4000.0, 600.0)
    assert first.intersection(second).area == pytest.approx(48.0 * 600.0, abs=1e-9)


def test_ids_and_copies_follow_hands() -> None:
    split = split_part(replace(plain_panel(), count=2), (1500.0,))
    assert [p.id for p in split.pieces] == [
        f"panel {h}{c} {s}/2" for c in (1, 2) for h in "PS" for s in (1, 2)
    ]
    assert [j.pieces for j in split.joints][1] == ("panel S1 1/2", "panel S1 2/2")
    assert hand_copies(replace(plain_panel(), hands=Hands.NONE)) == ((None, 1),)


def test_positions_are_measured_from_the_least_x() -> None:
    split = split_part(curved_panel(), (1500.0,))
    first = _nets(split, Hand.PORT)[0]
    assert first.bounds[2] == pytest.approx(100.0 + 1524.0, abs=1e-9)
    assert split.joints[0].at_mm == 1500.0
    assert split.joints[0].part_length_mm == pytest.approx(4620.0, abs=0.06)


@pytest.mark.parametrize("kind", list(JointKind))
@pytest.mark.parametrize("hand", [Hand.PORT, Hand.STARBOARD])
def test_pieces_laid_together_give_the_part(kind: JointKind, hand: Hand) -> None:
    """Flattened outlines to 1e-6 mm2; a keyed joint without clearance leaves no slit."""
    part = _with_rule(curved_panel(), JointRule(kind=kind, key_clearance_mm=0.0))
    split = split_part(part, (1400.0, 2900.0))
    wanted = to_polygon(part.shape)
    if hand is Hand.STARBOARD:
        wanted = _mirror(wanted)
    assert unary_union(_nets(split, hand)).symmetric_difference(wanted).area < 1e-6
    assert "JNT-103" in _codes(split)


def test_true_areas_of_butted_pieces_add_up_exactly() -> None:
    """Arcs, elliptic arcs and splines are parted exactly: closed-form areas add up."""
    part = _with_rule(curved_panel(), JointRule(kind=JointKind.BUTT_STRAP))
    split = split_part(part, (700.0, 2000.0, 4550.0))
    port = [p for p in split.pieces if p.hand is Hand.PORT]
    total = sum(shape_area_mm2(p.net) for p in port)
    assert total == pytest.approx(shape_area_mm2(part.shape), abs=1e-6)
    assert all(p.net.outline.curves for p in port)


def test_hole_in_a_joint_is_cut_and_a_free_one_kept_whole() -> None:
    part = plain_panel()
    holes = (round_hole(800.0, 300.0, 50.0), round_hole(1500.0, 300.0, 100.0))
    part = replace(part, shape=Shape(part.shape.outline, holes))
    split = split_part(part, (1500.0,))
    first, second = split.pieces[:2]
    assert first.net.holes == holes[:1]
    assert second.net.holes == ()
    assert _codes(split) == ["JNT-103"]
    wanted = to_polygon(part.shape)
    assert unary_union(_nets(split, Hand.PORT)).symmetric_difference(wanted).area < 1e-6


def test_marks_are_cut_and_the_scarf_line_drawn() -> None:
    split = split_part(curved_panel(), (1400.0,))
    first = split.pieces[0]
    stringer = next(m for m in first.shape.marks if m.label == "stringer")
    bevel = next(m for m in first.shape.marks if m.label == "scarf begins")
    assert stringer.points[0][0] == pytest.approx(500.0)
    assert stringer.points[-1][0] == pytest.approx(1524.0)
    assert bevel.points[0][0] == pytest.approx(1476.0)


def test_other_hand_is_the_mirror_image_with_the_same_planed_faces() -> None:
    split = split_part(curved_panel(), (1400.0,))
    port, starboard = split.pieces[0], split.pieces[2]
    assert (port.id, starboard.id) == ("panel P1 1/2", "panel S1 1/2")
    difference = _mirror(to_polygon(port.shape)).symmetric_difference(to_polygon(starboard.shape))
    assert difference.area < 1e-6
    assert [e.planed for e in port.ends] == [e.planed for e in starboard.ends] == [Face.BACK]
    (ax, ay), (bx, by) = port.ends[0].line
    assert starboard.ends[0].line == ((-ax, ay), (-bx, by))


@pytest.mark.parametrize(
    ("lap", "faces"),
    [
        (LapFacing.AFT, (Face.BACK, Face.GOOD)),
        (LapFacing.EITHER, (Face.BACK, Face.GOOD)),
        (LapFacing.FORWARD, (Face.GOOD, Face.BACK)),
    ],
)
def test_one_piece_is_planed_on_its_back_the_other_on_its_good_face(
    lap: LapFacing, faces: tuple[Face, Face]
) -> None:
    """The lap points away from the reference end when the near piece keeps its good face."""
    assert planed_faces(JointRule(lap_facing=lap)) == faces
    split = split_part(_with_rule(plain_panel(), JointRule(lap_facing=lap)), (1500.0, 2500.0))
    assert [[e.planed for e in p.ends] for p in split.pieces[:3]] == [
        [faces[0]],
        [faces[1], faces[0]],
        [faces[1]],
    ]


def test_joint_along_the_part_divides_its_width() -> None:
    part = _with_rule(curved_panel(), JointRule(axis=JointAxis.WIDTH))
    split = split_part(part, (400.0,))
    low, high = _nets(split, Hand.STARBOARD)
    bottom = bounds_mm(part.shape.outline.points)[1]
    assert low.bounds[3] == pytest.approx(bottom + 424.0, abs=1e-9)
    assert high.bounds[1] == pytest.approx(bottom + 376.0, abs=1e-9)
    wanted = _mirror(to_polygon(part.shape))
    assert unary_union([low, high]).symmetric_difference(wanted).area < 1e-6
    assert split.joints[0].axis is JointAxis.WIDTH
    (ax, ay), (bx, by) = split.pieces[0].ends[0].line
    assert ay == by == pytest.approx(bottom + 400.0, abs=1e-9)
    assert ax != bx


def test_allowance_is_outside_the_part_and_not_at_joints() -> None:
    part = replace(plain_panel(), allowance_mm=10.0)
    split = split_part(part, (1500.0,))
    first = split.pieces[0]
    low_x, low_y, high_x, high_y = bounds_mm(first.shape.outline.points)
    assert high_x == pytest.approx(1524.0, abs=1e-9)
    assert low_x == pytest.approx(-10.0, abs=0.2)
    assert low_x <= -10.0
    assert low_y <= -10.0
    assert high_y >= 610.0
    assert bounds_mm(first.net.outline.points) == (0.0, 0.0, 1524.0, 600.0)
    trim = [m for m in first.shape.marks if m.label == "trim line"]
    assert [bounds_mm(m.points) for m in trim] == [(0.0, 0.0, 1524.0, 600.0)]


def test_whole_pieces_carry_allowance_and_hand() -> None:
    part = replace(curved_panel(), allowance_mm=10.0, joint=None)
    port, starboard = whole_pieces(part)
    assert (port.id, starboard.id) == ("panel P1", "panel S1")
    assert port.net == part.shape
    short = to_polygon(port.net).buffer(9.99).difference(Polygon(port.shape.outline.points))
    assert short.area < 1e-9
    assert _mirror(to_polygon(port.shape)).equals(to_polygon(starboard.shape))
    assert [m.label for m in port.shape.marks] == ["stringer", "trim line"]


def test_whole_pieces_without_allowance_keep_their_true_curves() -> None:
    part = replace(curved_panel(), joint=None)
    assert whole_pieces(part)[0].shape == part.shape


@pytest.mark.parametrize(
    ("at", "code"),
    [
        ((10.0,), "JNT-101"),
        ((3990.0,), "JNT-101"),
        ((float("nan"),), "JNT-101"),
        ((1500.0, 1530.0), "JNT-102"),
        ((2500.0, 1500.0), "JNT-102"),
    ],
)
def test_impossible_positions_are_findings_and_give_no_pieces(
    at: tuple[float, ...], code: str
) -> None:
    split = split_part(plain_panel(), at)
    assert split.pieces == ()
    assert code in _codes(split)


def test_share_in_two_lumps_is_refused() -> None:
    """Between its two joints a ring falls apart."""
    ring = Shape(
        polygon_outline((0.0, 0.0), (1000.0, 0.0), (1000.0, 800.0), (0.0, 800.0)),
        (Ring(((100.0, 100.0), (100.0, 700.0), (900.0, 700.0), (900.0, 100.0))),),
    )
    split = split_part(replace(plain_panel(), shape=ring), (300.0, 700.0))
    assert split.pieces == ()
    assert "JNT-105" in _codes(split)


def test_outline_edge_that_lies_on_a_joint_line_is_cut_clean() -> None:
    """A step in the outline exactly at a butt leaves neither spike nor gap."""
    step = polygon_outline(
        (0.0, 0.0), (2000.0, 0.0), (2000.0, 600.0), (1000.0, 600.0), (1000.0, 400.0), (0.0, 400.0)
    )
    part = _with_rule(
        replace(plain_panel(), shape=Shape(step)), JointRule(kind=JointKind.BUTT_STRAP)
    )
    split = split_part(part, (1000.0,))
    first, second = _nets(split, Hand.PORT)
    assert first.equals(box(0.0, 0.0, 1000.0, 400.0))
    assert second.equals(box(1000.0, 0.0, 2000.0, 600.0))


def test_part_without_a_joint_rule_is_a_fault_of_ours() -> None:
    with pytest.raises(ValueError, match="no joint rule"):
        split_part(replace(plain_panel(), joint=None), (1500.0,))


def test_no_positions_leave_the_part_whole() -> None:
    split = split_part(plain_panel(), ())
    assert [p.n_shares for p in split.pieces] == [1, 1]
    assert split.joints == ()


def test_twins_may_be_joined_in_different_places() -> None:
    part = _with_rule(plain_panel(), JointRule(kind=JointKind.BUTT_STRAP))
    split = split_part(part, (1500.0,), (1900.0,))
    by_hand = {h: [p for p in split.pieces if p.hand is h] for h in Hand}
    assert _longest(by_hand[Hand.PORT][0]) == 1500.0
    assert _longest(by_hand[Hand.STARBOARD][0]) == 1900.0
    assert {(s.name, s.hands) for s in split.straps} == {
        ("panel strap 1 port", Hands.PORT),
        ("panel strap 1 starboard", Hands.STARBOARD),
    }


def _longest(piece: SheetPiece) -> float:
    low, _, high, _ = bounds_mm(piece.net.outline.points)
    return high - low
