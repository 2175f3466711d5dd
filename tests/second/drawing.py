"""Drawings' files by ezdxf, whole, or only their head and what is drawn.

Tables, classes and objects take most of the time of reading and writing; nothing that is drawn by
these lots depends on them.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing
from ezdxf.entities import factory
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace
from ezdxf.lldxf.extendedtags import ExtendedTags
from ezdxf.lldxf.tagger import ascii_tags_loader, tag_compiler
from ezdxf.lldxf.tags import group_tags
from ezdxf.lldxf.tagwriter import TagWriter

_UNITS_TAG = "$INSUNITS\n 70\n"
_ENTITIES = "  0\nSECTION\n  2\nENTITIES\n"
_END = "\n  0\nENDSEC"


@dataclass(frozen=True)
class Drawn:
    """What this checker looks at in a drawing: its unit's number and what is drawn."""

    units: int
    entities: tuple[DXFEntity, ...]


Read = Callable[[Path], Drawn]


def read_whole(path: Path) -> Drawn:
    """Read a file as it is."""
    document = ezdxf.readfile(path)  # type: ignore[attr-defined]
    return Drawn(int(document.header.get("$INSUNITS", 0)), tuple(document.modelspace()))


def read_drawing(path: Path) -> Drawn:
    """Read a file's unit and entities."""
    text = path.read_text(encoding="utf-8").replace("\r\n", "\n")
    head, _, rest = text.partition(_ENTITIES)
    units = head.partition(_UNITS_TAG)[2].partition("\n")[0]
    # its end is read with it: the library looks one tag beyond a point for its third figure
    section = io.StringIO(rest.partition(_END)[0] + _END + "\n")
    groups = list(group_tags(tag_compiler(ascii_tags_loader(section))))[:-1]
    return Drawn(int(units or 0), tuple(factory.load(ExtendedTags(tags)) for tags in groups))


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
    path.write_text(text_drawn(document.modelspace()), encoding="utf-8")


def text_drawn(space: Modelspace) -> str:
    """What is drawn in mm, as a file without tables."""
    out = io.StringIO()
    writer = TagWriter(out, dxfversion="AC1015", write_handles=False)
    for entity in space:
        entity.export_dxf(writer)
    head = "HEADER\n  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n4"
    return _file(head, "ENTITIES\n" + out.getvalue().rstrip("\n"))


def _file(*sections: str) -> str:
    return "".join(f"  0\nSECTION\n  2\n{s}\n  0\nENDSEC\n" for s in sections) + "  0\nEOF\n"
