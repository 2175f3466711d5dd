"""The files: all of them, the same bytes twice, true to scale, figures that add up."""

import csv
import io
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from xml.etree import ElementTree as ET

import pdfplumber
import pytest

from nestcut.papers.book.board_page import board_pages
from nestcut.papers.draw.diagram import Area, Drawing, Group, Pen, Text, texts_of
from nestcut.papers.draw.paper import Paper
from nestcut.papers.draw.svg import svg_text
from nestcut.papers.lists.csv_lists import cut_list_csv, safe_text, usage_csv
from nestcut.papers.lists.summary import summary_text
from nestcut.papers.lists.usage import SHARES, Share, board_shares_mm2, sheet_shares_mm2, usage_of
from nestcut.papers.page.maker import PageMaker
from nestcut.papers.sheet.page import sheet_pages
from nestcut.papers.view.figures import Figures, shared_out
from nestcut.papers.view.rows import plan_view
from nestcut.papers.write import write_papers
from nestcut.units import LengthStyle
from tests.builders_papers import random_plan, small_plan, whole_boat

POINTS_PER_MM = 72.0 / 25.4


def files_of(folder: Path) -> dict[str, bytes]:
    return {
        str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()
    }


@pytest.fixture(scope="module")
def boat_of(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Paper, LengthStyle], Path]:
    """Folders with the papers of the whole boat, written once each."""

    @cache
    def folder(paper: Paper, style: LengthStyle) -> Path:
        out = tmp_path_factory.mktemp("boat")
        write_papers(whole_boat(style), out, paper, style)
        return out

    return folder


def test_all_files_are_written_twice_the_same(tmp_path: Path) -> None:
    for name in ("one", "two"):
        write_papers(small_plan(), tmp_path / name, Paper.A4, LengthStyle.MM)

    first, second = files_of(tmp_path / "one"), files_of(tmp_path / "two")

    assert first == second
    assert set(first) >= {
        "buying-list.csv", "cut-list.csv", "joints.csv", "usage.csv", "shop.pdf", "shop.html",
        "sheets/01-ply-6-mm.svg", "sheets/04-ply-18-mm.svg", "boards/01-pine-20-x-95.svg",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("paper", "style", "scales"),
    [
        (Paper.A4, LengthStyle.MM, {10, 12.5, 14, 15}),
        (Paper.LETTER, LengthStyle.INCH, {12, 14, 16}),
    ],
)
def test_sheet_is_true_to_scale_in_the_pdf(
    tmp_path: Path, paper: Paper, style: LengthStyle, scales: set[float]
) -> None:
    """The heavy line round the sheet, as the PDF really has it, is the sheet to 0.1 mm."""
    write_papers(small_plan(style), tmp_path, paper, style)
    with pdfplumber.open(tmp_path / "shop.pdf") as book:
        pages = [
            p
            for p in book.pages
            if (p.extract_text() or "").startswith("Sheet ") and "detail" not in p.extract_text()
        ]
        assert pages
        for page in pages:
            found = re.search(r"scale 1:([\d.]+)", page.extract_text())
            assert found
            scale = float(found[1])
            assert scale in scales
            heavy = [
                c for c in (*page.curves, *page.rects, *page.lines)
                if abs(float(c["linewidth"]) - 0.7 * POINTS_PER_MM) < 0.01
            ]  # fmt: skip
            width = max(float(c["x1"]) for c in heavy) - min(float(c["x0"]) for c in heavy)
            height = max(float(c["bottom"]) for c in heavy) - min(float(c["top"]) for c in heavy)
            assert width / POINTS_PER_MM * scale == pytest.approx(2440.0, abs=0.1)
            assert height / POINTS_PER_MM * scale == pytest.approx(1220.0, abs=0.1)


def test_boards_and_details_are_true_to_scale() -> None:
    """A 3000 mm board, and a 60 mm pad on a page of details, each at the scale its page states."""
    view = plan_view(whole_boat())
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), view)
    pages = board_pages(view.boards, maker)
    for page in pages:
        (scale,) = (float(t.text.split(":")[1]) for t in texts_of(page.items) if t.size_mm == 4.4
                    and t.text.startswith("scale"))  # fmt: skip
        edges = [i for i in page.items if isinstance(i, Area) and i.pen is Pen.STOCK]
        for edge in edges:
            xs = [p[0] for p in edge.outline]
            assert (max(xs) - min(xs)) * scale == pytest.approx(3000.0, abs=0.1)
    crowded = next(s for s in view.sheets if any(p.piece.part == "pad" for p in s.placed))
    details = [p for p in sheet_pages(crowded, maker) if "detail" in p.caption]
    assert details
    for page in details:
        scale = float(page.caption.split("1:")[1])
        for group in page.items:
            if isinstance(group, Group) and group.kind == "outline" and group.key == "pad 1":
                area = group.items[0]
                assert isinstance(area, Area)
                xs = [p[0] for p in area.outline]
                assert (max(xs) - min(xs)) * scale == pytest.approx(60.0, abs=0.1)


