"""What a job file gives by numbers beyond single outlines: lines, rails along them, entries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from nestcut.errors import Finding, Severity, finding
from nestcut.intake.parts.joint_places import said_start, scale_of_rail, with_places
from nestcut.intake.readings import offset_grid, with_readings
from nestcut.jobfile.book import FindingBook
from nestcut.jobfile.records import JobText
from nestcut.jobfile.tables import Table
from nestcut.model.part import RailPart, SheetPart
from nestcut.shapes.entries import LINE_ENTRY, OFFSETS_ENTRY, SHAPE_ENTRIES, build_entry
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.hull.spaceline import SpaceLine
from nestcut.shapes.known import Known, Laid
from nestcut.shapes.read.lines import build_line, rail_ruler
from nestcut.shapes.ruler import Ruler
from nestcut.shapes.table.doubts import Doubt, line_doubts, table_doubts, table_findings
from nestcut.shapes.table.line_order import line_crossings
from nestcut.shapes.table.offsets import OffsetTable, read_offset_table

ENTRY_NAMES = (OFFSETS_ENTRY, LINE_ENTRY, *SHAPE_ENTRIES)
"""Top-level tables that are handed to the shapes room."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberParts:
    """Parts and rails of entries; materials may still be empty."""

    sheet_parts: tuple[SheetPart, ...]
    rail_parts: tuple[RailPart, ...]
    findings: tuple[Finding, ...]
    boxes: tuple[tuple[str, tuple[str, ...]], ...] = ()
    """Boxes by name, with the names of their walls in order round them."""
    laid: tuple[Laid, ...] = ()
    """Slats as they lie over parts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LinesPlan:
    """Lines in space that a job gives, their table if there is one, and what is to be said."""

    lines: dict[str, SpaceLine]
    table: OffsetTable | None
    is_table_at_fault: bool
    """Whether there is a table, and it couldn't be read."""
    failed: frozenset[str]
    """Lines that are written but at fault."""
    findings: tuple[Finding, ...]
    doubts: tuple[Doubt, ...] = ()
    """Doubted readings of the table."""


def lines_plan(text: JobText, folder: Path) -> LinesPlan:
    """Lines in space that the job file gives; ``folder`` is the job file's.

    Faults are recorded in the job's findings.
    """
    lines: dict[str, SpaceLine] = {}
    single: dict[str, SpaceLine] = {}
    where: dict[str, str] = {}
    failed: set[str] = set()
    findings: list[Finding] = []
    table: OffsetTable | None = None
    doubts: tuple[Doubt, ...] = ()
    for entry, written in text.shape_tables:
        if entry == OFFSETS_ENTRY:
            table = read_offset_table(written, offset_grid(written, folder))
            if table is None:
                failed |= set(_line_names(written, folder))
                continue
            doubts = table_doubts(table)
            findings += table_findings(table, doubts)
            for name in table.line_names:
                try:
                    lines[name] = table.line(name)
                except ShapeFaultError as fault:
                    fault.record(written)
                    failed.add(name)
        elif entry == LINE_ENTRY:
            readings = with_readings(written, folder)
            built = build_line(readings)
            if built is None:
                failed.add(str(written.data.get("name")))
                continue
            if built.name in lines:
                written.told("name", "SHP-080", name=built.name)
            lines[built.name] = single[built.name] = built.line
            where[built.name] = f"{readings.path}.heights"
            points = built.line.points
            findings += line_doubts(built.name, readings.path, points, built.knuckles_mm)
    findings += line_crossings(single, where)
    in_file = tuple(replace(f, file=text.file) for f in findings)
    has_table = any(entry == OFFSETS_ENTRY for entry, _ in text.shape_tables)
    return LinesPlan(
        lines=lines,
        table=table,
        is_table_at_fault=has_table and table is None,
        failed=frozenset(failed),
        findings=in_file,
        doubts=doubts,
    )


def _line_names(table: Table, folder: Path) -> list[str]:
    """Whatever may be the name of a line in a faulty table: what names it isn't told again."""
    quiet = Table(table.data, table.path, FindingBook(table.book.file), table.bare)
    return [row[1][0].strip().lower() for row in offset_grid(quiet, folder) if row[1]]


def rail_rulers(text: JobText, known: Known) -> dict[str, Ruler]:
    """Scales of rails along named lines; faulty ones are left out."""
    rulers = {name: (rail_ruler(table, known), table) for name, table in text.rail_lines}
    for _, table in rulers.values():
        table.close()
    return {name: ruler for name, (ruler, _) in rulers.items() if ruler is not None}


def measured_rails(
    text: JobText, known: Known, rulers: Mapping[str, Ruler]
) -> tuple[RailPart, ...]:
    """Rails with lengths taken along named lines where they say so; faulty ones are left out.

    Parameters
    ----------
    rulers
        Of those along lines, by their names.
    """
    lined = {name for name, _ in text.rail_lines}
    places = dict(text.rail_places)
    rails: list[RailPart] = []
    for rail in text.rails:
        # Where no line tells, a rail whose places are counted from the bow starts there.
        ruler: Ruler | None = Ruler(length_mm=rail.length_mm)
        if rail.name in lined:
            ruler = rulers.get(rail.name)
        elif rail.name in places:
            ruler = Ruler(length_mm=rail.length_mm, bow=said_start(places[rail.name]))
        if ruler is None:
            continue
        joint = rail.joint
        if joint is not None and rail.name in places:
            joint = with_places(joint, places[rail.name], scale_of_rail(ruler, known))
        rails.append(replace(rail, length_mm=ruler.length_mm, joint=joint, bow=ruler.bow))
    return tuple(rails)


def entry_parts(text: JobText, known: Known) -> NumberParts:
    """Parts of all entries, in the order of the file."""
    sheet_parts: list[SheetPart] = []
    rail_parts: list[RailPart] = []
    findings: list[Finding] = []
    boxes: list[tuple[str, tuple[str, ...]]] = []
    laid: list[Laid] = []
    for entry, table in text.shape_tables:
        if entry in {LINE_ENTRY, OFFSETS_ENTRY}:
            continue
        built = build_entry(entry, table, text.cutting.flatness_mm, known)
        if built is None:
            continue
        sheet_parts += built.sheet_parts
        rail_parts += built.rail_parts
        findings += [replace(f, where=f"{table.path}, {f.where}") for f in built.findings]
        laid += built.laid
        if built.walls:
            boxes.append((str(table.data.get("name")), built.walls))
    return NumberParts(
        sheet_parts=tuple(sheet_parts),
        rail_parts=tuple(rail_parts),
        findings=tuple(findings),
        boxes=tuple(boxes),
        laid=tuple(laid),
    )


def doubled_names(entries: NumberParts, written: tuple[str, ...]) -> tuple[Finding, ...]:
    """Findings for names that entries give once more."""
    seen, doubled = set(written), []
    names = [p.name for p in entries.sheet_parts] + [r.name for r in entries.rail_parts]
    for name in names:
        if name in seen:
            doubled.append(name)
        seen.add(name)
    return tuple(finding("JOB-009", Severity.ERROR, name, name=name) for name in doubled)
