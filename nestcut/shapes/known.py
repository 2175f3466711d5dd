"""What shapes may refer to, and what they come with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Names, Value
from nestcut.model.curves import Curve, Point
from nestcut.model.part import NO_BEARINGS, Bearings, EdgeBevel, Hand, RailPart, SheetPart
from nestcut.model.shape import Mark, Shape
from nestcut.shapes.faults import FollowsError, ShapeFaultError
from nestcut.shapes.hull.spaceline import SpaceLine
from nestcut.shapes.reader import ShapeReader
from nestcut.shapes.ruler import Ruler
from nestcut.units import Unit

if TYPE_CHECKING:
    from nestcut.shapes.table.offsets import OffsetTable


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """Shapes of parts read before, named lines in space, and the table that they come from.

    ``failed`` names parts and lines that are written but at fault: what refers to them follows
    from that and isn't told again; so does what refers to stations of a table at fault.
    ``ahead`` names parts that stand further down.
    """

    shapes: Mapping[str, Shape] = field(default_factory=dict)
    lines: Mapping[str, SpaceLine] = field(default_factory=dict)
    table: OffsetTable | None = None
    is_table_at_fault: bool = False
    failed: frozenset[str] = frozenset()
    ahead: frozenset[str] = frozenset()

    def shape(self, reader: ShapeReader, key: str) -> Shape:
        """Shape of the part named under ``key``.

        Raises
        ------
        ShapeFaultError
            If no part of that name was read before.
        """
        name = reader.text(key)
        if name in self.shapes:
            return self.shapes[name]
        if name in self.failed or not name:
            raise FollowsError
        if name in self.ahead:
            raise ShapeFaultError(key, "SHP-031", name=name)
        raise ShapeFaultError(key, "SHP-032", name=name, names=_names(self.shapes))

    def line(self, reader: ShapeReader, key: str) -> SpaceLine:
        """Return the line named under ``key``.

        Raises
        ------
        ShapeFaultError
            If there is no such line.
        """
        return self.line_named(reader.text(key), key)

    def line_named(self, name: str, key: str) -> SpaceLine:
        """Return a line by its name; ``key`` is where it is asked for."""
        if name in self.lines:
            return self.lines[name]
        if name in self.failed or not name:
            raise FollowsError
        raise ShapeFaultError(key, "SHP-033", name=name, names=_names(self.lines))

    def forward_mm(self, reader: ShapeReader, key: str) -> float:
        """Place along the boat under ``key``: a station's name, or a length as the table counts.

        Returns the distance forward of the after end. [mm]
        """
        return self._forward_mm(reader, key, reader.plain(key)[0])

    def places(self, reader: ShapeReader, key: str) -> list[tuple[str, float]]:
        """Names and distances forward of the places listed under ``key``. [mm]"""
        found = []
        for i, value in enumerate(reader.plain(key)):
            name = str(value).strip()
            is_station = self.table is not None and name in self.table.stations
            told = f"station {name}" if is_station else ""
            found.append((told, self._forward_mm(reader, f"{key}[{i}]", value)))
        return found

    def stations(self) -> list[tuple[str, float]]:
        """All stations of the table: what they are called, and where. [mm]"""
        if self.table is None:
            return []
        pairs = zip(self.table.stations, self.table.at_mm, strict=True)
        return [(f"station {name}", self.table.forward_mm(at)) for name, at in pairs]

    @property
    def station_names(self) -> tuple[str, ...]:
        """Names of the table's stations."""
        return () if self.table is None else self.table.stations

    def station_mm(self, name: str) -> float | None:
        """How far forward of the after end a station stands; None of what isn't its name. [mm]"""
        if self.table is None:
            return None
        sought = name.strip().lower().removeprefix("station").strip()
        for station, at in zip(self.table.stations, self.table.at_mm, strict=True):
            if sought == station.lower():
                return self.table.forward_mm(at)
        return None

    def _forward_mm(self, reader: ShapeReader, key: str, value: object) -> float:
        if self.is_table_at_fault:
            raise FollowsError
        if self.table is None:
            return reader.read_length(key, value)
        named = self.station_mm(str(value))
        if named is not None:
            return named
        name = str(value).strip().lower().removeprefix("station").strip()
        if name.isalpha() or (name.isdigit() and reader.bare is None):
            stations = Names(self.table.stations)
            raise ShapeFaultError(key, "SHP-084", name=str(value), stations=stations)
        return self.table.forward_mm(reader.read_length(key, value))