@pytest.mark.parametrize(
    ("paper", "style", "long"),
    [(Paper.A4, LengthStyle.MM, 100.0), (Paper.LETTER, LengthStyle.INCH, 101.6)],
)
def test_every_page_with_a_scale_has_a_rule_of_true_length(
    boat_of: Callable[[Paper, LengthStyle], Path], paper: Paper, style: LengthStyle, long: float
) -> None:
    """100 mm or 4 in along the lower edge, as the PDF really has it."""
    with pdfplumber.open(boat_of(paper, style) / "shop.pdf") as book:
        pages = [p for p in book.pages if "scale 1:" in (p.extract_text() or "")]
        assert len(pages) > 8
        for page in pages:
            assert "on this paper" in page.extract_text()
            low = [
                float(c["x1"] - c["x0"]) / POINTS_PER_MM
                for c in (*page.curves, *page.lines)
                if float(c["top"]) > float(page.height) - 12.0 * POINTS_PER_MM
                and float(c["bottom"] - c["top"]) < 0.1
            ]
            assert any(abs(w - long) < 0.05 for w in low)


def test_usage_adds_up_on_every_line_and_column() -> None:
    view = plan_view(whole_boat())
    usage = usage_of(view, Figures(LengthStyle.MM))
    singles = (*usage.sheets, *usage.boards)
    materials = (*usage.sheet_materials, *usage.board_materials)

    for line in usage.lines:
        assert sum(line.thousandths) == 1000
    for k in range(len(SHARES)):
        assert sum(x.area_steps[k] for x in singles) == usage.job.area_steps[k]
        assert sum(x.area_steps[k] for x in materials) == usage.job.area_steps[k]
        assert sum(x.money_minor[k] for x in singles) == usage.job.money_minor[k]
    bought = sum(b.count * b.price_minor for b in view.verified.plan.buy)
    assert usage.job.money_total == bought


def test_usage_of_one_sheet_by_hand() -> None:
    """One 700 x 420 piece alone: its area, and 2 mm of saw along what lies within the sheet."""
    view = plan_view(small_plan())
    sheet = view.sheets[-1]
    shares = dict(zip(SHARES, sheet_shares_mm2(sheet, 2.0, ()), strict=True))

    assert shares[Share.PIECES] == pytest.approx(sum(p.polygon.area for p in sheet.placed))
    assert sum(shares.values()) == pytest.approx(2440.0 * 1220.0)
    assert shares[Share.TRIM] <= 2440.0 * 1220.0 - 2430.0 * 1210.0 + 1e-6


def test_board_shares_by_hand() -> None:
    """Four risers of 1200 x 30 mm in a board of 3000 x 95 mm."""
    board = plan_view(whole_boat()).boards[2]
    shares = dict(zip(SHARES, board_shares_mm2(board, 2.0), strict=True))

    assert shares[Share.PIECES] == pytest.approx(4 * 1200.0 * 30.0)
    assert sum(shares.values()) == pytest.approx(3000.0 * 95.0)
    end = (3000.0 - 10.0 - 2412.0 - 2.0) * 95.0
    strip = (2412.0 - 10.0) * (95.0 - 2 * (30.0 + 2.0))  # beside the risers, ripped off whole
    assert shares[Share.OFFCUTS] == pytest.approx(end + strip)


def test_largest_remainders() -> None:
    """Hamilton's method: the classic example of ten seats for 1.43, 1.43, 7.14 shares."""
    assert shared_out(10, (1.43, 1.43, 7.14)) == (2, 1, 7)
    assert shared_out(5, (0.0, 0.0)) == (0, 5)
    assert shared_out(7, ()) == ()


