"""Bands along curves: middle line, division square to the curve, the least pieces and boards."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest
from shapely import unary_union
from shapely.geometry import Polygon

from nestcut.errors import Finding
from nestcut.geometry.polygons import to_polygon
from nestcut.joints.curved.division import bend_between, bend_of
from nestcut.joints.curved.line import BandLine, band_line
from nestcut.joints.curved.offer import offer_band_positions
from nestcut.joints.curved.places import BandSearch, Plank
from nestcut.joints.curved.stretches import GRID_MM, Stretches
from nestcut.joints.offers import KeptBack
from nestcut.joints.split import split_part
from nestcut.model.curves import Point
from nestcut.model.joint import JointKind, JointRule, KeepClear
from nestcut.model.part import CutFrom, Hand, SheetPart, Turning
from nestcut.model.shape import Ring, Shape
from nestcut.verify.flat.bands import has_legs
from tests.told import all_said, said
from tests.unit.joints.caps import PLANKS, arc_cap, cornered_cap, sheer_cap


def _line(part: SheetPart) -> BandLine:
    band = band_line(part)
    assert isinstance(band, BandLine)
    return band


def _search(part: SheetPart, planks: tuple[Plank, ...] = PLANKS) -> BandSearch:
    return BandSearch(Stretches(part, max(p.length_mm for p in planks)), planks)


def _with_rule(part: SheetPart, rule: JointRule) -> SheetPart:
    return replace(part, joint=rule)


def test_middle_line_of_an_arc_has_its_length_and_radius() -> None:
    """Arc length 2 R asin(c / 2R) in closed form: 4849.8 mm for a chord of 4800 and 300."""
    band = _line(arc_cap())
    assert band.length_mm == pytest.approx(2.0 * 9750.0 * math.asin(2400.0 / 9750.0), abs=0.002)
    assert band.tightest_mm() == pytest.approx(9750.0, rel=1e-3)
    assert math.degrees(band.angle(0.0)) == pytest.approx(14.25, abs=0.005)


def test_reference_end_is_the_least_x_whichever_way_the_ring_starts() -> None:
    part = arc_cap()
    points = part.shape.outline.points
    for shift in (0, 7, len(points) // 2):
        turned = Ring((*points[shift:], *points[:shift]))
        band = _line(replace(part, shape=Shape(turned)))
        assert band.point(0.0)[0] < band.point(band.length_mm)[0]


def test_outline_that_is_no_band_is_told() -> None:
    circle = Ring(tuple((100 * math.cos(k / 30), 100 * math.sin(k / 30)) for k in range(0, 188, 1)))
    found = band_line(replace(arc_cap(), shape=Shape(circle)))
    assert isinstance(found, Finding)
    assert found.code == "JNT-107"
    wide = band_line(replace(arc_cap(), width_along_mm=90.0))
    assert isinstance(wide, Finding)
    assert "45 mm wide" in said(wide)
    with pytest.raises(ValueError, match="no band"):
        band_line(replace(arc_cap(), width_along_mm=None))


@pytest.mark.parametrize(
    ("second_mm", "turn_deg"), [(1000.0, 35.0), (300.0, 35.0), (1000.0, 90.0), (400.0, -60.0)]
)
def test_a_band_that_goes_on_beyond_a_corner_is_told(second_mm: float, turn_deg: float) -> None:
    """No grain runs along both legs, and only the first is measured; plywood doesn't mind."""
    part = cornered_cap(1500.0, second_mm, turn_deg)
    found = band_line(part)
    assert isinstance(found, Finding)
    assert "beyond a corner, where its grain would run across" in said(found)
    assert isinstance(band_line(replace(part, cut_from=CutFrom.SHEET)), BandLine)


CUT_MM = 120.0 / math.tan(math.radians(27.0))
POINT_MM = 60.0 / math.tan(math.radians(26.0))
TONGUE = ((1500.0, 40.0), (1600.0, 40.0), (1600.0, 80.0), (1500.0, 80.0))


