"""What a job file gives by numbers beyond single outlines: lines, rails along them, entries."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from nestcut.errors import Finding, Severity
from nestcut.intake.readings import with_readings
from nestcut.jobfile.records import JobText
from nestcut.model.part import RailPart, SheetPart
from nestcut.shapes.entries import LINE_ENTRY, SHAPE_ENTRIES, build_entry
from nestcut.shapes.known import Known
from nestcut.shapes.read_lines import build_line, rail_length_mm
from nestcut.shapes.spaceline import SpaceLine

ENTRY_NAMES = (LINE_ENTRY, *SHAPE_ENTRIES)
"""Top-level tables that are handed to the shapes room."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberParts:
    """Parts and rails of entries; materials may still be empty."""

    sheet_parts: tuple[SheetPart, ...]
    rail_parts: tuple[RailPart, ...]
    findings: tuple[Finding, ...]


def named_lines(text: JobText, folder: Path) -> dict[str, SpaceLine]:
    """Lines in space that the job file names; ``folder`` is the job file's.

    Faults are recorded in the job's findings.
    """
    lines: dict[str, SpaceLine] = {}
    for entry, table in text.shape_tables:
        built = build_line(with_readings(table, folder)) if entry == LINE_ENTRY else None
        if built is not None:
            lines[built[0]] = built[1]
    return lines


def measured_rails(text: JobText, known: Known) -> tuple[RailPart, ...]:
    """Rails with lengths taken along named lines where they say so; faulty ones are left out."""
    lengths = {name: (rail_length_mm(table, known), table) for name, table in text.rail_lines}
    for _, table in lengths.values():
        table.close()
    rails: list[RailPart] = []
    for rail in text.rails:
        if rail.name not in lengths:
            rails.append(rail)
            continue
        length = lengths[rail.name][0]
        if length is not None:
            rails.append(replace(rail, length_mm=length))
    return tuple(rails)


def entry_parts(text: JobText, known: Known) -> NumberParts:
    """Parts of all entries, in the order of the file."""
    sheet_parts: list[SheetPart] = []
    rail_parts: list[RailPart] = []
    findings: list[Finding] = []
    for entry, table in text.shape_tables:
        if entry == LINE_ENTRY:
            continue
        built = build_entry(entry, table, text.cutting.flatness_mm, known)
        if built is None:
            continue
        sheet_parts += built.sheet_parts
        rail_parts += built.rail_parts
        findings += [replace(f, where=f"{table.path}, {f.where}") for f in built.findings]
    return NumberParts(
        sheet_parts=tuple(sheet_parts), rail_parts=tuple(rail_parts), findings=tuple(findings)
    )


def doubled_names(entries: NumberParts, written: tuple[str, ...]) -> tuple[Finding, ...]:
    """Findings for names that entries give once more."""
    seen, doubled = set(written), []
    names = [p.name for p in entries.sheet_parts] + [r.name for r in entries.rail_parts]
    for name in names:
        if name in seen:
            doubled.append(name)
        seen.add(name)
    return tuple(
        Finding(
            code="JOB-009",
            severity=Severity.ERROR,
            where=name,
            message="an entry gives a part of a name that's taken.",
            remedy="Name the entries apart.",
        )
        for name in doubled
    )
