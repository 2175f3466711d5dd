"""How much a drawing holds once its blocks are resolved, counted before any of it is resolved."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from nestcut.drawings.inserts import MAX_COPIES

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document


def drawn_count(document: Document) -> int:
    """Count what is drawn in the model space, blocks as often as they are inserted.

    A block that contains itself counts once: it isn't followed when it is read either.
    """
    return _count(document.modelspace(), document, {}, ())


def _count(things: Any, document: Document, known: dict[str, int], path: tuple[str, ...]) -> int:
    total = 0
    for thing in things:
        total += 1
        if thing.dxftype() != "INSERT":
            continue
        name = str(thing.dxf.get("name", "")).lower()
        block: Any = document.blocks.get(name)
        if block is None or name in path:
            continue
        if name not in known:
            known[name] = _count(block, document, known, (*path, name))
        total += _copies(thing) * known[name]
    return total


def _copies(insert: Any) -> int:
    """Count the copies of an array; one that is refused for its size counts as none."""
    rows = int(insert.dxf.get("row_count", 1) or 1)
    columns = int(insert.dxf.get("column_count", 1) or 1)
    copies = max(rows, 1) * max(columns, 1)
    return copies if copies <= MAX_COPIES else 0
