"""The joints page: parts as they stand in the boat, places from named ends, sums that agree."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from nestcut.geometry.affine import apply
from nestcut.joints.split import split_part
from nestcut.model.joint import Face, Joint, Word
from nestcut.model.part import Bearings, Towards
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.shape import Ring, Shape
from nestcut.papers.book.glued import glued, panel_charts
from nestcut.papers.book.joined_drawn import lying_whole
from nestcut.papers.book.joint_cards import joint_cards
from nestcut.papers.book.joint_parts import PLACE, joined_parts, string_words
from nestcut.papers.draw import Area, Item, Paper, Path, Text, text_width_mm
from nestcut.papers.draw.diagram import texts_of
from nestcut.papers.lists import JointRow, joint_rows
from nestcut.papers.lists.joint_words import end_words
from nestcut.papers.marking.told.chart_stance import chart_stance
from nestcut.papers.page import PageMaker
from nestcut.papers.screen.tables import joints_grid
from nestcut.papers.sheet import sheet_pages
from nestcut.papers.view import Figures, PlanView, plan_view
from nestcut.units import LengthStyle, Unit, parse_length_mm
from tests.builders_demos import demo_view

FIGURE = r"(?:\d+(?:\.\d)? mm|\d+'-\d+(?: \d+/\d+)?\"|\d+ \d+/\d+\"|\d+(?:/\d+)?\")"
"""A length as it is printed."""
SIDES = {"beach-boat": "side panel", "punt": "side"}


def strip_of(view: PlanView, part: str, style: LengthStyle = LengthStyle.MM) -> tuple[Item, ...]:
    """The sketch and words of one joined part."""
    maker = PageMaker(Paper.A4, Figures(style), view)
    (made,) = [
        items
        for _, items in joined_parts(maker, 250.0)
        if any(t.text.startswith(f"{part},") for t in texts_of(items))
    ]
    return made


@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("demo", list(SIDES))
def test_a_parts_name_and_its_arrows_stand_clear_of_its_drawing(
    demo: str, style: LengthStyle
) -> None:
    """The black end ate the g of gunwale, and the arrow upward ran into it."""
    maker = PageMaker(Paper.A4, Figures(style), demo_view(demo))
    seen = 0
    for _, items in joined_parts(maker, 250.0):
        name = next(i for i in items if isinstance(i, Text))
        wide = text_width_mm(name.text, name.size_mm, name.weight)
        x, y = name.at
        word = shapely.box(x, y - 0.6 * name.size_mm, x + wide, y + 0.4 * name.size_mm)
        drawn = [shapely.Polygon(i.outline) for i in items if isinstance(i, Area)]
        assert min(word.distance(d) for d in drawn) > 0.5
        black = [d for d in drawn if abs(d.area - d.envelope.area) < 1e-6 and d.area < 3.0]
        lines = [shapely.LineString(i.points) for i in items if isinstance(i, Path)]
        upright = [li for li in lines if li.length == pytest.approx(5.0) and li.envelope.area == 0]
        seen += len(upright)
        assert all(li.distance(b) > 0.8 for li in upright for b in black)
    assert seen


def word_at(items: tuple[Item, ...], word: str) -> tuple[float, float]:
    (found,) = [t for t in items if isinstance(t, Text) and t.text == word]
    return found.at


HALF_ROUND = {
    Towards.UNSAID: Towards.UNSAID,
    Towards.LEFT: Towards.RIGHT,
    Towards.RIGHT: Towards.LEFT,
    Towards.TOP: Towards.BOTTOM,
    Towards.BOTTOM: Towards.TOP,
}


def standing_on_its_head(view: PlanView, name: str) -> PlanView:
    """The same plan, had the part been drawn upside down: its drawing turned half way round."""
    job = view.verified.job
    parts = tuple(
        replace(p, bearings=_turned(p.bearings)) if p.name == name else p for p in job.sheet_parts
    )
    return plan_view(replace(view.verified, job=replace(job, sheet_parts=parts)))


def _turned(own: Bearings) -> Bearings:
    return replace(own, forward=HALF_ROUND[own.forward], up=HALF_ROUND[own.up])


@pytest.mark.parametrize("drawn_as", ["it stands", "on its head"])
@pytest.mark.parametrize(("demo", "name"), [*SIDES.items(), ("beach-boat", "bottom panel")])
def test_a_panel_is_drawn_as_its_chart_is(demo: str, name: str, drawn_as: str) -> None:
    """Its picture had the chart's upper edge below, and the bow on the other side."""
    view = demo_view(demo)
    if drawn_as == "on its head":
        view = standing_on_its_head(view, name)
    items = strip_of(view, name)
    shares = [p for p in view.verified.plan.pieces if p.part == name and p.copy == 1]
    shares = [p for p in shares if p.hand is shares[0].hand]
    chart = panel_charts(view, Figures(LengthStyle.MM))[shares[0].id]
    uses = {use.piece.id: use.matrix for use in chart.uses}
    drawn = [i for i in items if isinstance(i, Area) and i.pen is not None]
    on_chart = np.vstack([apply(uses[p.id], np.array(p.net.outline.points)) for p in shares])
    on_page = np.vstack([a.outline for a in drawn])
    scale = np.ptp(on_page[:, 0]) / np.ptp(on_chart[:, 0])
    shift = on_page - on_chart * scale
    assert len(shares) > 1
    assert np.ptp(shift, axis=0) == pytest.approx(0.0, abs=1e-6)

    stance = chart_stance(chart)
    words = {t.text: t.at[0] for t in texts_of(items)}
    x0, x1 = (float(v) for v in (on_page[:, 0].min(), on_page[:, 0].max()))
    heads = [i.outline for i in items if isinstance(i, Area) and len(i.outline) == 3]
    assert len(heads) == (stance.forward is not None) + (stance.up is not None)
    assert stance.forward is not None
    assert (words["FWD"] > x1) is (stance.forward[0] > 0.0)
    if stance.up is not None:
        assert not x0 < words["UP"] < x1
        assert (words["UP"] > x1) is not (words["FWD"] > x1)
        # an arrow upward is broad where it's low
        (rises,) = (
            sum(y for _, y in h) / 3.0 < (min(y for _, y in h) + max(y for _, y in h)) / 2.0
            for h in heads
            if len({round(y, 3) for _, y in h}) == 2
        )
        assert rises is (stance.up[1] > 0.0)