NOTHING_KNOWN = Known()


class Strake(StrEnum):
    """Which strakes of planking meet at a line, within a section."""

    BELOW_ONLY = "below only"
    """It ends there, as at the sheer."""
    BOTH = "both"


@dataclass(frozen=True, slots=True)
class LineCorner:
    """A section's corner at a line that it passes, to starboard. [mm]"""

    line: str
    at: Point
    strakes: Strake


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """Curves of a part before its notches and holes, and what is worth saying."""

    outline: tuple[Curve, ...]
    holes: tuple[tuple[Curve, ...], ...] = ()
    marks: tuple[Mark, ...] = ()
    findings: tuple[Finding, ...] = ()
    band_width_mm: float | None = None
    """Width of a band along a curve (a cap). [mm]"""
    hand: Hand | None = None
    """Which hand it shows, where the kind of figure knows."""
    edge_bevels: tuple[EdgeBevel, ...] = ()
    is_smaller_face: bool = False
    """Whether the outline is that of the good face, and bevels may reach beyond it at the back."""
    bearings: Bearings = NO_BEARINGS
    """How it stands in the boat, where the kind of figure knows."""
    ruler: Ruler | None = None
    """Where along it places along the boat lie, where the kind of figure knows."""
    line_corners: tuple[LineCorner, ...] = ()
    """Of a section, from the keel up: the corner at each line that it passes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """Slats as they lie over a part, or over a ``bare`` outline, in its frame. [mm]"""

    name: str
    over: str
    outlines: tuple[tuple[Point, ...], ...]
    bare: Shape | None = None
    """An outline that only carries them and isn't cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryParts:
    """What one entry gives.  Materials may be empty: the caller fills them by thickness."""

    sheet_parts: tuple[SheetPart, ...] = ()
    rail_parts: tuple[RailPart, ...] = ()
    findings: tuple[Finding, ...] = ()
    walls: tuple[str, ...] = ()
    """Names of a box's walls, in order round it."""
    laid: tuple[Laid, ...] = ()


class OffsetForm(StrEnum):
    """How bare figures of a table are written."""

    LENGTHS = "lengths"
    """Each with its unit, or in the job's."""
    EIGHTHS = "feet-inches-eighths"
    MM = "mm"
    CM = "cm"
    M = "m"
    INCH = "inch"
    FOOT = "feet"


_BARE = {
    OffsetForm.EIGHTHS: None,
    OffsetForm.MM: Unit.MM,
    OffsetForm.CM: Unit.CM,
    OffsetForm.M: Unit.M,
    OffsetForm.INCH: Unit.INCH,
    OffsetForm.FOOT: Unit.FOOT,
}


def count_bare_in(reader: ShapeReader) -> OffsetForm:
    """Read ``written``; from then on the table's bare figures count in it."""
    form = reader.choice("written", OffsetForm)
    if form is not OffsetForm.LENGTHS:
        reader.count_in(_BARE[form])
    return form


def note(code: str, where: str, **values: Value) -> Finding:
    """Finding worth reading.

    Parameters
    ----------
    code
        Such as ``"SHP-072"``.
    where
        Table and key that it is about.
    values
        What the code's sentence names.
    """
    return finding(code, Severity.NOTE, where, **values)


def warning(code: str, where: str, **values: Value) -> Finding:
    """Finding that may cost material or strength.

    Parameters
    ----------
    code
        Such as ``"SHP-072"``.
    where
        Table and key that it is about.
    values
        What the code's sentence names.
    """
    return finding(code, Severity.WARNING, where, **values)


def _names(known: Mapping[str, object]) -> Names:
    return Names(tuple(sorted(known)) or ("nothing so far",))
