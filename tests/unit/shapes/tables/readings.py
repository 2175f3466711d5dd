"""Tables of readings for the tests, answered by the job file's own getters."""

from __future__ import annotations

import tomllib
from decimal import Decimal

from nestcut.jobfile.book import FindingBook
from nestcut.jobfile.tables import Table
from nestcut.model.shape import Shape
from nestcut.shapes.build import build_shape
from nestcut.shapes.entries import build_entry
from nestcut.shapes.hull.spaceline import SpaceLine
from nestcut.shapes.known import NOTHING_KNOWN, EntryParts, Known
from nestcut.shapes.read.lines import build_line
from nestcut.units import Unit
from nestcut.words import Speech, tell


def table(text: str, bare: Unit | None = Unit.MM, path: str = "part[1].shape") -> Table:
    """Table from TOML text; bare numbers are mm."""
    data = tomllib.loads(text, parse_float=Decimal)
    return Table(data, path, FindingBook("test.toml"), bare)


def told(readings: Table) -> list[str]:
    """Key paths and messages of all that was found wrong."""
    return [f"{f.where}: {tell(f, Speech()).message}" for f in readings.book.findings]


def shape(text: str, known: Known = NOTHING_KNOWN) -> Shape:
    """Shape from TOML text; fails with the findings if there are any."""
    readings = table(text)
    built = build_shape(readings, known=known)
    assert built is not None, [str(f) for f in readings.book.findings]
    assert not readings.book.findings
    return built.shape


def faults(text: str, known: Known = NOTHING_KNOWN) -> list[str]:
    """Key paths and messages of an entry that must not give a shape."""
    readings = table(text)
    assert build_shape(readings, known=known) is None
    assert readings.book.findings
    return told(readings)


def entry(kind: str, text: str, known: Known = NOTHING_KNOWN) -> EntryParts:
    """Parts of one entry; fails with the findings if there are any faults."""
    readings = table(text, path=f"{kind}[1]")
    built = build_entry(kind, readings, known=known)
    assert built is not None, [str(f) for f in readings.book.findings]
    assert not readings.book.findings
    return built


def entry_faults(kind: str, text: str, known: Known = NOTHING_KNOWN) -> list[str]:
    """Faults of an entry that must not give parts."""
    readings = table(text, path=f"{kind}[1]")
    assert build_entry(kind, readings, known=known) is None
    assert readings.book.findings
    return told(readings)


def line(text: str) -> tuple[str, SpaceLine]:
    """Named line from TOML text."""
    readings = table(text, path="line[1]")
    built = build_line(readings)
    assert built is not None, [str(f) for f in readings.book.findings]
    return built.name, built.line