@pytest.mark.parametrize("up", [Towards.TOP, Towards.BOTTOM, Towards.UNSAID])
@pytest.mark.parametrize("forward", [Towards.LEFT, Towards.RIGHT])
def test_what_has_no_chart_is_drawn_right_way_up_or_bow_right(
    up: Towards, forward: Towards
) -> None:
    """Turned, never mirrored: it shows the face that it has."""
    view = demo_view("beach-boat")
    shares = [p for p in view.verified.plan.pieces if p.part == "sheer cap" and p.copy == 1]
    shares = [p for p in shares if p.hand is shares[0].hand]
    lying = lying_whole(shares, (), Bearings(forward=forward, up=up), None)
    own = np.vstack([p.net.outline.points for p in shares])
    told = {Towards.TOP: 1.0, Towards.BOTTOM: -1.0}.get(up, 1.0 if forward is Towards.RIGHT else -1)
    assert np.vstack(lying.outlines) == pytest.approx(own * told)
    assert lying.is_bow_right is ((forward is Towards.RIGHT) is (told > 0.0))
    assert lying.is_up_up is (None if up is Towards.UNSAID else True)


@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("demo", list(SIDES))
def test_figures_to_both_ends_add_up_to_the_whole(demo: str, style: LengthStyle) -> None:
    """A place and what is left behind it make the printed length over all, to the last step."""
    figures = Figures(style)
    view = demo_view(demo)
    seen = 0
    for row in joint_rows(view):
        joint = row.joint
        rest = joint.part_length_mm - joint.at_mm
        told = end_words(_with_ends(joint, rest), figures, "its bow end")
        printed = [t.removesuffix(" from its bow end") for t in told if t.endswith("bow end")]
        at, whole = figures.length(joint.at_mm), figures.length(joint.part_length_mm)
        assert len(printed) == 1
        parts = [float(parse_length_mm(p)) for p in (at, printed[0], whole)]
        assert parts[0] + parts[1] == pytest.approx(parts[2], abs=1e-6)
        assert parts[1] == pytest.approx(rest, abs=figures.step_mm)
        seen += 1
    assert seen > 1


