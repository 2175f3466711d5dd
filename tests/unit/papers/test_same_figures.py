"""The same number is the same everywhere: every paper of both demos, read back and compared.

PDF, CSV, HTML, JSON and terminal are each read from what was written, never from our records.
"""

from __future__ import annotations

import csv
import json
import re
from dataclasses import dataclass
from decimal import Decimal
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from pypdfium2 import PdfDocument  # type: ignore[import-untyped]

from nestcut.papers.draw.paper import Paper
from nestcut.papers.lists.summary import summary_text
from nestcut.papers.lists.usage import SHARES
from nestcut.papers.write import write_papers
from nestcut.planfile.write import plan_to_json
from nestcut.units import LengthStyle
from tests.builders_demos import demo_on_shelves

CASES = {
    "beach boat in mm": ("beach-boat", LengthStyle.MM, Paper.A4),
    "punt in inches": ("punt", LengthStyle.INCH, Paper.LETTER),
}
AREA_UNIT = {LengthStyle.MM: "m2", LengthStyle.INCH: "ft2"}
Rows = list[dict[str, str]]


class PageTables(HTMLParser):
    """Tables of the page by the id of their section, and its list of pieces."""

    def __init__(self) -> None:
        super().__init__()
        self.tables: dict[str, list[list[str]]] = {}
        self.pieces: dict[str, dict[str, str]] = {}
        self.letters = ""
        self._section = ""
        self._cell = False
        self._hidden = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self._hidden = tag in {"script", "style"}
        if tag == "section":
            self._section = found.get("id", "")
        if tag == "tr":
            self.tables.setdefault(self._section, []).append([])
        if tag in {"td", "th"}:
            self._cell = True
            self.tables[self._section][-1].append("")
        if "data-piece" in found and "data-words" in found:
            self.pieces[found["data-piece"]] = found

    def handle_endtag(self, tag: str) -> None:
        self._cell = self._cell and tag not in {"td", "th"}

    def handle_data(self, data: str) -> None:
        if not self._hidden:
            self.letters += squeezed(data)
        if self._cell:
            self.tables[self._section][-1][-1] += data


def squeezed(text: str) -> str:
    """A text without spaces and dots before points: lines are broken anywhere on paper."""
    return "".join(text.replace("·", " ").split())


@dataclass(frozen=True)
class Papers:
    cut: Rows
    buy: Rows
    joints: Rows
    usage: Rows
    page: PageTables
    book: str
    plan: dict[str, Any]
    said: str
    area_unit: str


