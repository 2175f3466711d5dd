"""What shapes may refer to, and what they come with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from nestcut.errors import Finding, Severity
from nestcut.model.curves import Curve
from nestcut.model.part import RailPart, SheetPart
from nestcut.model.shape import Mark, Shape
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.reader import ShapeReader
from nestcut.shapes.spaceline import SpaceLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """Shapes of parts read before, and named lines in space."""

    shapes: Mapping[str, Shape] = field(default_factory=dict)
    lines: Mapping[str, SpaceLine] = field(default_factory=dict)

    def shape(self, reader: ShapeReader, key: str) -> Shape:
        """Shape of the part named under ``key``.

        Raises
        ------
        ShapeFaultError
            If no part of that name was read before.
        """
        name = reader.text(key)
        if name not in self.shapes:
            raise ShapeFaultError(
                key, f"no part '{name}' was read before this one.", _choose(self.shapes)
            )
        return self.shapes[name]

    def line(self, reader: ShapeReader, key: str) -> SpaceLine:
        """Return the line named under ``key``.

        Raises
        ------
        ShapeFaultError
            If there is no such line.
        """
        name = reader.text(key)
        if name not in self.lines:
            raise ShapeFaultError(key, f"there is no line '{name}'.", _choose(self.lines))
        return self.lines[name]


NOTHING_KNOWN = Known()


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """Curves of a part before its notches and holes, and what is worth saying."""

    outline: tuple[Curve, ...]
    holes: tuple[tuple[Curve, ...], ...] = ()
    marks: tuple[Mark, ...] = ()
    findings: tuple[Finding, ...] = ()
    band_width_mm: float | None = None
    """Width of a band along a curve (a cap). [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryParts:
    """What one entry gives.  Materials may be empty: the caller fills them by thickness."""

    sheet_parts: tuple[SheetPart, ...] = ()
    rail_parts: tuple[RailPart, ...] = ()
    findings: tuple[Finding, ...] = ()


class OffsetForm(StrEnum):
    """How offsets are written."""

    LENGTHS = "lengths"
    EIGHTHS = "feet-inches-eighths"


def read_offsets(reader: ShapeReader, key: str, form: OffsetForm) -> tuple[float, ...]:
    """List of offsets as the table writes them. [mm]"""
    return reader.offsets(key) if form is OffsetForm.EIGHTHS else reader.lengths(key)


def note(code: str, where: str, message: str) -> Finding:
    """Finding worth reading."""
    return Finding(code=code, severity=Severity.NOTE, where=where, message=message)


def warning(code: str, where: str, message: str, remedy: str) -> Finding:
    """Finding that may cost material or strength."""
    return Finding(
        code=code, severity=Severity.WARNING, where=where, message=message, remedy=remedy
    )


def _choose(names: Mapping[str, object]) -> str:
    if not names:
        return "Nothing is known by name so far; entries that are referred to come first."
    return f"Choose from: {', '.join(sorted(names))}."