def _with_ends(joint: Joint, rest_mm: float) -> Joint:
    return replace(joint, distances=(("the part's other end", rest_mm),))


def test_places_name_the_ends_that_they_are_from() -> None:
    """A place says from which end it is, and which end is black."""
    for (demo, part), end in zip(SIDES.items(), ("stern", "bow"), strict=True):
        words = " ".join(t.text for t in texts_of(strip_of(demo_view(demo), part)))
        assert f"from its {end} end (black)" in words


Piece = RailPiece | SheetPiece


def long_mm(pieces: list[Piece], joints: list[Joint]) -> float:
    """What a tape finds from end to end of a rail that is glued, by its sawn pieces alone."""
    rails = [p for p in pieces if isinstance(p, RailPiece)]
    assert len(rails) == len(pieces)
    return sum(p.length_mm for p in rails) - sum(j.overlap_mm for j in joints)


@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("demo", list(SIDES))
def test_a_tape_finds_on_what_is_glued_all_that_is_printed_to_be_checked(
    demo: str, style: LengthStyle
) -> None:
    """Rails from square end to square end, panels from sawn corner to sawn corner, trim on.

    No figure is there to the middle of a joint: nobody sees it once its slopes lie on each other.
    """
    view, figures = demo_view(demo), Figures(style)
    made: tuple[Piece, ...] = (*view.verified.plan.pieces, *view.verified.plan.rail_pieces)
    strips = [
        " ".join(t.text for t in texts_of(items))
        for _, items in joined_parts(PageMaker(Paper.A4, figures, view), 250.0)
    ]
    checked = set()
    for name in dict.fromkeys(r.joint.part for r in joint_rows(view)):
        rows = [r for r in joint_rows(view) if r.joint.part == name]
        rows = [r for r in rows if (r.joint.hand, r.joint.copy) == (rows[0].joint.hand, 1)]
        joints = [r.joint for r in rows]
        hand = joints[0].hand or ""
        pieces = [
            p
            for p in made
            if p.part == name and (p.hand.value if p.hand else "") == hand and p.copy == 1
        ]
        (words,) = [s for s in strips if s.startswith((f"{name}, ", f"{name}: "))]
        assert "middle" not in words
        assert f"{PLACE} {figures.cut(joints[0].at_mm)}{figures.tail} of " in words
        whole = re.search(r": ([^:]+?) as glued", words)
        if isinstance(pieces[0], RailPiece):
            assert whole
            run = long_mm(pieces, joints)
            assert float(parse_length_mm(whole[1])) == pytest.approx(run, abs=figures.step_mm)
            checked.add("rail")
            continue
        assert whole is None
        told = re.search(rf"upper ({FIGURE}|\d+), lower ({FIGURE})", words)
        if told:
            shown = [float(parse_length_mm(v, bare=Unit.MM)) for v in told.groups()]
            true = sorted(corners_mm([p for p in pieces if isinstance(p, SheetPiece)]))
            assert sorted(shown) == pytest.approx(true, abs=1.5 * figures.step_mm)
            checked.add("panel")
    assert checked == {"rail", "panel"}