@pytest.fixture(scope="module", params=sorted(CASES))
def papers(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Papers:
    demo, style, paper = CASES[request.param]
    verified = demo_on_shelves(demo)
    folder = tmp_path_factory.mktemp("papers")
    write_papers(verified, folder, paper, style)
    page = PageTables()
    page.feed((folder / "shop.html").read_text(encoding="utf-8"))
    with PdfDocument(folder / "shop.pdf") as book:
        texts = [sheet.get_textpage().get_text_range() for sheet in book]
    return Papers(
        cut=rows_of(folder / "cut-list.csv"),
        buy=rows_of(folder / "buying-list.csv"),
        joints=rows_of(folder / "joints.csv"),
        usage=rows_of(folder / "usage.csv"),
        page=page,
        book=squeezed("".join(texts)),
        plan=json.loads(plan_to_json(verified)),
        said=summary_text(verified, style),
        area_unit=AREA_UNIT[style],
    )


def rows_of(path: Path) -> Rows:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def test_every_usage_line_adds_up(papers: Papers) -> None:
    unit = papers.area_unit
    for line in papers.usage:
        areas = [Decimal(line[f"{s.value} {unit}"]) for s in SHARES]
        shares = [Decimal(line[f"{s.value} %"]) for s in SHARES]
        money = [line[f"{s.value} money"] for s in SHARES]
        assert sum(areas) == Decimal(line[f"area {unit}"])
        assert sum(shares) == 100
        if line["money"]:
            assert sum(Decimal(m) for m in money) == Decimal(line["money"])
        else:
            assert set(money) == {""}


def test_usage_columns_add_up_by_material_and_for_the_job(papers: Papers) -> None:
    unit = papers.area_unit
    singles = [r for r in papers.usage if re.match(r"(Sheet|Board) \d+$", r["of"])]
    sums = [r for r in papers.usage if r["of"].startswith("all ")]
    (job,) = (r for r in papers.usage if r["of"] == "whole job")
    columns = [f"area {unit}", "money"]
    columns += [f"{s.value} {what}" for s in SHARES for what in (unit, "money")]

    def total(rows: Rows, column: str) -> Decimal:
        return sum((Decimal(r[column] or "0") for r in rows), Decimal(0))

    assert len(singles) == len(papers.plan["sheets"]) + len(papers.plan["boards"])
    for column in columns:
        assert total(singles, column) == total(sums, column) == Decimal(job[column] or "0")
        for material in sums:
            mine = [r for r in singles if r["material"] == material["material"]]
            assert total(mine, column) == Decimal(material[column] or "0")


def test_money_is_one_number(papers: Papers) -> None:
    """Buying list, usage, plan file, page, book and terminal give one total."""
    *lines, last = papers.buy
    total = sum((Decimal(r["together"] or "0") for r in lines), Decimal(0))
    (job,) = (r for r in papers.usage if r["of"] == "whole job")

    assert total > 0
    assert Decimal(last["together"]) == total == Decimal(job["money"])
    assert sum(Decimal(str(b["total"])) for b in papers.plan["buy"]) == total
    words = f"together {total} EUR"
    assert squeezed(words) in papers.book
    assert words in papers.said
    assert papers.page.tables["buying"][-1][-1] == f"{total} EUR"
    assert papers.page.tables["usage"][-1][-1] == f"{total} EUR"


def test_the_buying_list_is_one_list(papers: Papers) -> None:
    *lines, _ = papers.buy
    heads, *cells, _ = papers.page.tables["buying"]
    by_plan = {(b["stock"], round(b["length_mm"], 2)): b for b in papers.plan["buy"]}

    assert len(lines) == len(cells) == len(by_plan)
    for line, row in zip(lines, cells, strict=True):
        shown = dict(zip(heads, row, strict=True))
        planned = by_plan[line["stock"], round(float(line["length mm"]), 2)]
        assert (shown["stock"], shown["to buy"]) == (line["stock"], line["to buy"])
        assert shown["size"].removesuffix(" mm") == line["size"].removesuffix(" mm")
        assert (shown["to hand"] or "0") == line["to hand"]
        assert [int(line["to buy"]), int(line["to hand"])] == [planned["count"], planned["to_hand"]]
        if line["together"]:
            each, together = (Decimal(line[k]) for k in ("each", "together"))
            assert int(line["to buy"]) * each == together == Decimal(str(planned["total"]))
            assert [shown["each"], shown["together"]] == [f"{each} EUR", f"{together} EUR"]
            counted = f"{line['stock']}, {line['size']}, {each} EUR"
            assert re.search(
                rf"{line['to buy']} (sheet|board)s? of {re.escape(counted)}", papers.said
            )
        else:
            assert shown["each"] == line["note"] != ""


def test_usage_is_the_same_on_page_and_in_the_book(papers: Papers) -> None:
    heads, *cells = papers.page.tables["usage"]
    unit = papers.area_unit

    assert len(cells) == len(papers.usage)
    for line, row in zip(papers.usage, cells, strict=True):
        shown = dict(zip(heads, row, strict=True))
        assert (shown["of"], shown["stock"]) == (line["of"], line["stock"])
        assert shown[heads[2]] == line[f"area {unit}"]
        assert shown["money"] == (f"{line['money']} EUR" if line["money"] else "-")
        in_book = [line["of"], line["stock"], line[f"area {unit}"]]
        in_book.append(f"{line['money']} EUR" if line["money"] else "-")
        for share in SHARES:
            area, thousandths = line[f"{share.value} {unit}"], line[f"{share.value} %"]
            assert shown[share.value] == f"{area}\n{thousandths} %"
        if not line["stock"]:  # the book has materials and the whole job; the rest is in the list
            assert squeezed("".join(in_book)) in papers.book
    (job,) = (r for r in papers.usage if r["of"] == "whole job")
    told = [f"{s.value} {job[f'{s.value} %']} %" for s in SHARES if job[f"{s.value} %"] != "0.0"]
    assert all(words in papers.said for words in told)


def test_the_plan_file_gives_the_same_share_of_every_sheet(papers: Papers) -> None:
    """Shares are printed in steps that add up, so a tenth of a per cent may lie between."""
    lines = [r for r in papers.usage if re.match(r"(Sheet|Board) \d+$", r["of"])]
    planned = [*papers.plan["sheets"], *papers.plan["boards"]]
    for line, layout in zip(lines, planned, strict=True):
        assert float(line["pieces %"]) == pytest.approx(100.0 * layout["usage"], abs=0.1)


def test_every_piece_is_listed_once_everywhere_under_one_name(papers: Papers) -> None:
    listed = {r["piece"]: r for r in papers.cut if r["from"] != "NOT PLACED"}
    planned = [p["piece"] for s in papers.plan["sheets"] for p in s["placements"]]
    planned += [c["piece"] for b in papers.plan["boards"] for c in b["cuts"]]

    assert sorted(listed) == sorted(planned) == sorted(papers.page.pieces)
    for piece, row in listed.items():
        shown = papers.page.pieces[piece]
        assert shown["data-words"].startswith(f"{row['order']} {row['name in words']}")
        assert shown["data-stock"] == row["stock"]
        assert row["length"].removesuffix(" mm") in shown["data-words"]
        assert squeezed(row["name in words"]) in papers.book
        if row["hand"]:
            assert f", {row['hand']}" in row["name in words"]
        if row["pieces of part"] != "1":
            letter = "ABCDEFGH"[int(row["piece no."]) - 1]
            share = f"piece {letter} of {row['pieces of part']}"
            assert share in row["name in words"]
    counted = [int(n) for n in re.findall(r"(\d+) (?:flat|curved|straight) piece", papers.said)]
    stocks = [
        int(n) for n in re.findall(r"from (\d+) (?:sheet|board)", papers.said.splitlines()[0])
    ]
    assert sum(counted) == len(planned)
    assert sum(stocks) == len(papers.plan["sheets"]) + len(papers.plan["boards"])
    assert squeezed(papers.said.splitlines()[0].partition(": ")[2]) in papers.book


def test_joints_are_the_same_everywhere(papers: Papers) -> None:
    heads, *cells = papers.page.tables["joints"]

    assert len(papers.joints) == len(cells) == len(papers.plan["joints"])
    for line, row, joint in zip(papers.joints, cells, papers.plan["joints"], strict=True):
        shown = dict(zip(heads, row, strict=True))
        assert (shown["no."], shown["middle at"]) == (line["joint"], line["middle at"])
        assert float(line["middle at mm"]) == pytest.approx(joint["at_mm"], abs=0.005)
        assert [line["first piece"], line["second piece"]] == joint["pieces"]
        assert shown["overlap"] == line["overlap"]
        whole = line["first in words"].rpartition(", piece")[0]
        assert shown["part"] == whole
        middle = re.escape(squeezed(line["middle at"]))
        assert re.search(rf"{line['joint']}(,J\d+)*:((?!J\d+:).)*?place{middle}of", papers.book)


def test_bounds_weights_and_coating_are_told_alike(papers: Papers) -> None:
    bounds = [w.strip() for w in papers.said.splitlines() if "no plan can" in w or "is open" in w]
    (weight,) = (w for w in papers.said.splitlines() if " weigh about " in w)

    assert len(bounds) == len(papers.plan["bounds"])
    for words in (*bounds, weight):
        assert squeezed(words) in papers.book
        assert squeezed(words) in papers.page.letters
    for head in ("Areatocoat:", "Epoxyforbothfaces", "Paintforthesame", "Densitiesof"):
        at, there = papers.book.index(head), papers.page.letters.index(head)
        assert papers.book[at : at + 60] == papers.page.letters[there : there + 60]
