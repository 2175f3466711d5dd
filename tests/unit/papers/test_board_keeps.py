"""Strips that are kept of a board: on its drawing, in its words, in the usage and how-to."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import LineString, Point, Polygon, box

from nestcut.boards import sawing_of
from nestcut.model.plan import BoardCut
from nestcut.model.stock import Defect
from nestcut.papers.book import board_drawing
from nestcut.papers.book.board_words import strip_length, strip_size, strips_words
from nestcut.papers.draw import Area, Drawing, Lines, Paper, Pen
from nestcut.papers.draw.diagram import texts_of
from nestcut.papers.lists.usage import SHARES, Share, board_shares_mm2
from nestcut.papers.lists.use_words import use_words
from nestcut.papers.page import PageMaker
from nestcut.papers.view import BoardView, Figures, PlanView
from nestcut.units import LengthStyle
from tests.builders_demos import demo_view

KERF = 2.0


@pytest.fixture(scope="module", params=["beach-boat", "punt"])
def view(request: pytest.FixtureRequest) -> PlanView:
    return demo_view(request.param)


@pytest.fixture(scope="module")
def punt() -> PlanView:
    return demo_view("punt")


def a_board(view: PlanView, *boxes: tuple[float, float, float, float]) -> BoardView:
    """A board of 3000 x 120 mm of a demo's stock with other pieces."""
    first = view.boards[0]
    assert first.stock is not None
    cuts = tuple(
        BoardCut(piece=f"p{k}", from_mm=a, to_mm=b, rip_from_mm=c, rip_to_mm=d)
        for k, (a, b, c, d) in enumerate(boxes)
    )
    rail = replace(first.cuts[0].piece, ends=())
    return replace(
        first,
        layout=replace(first.layout, length_mm=3000.0, width_mm=120.0, cuts=cuts),
        stock=replace(first.stock, width_mm=120.0, lengths=(), end_trim_mm=10.0),
        cuts=tuple(
            replace(
                first.cuts[0],
                number=k,
                piece=replace(
                    rail,
                    id=c.piece,
                    length_mm=c.to_mm - c.from_mm,
                    width_mm=c.rip_to_mm - c.rip_from_mm,
                ),
                cut=c,
            )
            for k, c in enumerate(cuts, start=1)
        ),
        sawing=sawing_of(cuts, KERF),
        kerf_mm=KERF,
    )


def frame(page: Drawing) -> tuple[float, float, float, float]:
    """Where the board itself is drawn on its page. [mm on paper]"""
    (own,) = [i for i in page.items if isinstance(i, Area) and i.pen is Pen.STOCK]
    xs, ys = [p[0] for p in own.outline], [p[1] for p in own.outline]
    return min(xs), min(ys), max(xs), max(ys)


def on_page(board: BoardView, page: Drawing) -> list[Polygon]:
    """What is kept of a board as its page has it, a little inside. [mm on paper]"""
    x0, y0, x1, y1 = frame(page)
    along = (x1 - x0) / board.layout.length_mm
    across = (y1 - y0) / board.layout.width_mm
    return [
        box(
            x0 + a * along + 0.6, y0 + c * across + 0.1, x0 + b * along - 0.1, y0 + d * across - 0.1
        )
        for a, b, c, d in ((*w.along_mm, *w.across_mm) for w in board.keeps)
    ]


@pytest.mark.parametrize("style", list(LengthStyle))
def test_what_is_kept_is_named_and_never_hatched(view: PlanView, style: LengthStyle) -> None:
    maker = PageMaker(Paper.A4, Figures(style), view)
    strips = 0
    for board in view.boards:
        page = board_drawing(board, maker)
        hatched = [
            LineString(s)
            for i in page.items
            if isinstance(i, Lines) and i.pen is Pen.HATCH
            for s in i.segments
        ]
        words = texts_of(page.items)
        for area in on_page(board, page):
            assert not any(area.intersects(line) for line in hatched)
            assert any(t.text.startswith("KEEP") and area.contains(Point(t.at)) for t in words)
        every = " ".join(t.text for t in words)
        for strip in board.strips:
            strips += 1
            size, length = (say(board, strip, maker.figures) for say in (strip_size, strip_length))
            assert size in every or (length in every and len(board.strips) == 1)
    assert strips


