"""Bevels on drawings: at the right edge, the right face, never over another label."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon

from nestcut.geometry.edges import Side, stretches_facing
from nestcut.model.joint import Face
from nestcut.model.part import Bearings, EdgeBevel, Hands, Outside, SheetPart, Towards
from nestcut.model.plan import VerifiedPlan
from nestcut.model.pose import Lie
from nestcut.papers.draw.diagram import Group, Lines, Path, Pen, Text, texts_of
from nestcut.papers.draw.paper import Paper
from nestcut.papers.page.maker import PageMaker
from nestcut.papers.sheet.page import sheet_pages
from nestcut.papers.sheet.written.bevel_marks import STROKE_MM
from nestcut.papers.view.bevels import (
    bevel_label,
    bevel_letter,
    bevel_words,
    bevel_words_short,
    bevels_of,
)
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.rows import plan_view
from nestcut.units import LengthStyle
from tests.builders_boat import bowed, part, rectangle, triangle
from tests.builders_papers import plan_for, ply, random_plan
from tests.unit.papers.marking.test_label_places import faults_of, pages_of

FIGURES = Figures(LengthStyle.MM)


def bevel(
    of: SheetPart, side: Side, larger: Face = Face.GOOD, tilt: tuple[float, float] | None = (9, 9)
) -> EdgeBevel:
    return EdgeBevel(
        name=f"{side} edge", lines=stretches_facing(of.shape, side), larger=larger, tilt_deg=tilt
    )


def bevelled(of: SheetPart, *bevels: EdgeBevel) -> SheetPart:
    return replace(of, edge_bevels=bevels)


def with_random_bevels(seed: int) -> VerifiedPlan:
    """A random job whose parts are bevelled on some of their sides."""
    verified = random_plan(seed)
    rng = np.random.default_rng(seed)
    parts = []
    for each in verified.job.sheet_parts:
        sides = [s for s in Side if stretches_facing(each.shape, s) and rng.random() < 0.5]
        tilts = [None, (7.5, 7.5), (8.0, 21.0)]
        parts.append(
            bevelled(
                each,
                *(
                    bevel(each, s, list(Face)[rng.integers(2)], tilts[rng.integers(3)])
                    for s in sides
                ),
            )
        )
    return replace(verified, job=replace(verified.job, sheet_parts=tuple(parts)))


def one_sheet(*parts: SheetPart) -> VerifiedPlan:
    return plan_for("bevels", list(parts), [ply(9, 100)], LengthStyle.MM)


def groups(verified: VerifiedPlan, kind: str) -> dict[str, Group]:
    view = plan_view(verified)
    pages = sheet_pages(view.sheets[0], PageMaker(Paper.A4, FIGURES, view))
    return {g.key: g for g in pages[0].items if isinstance(g, Group) and g.kind == kind}


def test_a_bevel_lies_on_its_pieces_edge_whichever_hand_and_face() -> None:
    """A right-angled knee's long side is found on both hands, turned over or not."""
    knee = part("knee", triangle(300, 120), 9, hands=Hands.PAIR)
    verified = one_sheet(bevelled(knee, bevel(knee, Side.BOTTOM)))
    sheet = verified.plan.sheets[0]
    turned = tuple(
        replace(p, lie=Lie.FACE_DOWN, shift_mm=(p.shift_mm[0] + 900.0, p.shift_mm[1]))
        for p in sheet.placements
    )
    over = replace(
        verified, plan=replace(verified.plan, sheets=(replace(sheet, placements=turned),))
    )
    for plan, is_up in ((verified, False), (over, True)):
        for placed in plan_view(plan).sheets[0].placed:
            (view,) = bevels_of(placed)
            (line,) = view.lines
            assert view.is_planed_up is is_up
            assert line.length == pytest.approx(300.0)
            assert placed.polygon.exterior.distance(Point(line.coords[0])) < 1e-9
            assert placed.polygon.exterior.buffer(1e-6).contains(line)


