"""A job file's text to :class:`JobText`: all tables, cross-checks, all findings at once."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import PurePosixPath
from typing import TypeVar

from nestcut.errors import Severity, blocking, finding
from nestcut.facts import Fact, Length, Names
from nestcut.gate import is_wide, measure, plain_line, scan
from nestcut.jobfile.book import FindingBook
from nestcut.jobfile.choices import DoubtfulHoles, Halves
from nestcut.jobfile.joint_tables import ask_what_is_kept_clear, places_are_open
from nestcut.jobfile.part_tables import read_part, read_rail
from nestcut.jobfile.records import (
    DrawingRules,
    DrawingText,
    DrawnSource,
    JobText,
    OutlineBy,
    Written,
)
from nestcut.jobfile.saw_tables import read_cutting, read_saws, saws_asked
from nestcut.jobfile.schema import Need
from nestcut.jobfile.stock_tables import read_board, read_sheet, read_supplier
from nestcut.jobfile.tables import STAND_IN_MM, Missing, Table
from nestcut.jobfile.typing_traps import parse_toml
from nestcut.model.job import CuttingRules, MarkingWish, Notation
from nestcut.shapes.entries import LINE_ENTRY, OFFSETS_ENTRY
from nestcut.tolerances import JOIN_GAP_MM
from nestcut.units import LengthStyle, Unit

_STYLE_OF = {
    Unit.MM: LengthStyle.MM,
    Unit.CM: LengthStyle.MM,
    Unit.M: LengthStyle.MM,
    Unit.INCH: LengthStyle.INCH,
    Unit.FOOT: LengthStyle.INCH,
}
Record = TypeVar("Record")


def parse_job_text(content: bytes, file: str, shape_entries: tuple[str, ...] = ()) -> JobText:
    """Read a job file.

    Parameters
    ----------
    content
        The file's bytes.
    file
        Its name as the builder gave it.
    shape_entries
        Names of top-level tables that the shapes room reads (several parts from one entry).

    Returns
    -------
    JobText
        What was understood; ``findings`` carries every fault.
    """
    book = FindingBook(file)
    data = _parse_toml(content, book)
    is_toml = bool(data) or not book.findings
    written = hashlib.sha256(content).hexdigest()
    root = Table(data, "", book)
    assumed: list[str] = []
    job = root.table("job") or Table({}, "job", book)
    bare = job.choice("unit", Unit, Unit.MM) if job.has("unit") else None
    for table in (root, job):
        table.bare = bare
    default_style = _STYLE_OF[bare] if bare is not None else LengthStyle.MM
    book.style = job.choice("show", LengthStyle, default_style)
    book.fraction = _read_fraction(job)
    cutting = read_cutting(root, assumed) if is_toml else CuttingRules(kerf_mm=0.0)
    parts = root.tables("part")
    names = frozenset(str(t.data.get("name")) for t in parts)
    sheets = root.tables("sheet")
    by_shape = [(name, t) for name in shape_entries for t in root.tables(name)]
    silent = [t for t in (*parts, *sheets) if "thickness" not in t.data]
    silent += [t for _, t in by_shape if _takes_usual_thickness(t)]
    n_told = len(book.findings)
    usual = _usual_thickness(job, silent)
    is_usual_known = len(book.findings) == n_told
    for table in (*parts, *sheets):  # told once, at the job's key, not again at every part
        table.is_sound = is_usual_known or "thickness" in table.data
    text = JobText(
        name=job.text("name", PurePosixPath(file).parent.name or "job"),
        file=file,
        lines=tuple(content.decode("utf-8", "replace").splitlines()),
        sha256=_digest_of(data) if is_toml else written,
        written_sha256=written,
        cutting=cutting,
        saws=read_saws(root) if is_toml else {},
        drawings=_read_drawing_rules(root),
        style=book.style,
        fraction=book.fraction,
        currency=job.text("currency"),
        marking=_read_marking(root),
        sheets=_sound(read_sheet(t, assumed, usual) for t in sheets),
        boards=_sound(read_board(t) for t in root.tables("board")),
        suppliers=_sound(read_supplier(t) for t in root.tables("supplier")),
        parts=_sound(read_part(t, assumed, usual) for t in parts),
        rails=_sound(read_rail(t, assumed) for t in root.tables("rail")),
        written=_written(root, cutting, book),
        assumed=assumed,
        findings=book.findings,
        shape_tables=tuple((name, _with_usual_thickness(t, job)) for name, t in by_shape),
        rail_lines=_read_rail_lines(root),
        rail_places=_read_rail_places(root),
    )
    text.stock_saws = saws_asked(root, "sheet") | saws_asked(root, "board")
    text.part_saws = saws_asked(root, "part") | saws_asked(root, "rail")
    rails = root.tables("rail")
    text.paths = {str(t.data.get("name")): t.path for t in (*parts, *rails)}
    understood = {p.path for p in text.parts}
    missed = [t.table("shape") for t in parts if t.path not in understood and "shape" in t.data]
    text.missed_shapes = _sound(missed)
    _ask_about_long_rails(rails, text, book)
    named = [t.data.get("drawing") for t in parts]
    text.drawings_named = tuple(dict.fromkeys(n for n in named if isinstance(n, str) and n))
    text.failed_drawn = _sources_of(t for t in parts if t.path not in understood)
    text.failed = names - {p.name for p in text.parts}
    job.close()
    root.close()
    if is_toml:
        _check_names(root, text, book)
    return text


def _digest_of(data: dict[str, object]) -> str:
    """Digest of what a job says: comments, spaces and line ends don't make it another."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), default=str)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _ask_about_long_rails(tables: tuple[Table, ...], text: JobText, book: FindingBook) -> None:
    """Ask what to keep clear in rails longer than every board, whose joints nobody speaks of."""
    silent = {str(t.data.get("name")): t.path for t in tables if "joint" not in t.data}
    for rail in text.rails:
        lengths = [
            offer.length_mm
            for board in text.boards
            if board.material == rail.material
            for offer in board.lengths
        ]
        whole = rail.length_mm + 2.0 * rail.allowance_mm
        if rail.name in silent and rail.joint is not None and whole > max(lengths, default=whole):
            where = f"{silent[rail.name]}.joint.keep_clear"
            ask_what_is_kept_clear(book, where)


