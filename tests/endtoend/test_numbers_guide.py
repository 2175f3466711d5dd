"""The guide to parts from numbers: every example in it is read and built."""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal
from pathlib import Path

import pytest

from nestcut.jobfile.book import FindingBook
from nestcut.jobfile.columns import with_columns
from nestcut.jobfile.tables import Table
from nestcut.shapes.build import Kind, build_shape
from nestcut.shapes.entries import SHAPE_ENTRIES, build_entry
from nestcut.shapes.known import Known
from nestcut.shapes.read_lines import build_line
from nestcut.units import Unit

GUIDE = (Path(__file__).parents[2] / "parts" / "NUMBERS.md").read_text(encoding="utf-8")
BLOCKS = [
    tomllib.loads(text, parse_float=Decimal)
    for text in re.findall(r"```toml\n(.*?)```", GUIDE, re.DOTALL)
]
BOOK = FindingBook("NUMBERS.md")


def readings(data: dict[str, object]) -> Table:
    return Table(data, "example", BOOK, Unit.MM)


def known() -> Known:
    """Lines of the guide, and the hatch panel that it refers to."""
    lines = [build_line(readings(t)) for b in BLOCKS for t in b.get("line", [])]
    panel = build_shape(
        readings({"kind": "rectangle", "length": 900, "width": 500, "holes": [{"diameter": 200}]})
    )
    assert panel is not None
    return Known(lines=dict(x for x in lines if x), shapes={"hatch panel": panel.shape})


@pytest.mark.parametrize("block", BLOCKS, ids=[next(iter(b)) for b in BLOCKS])
def test_example_is_built(block: dict[str, object]) -> None:
    """No example has a fault."""
    BOOK.findings.clear()
    if "kind" in block:
        assert build_shape(readings(block), known=known()) is not None, BOOK.findings
    for entry in SHAPE_ENTRIES:
        tables = block.get(entry, [])
        assert isinstance(tables, list)
        for table in tables:
            assert build_entry(entry, readings(table), known=known()) is not None, BOOK.findings
    assert not BOOK.findings


def test_csv_example_is_read() -> None:
    """The indented table at the end gives a panel."""
    rows = re.findall(r"^    (stations.*(?:\n    .*)+)", GUIDE, re.MULTILINE)[-1]
    text = "\n".join(line.strip() for line in rows.splitlines())
    table = readings({"kind": "panel", "written": "feet-inches-eighths", "readings": "side.csv"})
    BOOK.findings.clear()

    assert build_shape(with_columns(table, "readings", text.encode())) is not None, BOOK.findings


def test_every_kind_and_entry_is_explained() -> None:
    """Nothing that can be built is left out of the guide."""
    for word in (*Kind, *SHAPE_ENTRIES):
        assert f"`{word}`" in GUIDE or f"[[{word}]]" in GUIDE or f'"{word}"' in GUIDE