@pytest.mark.parametrize(
    "tip",
    [
        pytest.param(((1500.0, 0.0), (1500.0 - CUT_MM, 120.0)), id="cut at 27 degrees"),
        pytest.param(((1500.0, 0.0), (1500.0 + POINT_MM, 60.0), (1500.0, 120.0)), id="pointed"),
        pytest.param(((1500.0, 0.0), *TONGUE, (1500.0, 120.0)), id="with a tongue"),
    ],
)
def test_what_lies_within_a_width_of_an_end_is_an_end(tip: tuple[Point, ...]) -> None:
    outline = Ring(((0.0, 0.0), *tip, (0.0, 120.0)))
    part = replace(cornered_cap(1500.0, 300.0, 35.0), shape=Shape(outline))
    assert isinstance(band_line(part), BandLine)
    assert not has_legs(part)


def test_band_too_wide_for_its_own_bend_is_told() -> None:
    """A half round a metre across can't be the middle of a band 1200 mm wide."""
    around = arc_cap(1000.0, 480.0)
    below = Ring(tuple((x, -y) for x, y in reversed(around.shape.outline.points)))
    found = band_line(replace(around, shape=Shape(below), width_along_mm=1200.0))
    assert isinstance(found, Finding)
    assert "bends harder than half its width of 1200 mm" in said(found)


def test_what_is_no_band_is_offered_no_joints_and_says_why() -> None:
    offer = offer_band_positions(replace(arc_cap(), width_along_mm=90.0), PLANKS)
    assert offer.choices == ()
    assert [r.code for r in offer.reasons] == ["JNT-218"]
    assert "it is drawn 45 mm wide" in said(offer.reasons[0])


@pytest.mark.parametrize("hand", list(Hand))
def test_pieces_of_a_band_laid_together_give_it(hand: Hand) -> None:
    part = sheer_cap(4300.0)
    split = split_part(part, (1900.0, 3300.0))
    wanted = to_polygon(part.shape)
    if hand is not part.drawn:
        wanted = Polygon([(-x, y) for x, y in wanted.exterior.coords])
    nets = [to_polygon(p.net) for p in split.pieces if p.hand is hand]
    assert len(nets) == 3
    assert unary_union(nets).symmetric_difference(wanted).area < 1e-6


def test_overlap_is_square_to_the_curve_and_as_long_as_the_scarf() -> None:
    """Edges of the common band are parallel, 144 mm apart for 18 mm at 8:1."""
    part = sheer_cap(4300.0)
    split = split_part(part, (1900.0, 3300.0))
    first, second = (to_polygon(p.net) for p in split.pieces[1:3])
    band = _line(part)
    angle = band.angle(3300.0)
    common = first.intersection(second)
    assert isinstance(common, Polygon)
    along = [x * math.cos(angle) + y * math.sin(angle) for x, y in common.exterior.coords]
    assert max(along) - min(along) == pytest.approx(144.0, abs=0.01)
    (ax, ay), (bx, by) = split.pieces[1].ends[1].line
    assert (bx - ax) * math.cos(angle) + (by - ay) * math.sin(angle) == pytest.approx(0.0, abs=1e-6)


def test_every_piece_has_its_own_grain_mirrored_for_the_other_hand() -> None:
    split = split_part(sheer_cap(4000.0), (2240.0, 3380.0))
    port = [p.grain_deg for p in split.pieces if p.hand is Hand.PORT]
    starboard = [p.grain_deg for p in split.pieces if p.hand is Hand.STARBOARD]
    assert starboard == [-g for g in port]
    assert port == sorted(port, reverse=True)
    assert all(0.0 <= p.small_angle_deg < 6.0 for p in split.pieces)