def _parse_toml(content: bytes, book: FindingBook) -> dict[str, object]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        _tell_other_text(content, error.start, book)
        return {}
    if is_wide(content):
        _tell_other_text(content, 0, book)
        return {}
    if "\n" not in text:  # as text programs of old ended lines
        text = text.replace("\r", "\n")
    if book.file.lower().endswith(".dxf"):
        book.tell("JOB-054", book.file, Severity.ERROR)
        return {}
    beyond = scan(text, book.file)
    if beyond:
        book.findings += beyond
        return {}
    parsed = parse_toml(text)
    for trap in parsed.traps:
        values = {"written": trap.written.strip(), "mended": (trap.mended or "").strip()}
        told = finding(trap.code, Severity.ERROR, f"line {trap.line}", **values)
        book.findings.append(replace(told, file=book.file, line=trap.line, column=trap.column))
    if not parsed.is_whole:
        return {}
    measured = measure(parsed.data, book.file)
    book.findings += measured.findings
    return {} if blocking(measured.findings) else measured.data


def _tell_other_text(content: bytes, start: int, book: FindingBook) -> None:
    """Say how a file is written that is no UTF-8, and where that is seen."""
    if is_wide(content):
        book.tell("JOB-116", book.file, Severity.ERROR)
    elif b"\0" in content[:4096]:
        book.tell("JOB-052", book.file, Severity.ERROR)
    else:
        before = content[:start].decode("utf-8-sig").splitlines() or [""]
        rest = content[start:].decode("cp1252", "replace").splitlines()[0]
        near = f"{before[-1][-_NEAR:]}{rest[:_NEAR]}".strip()
        book.tell("JOB-053", book.file, Severity.ERROR, line=len(before), near=plain_line(near))