def corners_mm(pieces: list[SheetPiece]) -> tuple[float, float]:
    """Between the ends of a glued panel's two long edges: its four sharpest corners.

    Looked for on the outline of all its pieces together, joints' ends aside.
    """
    body = shapely.union_all([shapely.Polygon(p.shape.outline.points).buffer(0.1) for p in pieces])
    ring = shapely.get_coordinates(body.simplify(0.5))[:-1]
    (ax, ay), (bx, by) = (ring - np.roll(ring, 1, axis=0)).T, (np.roll(ring, -1, axis=0) - ring).T
    turn = np.abs(np.arctan2(ax * by - ay * bx, ax * bx + ay * by))
    sharp = ring[np.sort(np.argsort(-turn)[:4])]
    sides = np.hypot(*(np.roll(sharp, -1, axis=0) - sharp).T)
    k = int(np.argmax(sides))
    return float(sides[k]), float(sides[(k + 2) % 4])


@pytest.mark.parametrize("demo", list(SIDES))
def test_a_kink_at_a_joint_shows_between_sawn_corners(demo: str) -> None:
    """Diagonals of a long panel hardly change; its edges' lengths do, one more, one less."""
    pieces = [
        p
        for p in demo_view(demo).verified.plan.pieces
        if p.part == SIDES[demo] and p.hand is not None and p.hand.value == "port"
    ]
    straight = corners_mm(pieces)
    about = np.mean(pieces[0].ends[0].line, axis=0)
    first = [p for p in pieces if p.share == 1]
    bent = [
        p
        if p in first
        else replace(p, shape=turned_shape(p.shape, 0.5, (float(about[0]), float(about[1]))))
        for p in pieces
    ]
    kinked = corners_mm(bent)
    assert max(abs(a - b) for a, b in zip(straight, kinked, strict=True)) > 1.0


def turned_shape(shape: Shape, deg: float, about: tuple[float, float]) -> Shape:
    """A shape's outline turned about a point."""
    points = affinity.rotate(shapely.Polygon(shape.outline.points), deg, origin=about)
    ring = tuple((float(x), float(y)) for x, y in points.exterior.coords[:-1])
    return Shape(Ring(ring))


@pytest.mark.parametrize("kink_deg", [0.0, 0.5])
def test_a_string_over_a_cap_shows_a_kink_at_a_joint(kink_deg: float) -> None:
    """Its pieces have three base lines, no two in one: half a degree is half an inch at the bow."""
    cap = demo_view("beach-boat").sheet_parts["sheer cap"]
    split = split_part(cap, (1450.0, 2700.0))
    joints = sorted((j for j in split.joints if j.hand == "port"), key=lambda j: j.number)
    pieces = sorted(
        (p for p in split.pieces if p.hand is not None and p.hand.value == "port"),
        key=lambda p: p.share,
    )
    assert len(pieces) == 3
    view = demo_view("beach-boat")
    whole = glued(joints, pieces, {}, view)
    assert whole.long_mm is None
    assert whole.string is not None
    rows = [JointRow(f"J{k}", j, None) for k, j in enumerate(joints, start=1)]
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), view)
    words = string_words(whole.string, rows, ["J1", "J2"], maker)
    told = re.search(rf"touches it twice, ({FIGURE}) apart\. .+?: (.+)\.$", words)
    assert told
    places = [
        [float(v) for v in re.findall(r"(\d+(?:\.\d)?)(?: and| mm)", each)[:2]]
        for each in told[2].split("; ")
    ]
    assert len(places) == 2
    first, *others = (shapely.Polygon(p.shape.outline.points) for p in pieces)
    about = np.mean(pieces[0].ends[0].line, axis=0)
    turned = [affinity.rotate(o, kink_deg, origin=tuple(about)) for o in others]
    found = string_mm(shapely.union_all([first, *turned]), first.centroid)
    shown = []
    for along_mm, off_mm in places:
        spot = found.begin + found.way * along_mm
        down = shapely.LineString([spot, spot + found.inward * 2000.0]).intersection(found.body)
        off = shapely.Point(*spot).distance(down)
        shown.append(abs(off - off_mm))
    assert max(shown) < 1.5 if kink_deg == 0.0 else max(shown) > 5.0
    assert kink_deg or found.long_mm == pytest.approx(float(parse_length_mm(told[1])), abs=1.0)