def test_what_is_waste_is_hatched(punt: PlanView) -> None:
    """One behind a strip's piece that is too short, the other beside it that is long enough."""
    board = a_board(punt, (10.0, 2710.0, 0.0, 60.0))
    page = board_drawing(board, PageMaker(Paper.A4, Figures(LengthStyle.MM), punt))
    (area,) = on_page(board, page)
    hatched = [
        LineString(s)
        for i in page.items
        if isinstance(i, Lines) and i.pen is Pen.HATCH
        for s in i.segments
    ]
    x0, y0, x1, y1 = frame(page)
    waste = box(x0 + (x1 - x0) * 0.92, y0 + 1.0, x1 - 1.0, y0 + (y1 - y0) * 0.45)
    assert any(waste.intersects(line) for line in hatched)
    assert not any(area.intersects(line) for line in hatched)


def test_usage_counts_strips_as_kept(punt: PlanView) -> None:
    """2980 x 58 mm beside a piece of 2700 x 60, none of the 288 x 60 behind it."""
    board = a_board(punt, (10.0, 2710.0, 0.0, 60.0))
    shares = dict(zip(SHARES, board_shares_mm2(board, KERF), strict=True))
    assert shares[Share.OFFCUTS] == pytest.approx(2980.0 * 58.0)
    assert shares[Share.WASTE] == pytest.approx(278.0 * 62.0)  # kerf counts round pieces alone
    assert sum(shares.values()) == pytest.approx(3000.0 * 120.0)


def test_a_plan_whose_only_offcuts_are_strips_says_what_keep_means(punt: PlanView) -> None:
    figures = Figures(LengthStyle.MM)
    alone = replace(punt, sheets=(), boards=(a_board(punt, (10.0, 2710.0, 0.0, 60.0)),))
    assert alone.boards[0].keep_mm is None
    assert any("KEEP" in words for words in use_words(alone, figures))
    used_up = replace(alone, boards=(a_board(punt, (10.0, 2710.0, 0.0, 120.0)),))
    assert not any("KEEP" in words for words in use_words(used_up, figures))


@pytest.mark.parametrize(("top_mm", "inside"), [(70.0, 2), (88.0, 0)])
def test_a_strip_without_room_for_its_size_is_told_below(
    punt: PlanView, top_mm: float, inside: int
) -> None:
    """Its word stands inside where that has room."""
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), punt)
    board = a_board(
        punt, (10.0, 330.0, 0.0, top_mm), (332.0, 652.0, 0.0, top_mm), (654.0, 2980.0, 0.0, 120.0)
    )
    told = f"KEEP 320 x {118.0 - top_mm:g} mm: above piece 1, above piece 2"
    assert strips_words(board, board.strips, maker.figures) == (told,)
    every = [t.text for t in texts_of(board_drawing(board, maker).items)]
    assert any(told in text for text in every)
    assert every.count("KEEP") == inside


def test_the_only_strip_that_its_drawing_names_is_told_by_its_length(punt: PlanView) -> None:
    """Its width is told with its rip; more words cost a line, and lines a page."""
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), punt)
    board = a_board(punt, (10.0, 330.0, 0.0, 70.0), (332.0, 2980.0, 0.0, 120.0))
    every = [t.text for t in texts_of(board_drawing(board, maker).items)]
    assert every.count("KEEP") == 1
    assert any(text.endswith("KEEP 320 mm") for text in every)
    assert not any("above piece" in text for text in every)


def test_a_strip_is_printed_from_mark_to_mark(punt: PlanView) -> None:
    """Marks are printed to 0.5 mm: between 1500.5, blade off, and 2990 lie 1487.5."""
    board = a_board(punt, (10.0, 2980.0, 0.0, 60.0), (10.0, 1500.26, 62.0, 120.0))
    figures = Figures(LengthStyle.MM)
    (strip,) = board.strips
    assert strip.along_mm == (1502.26, 2990.0)
    assert strip_size(board, strip, figures) == "1487.5 x 58 mm"
    assert strips_words(board, (strip,), figures) == ("KEEP 1487.5 x 58 mm: right of piece 2",)


def test_words_keep_clear_of_a_knot_in_what_is_kept(punt: PlanView) -> None:
    board = a_board(punt, (10.0, 1000.0, 0.0, 120.0))
    assert board.stock is not None
    knot = Defect(from_mm=1950.0, to_mm=2050.0, reason="knot")
    lengths = (replace(punt.boards[0].stock.lengths[0], length_mm=3000.0, defects=(knot,)),)  # type: ignore[union-attr]
    knotty = replace(board, stock=replace(board.stock, lengths=lengths))
    assert knotty.defects == (knot,)
    page = board_drawing(knotty, PageMaker(Paper.A4, Figures(LengthStyle.MM), punt))
    x0, _, x1, _ = frame(page)
    (name,) = [t for t in texts_of(page.items) if t.text == "KEEP 1988 mm"]
    at_mm = (name.at[0] - x0) / (x1 - x0) * 3000.0
    assert at_mm < 1900.0 or at_mm > 2100.0