_NEAR = 20
"""Signs shown on each side of what can't be read."""


def _sources_of(tables: Iterable[Table]) -> tuple[DrawnSource, ...]:
    """Outlines that parts point at, whatever else is wrong with them."""
    return tuple(
        DrawnSource(file=file, by=by, name=name)
        for t in tables
        for by in OutlineBy
        if isinstance(file := t.data.get("drawing"), str)
        and isinstance(name := t.data.get(by.value), str)
        and name
    )


def _usual_thickness(job: Table, silent: list[Table]) -> float | Missing:
    """Thickness of tables that name none: asked for only where there are some, by their names."""
    if not job.has("thickness") or (job.data["thickness"] == "" and not silent):
        return Missing.IS_A_FAULT
    if job.data["thickness"] != "":
        return job.positive("thickness")
    names = Names(tuple(str(t.data.get("name", t.path)) for t in silent))
    asked, todo = Fact("JOB-208", (("names", names),)), Fact("JOB-201", (("key", "thickness"),))
    job.book.tell("JOB-022", "job.thickness", Severity.QUESTION, asked=asked, todo=todo)
    return STAND_IN_MM


def _takes_usual_thickness(table: Table) -> bool:
    schema = table.schema
    known = None if schema is None else schema.key("thickness")
    return known is not None and known.need is Need.OPTIONAL and "thickness" not in table.data


def _with_usual_thickness(table: Table, job: Table) -> Table:
    """Entry with the job's usual thickness, where its kind takes that and it names none."""
    if not _takes_usual_thickness(table) or "thickness" not in job.data:
        return table
    data = {**table.data, "thickness": job.data["thickness"]}
    return Table(data, table.path, table.book, table.bare)


def _sound(records: Iterable[Record | None]) -> tuple[Record, ...]:
    return tuple(r for r in records if r is not None)


def _read_rail_lines(root: Table) -> tuple[tuple[str, Table], ...]:
    """Tables that say along which line a rail's length is taken."""
    found = ((str(t.value("name")), t.table("along")) for t in root.tables("rail"))
    return tuple((name, along) for name, along in found if along is not None)


def _read_rail_places(root: Table) -> tuple[tuple[str, Table], ...]:
    """Joints of rails whose places only their line tells."""
    quiet = FindingBook(root.book.file)  # what is no table is told where the rail is read
    found = []
    for rail in root.tables("rail"):
        joint = Table(rail.data, rail.path, quiet, rail.bare).table("joint")
        if joint is not None and places_are_open(joint):
            own = Table(joint.data, joint.path, rail.book, rail.bare)
            found.append((str(rail.data.get("name")), own))
    return tuple(found)


_SPACING_MM = (20.0, 2000.0)
_ALLOWED_MM = (0.2, 20.0)
"""Least and greatest that the marking-out tables are made for. [mm]"""


def _read_marking(root: Table) -> MarkingWish:
    """How the marking-out tables are written."""
    table = root.table("marking")
    if table is None:
        return MarkingWish()

    def within(key: str, limits: tuple[float, float]) -> float | None:
        if not table.has(key):
            return None
        n_told = len(table.book.findings)
        length = table.positive(key)
        is_read = len(table.book.findings) == n_told
        if is_read and not limits[0] <= length <= limits[1]:
            least, most = (Length(limit) for limit in limits)
            table.told(key, "JOB-055", length=Length(length), least=least, most=most)
        return length

    wish = MarkingWish(
        notation=table.choice("written", Notation) if table.has("written") else None,
        spacing_mm=within("stations", _SPACING_MM),
        allowed_mm=within("within", _ALLOWED_MM),
    )
    table.close()
    return wish


def _read_fraction(job: Table) -> int:
    fraction = job.count("fraction", 16, least=2)
    if fraction not in {2, 4, 8, 16, 32, 64}:
        job.fault("fraction", "JOB-007", "JOB-245", n=fraction)
        return 16
    return fraction