def test_grain_with_room_to_turn_takes_the_narrowest_board() -> None:
    """No direction within the limit of 1 in 10 gives a narrower box, tried a hundredth apart."""
    part = sheer_cap(4000.0)
    split = split_part(part, (2100.0, 3300.0))
    band = _line(part)
    for piece, (a, b) in zip(split.pieces, ((None, 2100.0), (2100.0, 3300.0)), strict=False):
        bend = bend_between(band, a, b, 144.0)
        slack = bend.slack_deg(10.0)
        hull = to_polygon(piece.shape).convex_hull
        assert isinstance(hull, Polygon)

        def width(turn: float, hull: Polygon = hull) -> float:
            c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
            across = [y * c - x * s for x, y in hull.exterior.coords]
            return max(across) - min(across)

        tried = [width(bend.middle_deg + slack * k / 300.0) for k in range(-300, 301)]
        assert width(piece.grain_deg) <= min(tried) + 1e-6
        assert abs(piece.grain_deg - bend.middle_deg) + piece.small_angle_deg <= slack + 1e-9


def test_grain_that_runs_out_too_far_is_a_warning() -> None:
    split = split_part(sheer_cap(4300.0), (2000.0,))
    assert "JNT-111" in [f.code for f in split.findings]
    assert split.pieces


def test_piece_beyond_the_limit_still_lies_so_that_it_takes_the_narrowest_board() -> None:
    """Positions given by the builder stand; the piece may turn as far as its part."""
    split = split_part(replace(sheer_cap(4300.0), small_angle_deg=12.0), (2000.0,))
    second = split.pieces[1]
    bend = bend_between(_line(sheer_cap(4300.0)), 2000.0, None, 144.0)
    assert bend.slack_deg(10.0) < 0.0
    assert abs(second.grain_deg - bend.middle_deg) + second.small_angle_deg == pytest.approx(12.0)


def test_only_scarfs_join_bands() -> None:
    split = split_part(_with_rule(sheer_cap(4000.0), JointRule(kind=JointKind.KEYED)), (2000.0,))
    assert [f.code for f in split.findings] == ["JNT-108"]
    assert split.pieces == ()


def test_misplaced_joints_of_a_band_are_errors() -> None:
    split = split_part(sheer_cap(4000.0), (10.0,))
    assert [f.code for f in split.findings] == ["JNT-101"]


def test_every_piece_of_the_best_way_fits_its_plank_when_cut() -> None:
    """The cut piece, turned to the direction found, lies within the board's usable size."""
    part = sheer_cap(4000.0)
    search = _search(part)
    n = search.fewest()
    assert n is not None
    way = search.best(n)
    assert way is not None
    nets = [to_polygon(p.net) for p in split_part(part, way.at_mm).pieces if p.hand is Hand.PORT]
    for net, piece in zip(nets, way.pieces, strict=True):
        c, s = (f(math.radians(piece.grain_deg)) for f in (math.cos, math.sin))
        xs = [x * c + y * s for x, y in net.exterior.coords]
        ys = [y * c - x * s for x, y in net.exterior.coords]
        assert max(xs) - min(xs) <= piece.plank.length_mm
        assert max(ys) - min(ys) <= piece.plank.width_mm
        assert piece.run_out >= 10.0 - 1e-6


def test_dynamic_programming_finds_what_trying_everything_finds() -> None:
    """All sets of two joints on a coarse subset of the grid, costed one by one."""
    search = _search(_with_rule(sheer_cap(4000.0), JointRule(slope=8.0, run_out=4.0)))
    best = search.best(3)
    assert best is not None
    n = len(search.grid)
    cheapest = min(
        search.cost[0, i] + search.cost[i, j] + search.cost[j, n - 1]
        for i, j in itertools.combinations(range(1, n - 1), 2)
    )
    index = {float(at): k for k, at in enumerate(search.grid)}
    i, j = (index[at] for at in best.at_mm)
    found = search.cost[0, i] + search.cost[i, j] + search.cost[j, n - 1]
    assert found == pytest.approx(cheapest)