@dataclass(frozen=True)
class Stretched:
    """A string as it touches a body: where, which way, how long, and on which side the body is."""

    body: BaseGeometry
    begin: NDArray[np.float64]
    way: NDArray[np.float64]
    inward: NDArray[np.float64]
    long_mm: float


def string_mm(body: BaseGeometry, black: shapely.Point) -> Stretched:
    """The longest line between two corners of a body that has all of it on one side, by trial."""
    points = shapely.get_coordinates(body)
    points = points[np.linspace(0, len(points) - 1, min(len(points), 1200)).astype(int)]
    best: Stretched | None = None
    for a in points:
        runs = points - a
        for j in np.argsort(-np.hypot(*runs.T)):
            long = float(np.hypot(*runs[j]))
            if long < 1.0 or (best is not None and long <= best.long_mm):
                break
            way = runs[j] / long
            off = runs @ np.array([-way[1], way[0]])
            if off.min() < -0.05 and off.max() > 0.05:
                continue
            is_near = black.distance(shapely.Point(a)) < black.distance(shapely.Point(points[j]))
            begin, way = (a, way) if is_near else (points[j], -way)
            inward = np.array([-way[1], way[0]])
            inward = inward if ((points - begin) @ inward).sum() > 0.0 else -inward
            best = Stretched(body, begin, way, inward, long)
    assert best is not None
    return best


def test_the_string_is_measured_to_the_end_of_the_piece_on_top() -> None:
    """Seen good faces up: the piece planed on its back ends on the other's line, in sight."""
    cap = demo_view("beach-boat").sheet_parts["sheer cap"]
    split = split_part(cap, (1450.0,))
    (joint,) = [j for j in split.joints if j.hand == "port"]
    pieces = [p for p in split.pieces if p.hand is not None and p.hand.value == "port"]
    whole = glued([joint], pieces, {}, demo_view("beach-boat"))
    assert whole.string is not None
    (top,) = [p for p in pieces if p.ends[0].planed is Face.BACK]
    (under,) = [p for p in pieces if p is not top]
    found = string_mm(
        shapely.union_all([shapely.Polygon(p.shape.outline.points) for p in pieces]),
        shapely.Point(*np.mean(min(pieces, key=lambda p: p.share).shape.outline.points, axis=0)),
    )
    along, off = whole.string.at_mm[joint.id]
    spot = found.begin + found.way * along + found.inward * off
    edges = [shapely.Polygon(p.shape.outline.points).exterior for p in (top, under)]
    corner = min(
        shapely.get_coordinates(edges[0]),
        key=lambda c: float(np.hypot(*(c - spot))),
    )
    assert float(np.hypot(*(corner - spot))) < 1.5  # a corner of the piece on top
    assert shapely.Polygon(under.shape.outline.points).distance(shapely.Point(spot)) < 0.5
    near = min(shapely.get_coordinates(edges[1]), key=lambda c: float(np.hypot(*(c - spot))))
    assert float(np.hypot(*(near - spot))) > 5.0  # no corner of the one below it


def test_pieces_are_printed_to_half_a_millimetre_on_all_papers() -> None:
    """1538 and 1540 made 3079, and their chart said 1538.5: all have half millimetres now."""
    view, figures = demo_view("punt"), Figures(LengthStyle.MM)
    maker = PageMaker(Paper.A4, figures, view)
    for sheet in view.sheets:
        rows = [t.text for page in sheet_pages(sheet, maker) for t in texts_of(page.items)]
        for placed in sheet.placed:
            assert figures.cut_pair(*placed.size_mm).removesuffix(" mm") in rows


