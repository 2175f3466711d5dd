"""Stock records to the tables that hold them, in a book and in a job file."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import fields
from typing import Any

import tomlkit
from tomlkit.items import AoT, Array, InlineTable, Table

from nestcut.jobfile.schema import SCHEMAS, Key, What
from nestcut.model.curves import Point
from nestcut.model.stock import BoardStock, SheetStock
from nestcut.tolerances import SAME_LENGTH_MM

_TENTH_MM = 10


def length_text(length_mm: float) -> str:
    """Write a length of stock: in mm, rounded down to a tenth."""
    tenths = math.floor(length_mm * _TENTH_MM + SAME_LENGTH_MM * _TENTH_MM)
    whole, rest = divmod(tenths, _TENTH_MM)
    return f"{whole}.{rest} mm" if rest else f"{whole} mm"


def exact_text(length_mm: float) -> str:
    """Write a length as it is, to a tenth of a micrometre."""
    number = f"{length_mm:.4f}".rstrip("0").rstrip(".")
    return f"{'0' if number == '-0' else number} mm"


def sheet_table(stock: SheetStock) -> Table:
    """Return what a sheet is, without name and count, by the schema of a job's own tables."""
    table = tomlkit.table()
    table["thickness"] = exact_text(stock.thickness_mm)
    usual = {f.name: f.default for f in fields(SheetStock)}
    for key in SCHEMAS["sheet"].keys:
        value = getattr(stock, key.into) if key.into else None
        if key.name in _SELLERS_OWN or value is None:
            continue
        if key.what is What.CHOICE or value != usual[key.into]:
            table[key.name] = _value(key, value)
    if stock.keep_outs:
        table["keep_out"] = _rows(
            {"points": _points(k.points), "why": k.reason} for k in stock.keep_outs
        )
    return table


def board_table(stock: BoardStock) -> Table:
    """Return what a single board is, without name and count."""
    (length,) = stock.lengths
    table = tomlkit.table()
    table["material"] = stock.material
    table["thickness"] = exact_text(stock.thickness_mm)
    table["width"] = exact_text(stock.width_mm)
    table["length"] = length_text(length.length_mm)
    if stock.end_trim_mm > 0:
        table["end_trim"] = exact_text(stock.end_trim_mm)
    if stock.edge_trim_mm > 0:
        table["edge_trim"] = exact_text(stock.edge_trim_mm)
    if length.defects:
        table["defects"] = _rows(
            {"from": exact_text(d.from_mm), "to": exact_text(d.to_mm), "why": d.reason}
            for d in length.defects
        )
    return table


def stock_table(stock: SheetStock | BoardStock) -> Table:
    """Return a book's table of either."""
    return sheet_table(stock) if isinstance(stock, SheetStock) else board_table(stock)


def job_table(stock: SheetStock | BoardStock) -> Table:
    """Return a job file's table of one sheet or board to hand."""
    made = tomlkit.table()
    made["name"] = stock.name
    own = stock_table(stock)
    if isinstance(stock, BoardStock):
        length: InlineTable = tomlkit.inline_table()
        length.update({"length": own.pop("length"), "count": 1})
        if "defects" in own:
            length["defects"] = own.pop("defects")
        lengths = tomlkit.array()
        lengths.append(length)
        made.update(own)
        made["lengths"] = lengths
        return made
    made.update(own)
    made["count"] = 1
    return made


def kind_of(stock: SheetStock | BoardStock) -> str:
    """Return the name of the tables that hold it."""
    return "sheet" if isinstance(stock, SheetStock) else "board"


def tables_of(document: tomlkit.TOMLDocument, kind: str) -> AoT:
    """Return a document's tables of a kind, made where there are none."""
    found = document.get(kind)
    if isinstance(found, AoT):
        return found
    made = tomlkit.aot()
    document[kind] = made
    return made


_SELLERS_OWN = {"name", "price", "supplier", "pack", "most"}
"""Keys that say how a sheet is called and sold, not what it is."""
_MEASURED = {"length", "width"}
"""Sizes that may have been measured: they are rounded down."""


def _value(key: Key, value: Any) -> Any:
    if key.what is What.LENGTH:
        return length_text(value) if key.name in _MEASURED else exact_text(value)
    return _points(value) if key.what is What.POINTS else value


def _points(points: Iterable[Point]) -> Array:
    rows = tomlkit.array()
    for x, y in points:
        rows.append([exact_text(x), exact_text(y)])
    return rows


def _rows(rows: Iterable[dict[str, object]]) -> Array:
    made = tomlkit.array()
    for row in rows:
        inline = tomlkit.inline_table()
        inline.update(row)
        made.append(inline)
    return made.multiline(multiline=True)
