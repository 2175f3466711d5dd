"""The formats that drawings are read from: a module each, and a line in `FORMATS`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from nestcut.drawings.entities.explode import Exploded, explode
from nestcut.drawings.entities.load import load_document
from nestcut.drawings.entities.scale import header_unit
from nestcut.drawings.entities.svg import is_svg, load_svg
from nestcut.drawings.records import drawing_name
from nestcut.errors import Finding
from nestcut.units import Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A drawing file that was opened.

    Parameters
    ----------
    unit
        What it says of its unit; None: nothing.
    explode
        Its strokes and texts in mm, from so many mm to a unit where it says nothing itself.
    findings
        What was noticed on opening it.
    """

    unit: Unit | str | None
    explode: Callable[[float], Exploded]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """A kind of file: how its names end, whether a file is one, and what opens it."""

    ending: str
    is_one: Callable[[Path], bool]
    open: Callable[[Path], Opened]


def _open_svg(path: Path) -> Opened:
    svg = load_svg(path)
    return Opened(unit=svg.said, explode=svg.explode)


def _open_dxf(path: Path) -> Opened:
    loaded, file = load_document(path), drawing_name(path)
    return Opened(
        unit=header_unit(loaded.document) if loaded.names_unit else None,
        explode=lambda mm: explode(loaded.document, file, mm),
        findings=tuple(loaded.findings),
    )


FORMATS = (
    Format(ending=".svg", is_one=is_svg, open=_open_svg),
    Format(ending=".dxf", is_one=lambda _: True, open=_open_dxf),
)
"""Asked one after the other; the last one takes what no other knows."""


def open_drawing(path: Path) -> Opened:
    """Open a drawing of whatever format.

    Raises
    ------
    DrawingError
        If it can't be read.
    """
    return next(f for f in FORMATS if f.is_one(path)).open(path)
