"""Drawings' files by ezdxf, whole, or only their head and what is drawn.

Tables, classes and objects take most of the time of reading and writing; nothing that is drawn by
these lots depends on them.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from functools import cache
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing
from ezdxf.filemanagement import new
from ezdxf.lldxf.tagwriter import TagWriter

Read = Callable[[Path], Drawing]
_KEPT = ("HEADER", "ENTITIES")


def read_whole(path: Path) -> Drawing:
    """Read a file as it is."""
    return ezdxf.readfile(path)  # type: ignore[attr-defined]


def read_drawing(path: Path) -> Drawing:
    """Read a file's header and entities."""
    text = "\n" + path.read_text(encoding="utf-8").replace("\r\n", "\n")
    sections = text.split("\n  0\nSECTION\n  2\n")[1:]
    kept = [s.partition("\n  0\nENDSEC")[0] for s in sections if s.startswith(_KEPT)]
    return ezdxf.read(io.StringIO(_file(*kept)))  # type: ignore[attr-defined]


def new_document() -> Drawing:
    """A new drawing in mm."""
    return new("R2000", units=4)


@cache
def _blank() -> Drawing:
    return new_document()


def empty_document() -> Drawing:
    """One drawing for all, emptied: setting one up takes longer than drawing in it."""
    document = _blank()
    document.modelspace().delete_all_entities()
    return document


def save_whole(document: Drawing, path: Path) -> None:
    """Write a drawing as it is."""
    document.saveas(path)


def save_drawn(document: Drawing, path: Path) -> None:
    """Write a drawing in mm without the tables that a program may leave out."""
    out = io.StringIO()
    writer = TagWriter(out, dxfversion="AC1015", write_handles=False)
    for entity in document.modelspace():
        entity.export_dxf(writer)
    head = "HEADER\n  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n4"
    path.write_text(_file(head, "ENTITIES\n" + out.getvalue().rstrip("\n")), encoding="utf-8")


def _file(*sections: str) -> str:
    return "".join(f"  0\nSECTION\n  2\n{s}\n  0\nENDSEC\n" for s in sections) + "  0\nEOF\n"