def test_fewer_pieces_than_the_fewest_fit_nowhere_on_a_finer_grid() -> None:
    """Every single joint position, a fifth of the grid apart, leaves a piece too large."""
    search = _search(sheer_cap(4000.0))
    assert search.fewest() == 3
    steps = int(search.band.length_mm / (GRID_MM / 5.0))
    assert all(search.way((k * GRID_MM / 5.0,)) is None for k in range(40, steps - 40))


def test_joints_keep_clear_and_twins_are_staggered() -> None:
    zone = KeepClear(from_mm=2100.0, to_mm=2500.0, reason="rowlock")
    rule = JointRule(slope=8.0, run_out=6.0, keep_clear=(zone,), stagger_mm=200.0)
    offer = offer_band_positions(_with_rule(sheer_cap(4000.0), rule), PLANKS)
    assert offer.choices
    for choice in offer.choices:
        assert choice.twin_at_mm is not None
        for at in (*choice.at_mm, *choice.twin_at_mm):
            assert at + 72.0 <= 2100.0 or at - 72.0 >= 2500.0
        assert all(abs(a - b) >= 200.0 for a in choice.at_mm for b in choice.twin_at_mm)


def test_offer_holds_the_fewest_first_and_equal_stretches_that_fit() -> None:
    rule = JointRule(slope=8.0, run_out=3.0)
    offer = offer_band_positions(_with_rule(sheer_cap(4000.0), rule), PLANKS)
    numbers = [len(c.at_mm) for c in offer.choices]
    assert min(numbers) == numbers[0]
    assert offer.equal
    assert set(offer.equal) <= set(offer.choices)


def test_band_too_wide_for_every_board_says_which_demands_collide() -> None:
    narrow = (Plank(name="100", length_mm=2400.0, width_mm=100.0, price_minor=1.0),)
    offer = offer_band_positions(sheer_cap(4000.0), narrow)
    assert offer.choices == ()
    assert "the widest board gives 100 mm" in " ".join(all_said(offer.reasons))
    assert not any("grain" in r for r in all_said(offer.reasons))

    plywood = offer_band_positions(replace(sheer_cap(4000.0), cut_from=CutFrom.SHEET), narrow)
    assert "the widest sheet gives 100 mm" in " ".join(all_said(plywood.reasons))


def test_rules_of_a_band_that_collide_are_named_and_no_others() -> None:
    """One joint and a grain of 1 in 10 don't go together here; the rowlock is innocent."""
    zone = KeepClear(from_mm=100.0, to_mm=150.0, reason="rowlock")
    rule = JointRule(slope=8.0, max_joints=1, keep_clear=(zone,))
    offer = offer_band_positions(_with_rule(sheer_cap(4000.0), rule), PLANKS)
    assert offer.choices == ()
    assert (
        said(offer.reasons[0]) == "at most 1 joint together with grain run-out no steeper than 1:10"
    )
    assert not any("rowlock" in r for r in all_said(offer.reasons))


def test_twins_of_a_band_that_can_t_be_staggered_are_told() -> None:
    rule = JointRule(slope=8.0, stagger_mm=3000.0, max_joints=2)
    offer = offer_band_positions(_with_rule(sheer_cap(4000.0), rule), PLANKS)
    assert offer.choices == ()
    assert "joints 3000 mm from those of the twin" in said(offer.reasons[0])


def test_most_joints_limits_the_offer() -> None:
    rule = JointRule(slope=8.0, max_joints=1)
    offer = offer_band_positions(_with_rule(sheer_cap(4000.0), rule), PLANKS)
    assert offer.choices == ()


def test_more_pieces_are_offered_wherever_they_take_less_board() -> None:
    """Short boards at a tenth of the price: each piece more that saves board is on offer."""
    short = Plank(name="short", length_mm=900.0, width_mm=245.0, price_minor=100.0)
    part = sheer_cap(4000.0)
    offer = offer_band_positions(part, (*PLANKS, short))
    search = _search(part, (*PLANKS, short))
    numbers = sorted({len(c.at_mm) + 1 for c in offer.choices})
    assert numbers[0] == search.fewest() == 3
    assert numbers[-1] > 5
    cost = {n: way.cost for n in numbers if (way := search.best(n)) is not None}
    assert all(b < a for a, b in itertools.pairwise(cost.values()))
    more = (search.best(n) for n in range(numbers[-1] + 1, search.most() + 1))
    assert all(way is None or way.cost >= cost[numbers[-1]] for way in more)


