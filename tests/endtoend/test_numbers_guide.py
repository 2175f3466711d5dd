"""The guide to parts from numbers: every example in it is read and built."""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal
from pathlib import Path

import pytest

from nestcut.jobfile.book import FindingBook
from nestcut.jobfile.columns import csv_rows, with_columns
from nestcut.jobfile.tables import Table
from nestcut.shapes.build import ShapeKind, build_shape
from nestcut.shapes.entries import SHAPE_ENTRIES, build_entry
from nestcut.shapes.known import Known
from nestcut.shapes.read.lines import build_line
from nestcut.shapes.table.offsets import OffsetTable, grid_of_text, read_offset_table
from nestcut.units import Unit

GUIDE = (Path(__file__).parents[2] / "parts" / "NUMBERS.md").read_text(encoding="utf-8")
BLOCKS = [
    tomllib.loads(text, parse_float=Decimal)
    for text in re.findall(r"```toml\n(.*?)```", GUIDE, re.DOTALL)
]
BOOK = FindingBook("NUMBERS.md")


def readings(data: dict[str, object], path: str = "part[1].shape") -> Table:
    return Table(data, path, BOOK, Unit.MM)


def table() -> OffsetTable:
    """Table of offsets of the guide."""
    [data] = [b["offsets"] for b in BLOCKS if "offsets" in b]
    read = read_offset_table(readings(data, "offsets"), grid_of_text(data["table"]))
    assert read is not None, BOOK.findings
    return read


def known() -> Known:
    """Lines of the guide, and the hatch panel that it refers to."""
    built = [
        build_line(readings(t, "line[1]"))
        for b in BLOCKS
        if "kind" not in b
        for t in b.get("line", [])
    ]
    lines = {x.name: x.line for x in built if x is not None}
    panel = build_shape(
        readings({"kind": "rectangle", "length": 900, "width": 500, "holes": [{"diameter": 200}]})
    )
    assert panel is not None
    return Known(lines=lines, shapes={"hatch panel": panel.shape})


def known_of_table() -> Known:
    """Lines of the guide's table of offsets."""
    offsets = table()
    return Known(lines={name: offsets.line(name) for name in offsets.line_names}, table=offsets)


@pytest.mark.parametrize("block", BLOCKS, ids=[next(iter(b)) for b in BLOCKS])
def test_example_is_built(block: dict[str, object]) -> None:
    """No example has a fault."""
    BOOK.findings.clear()
    if "kind" in block:
        of_table = block["kind"] in {"frame", "transom", "bottom", "deck"}
        names = known_of_table() if of_table else known()
        assert build_shape(readings(block), known=names) is not None, BOOK.findings
    for entry in SHAPE_ENTRIES if "kind" not in block else ():
        tables = block.get(entry, [])
        assert isinstance(tables, list)
        for row in tables:
            names = known_of_table() if entry == "frames" else known()
            assert build_entry(entry, readings(row, f"{entry}[1]"), known=names) is not None, (
                BOOK.findings
            )
    assert not BOOK.findings


def test_csv_example_is_read() -> None:
    """The indented table at the end gives a panel."""
    rows = re.findall(r"^    (stations.*(?:\n    .*)+)", GUIDE, re.MULTILINE)[-1]
    text = "\n".join(line.strip() for line in rows.splitlines())
    panel = readings({"kind": "panel", "readings": "side.csv"})
    BOOK.findings.clear()

    assert (
        build_shape(with_columns(panel, "readings", [row for _, row in csv_rows(text)])) is not None
    ), BOOK.findings


def test_every_kind_and_entry_is_explained() -> None:
    """Nothing that can be built is left out of the guide."""
    for word in (*ShapeKind, *SHAPE_ENTRIES):
        assert f"`{word}`" in GUIDE or f"[[{word}]]" in GUIDE or f'"{word}"' in GUIDE