def test_a_share_of_a_part_has_its_stretch_of_the_bevel() -> None:
    from tests.builders_papers import whole_boat

    verified = whole_boat()
    long = next(p for p in verified.job.sheet_parts if p.joint is not None)
    marked = bevelled(long, bevel(long, Side.BOTTOM))
    parts = tuple(marked if p is long else p for p in verified.job.sheet_parts)
    view = plan_view(replace(verified, job=replace(verified.job, sheet_parts=parts)))
    shares = [p for s in view.sheets for p in s.placed if p.piece.part == long.name]

    assert len(shares) > 1
    for placed in shares:
        (found,) = bevels_of(placed)
        for line in found.lines:
            assert placed.polygon.buffer(0.5).contains(line)
    whole = sum(LineString(line).length for line in marked.edge_bevels[0].lines)
    drawn = sum(line.length for p in shares for v in bevels_of(p) for line in v.lines)
    assert drawn > whole * len({p.piece.hand for p in shares})


@pytest.mark.parametrize("larger", list(Face))
def test_strokes_tell_the_face_that_is_up_and_dashes_the_one_underneath(larger: Face) -> None:
    board = part("board", rectangle(900, 400), 9)
    (group,) = groups(one_sheet(bevelled(board, bevel(board, Side.TOP, larger))), "bevel").values()
    strokes = [i for i in group.items if isinstance(i, Lines)]
    dashes = [i for i in group.items if isinstance(i, Path)]

    if larger is Face.BACK:  # the good face is planed, and up
        assert len(strokes[0].segments) > 30
        assert dashes == []
        lengths = [np.hypot(b[0] - a[0], b[1] - a[1]) for a, b in strokes[0].segments]
        assert lengths == pytest.approx([STROKE_MM] * len(lengths), rel=1e-6)
    else:
        assert [d.pen for d in dashes] == [Pen.HIDDEN]
        assert strokes == []
    (words,) = texts_of(group.items)
    assert words.text == f"a  bevel 9°  plane {'BACK' if larger is Face.GOOD else 'GOOD face'}"


def test_words_stand_beside_their_own_edge() -> None:
    board = part("board", rectangle(900, 400), 9)
    sides = (Side.BOTTOM, Side.RIGHT, Side.TOP, Side.LEFT)
    verified = one_sheet(bevelled(board, *(bevel(board, s, tilt=(5, 5)) for s in sides)))
    view = plan_view(verified)
    page = sheet_pages(view.sheets[0], PageMaker(Paper.A4, FIGURES, view))[0]
    outline = next(g for g in page.items if isinstance(g, Group) and g.kind == "outline").items[0]
    x0, y0, x1, y1 = Polygon(outline.outline).bounds  # type: ignore[union-attr]
    found = {
        t.text[0]: Polygon(t.box).centroid
        for g in page.items
        if isinstance(g, Group) and g.kind == "bevel"
        for t in texts_of(g.items)
    }

    assert abs(found["a"].y - y0) < 8.0
    assert abs(found["b"].x - x1) < 8.0
    assert abs(found["c"].y - y1) < 8.0
    assert abs(found["d"].x - x0) < 8.0


@pytest.mark.parametrize("seed", [0, 25])
def test_random_bevels_have_no_label_over_another(seed: int) -> None:
    verified = with_random_bevels(seed)
    paper = Paper.A4 if seed % 2 else Paper.LETTER

    pages = pages_of(verified, paper, verified.job.style)

    assert [f for page in pages for f in faults_of(page)] == []


@pytest.mark.deep
@pytest.mark.parametrize("seed", [s for s in range(50) if s % 25])
def test_more_random_bevels_have_no_label_over_another(seed: int) -> None:
    test_random_bevels_have_no_label_over_another(seed)


def test_every_bevel_has_its_letter_on_some_page() -> None:
    """Small bevelled pieces lose their words in the overview and have them on a page of details."""
    pad = part("pad", bowed(150, 60, 8), 9, count=9)
    view = plan_view(one_sheet(bevelled(pad, bevel(pad, Side.TOP), bevel(pad, Side.BOTTOM))))
    written: dict[str, set[str]] = {}
    for page in sheet_pages(view.sheets[0], PageMaker(Paper.A4, FIGURES, view)):
        for group in page.items:
            if isinstance(group, Group) and group.kind == "bevel":
                letters = {t.text[0] for t in texts_of(group.items)}
                written.setdefault(group.key, set()).update(letters)

    assert written == {p.piece.id: {"a", "b"} for p in view.sheets[0].placed}