def test_the_black_mark_stands_at_the_outermost_point() -> None:
    """The ends of a side rake: places run from one of its corners, and that one is black."""
    items = strip_of(demo_view("punt"), "side")
    drawn = [i for i in items if isinstance(i, Area) and len(i.outline) > 4]
    (black,) = [i for i in items if isinstance(i, Area) and i.pen is None and len(i.outline) == 4]
    points = [p for a in drawn for p in a.outline]
    outermost = min(points)
    xs, ys = zip(*black.outline, strict=True)
    assert max(xs) == pytest.approx(outermost[0])
    assert min(ys) - 0.01 <= outermost[1] <= max(ys) + 0.01
    assert max(ys) - min(ys) < 0.5 * (max(y for _, y in points) - min(y for _, y in points))


def test_where_a_slope_begins_is_said_for_each_face() -> None:
    """A line on the good face alone doesn't help who planes the back; ends aren't square."""
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), demo_view("beach-boat"))
    words = " ".join(t.text for _, items in joint_cards(maker, 277.0) for t in texts_of(items))
    said = "draw a line one overlap in from its joint end, parallel to it, on the face named"
    assert words.count(said) == 1


def test_a_scarf_is_pictured_as_it_is_glued_good_faces_up() -> None:
    """Base lines are on the good faces, and so is the end that has to meet its line."""
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), demo_view("beach-boat"))
    _, items = next(
        card
        for card in joint_cards(maker, 277.0)
        if any(t.text == "on top" for t in texts_of(card[1]))
    )
    at = {t.text: t.at for t in texts_of(items) if t.text in {"good face", "back", "on top"}}
    assert at["good face"][1] > at["back"][1]
    hatched = [i for i in items if isinstance(i, Area) and len(i.outline) == 4]
    (top,) = [
        a
        for a in hatched
        if len({y for _, y in a.outline}) == 2
        and min(x for x, _ in a.outline) < at["on top"][0] < max(x for x, _ in a.outline)
        and len({round(x, 3) for x, _ in a.outline}) == 3
        and min(y for _, y in a.outline) < at["on top"][1] < max(y for _, y in a.outline)
    ]
    longest = max(top.outline)
    assert longest[1] == max(y for _, y in top.outline)  # its thin end is on the good face


def test_a_chosen_place_says_what_to_judge_and_what_to_do_alone() -> None:
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), demo_view("punt"))
    words = " ".join(t.text for _, items in joint_cards(maker, 277.0) for t in texts_of(items))
    assert {r.joint.word for r in joint_rows(maker.view)} == {Word.GIVEN, Word.CHOSEN}
    assert "their designer has to say" in words
    assert "Common practice lets it stay where" in words


def test_a_strap_says_what_is_shortened_and_how_what_cant_be_seen_is_lined_up() -> None:
    """Base lines are on the good face, under the panel while its strap goes on the back."""
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), demo_view("punt"))
    words = " ".join(t.text for _, items in joint_cards(maker, 277.0) for t in texts_of(items))
    assert "draw them on the strap's side too" in words
    assert "shorten that end of the strap" in words
    assert words.index("Square both base lines") < words.index("That side up") < words.index("glue")


def test_the_list_of_joints_says_that_its_places_are_those_of_trimmed_parts() -> None:
    (note,) = joints_grid(demo_view("punt"), Figures(LengthStyle.MM)).notes
    assert "along the trimmed part" in note


def test_a_rails_joint_is_drawn_midway_of_its_overlap() -> None:
    view = demo_view("beach-boat")
    rows = [r for r in joint_rows(view) if r.joint.part == "gunwale" and r.joint.hand == "port"]
    shares = sorted(
        (p for p in view.verified.plan.rail_pieces if p.id.startswith("gunwale P")),
        key=lambda p: p.share,
    )
    lying = lying_whole(shares, rows, Bearings(), None)
    (((x, _), _),) = lying.lines.values()

    assert shares[0].length_mm > shares[0].to_mm - shares[0].from_mm, "it has a trim"
    assert x == pytest.approx((shares[1].from_mm + shares[0].to_mm) / 2.0)
