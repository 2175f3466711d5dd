"""The joints page: parts as they stand in the boat, places from named ends, sums that agree."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from nestcut.geometry.affine import apply, inverse
from nestcut.geometry.polygons import bounds_mm
from nestcut.geometry.pose import move_points
from nestcut.joints.split import split_part
from nestcut.model.joint import Joint
from nestcut.model.part import Bearings, Towards
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.papers.book.glued import Line, glued
from nestcut.papers.book.joint_cards import joint_cards
from nestcut.papers.book.joint_parts import joined_parts, string_words
from nestcut.papers.draw import Area, Item, Paper, Text
from nestcut.papers.draw.diagram import texts_of
from nestcut.papers.lists import joint_rows
from nestcut.papers.lists.joint_words import end_words
from nestcut.papers.marking import marking_rule
from nestcut.papers.marking.base_lines import base_lines
from nestcut.papers.marking.charts import charts_of
from nestcut.papers.page import PageMaker
from nestcut.papers.screen.tables import joints_grid
from nestcut.papers.sheet import sheet_pages
from nestcut.papers.view import Figures, PlanView, plan_view
from nestcut.units import LengthStyle, parse_length_mm
from tests.builders_demos import demo_on_shelves

FIGURE = r"(?:\d+(?:\.\d)? mm|\d+'-\d+(?: \d+/\d+)?\"|\d+ \d+/\d+\"|\d+(?:/\d+)?\")"
"""A length as it is printed."""
SIDES = {"beach-boat": "side panel", "punt": "side"}


@lru_cache(maxsize=2)
def view_of(name: str) -> PlanView:
    return plan_view(demo_on_shelves(name))


def strip_of(view: PlanView, part: str, style: LengthStyle = LengthStyle.MM) -> tuple[Item, ...]:
    """The sketch and words of one joined part."""
    maker = PageMaker(Paper.A4, Figures(style), view)
    (made,) = [
        items
        for _, items in joined_parts(maker, 250.0)
        if any(t.text.startswith(f"{part},") for t in texts_of(items))
    ]
    return made


def word_at(items: tuple[Item, ...], word: str) -> tuple[float, float]:
    (found,) = [t for t in items if isinstance(t, Text) and t.text == word]
    return found.at


HALF_ROUND = {
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
@pytest.mark.parametrize("demo", list(SIDES))
def test_a_side_is_drawn_right_way_up_with_its_bow_named(demo: str, drawn_as: str) -> None:
    """Each corner of a piece is found again: what is up in the boat is up, the bow at its arrow."""
    view = view_of(demo)
    if drawn_as == "on its head":
        view = standing_on_its_head(view, SIDES[demo])
    part = view.sheet_parts[SIDES[demo]]
    bearings = part.bearings
    items = strip_of(view, part.name)
    shares = [
        p
        for p in view.verified.plan.pieces
        if p.part == part.name and p.hand is not None and p.hand.value == "port" and p.copy == 1
    ]
    drawn = [i for i in items if isinstance(i, Area) and len(i.outline) > 4]
    seen = 0
    for piece, area in zip(shares, drawn, strict=True):
        points = piece.net.outline.points
        assert len(points) == len(area.outline)
        x0, y0, x1, y1 = bounds_mm(points)
        left = min(range(len(points)), key=lambda k: points[k][0])
        right = max(range(len(points)), key=lambda k: points[k][0])
        low = min(range(len(points)), key=lambda k: points[k][1])
        high = max(range(len(points)), key=lambda k: points[k][1])
        assert x1 > x0
        assert y1 > y0
        rises = area.outline[high][1] > area.outline[low][1]
        runs_right = area.outline[right][0] > area.outline[left][0]
        assert rises is (bearings.up is Towards.TOP)
        assert rises is runs_right  # turned, never mirrored: it shows the face that it has
        own = bearings if part.drawn.value == "port" else bearings.turned
        is_bow_right = (own.forward is Towards.RIGHT) is runs_right
        xs = [x for a in drawn for x, _ in a.outline]
        assert (word_at(items, "FWD")[0] > max(xs)) is is_bow_right
        assert (word_at(items, "UP")[0] > max(xs)) is not is_bow_right
        seen += 1
    assert seen > 1


@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("demo", list(SIDES))
def test_figures_to_both_ends_add_up_to_the_whole(demo: str, style: LengthStyle) -> None:
    """A place and what is left behind it make the printed length over all, to the last step."""
    figures = Figures(style)
    view = view_of(demo)
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
    """Both figures of a place say from which end, and which end is black."""
    for demo, part in SIDES.items():
        words = " ".join(t.text for t in texts_of(strip_of(view_of(demo), part)))
        assert "end (black)" in words
        assert "stern end" in words
        assert "bow end" in words


Piece = RailPiece | SheetPiece


def glued_mm(pieces: list[Piece], joints: list[Joint]) -> tuple[float, dict[str, float]]:
    """What a tape finds along a part that is glued and not yet trimmed, by its sawn pieces alone.

    Over all, and from the end of the first piece to the middle of every overlap.
    """
    first = pieces[0]
    if isinstance(first, RailPiece):
        rails = [p for p in pieces if isinstance(p, RailPiece)]
        overlaps = {j.pieces[0]: j.overlap_mm for j in joints}
        run, at = 0.0, {}
        for p in rails:
            run += p.length_mm
            for joint in (j for j in joints if j.pieces[0] == p.id):
                at[joint.id] = run - joint.overlap_mm / 2.0
                run -= overlaps[p.id]
        return run, at
    sawn = [p.shape.outline.points for p in pieces if isinstance(p, SheetPiece)]
    lows, highs = [bounds_mm(s)[0] for s in sawn], [bounds_mm(s)[2] for s in sawn]
    begins = min(lows) if lows[0] < lows[-1] else max(highs)
    lines = {e.joint: e.line for p in pieces for e in p.ends}
    at = {j.id: abs((lines[j.id][0][0] + lines[j.id][1][0]) / 2.0 - begins) for j in joints}
    return max(highs) - min(lows), at


@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("demo", list(SIDES))
def test_a_tape_along_the_glued_part_shows_what_is_printed(demo: str, style: LengthStyle) -> None:
    """Glue sets before anything is trimmed: figures with the trim off could check nothing."""
    view, figures = view_of(demo), Figures(style)
    made: tuple[Piece, ...] = (*view.verified.plan.pieces, *view.verified.plan.rail_pieces)
    strips = [
        " ".join(t.text for t in texts_of(items))
        for _, items in joined_parts(PageMaker(Paper.A4, figures, view), 250.0)
    ]
    trimmed = 0
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
        whole, at = glued_mm(sorted(pieces, key=lambda p: p.share), joints)
        (words,) = [s for s in strips if s.startswith((f"{name}, ", f"{name}: "))]
        head = re.search(r": ([^:]+?) as glued", words)
        assert head
        is_panel = "trimmed, as drawn" in words  # its base line lies askew in its drawing
        most = 2.5 * figures.step_mm if is_panel else figures.step_mm
        assert float(parse_length_mm(head[1])) == pytest.approx(whole, abs=most)
        for row in rows:
            own = words[words.index(f" {row.key}", words.index("as glued")) :]
            told = re.search(rf"middle ({FIGURE}) from .+?, ({FIGURE}) from", own)
            assert told
            near, far = (float(parse_length_mm(v)) for v in told.groups())
            assert near == pytest.approx(at[row.joint.id], abs=most)
            assert near + far == pytest.approx(float(parse_length_mm(head[1])), abs=1e-6)
        if whole > joints[0].part_length_mm + figures.step_mm:
            trimmed += 1
            place, over_all = (
                figures.cut(v) + figures.tail for v in (joints[0].at_mm, joints[0].part_length_mm)
            )
            assert re.search(rf"trimmed(, as drawn)?: {place} of {over_all}", words)
    assert trimmed


@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("demo", list(SIDES))
def test_a_panels_joints_are_measured_on_the_base_line_drawn_on_its_pieces(
    demo: str, style: LengthStyle
) -> None:
    """A joint stands askew to the base line: from edge to edge its place differs by half an inch.

    A tape along the line that the builder drew on the sheet finds the printed figure.
    """
    view, figures = view_of(demo), Figures(style)
    rule = marking_rule(style)
    keys = view.joint_keys
    seen = 0
    for base in (b for row in base_lines(view, charts_of(view, rule)) for b in row):
        if not base.chart.is_whole_panel:
            continue
        words = " ".join(t.text for t in texts_of(strip_of(view, base.placed.piece.part, style)))
        whole = re.search(rf": ({FIGURE}) as glued", words)
        assert whole
        line = apply(inverse(base.use.matrix), np.array([(0.0, 0.0), (1.0, 0.0)]))
        ends = ((float(x), float(y)) for x, y in line)
        zero, end = (np.array(p) for p in move_points(tuple(ends), base.placed.placement))
        way = end - zero
        for joint in base.placed.ends:
            a, b = np.array(joint.line) - zero
            off_a, off_b = (float(p[0] * way[1] - p[1] * way[0]) for p in (a, b))
            on_chart = float((a + (b - a) * off_a / (off_a - off_b)) @ way)
            own = words[words.index(keys[joint.joint], words.index("as glued")) :]
            told = re.search(rf"middle ({FIGURE}) from .+?, ({FIGURE}) from", own)
            assert told
            near, far = (float(parse_length_mm(v)) for v in told.groups())
            shown = min(near, far, key=lambda v: abs(v - on_chart))
            assert shown == pytest.approx(on_chart, abs=figures.step_mm / 2.0 + 0.01)
            assert near + far == pytest.approx(float(parse_length_mm(whole[1])), abs=1e-6)
            seen += 1
    assert seen > 1


@pytest.mark.parametrize("kink_deg", [0.0, 0.5])
def test_a_string_over_a_cap_shows_a_kink_at_a_joint(kink_deg: float) -> None:
    """Its pieces have three base lines, no two in one: half a degree is half an inch at the bow."""
    cap = view_of("beach-boat").sheet_parts["sheer cap"]
    split = split_part(cap, (1450.0, 2700.0))
    joints = sorted((j for j in split.joints if j.hand == "port"), key=lambda j: j.number)
    pieces = sorted(
        (p for p in split.pieces if p.hand is not None and p.hand.value == "port"),
        key=lambda p: p.share,
    )
    assert len(pieces) == 3
    whole = glued(joints, pieces, {}, view_of("beach-boat"))
    assert whole.line is Line.MIDWAY
    assert whole.string is not None
    figures = Figures(LengthStyle.MM)
    words = string_words(whole.string, joints, ["J1", "J2"], figures)
    told = re.search(rf"touches it twice, ({FIGURE}) apart; .+?: (.+)\.$", words)
    assert told
    places = [
        [float(parse_length_mm(v)) for v in re.findall(FIGURE, each)[:2]]
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


def test_pieces_less_their_overlaps_make_the_glued_whole_as_printed() -> None:
    """1538 and 1540 made 3079, and their chart said 1538.5: all have half millimetres now."""
    view, figures = view_of("punt"), Figures(LengthStyle.MM)
    pieces = [p for s in view.sheets for p in s.placed if p.piece.id.startswith("side P1")]
    words = " ".join(t.text for t in texts_of(strip_of(view, "side")))
    whole = re.search(rf": ({FIGURE}) as glued", words)
    assert whole
    assert len(pieces) == 2
    assert not any(e.overlap_mm for p in pieces for e in p.piece.ends)
    told = [figures.cut(p.size_mm[0]) for p in pieces]
    assert sum(map(float, told)) == pytest.approx(float(parse_length_mm(whole[1])), abs=0.5)
    maker = PageMaker(Paper.A4, figures, view)
    for sheet in view.sheets:
        rows = [t.text for page in sheet_pages(sheet, maker) for t in texts_of(page.items)]
        for placed in sheet.placed:
            assert figures.cut_pair(*placed.size_mm).removesuffix(" mm") in rows


def test_the_black_mark_stands_at_the_outermost_point() -> None:
    """The ends of a side rake: places run from one of its corners, and that one is black."""
    items = strip_of(view_of("punt"), "side")
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
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), view_of("beach-boat"))
    words = " ".join(t.text for _, items in joint_cards(maker, 277.0) for t in texts_of(items))
    said = "draw a line one overlap in from its joint end, parallel to it, on the face named"
    assert words.count(said) == 1


def test_a_strap_says_what_is_shortened_and_how_what_cant_be_seen_is_lined_up() -> None:
    """Base lines are on the good face, under the panel while its strap goes on the back."""
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), view_of("punt"))
    words = " ".join(t.text for _, items in joint_cards(maker, 277.0) for t in texts_of(items))
    assert "tick across the joint at both edges, round to the back" in words
    assert "shorten that end of the strap" in words
    assert words.index("Good faces up") < words.index("Strap's side up") < words.index("glue")


def test_the_list_of_joints_says_that_its_places_are_those_of_trimmed_parts() -> None:
    """Beside drawings with the trim on, a place without it would look like another joint."""
    (note,) = joints_grid(view_of("punt"), Figures(LengthStyle.MM)).notes
    assert "along the trimmed part" in note
    assert "as glued, trim still on" in note
