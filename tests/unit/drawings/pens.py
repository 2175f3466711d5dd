"""Drawings made for tests, entity by entity, with ezdxf."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from ezdxf.filemanagement import new

from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import Drawing, ReadOptions
from nestcut.units import Unit
from nestcut.words import Speech, tell

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.layout import Modelspace

MM = ReadOptions(unit=Unit.MM)


def blank(version: str = "R2010", insunits: int = 4) -> tuple[Document, Modelspace]:
    document = new(version)
    document.header["$INSUNITS"] = insunits
    return document, document.modelspace()


def read_back(document: Document, folder: Path, options: ReadOptions = MM) -> Drawing:
    path = folder / "drawing.dxf"
    document.saveas(path)
    drawing = read_drawing(path, options)
    for item in drawing.findings:
        assert tell(item, Speech()).message
    return drawing


def box(space: Modelspace, x: float, y: float, w: float, h: float, layer: str = "0") -> None:
    space.add_lwpolyline(
        [(x, y), (x + w, y), (x + w, y + h), (x, y + h)], close=True, dxfattribs={"layer": layer}
    )


def loose_box(space: Modelspace, x: float, y: float, w: float, h: float, layer: str = "0") -> None:
    corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)]
    for a, b in pairwise(corners):
        space.add_line(a, b, dxfattribs={"layer": layer})


def write(space: Modelspace, text: str, x: float, y: float, layer: str = "0") -> None:
    space.add_text(text, height=20, dxfattribs={"layer": layer}).set_placement((x, y))