def test_the_legend_tells_the_marks_that_the_page_has() -> None:
    board = part("board", rectangle(900, 400), 9)

    def words(*bevels: EdgeBevel) -> str:
        view = plan_view(one_sheet(bevelled(board, *bevels)))
        page = sheet_pages(view.sheets[0], PageMaker(Paper.A4, FIGURES, view))[0]
        return "\n".join(t.text for t in texts_of(page.items))

    assert "bevel, planed" not in words()
    assert "bevel, planed on the face" in words(bevel(board, Side.TOP))
    assert "bevel, planed on this face" in words(bevel(board, Side.TOP, Face.BACK))


def test_details_have_a_legend_too() -> None:
    pad = part("pad", bowed(150, 60, 8), 9, count=9)
    view = plan_view(one_sheet(bevelled(pad, bevel(pad, Side.TOP), bevel(pad, Side.BOTTOM))))
    details = [
        p
        for p in sheet_pages(view.sheets[0], PageMaker(Paper.A4, FIGURES, view))
        if "detail" in p.caption
    ]

    assert details
    for page in details:
        told = {i.text for i in page.items if isinstance(i, Text)}
        assert {"saw", "bevel, planed on the face underneath"} <= told


def test_a_bevels_faces_are_told_by_where_they_look_and_how_far_in_they_are_planed() -> None:
    """9 mm x tan(8 deg) = 1.26 mm and 9 mm x tan(11.25 deg) = 1.79 mm, by hand."""
    board = part("board", rectangle(900, 400), 9, allowance_mm=5.0)
    board = replace(board, bearings=Bearings(forward=Towards.BACK, outside=Outside.GOOD))
    made = bevelled(board, bevel(board, Side.BOTTOM, Face.BACK, (8, 11.25)))
    (placed,) = plan_view(one_sheet(made)).sheets[0].placed

    (told,) = bevel_words_short(placed, FIGURES)
    assert told == (
        "once trimmed, bevel edge a by 8° to 11.2° off square, 1.5 to 2 mm inside "
        "the edge: saw square, draw that line on GOOD face (after, in sight), plane from it to the "
        "other face's edge"
    )


def test_words_for_lists() -> None:
    board = part("board", rectangle(900, 400), 9, bevels=("round the top",))
    fit = replace(bevel(board, Side.TOP, Face.BACK, None), words="to the ramp")
    verified = one_sheet(bevelled(board, bevel(board, Side.BOTTOM, tilt=(8, 11.25)), fit))
    (placed,) = plan_view(verified).sheets[0].placed

    good, back = (
        "plane GOOD face (in sight), the other keeps the outline",
        "saw square, draw that line on BACK (underneath), plane from it to the other face's edge",
    )
    assert bevel_words(placed, FIGURES) == (
        f"a bottom edge: 8° to 11.2° off square, 1.5 to 2 mm inside the edge, {back}",
        f"b top edge: to fit, {good} (to the ramp)",
        "round the top",
    )
    assert bevel_words_short(placed, FIGURES) == (
        f"bevel edge a by 8° to 11.2° off square, 1.5 to 2 mm inside the edge: {back}",
        f"bevel edge b to fit (to the ramp): {good}",
        "bevel round the top",
    )
    assert bevel_label("b", fit) == "b  bevel to fit  plane GOOD face"
    turns = replace(fit, tilt_deg=(6.0, 8.0))  # read along the edge it would say which end first
    assert bevel_label("b", turns) == "b  bevel by the table  plane GOOD face"
    even = replace(fit, tilt_deg=(6.0, 6.0))
    assert bevel_label("b", even) == "b  bevel 6°  plane GOOD face"
    assert [bevel_letter(k) for k in (0, 25, 26, 53)] == ["a", "z", "a2", "b3"]


def test_a_pieces_own_marks_keep_inside_it() -> None:
    board = part("board", bowed(900, 300, 60), 9)
    verified = one_sheet(bevelled(board, bevel(board, Side.TOP, Face.BACK)))
    view = plan_view(verified)
    page = sheet_pages(view.sheets[0], PageMaker(Paper.A4, FIGURES, view))[0]
    outline = next(g for g in page.items if isinstance(g, Group) and g.kind == "outline").items[0]
    own = Polygon(outline.outline).buffer(0.05)  # type: ignore[union-attr]
    group = next(g for g in page.items if isinstance(g, Group) and g.kind == "bevel")
    strokes = [s for i in group.items if isinstance(i, Lines) for s in i.segments]

    assert len(strokes) > 40
    assert shapely.MultiLineString(strokes).within(own)
