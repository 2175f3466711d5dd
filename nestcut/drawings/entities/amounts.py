"""How much a drawing comes to once its blocks are resolved: counted before any of it is done."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable

    from ezdxf.document import Drawing as Document

MAX_DRAWN = 60_000
"""More drawn things than this, blocks counted as often as inserted, aren't followed. [-]
A reading of so many lines takes some eight seconds of processor time (measured)."""

MAX_DEPTH = 24
"""Blocks inside blocks beyond this are a mistake or an attack. [-]"""


def drawn_count(document: Document) -> int:
    """Return how many things the model space draws; counting stops a little above the limit."""
    known: dict[str, int] = {}
    return _count(document.modelspace(), document, known, ())


def _count(
    things: Iterable[Any], document: Document, known: dict[str, int], path: tuple[str, ...]
) -> int:
    total = 0
    for entity in things:
        total += 1
        if entity.dxftype() == "INSERT":
            total += _copies(entity) * _inside(
                str(entity.dxf.get("name", "")), document, known, path
            )
        if total > 10 * MAX_DRAWN:
            return total
    return total


def _inside(name: str, document: Document, known: dict[str, int], path: tuple[str, ...]) -> int:
    key = name.lower()
    if key in known:
        return known[key]
    block: Any = document.blocks.get(name)
    if block is None or key in path or len(path) >= MAX_DEPTH:
        return 0
    known[key] = _count(block, document, known, (*path, key))
    return known[key]


def _copies(entity: Any) -> int:
    try:
        rows = int(entity.dxf.get("row_count", 1) or 1)
        columns = int(entity.dxf.get("column_count", 1) or 1)
    except (TypeError, ValueError, OverflowError):
        return 1
    return max(rows, 1) * max(columns, 1)
