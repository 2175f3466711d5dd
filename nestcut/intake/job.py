"""A job file and the drawings it names to a :class:`nestcut.model.job.Job`."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from nestcut.errors import Finding, JobFileError, Severity, blocking
from nestcut.intake.outlines import OutlineFinder
from nestcut.jobfile.match import fill_material, fill_rail_material
from nestcut.jobfile.read import parse_job_text
from nestcut.jobfile.records import JobText, PartText
from nestcut.jobfile.tables import Table
from nestcut.model.job import Job
from nestcut.model.part import RailPart, SheetPart
from nestcut.model.shape import Shape
from nestcut.shapes.entries import LINE_ENTRY, SHAPE_ENTRIES, build_entry
from nestcut.shapes.known import Known
from nestcut.shapes.read_lines import build_line
from nestcut.shapes.spaceline import SpaceLine

MAX_JOB_BYTES = 5_000_000
"""No job file is longer; more is not read. [bytes]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Understanding:
    """What was understood of a job, as far as it goes, and everything that was noticed."""

    job: Job
    findings: tuple[Finding, ...]

    @property
    def is_usable(self) -> bool:
        """Whether a plan can be made of it."""
        return not blocking(self.findings)


def read_job(path: Path) -> Job:
    """Read a job.

    Raises
    ------
    JobFileError
        If anything stands in the way of a plan; carries all findings.
    """
    understanding = understand_job(path)
    if not understanding.is_usable:
        raise JobFileError(understanding.findings)
    return understanding.job


def understand_job(path: Path) -> Understanding:
    """Read as much of a job as can be read, with all findings.

    Raises
    ------
    JobFileError
        If there is no file to read.
    """
    return _Reading(read_job_text(path), path.parent).run()


def read_job_text(path: Path) -> JobText:
    """Read a job file alone, without its drawings.

    Raises
    ------
    JobFileError
        If there is no file to read.
    """
    return parse_job_text(_read_bytes(path), path.as_posix(), (LINE_ENTRY, *SHAPE_ENTRIES))


@dataclass(slots=True)
class _Reading:
    """One job while its parts are gathered; later entries may refer to earlier ones by name."""

    text: JobText
    folder: Path
    parts: list[SheetPart] = field(default_factory=list)
    rails: list[RailPart] = field(default_factory=list)
    shapes: dict[str, Shape] = field(default_factory=dict)
    lines: dict[str, SpaceLine] = field(default_factory=dict)
    noticed: list[Finding] = field(default_factory=list)

    def run(self) -> Understanding:
        """Read lines, parts, rails and entries, in this order."""
        text = self.text
        for name, table in text.shape_tables:
            if name == LINE_ENTRY:
                self._add_line(table)
        finder = OutlineFinder(
            folder=self.folder / text.drawings.folder,
            rules=text.drawings,
            flatness_mm=text.cutting.flatness_mm,
        )
        for entry in text.parts:
            shape, noticed = finder.find(entry, self._known())
            self.noticed += noticed
            if shape is not None:
                self._add_part(_part(entry, shape), entry.path)
        for rail in text.rails:
            self._add_rail(rail)
        for name, table in text.shape_tables:
            if name != LINE_ENTRY:
                self._add_entry(name, table)
        findings = [*finder.findings, *text.findings, *self.noticed]
        return Understanding(
            job=_job(text, tuple(self.parts), tuple(self.rails), findings),
            findings=tuple(findings),
        )

    def _known(self) -> Known:
        return Known(shapes=self.shapes, lines=self.lines)

    def _add_line(self, table: Table) -> None:
        built = build_line(table)
        if built is not None:
            self.lines[built[0]] = built[1]

    def _add_entry(self, name: str, table: Table) -> None:
        built = build_entry(name, table, self.text.cutting.flatness_mm, self._known())
        if built is None:
            return
        self.noticed += built.findings
        for part in built.sheet_parts:
            self._add_part(part, table.path)
        for rail in built.rail_parts:
            self._add_rail(rail)

    def _add_part(self, part: SheetPart, where: str) -> None:
        self.shapes[part.name] = part.shape
        material = fill_material(part, where, self.text.sheets, self.text.boards)
        if isinstance(material, Finding):
            self.noticed.append(material)
        else:
            self.parts.append(replace(part, material=material))

    def _add_rail(self, rail: RailPart) -> None:
        material = fill_rail_material(rail, self.text.boards)
        if isinstance(material, Finding):
            self.noticed.append(material)
        else:
            self.rails.append(replace(rail, material=material))


def _read_bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(MAX_JOB_BYTES)
    except OSError as error:
        finding = Finding(
            code="JOB-001",
            severity=Severity.ERROR,
            where=str(path),
            message=f"the job file can't be read ({error.strerror or error}).",
            remedy="Check the path; 'nestcut start DRAWING.dxf' writes a first job file.",
        )
        raise JobFileError([finding]) from None


def _part(entry: PartText, shape: Shape) -> SheetPart:
    return SheetPart(
        name=entry.name,
        shape=shape,
        material=entry.material,
        thickness_mm=entry.thickness_mm,
        count=entry.count,
        hands=entry.hands,
        drawn=entry.drawn,
        grain=entry.grain,
        turning=entry.turning,
        small_angle_deg=entry.small_angle_deg,
        faces=entry.faces,
        hole_use=entry.hole_use,
        allowance_mm=entry.allowance_mm,
        timing=entry.timing,
        cut_from=entry.cut_from,
        joint=entry.joint,
        width_along_mm=entry.width_along_mm,
        bevels=entry.bevels,
        note=entry.note,
    )


def _job(
    text: JobText,
    parts: tuple[SheetPart, ...],
    rails: tuple[RailPart, ...],
    findings: list[Finding],
) -> Job:
    return Job(
        name=text.name,
        file=text.file,
        sha256=text.sha256,
        cutting=text.cutting,
        sheet_stocks=text.sheets,
        board_stocks=text.boards,
        sheet_parts=parts,
        rail_parts=rails,
        style=text.style,
        fraction=text.fraction,
        currency=text.currency,
        assumed=tuple(text.assumed),
        findings=tuple(f for f in findings if not f.is_blocking),
    )
