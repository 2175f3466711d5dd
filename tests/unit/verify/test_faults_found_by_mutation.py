"""What planted faults (``tests/benchmark/survivors``) once got past: each has its plan here."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.joints.split import split_part
from nestcut.model.curves import Arc, Line
from nestcut.model.joint import JointAxis, JointKind, JointRule, KeepClear, Measured, Standing
from nestcut.model.part import Grain, Hands, Turning
from nestcut.model.pose import Lie
from nestcut.model.shape import Mark, MarkUse, Ring, Shape
from tests.builders import KNEE, a_job, a_part, a_plan, flat_pieces, in_rows, judged, rectangle
from tests.unit.verify.untrue.boards import cut_changed, first_board
from tests.unit.verify.untrue.joints import a_band, rail_changed
from tests.unit.verify.untrue.made import a_rail_job, codes, pieces_changed
from tests.unit.verify.untrue.sheets import laid


@pytest.mark.parametrize("piece", ["panel 1 1/2", "panel 1 2/2"])
@pytest.mark.parametrize("by_mm", [-0.01, 0.01, 20.0])
def test_a_share_is_as_long_as_its_joint_makes_it(piece: str, by_mm: float) -> None:
    plan = a_plan()
    old = next(p for p in plan.pieces if p.id == piece)
    joint = max(x for x, _ in old.shape.outline.points) if piece.endswith("1/2") else 1476.0
    points = tuple(
        (x + by_mm if abs(x - joint) < 1e-9 else x, y) for x, y in old.shape.outline.points
    )
    assert points != old.shape.outline.points
    bad = replace(old.shape, outline=Ring(points))
    found = codes(a_job(), pieces_changed(plan, piece, shape=bad, net=replace(bad, marks=())))
    assert "VER-007" in found
    only_cut = codes(a_job(), pieces_changed(plan, piece, shape=bad))
    assert "VER-007" in only_cut


@pytest.mark.parametrize("piece", ["panel 1 1/2", "panel 1 2/2"])
def test_the_line_where_a_slope_begins_is_drawn_where_it_begins(piece: str) -> None:
    plan = a_plan()
    old = next(p for p in plan.pieces if p.id == piece)
    (mark,) = old.shape.marks
    assert mark.use is MarkUse.JOINT
    for marks in (
        (),
        (replace(mark, points=tuple((x + 0.1, y) for x, y in mark.points), curves=()),),
        (replace(mark, label="keep clear"),),
        (mark, Mark(((10.0, 10.0), (20.0, 10.0)), (), "frame")),
    ):
        bad = replace(old.shape, marks=marks)
        assert codes(a_job(), pieces_changed(plan, piece, shape=bad)) == {"VER-037"}


@pytest.mark.parametrize("by_mm", [0.2, -0.2, 30.0])
def test_a_bands_joint_lies_where_it_is_said_to(by_mm: float) -> None:
    job, plan = a_band()
    assert "VER-012" not in codes(job, judged(job, plan))
    (joint,) = plan.joints
    moved = replace(joint, at_mm=joint.at_mm + by_mm)
    free = replace(job.sheet_parts[0], joint=JointRule(slope=12.0))
    job = replace(job, sheet_parts=(free,))
    plan = judged(job, replace(plan, joints=(moved,)))
    assert "VER-012" in codes(job, plan)


@pytest.mark.parametrize(
    ("zone", "is_clear"),
    [((2060.0, 2100.0), False), ((2119.0, 2200.0), False), ((2120.0, 2200.0), True),
     ((1900.0, 1940.0), False), ((1800.0, 1881.0), False), ((1800.0, 1880.0), True)],
)  # fmt: skip
def test_the_whole_overlap_keeps_clear(zone: tuple[float, float], is_clear: bool) -> None:  # noqa: FBT001
    """A joint at 2000 mm takes 1880 to 2120 mm."""
    keep = KeepClear(from_mm=zone[0], to_mm=zone[1], reason="frame")
    job = a_rail_job(JointRule(slope=12.0, keep_clear=(keep,)))
    assert codes(job, judged(job, a_plan())) == (set() if is_clear else {"VER-016"})


@pytest.mark.parametrize(
    ("turn", "may"), [(3.9, True), (4.1, False), (7.9, False), (-3.9, True), (184.0, True)]
)
def test_a_piece_turns_by_its_small_angle_and_no_more(turn: float, may: bool) -> None:  # noqa: FBT001
    part = a_part("plate", turning=Turning.SMALL, small_angle_deg=4.0)
    job = a_job(sheet_parts=(part,), rail_parts=())
    where = (1000.0, 500.0)
    found = codes(job, laid(a_plan(job), "plate 1", turn_deg=turn, shift_mm=where))
    assert found == (set() if may else {"VER-024"})


@pytest.mark.parametrize(
    ("grain", "turning", "turns"),
    [
        (Grain.ALONG, Turning.NONE, {0}),
        (Grain.ALONG, Turning.HALF, {0, 180}),
        (Grain.ACROSS, Turning.NONE, {90, 270}),
        (Grain.ANY, Turning.NONE, {0, 90}),
        (Grain.ALONG, Turning.QUARTER, {0, 90, 180, 270}),
    ],
)
def test_turns_that_the_grain_allows(grain: Grain, turning: Turning, turns: set[int]) -> None:
    job = a_job(
        sheet_parts=(a_part("plate", shape=rectangle(300, 300), grain=grain, turning=turning),),
        rail_parts=(),
    )
    plan = a_plan(job)
    allowed = {
        t
        for t in (0, 90, 180, 270)
        if "VER-024"
        not in codes(job, laid(plan, "plate 1", turn_deg=float(t), shift_mm=(600.0, 600.0)))
    }
    assert allowed == turns


def test_stock_to_hand_is_not_paid_for() -> None:
    job, plan = a_job(), a_plan()
    stock = replace(job.sheet_stocks[0], count=9)
    job = replace(job, sheet_stocks=(stock,))
    line = plan.buy[0]
    free = replace(line, count=0, to_hand=line.count, price_minor=0)
    assert codes(job, replace(plan, buy=(free, *plan.buy[1:]))) == set()
    assert codes(job, plan) == {"VER-043"}
    paid = replace(free, price_minor=line.price_minor)
    assert codes(job, replace(plan, buy=(paid, *plan.buy[1:]))) == {"VER-043"}


def test_rails_have_their_boards_wood_and_section() -> None:
    plan = a_plan()
    assert "VER-032" in codes(a_job(), cut_changed(plan, 1, rip_from_mm=47.1))
    oak = replace(a_job().board_stocks[0], material="oak")
    assert codes(replace(a_job(), board_stocks=(oak,)), plan) == {"VER-032"}
    thick = rail_changed(plan, 0, thickness_mm=20.1)
    assert {"VER-009", "VER-032"} <= codes(a_job(), thick)


@pytest.mark.parametrize(("end_mm", "edge_mm"), [(0.1, 0.0), (0.0, 0.1)])
def test_trims_of_boards_are_kept(end_mm: float, edge_mm: float) -> None:
    job = a_job()
    trimmed = replace(job.board_stocks[0], end_trim_mm=end_mm, edge_trim_mm=edge_mm)
    found = codes(replace(job, board_stocks=(trimmed,)), a_plan())
    assert found == {"VER-034"}


def test_a_board_that_isnt_on_sale_is_refused_by_each_measure() -> None:
    for changed in ({"width_mm": 95.1}, {"thickness_mm": 20.1}, {"length_mm": 2400.1}):
        found = codes(a_job(), first_board(a_plan(), **changed))
        assert "VER-030" in found


def test_hands_are_what_they_are_drawn_as() -> None:
    """A starboard knee that is the port one: no symmetry hides it."""
    plan = a_plan()
    port = next(p for p in plan.pieces if p.id == "knee P1")
    assert port.shape == Shape(KNEE.outline)
    wrong = pieces_changed(plan, "knee S1", shape=port.shape, net=port.net)
    assert "VER-007" in codes(a_job(), wrong)
    mirrored = next(p for p in plan.pieces if p.id == "knee S1")
    down = laid(plan, "knee S1", lie=Lie.FACE_DOWN)
    assert "VER-023" in codes(a_job(), down)
    assert mirrored.shape != port.shape


def test_joints_across_the_width_lie_where_they_are_said_to() -> None:
    rule = JointRule(at_mm=(180.0,), axis=JointAxis.WIDTH)
    part = a_part("panel", shape=rectangle(900, 400), hands=Hands.PAIR, joint=rule)
    job = a_job(sheet_parts=(part,), rail_parts=())
    plan = a_plan(job)
    assert codes(job, plan) == set()
    made = split_part(part, (181.0,))
    pieces = {p.id: p for p in made.pieces}
    moved = replace(plan, pieces=tuple(pieces[p.id] for p in plan.pieces))
    assert {"VER-012"} <= codes(job, moved)


def test_points_of_a_share_stand_for_its_true_lines() -> None:
    """A round hole in a panel that is joined: its points may be off by the flatness, not more."""
    hole = ring_from_curves((Arc((400.0, 200.0), 60.0, 0.0, -360.0),), 0.05, Side.HOLE)
    shape = replace(rectangle(3000, 400), holes=(hole,))
    part = a_part("panel", shape=shape, joint=JointRule(at_mm=(1500.0,)))
    job = a_job(sheet_parts=(part,), rail_parts=())
    plan = a_plan(job)
    assert codes(job, plan) == set()
    piece = next(p for p in plan.pieces if p.id == "panel 1 1/2")
    ring = piece.shape.holes[0]
    for by_mm in (0.2, -0.2):  # into the panel, and into the hole
        (x, y), *rest = ring.points
        out = 1.0 + by_mm / 60.0
        bent = ((400.0 + (x - 400.0) * out, 200.0 + (y - 200.0) * out), *rest)
        bad = replace(piece.shape, holes=(Ring(bent, ring.curves),))
        assert codes(job, pieces_changed(plan, piece.id, shape=bad)) == {"VER-029"}
        net = replace(piece.net, holes=bad.holes)
        assert codes(job, pieces_changed(plan, piece.id, net=net)) == {"VER-029"}


def test_a_keyed_joint_has_its_keys() -> None:
    """Whoever cuts it straight, or with other keys, is refused."""
    rule = JointRule(kind=JointKind.KEYED, at_mm=(1500.0,))
    part = a_part("panel", shape=rectangle(3000, 400), joint=rule)
    job = a_job(sheet_parts=(part,), rail_parts=())
    plan = a_plan(job)
    assert not codes(job, plan) & {"VER-005", "VER-007", "VER-029"}
    small = split_part(replace(part, joint=replace(rule, key_bit_mm=9.0)), (1500.0,))
    straight = split_part(replace(part, joint=JointRule(slope=1e-6, at_mm=(1500.0,))), (1500.0,))
    for made in (small, straight):
        for old in plan.pieces:
            new = next(p for p in made.pieces if p.id == old.id)
            bad = pieces_changed(plan, old.id, shape=new.shape, net=new.net)
            assert "VER-007" in codes(job, bad)


def test_a_sheet_of_another_thickness_is_refused() -> None:
    thick = replace(a_job().sheet_stocks[0], thickness_mm=9.0)
    plan = a_plan()
    sheets = tuple(replace(s, thickness_mm=9.0) for s in plan.sheets)
    found = codes(replace(a_job(), sheet_stocks=(thick,)), replace(plan, sheets=sheets))
    assert "VER-022" in found


def test_other_faces_planed_are_refused_even_if_all_of_the_plan_says_so() -> None:
    plan = a_plan()
    joint = next(j for j in plan.joints if j.part == "panel")
    assert joint.planed[0] != joint.planed[1]
    turned = replace(joint, planed=(joint.planed[1], joint.planed[0]))
    bad = replace(plan, joints=tuple(turned if j is joint else j for j in plan.joints))
    for k, piece in enumerate(joint.pieces):
        (end,) = next(p for p in plan.pieces if p.id == piece).ends
        bad = pieces_changed(bad, piece, ends=(replace(end, planed=turned.planed[k]),))
    assert codes(a_job(), plan) == set()
    assert "VER-038" in codes(a_job(), bad)


def test_arcs_of_the_other_hand_are_mirrored() -> None:
    """The starboard piece is right as it is, and wrong with its twin's arc among its points."""
    corners = (Line((0.0, 0.0), (300.0, 0.0)), Line((300.0, 0.0), (300.0, 60.0)))
    arc = Arc((140.0, 60.0), 160.0, 0.0, 90.0)
    back = (Line((140.0, 220.0), (0.0, 220.0)), Line((0.0, 220.0), (0.0, 0.0)))
    shape = Shape(ring_from_curves((*corners, arc, *back), 0.05, Side.OUTLINE))
    part = a_part("knee", shape=shape, hands=Hands.PAIR)
    job = a_job(sheet_parts=(part,), rail_parts=())
    pieces, _ = flat_pieces(job)
    plan = replace(
        a_plan(), pieces=pieces, joints=(), rail_pieces=(), boards=(), sheets=in_rows(pieces)
    )
    assert "VER-007" not in codes(job, plan)
    port, starboard = pieces
    outline = replace(starboard.shape.outline, curves=port.shape.outline.curves)
    wrong = replace(starboard.shape, outline=outline)
    assert "VER-007" in codes(job, pieces_changed(plan, starboard.id, shape=wrong, net=wrong))


def test_a_straight_band_is_not_refused_for_the_last_digit_of_its_lean() -> None:
    job, plan = a_band()
    told = judged(job, plan)
    (joint,) = told.joints
    assert Measured.RUN_OUT not in {s.measured for s in joint.standings}
    for piece in joint.pieces:
        told = pieces_changed(told, piece, grain_deg=0.5)
    assert "VER-052" not in codes(job, told)


def test_the_run_out_of_a_bands_grain_is_told_as_it_lies() -> None:
    """Grain along the board, half a degree off the band: 1 in 114.6, which the joint must say."""
    job, plan = a_band()
    told = judged(job, plan)
    (joint,) = told.joints
    assert "VER-052" in codes(job, told)
    lies = Standing(
        measured=Measured.RUN_OUT,
        what="piece 1 of 2",
        has=1.0 / math.tan(math.radians(0.5)),
        limit=10.0,
    )
    said = replace(joint, standings=(*joint.standings, lies))
    assert "VER-052" not in codes(job, replace(told, joints=(said,)))
    wrong = replace(joint, standings=(*joint.standings, replace(lies, has=0.95 * lies.has)))
    assert "VER-052" in codes(job, replace(told, joints=(wrong,)))
