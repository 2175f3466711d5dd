"""Each sheet's page tells all that must not be guessed with the saw in hand."""

from __future__ import annotations

import io
import itertools
import re

import pdfplumber
import pytest

from nestcut.model.part import Towards
from nestcut.model.shape import MarkUse
from nestcut.model.stock import BoardStock, SheetStock
from nestcut.papers.book import board_pages
from nestcut.papers.draw.diagram import Drawing, texts_of
from nestcut.papers.draw.paper import Paper
from nestcut.papers.page.maker import PageMaker
from nestcut.papers.sheet import curved_board_pages, sheet_pages
from nestcut.papers.view import line_name
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.placed import PlacedPiece
from nestcut.papers.view.rows import (
    PlanView,
    plan_view,
)
from nestcut.papers.write import write_papers
from nestcut.units import LengthStyle, format_length, format_mm
from tests.builders_demos import demo_on_shelves, demo_view
from tests.builders_papers import random_plan
from tests.builders_stances import with_everything
from tests.unit.papers.marking.test_label_places import faults_of

IN_PLANE = {Towards.RIGHT, Towards.LEFT, Towards.TOP, Towards.BOTTOM}


def text_of(pages: tuple[Drawing, ...]) -> str:
    """All words of pages in the order they were written, lines of a cell run together."""
    return " ".join(t.text for page in pages for t in texts_of(page.items))


def pages_of(view: PlanView, maker: PageMaker) -> list[tuple[Drawing, ...]]:
    """The pages of each sheet."""
    return [
        curved_board_pages([sheet], maker)
        if isinstance(sheet.stock, BoardStock)
        else sheet_pages(sheet, maker)
        for sheet in view.sheets
    ]


def missing(view: PlanView, maker: PageMaker, by_sheet: list[tuple[Drawing, ...]]) -> list[str]:
    """What sheets' pages don't tell of what the job says."""
    style = maker.figures.style
    found = []
    for sheet, pages in zip(view.sheets, by_sheet, strict=True):
        told = text_of(pages)
        wanted = [w for placed in sheet.placed for w in wanted_of(placed, style)]
        wanted += [keep_out.reason for keep_out in sheet.layout.keep_outs]
        wanted += ["KEEP"] if sheet.layout.offcuts else []
        if isinstance(sheet.stock, SheetStock) and sheet.stock.actual_thickness_mm:
            wanted.append("measured")
        found += [f"{sheet.label}: {w}" for w in wanted if w not in told]
        once = text_of(tuple(p for p in pages if "detail" not in p.caption)).count("FWD to the")
        pointing = [p for p in sheet.placed if p.part and p.part.bearings.forward in IN_PLANE]
        if once != len(pointing):
            found.append(f"{sheet.label}: FWD told {once} times, not {len(pointing)}")
    for board in view.boards:
        told = text_of(board_pages([board], maker))
        found += [f"{board.label}: {d.reason}" for d in board.defects if d.reason not in told]
    return found


def wanted_of(placed: PlacedPiece, style: LengthStyle) -> list[str]:
    """What a piece's page must say, from the job's own words and figures."""
    part = placed.part
    if part is None:
        return []
    wanted = [placed.piece.note] if placed.piece.note else []
    if part.allowance_mm > 0.0:
        exact = part.allowance_mm
        figure = f"{format_mm(exact, decimals=1)} mm"
        if style is LengthStyle.INCH and abs(exact / 25.4 * 16 - round(exact / 25.4 * 16)) < 0.05:
            figure = format_length(exact, style)
        wanted.append(f"{figure}"[:4])
        wanted.append("to trim")
    if placed.piece.n_shares == 1:
        for bevel in part.edge_bevels:
            ends = {e for pair in bevel.at_ends_deg for e in pair} or set(bevel.tilt_deg or ())
            wanted += [f"{round(e, 1):g}°" for e in ends]
            wanted += [] if ends else ["bevel", " to fit"]
            wanted += [bevel.words] if bevel.words else []
            if len(ends) > 1:
                wanted += [" end, ", "bevel"]
    if part.bearings.forward in {Towards.GOOD, Towards.BACK}:
        seen = "forward face" if is_facing(placed) else "after face"
        is_back = placed.is_face_told and not placed.is_face_up
        wanted.append(
            f"PENCIL BACK on the face you see ({seen})" if is_back else f"you see the {seen}"
        )
    return wanted


def is_facing(placed: PlacedPiece) -> bool:
    assert placed.part is not None
    return (placed.part.bearings.forward is Towards.GOOD) is placed.is_face_up


@pytest.mark.parametrize("name", ["beach-boat", "punt"])
@pytest.mark.parametrize(("paper", "style"), list(itertools.product(Paper, LengthStyle)))
def test_demos_pages_tell_all(name: str, paper: Paper, style: LengthStyle) -> None:
    view = demo_view(name)
    maker = PageMaker(paper, Figures(style, 16, ""), view)

    assert missing(view, maker, pages_of(view, maker)) == []


@pytest.mark.parametrize("seed", range(0, 60, 15))
def test_random_jobs_pages_tell_all(seed: int) -> None:
    verified = with_everything(random_plan(seed), seed)
    paper = Paper.A4 if seed % 2 else Paper.LETTER
    view = plan_view(verified)
    maker = PageMaker(paper, Figures(verified.job.style, 16, ""), view)
    by_sheet = pages_of(view, maker)

    assert missing(view, maker, by_sheet) == []
    assert [f for pages in by_sheet for page in pages for f in faults_of(page)] == []


@pytest.mark.deep
@pytest.mark.parametrize("seed", [s for s in range(260) if s % 15 or s >= 60])
def test_many_more_random_jobs_pages_tell_all(seed: int) -> None:
    test_random_jobs_pages_tell_all(seed)


def test_the_printed_pages_have_these_words_too(tmp_path_factory: pytest.TempPathFactory) -> None:
    """The PDF's own text: the forward mark, the ends of a bevel, a knot, what was measured."""
    folder = tmp_path_factory.mktemp("papers")
    write_papers(demo_on_shelves("beach-boat"), folder, Paper.A4, LengthStyle.MM)
    with pdfplumber.open(io.BytesIO((folder / "shop.pdf").read_bytes())) as book:
        pages = [p.extract_text() or "" for p in book.pages]
    sheets = [p for p in pages if p.startswith("Sheet ")]
    boards = "".join(p for p in pages if p.startswith("Board"))
    hulls = [p for p in sheets if "side panel, port" in p]

    assert hulls
    assert all("FWD" in p and "UP" in p for p in hulls)
    transom = next(p for p in sheets if re.search(r"\d transom ", p))
    assert "6° at DOWN end" in " ".join(transom.split())
    assert "8° at" in transom
    assert "dead knot" in boards


def test_lines_to_pencil_have_their_names() -> None:
    """Station lines of the hull's panels: a frame is glued to the line that has its name."""
    view = demo_view("beach-boat")
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM, 16, ""), view)
    told = 0
    for sheet in view.sheets:
        names = [
            line_name(mark.label, placed.part)
            for placed in sheet.placed
            if placed.piece.part in {"side panel", "bottom panel"}
            for mark in placed.shape.marks
            if mark.use is MarkUse.PLAIN
        ]
        words = [t.text for page in sheet_pages(sheet, maker) for t in texts_of(page.items)]
        told += len(names)
        assert all(words.count(name) >= names.count(name) for name in names), sheet.label
    assert told > 20