def _written(root: Table, cutting: CuttingRules, book: FindingBook) -> Written:
    """Count entries, sound or not; the saw's figures only where they were understood."""

    def count(key: str) -> int:
        value = root.value(key)
        return len(value) if isinstance(value, list) else int(value is not None)

    faulty = {f.where for f in book.findings if f.is_blocking}
    is_saw = bool(root.value("saw")) and isinstance(root.value("saw"), Mapping | list)
    return Written(
        parts=count("part"),
        rails=count("rail"),
        sheets=count("sheet"),
        boards=count("board"),
        kerf_mm=cutting.kerf_mm if is_saw and not faulty & {"saw.kerf", "saw[1].kerf"} else None,
        gap_mm=cutting.gap_mm if is_saw and not faulty & {"saw.gap", "saw[1].gap"} else None,
    )


def _read_drawing_rules(root: Table) -> DrawingRules:
    table = root.table("drawings")
    single = tuple(_read_drawing(t) for t in root.tables("drawing"))
    if table is None:
        return DrawingRules(join_gap_mm=JOIN_GAP_MM, single=single)
    table.has("flatness")
    unit = _unit(table)
    rules = DrawingRules(
        folder=table.text("folder"),
        unit=unit,
        is_unit_at_fault=unit is None and table.has("unit"),
        join_gap_mm=table.length("join_gap"),
        single=single,
    )
    table.close()
    return rules


def _unit(table: Table) -> Unit | None:
    """Return the unit that a table says; None without one, or with one that was told as a fault."""
    if not table.has("unit"):
        return None
    known = len(table.book.findings)
    unit = table.choice("unit", Unit, Unit.MM)
    return unit if len(table.book.findings) == known else None


def _read_drawing(table: Table) -> DrawingText:
    """Read one ``[[drawing]]``; an answer that is missing or wrong is told and left out."""
    holes = table.has("doubtful_holes")
    layers = table.tables("layers")
    unit = _unit(table)
    made = DrawingText(
        file=table.text("file"),
        path=table.path,
        unit=unit,
        is_unit_at_fault=unit is None and table.has("unit"),
        join_gap_mm=table.length("join_gap") if table.has("join_gap") else None,
        doubtful_holes=table.choice("doubtful_holes", DoubtfulHoles) if holes else None,
        halves=table.choice("drawn_half", Halves) if table.has("drawn_half") else None,
        no_parts=table.texts("no_parts"),
    )
    gaps = [(t.text("name"), t.length("join_gap")) for t in layers]
    for each in (table, *layers):
        each.close()
    answered = [t.is_sound for t in layers]
    return replace(
        made,
        is_sound=table.is_sound,
        layer_gaps=tuple(g for g, is_said in zip(gaps, answered, strict=True) if is_said),
        has_open_gaps=not all(answered),
    )


def _check_names(root: Table, text: JobText, book: FindingBook) -> None:
    """Report doubled names, at the later of the two, and an empty job."""
    for entries in (("part", "rail"), ("sheet", "board"), ("supplier",)):
        seen: set[str] = set()
        for entry in entries:
            for table in root.tables(entry):
                name = table.data.get("name")
                if isinstance(name, str) and name in seen:
                    book.tell("JOB-009", table.where("name"), Severity.ERROR, name=name)
                seen.add(str(name))
    files: set[str] = set()
    for own in text.drawings.single:
        if own.file and own.file in files:
            book.tell("JOB-100", f"{own.path}.file", Severity.ERROR, file=own.file)
        files.add(own.file)
    entries_given = [name for name, _ in text.shape_tables if name not in _NO_PARTS]
    if not text.written.parts and not text.written.rails and not entries_given:
        book.tell("JOB-010", text.file, Severity.ERROR)


_NO_PARTS = frozenset({LINE_ENTRY, OFFSETS_ENTRY})
"""Entries that give no parts by themselves."""