def test_the_same_number_is_the_same_everywhere(
    boat_of: Callable[[Paper, LengthStyle], Path],
) -> None:
    verified = whole_boat()
    folder = boat_of(Paper.A4, LengthStyle.MM)
    total = "723.80"

    rows = list(csv.reader(io.StringIO((folder / "buying-list.csv").read_text("utf-8"))))
    assert rows[-1][10] == total
    usage = list(csv.reader(io.StringIO((folder / "usage.csv").read_text("utf-8"))))
    assert usage[-1][0] == "whole job"
    assert usage[-1][-2] == total
    with pdfplumber.open(folder / "shop.pdf") as book:
        front = (book.pages[0].extract_text() or "") + (book.pages[1].extract_text() or "")
    assert front.count(f"{total} EUR") == 1
    assert f"{total} EUR" in summary_text(verified, LengthStyle.MM)
    assert f"{total} EUR" in (folder / "shop.html").read_text("utf-8")


def test_hostile_names_stay_text(tmp_path: Path) -> None:
    seeds = [s for s in range(30) if any("=cmd" in p.name for p in random_plan(s).job.sheet_parts)]
    verified = random_plan(seeds[0])
    write_papers(verified, tmp_path, Paper.A4, LengthStyle.MM)

    rows = list(csv.DictReader(io.StringIO((tmp_path / "cut-list.csv").read_text("utf-8"))))
    assert any(r["piece"].startswith("'=cmd|x") for r in rows)
    assert not any(v.startswith(("=", "+", "@")) for r in rows for v in r.values())
    names = {p.id for p in verified.plan.pieces}
    seen = set()
    for path in sorted((tmp_path / "sheets").glob("*.svg")):
        root = ET.fromstring(path.read_text("utf-8"))  # noqa: S314 - our own file
        tags = {e.tag.removeprefix("{http://www.w3.org/2000/svg}") for e in root.iter()}
        assert tags <= {"svg", "title", "g", "text", "path", "circle"}
        seen |= {e.attrib["data-piece"] for e in root.iter() if "data-piece" in e.attrib}
    assert seen == names


def test_blanks_between_a_name_and_its_size_stay_as_they_are() -> None:
    """SVG makes two blanks one (and letters broader), unless a text says that it keeps them."""
    page = Drawing(
        100.0, 20.0, (Text("rail  2860 x 30", (5.0, 5.0), 3.2), Text("pad", (5.0, 9.0), 3.2)), ""
    )
    two, one = ET.fromstring(svg_text(page)).iter("{http://www.w3.org/2000/svg}text")  # noqa: S314

    assert two.text == "rail  2860 x 30"
    assert two.get("{http://www.w3.org/XML/1998/namespace}space") == "preserve"
    assert one.get("{http://www.w3.org/XML/1998/namespace}space") is None


@pytest.mark.parametrize("text", ["=1+1", "+1", "-2", "@x", "\tx", " =1"])
def test_formula_starts_are_guarded(text: str) -> None:
    assert safe_text(text) == "'" + text
    assert safe_text("side panel") == "side panel"


def test_cut_list_has_every_piece_once_and_what_is_missing() -> None:
    verified = whole_boat()
    view = plan_view(verified)
    rows = list(csv.DictReader(io.StringIO(cut_list_csv(view, Figures(LengthStyle.MM)))))

    placed = [r["piece"] for r in rows if r["from"] != "NOT PLACED"]
    names = [p.id for p in verified.plan.pieces] + [p.id for p in verified.plan.rail_pieces]
    assert sorted(placed) == sorted(names)
    assert [r["piece"] for r in rows if r["from"] == "NOT PLACED"] == ["spare pad 1"]


def test_pieces_after_the_dry_fit_are_cut_last() -> None:
    view = plan_view(whole_boat())
    sheet = next(s for s in view.sheets if any("bulkhead" in p.piece.id for p in s.placed))

    assert [p.piece.part for p in sheet.placed][-2:] == ["bulkhead fore", "bulkhead aft"]


def test_usage_csv_in_square_feet() -> None:
    view = plan_view(whole_boat(LengthStyle.INCH))
    figures = Figures(LengthStyle.INCH, 16, "USD")
    rows = list(csv.DictReader(io.StringIO(usage_csv(usage_of(view, figures), figures))))
    first = rows[0]

    assert first["area ft2"] == "32.04"
    parts = [float(first[f"{s.value} ft2"]) for s in SHARES]
    assert sum(parts) == pytest.approx(32.04)


def test_summary_is_plain_text() -> None:
    text = summary_text(small_plan(), LengthStyle.MM)

    assert "15 flat pieces from 4 sheets" in text
    assert "NOT PLACED" in text
    assert not re.search(r"[\x00-\x09\x0b-\x1f]", text)