def test_no_more_pieces_than_their_least_length_allows() -> None:
    """4009.6 mm with 144 mm of overlap: 27 pieces of two overlaps, cut off at two dozen."""
    part = sheer_cap(4000.0)
    assert _search(part).most() == 24
    rule = JointRule(slope=8.0, min_piece_mm=900.0)
    assert _search(_with_rule(part, rule)).most() == 6
    assert _search(_with_rule(part, replace(rule, max_joints=2))).most() == 3


def test_what_each_width_of_board_makes_of_a_cap() -> None:
    """With the grain at 1 in 10 the width changes nothing but the price; at 1 in 4 it decides."""
    strict = offer_band_positions(sheer_cap(4000.0), PLANKS).widths
    assert [w.width_mm for w in strict] == [195.0, 220.0, 245.0]
    assert {len(w.pieces_mm) for w in strict} == {3}
    assert all(w.kept_back == (KeptBack.GRAIN,) for w in strict)
    costs = [w.cost_minor or 0.0 for w in strict]
    assert costs == sorted(costs)
    loose = offer_band_positions(
        _with_rule(sheer_cap(4000.0), JointRule(slope=8.0, run_out=4.0)), PLANKS
    ).widths
    assert [len(w.pieces_mm) for w in loose] == sorted(
        (len(w.pieces_mm) for w in loose), reverse=True
    )
    assert len(loose[0].pieces_mm) > len(loose[-1].pieces_mm)
    assert KeptBack.WIDTH in loose[0].kept_back


def test_plywood_band_keeps_the_drawing_s_grain() -> None:
    """Cut from a sheet, a band has the sheet's grain along the drawing's x and no run-out limit."""
    part = replace(sheer_cap(4000.0), cut_from=CutFrom.SHEET, turning=Turning.HALF)
    sheet = (Plank(name="sheet", length_mm=2440.0, width_mm=1220.0, price_minor=5800.0),)
    assert _search(part, sheet).fewest() == 2
    assert {p.grain_deg for p in split_part(part, (2000.0,)).pieces} == {0.0}


def test_boards_without_prices_are_compared_by_width() -> None:
    free = tuple(replace(p, price_minor=0.0) for p in PLANKS)
    way = _search(sheer_cap(4000.0), free).best(3)
    assert way is not None
    assert {p.plank.width_mm for p in way.pieces} == {195.0}


def test_bend_of_a_straight_stretch_has_no_run_out() -> None:
    points = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 140.0), (0.0, 140.0))
    band = _line(replace(sheer_cap(4000.0), shape=Shape(Ring(points))))
    bend = bend_of(band, 0.0, 3000.0)
    assert bend.run_out == math.inf
    assert bend.sagitta_mm == pytest.approx(0.0, abs=1e-9)


def test_edges_reach_further_than_the_middle_line_where_the_cut_is_square() -> None:
    """On an arc the inner edge is met at the angle asin(half overlap / inner radius)."""
    band = _line(arc_cap(width_mm=140.0))
    inner = 9750.0 - 70.0
    wanted = 9750.0 * math.asin(72.0 / inner)
    assert band.reach_mm(2000.0, 72.0) == pytest.approx(2000.0 + wanted, abs=0.01)
    assert band.reach_mm(2000.0, -72.0) == pytest.approx(2000.0 - wanted, abs=0.01)
    bend = bend_between(band, 1000.0, 2000.0, 144.0)
    assert bend.from_mm == 928.0
    turned = math.degrees((1000.0 + 2.0 * wanted) / 9750.0)
    assert bend.most_deg - bend.least_deg == pytest.approx(turned, abs=1e-4)
