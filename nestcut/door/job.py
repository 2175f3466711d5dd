"""Jobs: read and checked, first job files from drawings, pictures, parts as drawings of their own.

>>> from nestcut.door import job
>>> job.read_job("parts/punt/job.toml").name
'punt'
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from nestcut.door.rows import PIECES_OF, PartRow, length_in, part_rows
from nestcut.drawings.concerns import is_closed_by_job
from nestcut.drawings.entities.formats import FORMATS
from nestcut.drawings.first.by_numbers import start_by_numbers
from nestcut.drawings.first.gaps import read_for_start
from nestcut.drawings.pictures.picture import drawing_picture as _picture_of
from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import Drawing
from nestcut.drawings.remarks import said_rail, said_terms
from nestcut.drawings.write import write_shape_drawing
from nestcut.errors import DrawingError, Finding, InputError, JobFileError
from nestcut.intake.carried import moved_outlines, newly_named
from nestcut.intake.drawn import drawings_on_table
from nestcut.intake.fairness import COLUMNS, panel_reports
from nestcut.intake.job import Understanding, read_job_text, understand_job
from nestcut.intake.job import read_job as _read_job_file
from nestcut.intake.pictures import job_fragments as job_pictures
from nestcut.intake.pictures import pictures_of
from nestcut.intake.text import understand_text
from nestcut.jobfile.records import Written
from nestcut.jobfile.schema import SCHEMAS as JOB_SCHEMA
from nestcut.jobfile.schema import explain, reference_page
from nestcut.joints.kinds import FOR_RAILS, KINDS
from nestcut.model.job import Job, Notation
from nestcut.model.joint import JointRule
from nestcut.model.part import Hands, RailPart, SheetPart
from nestcut.model.stock import BoardLength, BoardStock, SheetStock
from nestcut.outlet import check_single, write_single
from nestcut.outlet.first import NO_OUTLINE, Started, write_first_job
from nestcut.papers.draw import svg_png
from nestcut.papers.lists import safe_text, to_csv
from nestcut.papers.view import grouped, many
from nestcut.pictures import page
from nestcut.planning.fit import find_misfits, find_oversize
from nestcut.shapes.table.slips import slips_told
from nestcut.units import LengthStyle, Unit
from nestcut.words import free_names

__all__ = [
    "DRAWING_ENDINGS",
    "JOB_SCHEMA",
    "JOINT_KINDS",
    "NO_OUTLINE",
    "PIECES_OF",
    "BoardLength",
    "BoardStock",
    "Drawing",
    "Hands",
    "Job",
    "PartRow",
    "PictureFiles",
    "RailPart",
    "SheetPart",
    "SheetStock",
    "Started",
    "Understanding",
    "Written",
    "check_job",
    "drawing_picture",
    "drawings_on_table",
    "explain",
    "fairness_pictures",
    "find_misfits",
    "find_oversize",
    "free_names",
    "grouped",
    "is_closed_by_job",
    "job_pictures",
    "length_in",
    "many",
    "moved_outlines",
    "newly_named",
    "part_files",
    "part_rows",
    "picture_files",
    "read_drawings",
    "read_job",
    "reading_limits",
    "reference_page",
    "said_rail",
    "said_terms",
    "start_from_drawings",
    "start_job",
    "usual_style",
    "with_kerf",
    "with_marking",
    "with_most_joints",
]

JOINT_KINDS = {"part": tuple(kind.value for kind in KINDS), "rail": FOR_RAILS}
"""Kinds of joints by the tables that may ask for them."""
DRAWING_ENDINGS = tuple(f.ending for f in FORMATS)
"""How names of drawings end that can be read."""
CHECK_PAGE = "check.html"
"""The page of all pictures of a job, among the files of :func:`picture_files`."""


def check_job(source: str | Path, *, drawings: Mapping[str, bytes] | None = None) -> Understanding:
    """Read as much of a job as can be read, with everything that was noticed.

    Parameters
    ----------
    source
        Path of a job file; or, with ``drawings`` given, the text of one.
    drawings
        Contents of the drawings, by their paths from where the job file would lie
        (``"drawings/hull.dxf"``); empty for a job from numbers.

    Returns
    -------
    Understanding
        The job as far as it is understood; ``findings``; ``is_usable`` says whether it can be
        planned.

    Raises
    ------
    JobFileError
        If there is no file to read.
    """
    if drawings is None:
        return understand_job(Path(source))
    return understand_text(str(source), drawings)


def reading_limits(understanding: Understanding) -> tuple[Finding, ...]:
    """How small a misread offset may be and still pass, in the table's own notation.

    Nothing where there is no table, or where readings of it are doubted: these come first.
    """
    plan, file = understanding.plan, understanding.job.file
    if plan.table is None or plan.doubts:
        return ()
    return tuple(replace(f, file=file) for f in slips_told(plan.table))


def read_job(source: str | Path, *, drawings: Mapping[str, bytes] | None = None) -> Job:
    """Read a job that can be planned; parameters as of :func:`check_job`.

    Raises
    ------
    JobFileError
        If anything stands in the way of a plan; carries all findings.
    """
    if drawings is None:
        return _read_job_file(Path(source))
    understanding = check_job(source, drawings=drawings)
    if not understanding.is_usable:
        raise JobFileError(understanding.findings)
    return understanding.job


def with_kerf(job: Job, kerf_mm: float) -> Job:
    """Return a job for another saw; a plan of it can be proven, not read back from its file."""
    return replace(job, cutting=replace(job.cutting, kerf_mm=kerf_mm))


def with_most_joints(job: Job, part: str, most: int) -> Job:
    """Return a job in which one part (or rail) has so many joints at most, wherever they suit.

    A plan of it tells what a joint fewer costs; it can be proven, not read back from its file.
    ValueError if no part with a joint rule goes by that name.

    Parameters
    ----------
    part
        Name of the part or rail.
    most
        How many joints at most; 0: none.

    Raises
    ------
    ValueError
        If no part with a joint rule goes by that name.
    """

    def ruled(rule: JointRule) -> JointRule | None:
        return replace(rule, at_mm=None, max_joints=most) if most > 0 else None

    flat = tuple(
        replace(p, joint=ruled(p.joint)) if p.name == part and p.joint is not None else p
        for p in job.sheet_parts
    )
    rails = tuple(
        replace(r, joint=ruled(r.joint)) if r.name == part and r.joint is not None else r
        for r in job.rail_parts
    )
    if flat == job.sheet_parts and rails == job.rail_parts:
        raise ValueError(f"'{part}' has no joint rule to change")
    return replace(job, sheet_parts=flat, rail_parts=rails)


def with_marking(job: Job, word: str | None) -> Job:
    """Write marking-out numbers as asked for (``"feet-inches-eighths"``); None: as the job says."""
    if word is None:
        return job
    return replace(job, marking=replace(job.marking, notation=Notation(word)))


def start_job(target: str | Path, drawings: Sequence[str | Path] = (), units: str = "mm") -> None:
    """Write a first job file: of drawings, with a picture page beside it (SVG, PNG); or of numbers.

    Parameters
    ----------
    target
        The file to write; it must not be there.
    drawings
        Paths as the job file shall name them, from where it lies.
    units
        ``"mm"`` or ``"inch"``: how lengths are written.

    Raises
    ------
    InputError
        If a drawing can't be read, none holds an outline, or the file can't be written.
    """
    path, style = Path(target), LengthStyle(units)
    if not drawings:
        check_single(path)
        write_single(path, start_by_numbers(path.stem, style).encode())
        return
    read = read_drawings([path.parent / d for d in drawings], path)
    write_first_job(path, read, style)


def read_drawings(
    paths: Sequence[Path], target: Path, begin: Callable[[Path], None] = lambda _: None
) -> tuple[tuple[str, Drawing], ...]:
    """Read drawings for a first job file, each with its name as seen from that file.

    Parameters
    ----------
    begin
        Told of each drawing before it is read.

    Raises
    ------
    InputError
        If something stands where the job file is to come, or drawings can't be read: all faults.
    """
    check_single(target)
    read: list[tuple[str, Drawing]] = []
    faults: list[Finding] = []
    for path in paths:
        begin(path)
        try:
            drawing = read_for_start(path)
        except DrawingError as error:
            faults += error.findings
            continue
        name = Path(os.path.relpath(path, target.parent)).as_posix()
        read.append((name, drawing))
    if faults:
        raise InputError(faults)
    return tuple(read)


def start_from_drawings(
    target: Path, drawings: tuple[tuple[str, Drawing], ...], style: LengthStyle
) -> Started:
    """Write a first job file of drawings that were read, and their picture page beside it.

    Parameters
    ----------
    target
        The job file to write.
    drawings
        Each drawing with its file's name, as the job file is to call it.

    Raises
    ------
    InputError
        If the files can't be written; with the code `NO_OUTLINE` where only the page was.
    """
    return write_first_job(target, drawings, style)


def usual_style(drawings: Sequence[Drawing]) -> LengthStyle:
    """How lengths are written where drawings are in these units."""
    is_inch = any(d.unit in {Unit.INCH, Unit.FOOT} for d in drawings)
    return LengthStyle.INCH if is_inch else LengthStyle.MM


def drawing_picture(path: str | Path) -> str:
    """Return a picture (SVG) of a drawing, outlines numbered and faults ringed.

    Raises
    ------
    DrawingError
        If it can't be read.
    """
    return _picture_of(read_drawing(Path(path)))


@dataclass(frozen=True, slots=True)
class PictureFiles:
    """Pictures of a job.

    Parameters
    ----------
    files
        Contents by name.
    drawn
        Each drawing of the job, and the name of its pictures without the ending.
    page
        Name of the page of all pictures of the job itself; empty: no part was understood.
    """

    files: Mapping[str, bytes]
    drawn: tuple[tuple[str, str], ...]
    page: str


def picture_files(path: Path, understanding: Understanding) -> PictureFiles:
    """Draw every drawing of a job, each of its parts, and one page of those of the job itself."""
    drawn = pictures_of(path)
    fragments = job_pictures(understanding)
    names = free_names([*(Path(file).stem for file, _ in drawn), *(f.name for f in fragments)])
    svgs = [*(svg for _, svg in drawn), *(f.svg for f in fragments)]
    files = {f"{name}.svg": svg.encode() for name, svg in zip(names, svgs, strict=True)}
    shown = tuple(zip((file for file, _ in drawn), names, strict=False))
    files |= {f"{name}.png": svg_png(svg) for (_, svg), (_, name) in zip(drawn, shown, strict=True)}
    if fragments:
        title = f"{understanding.job.name}: what was understood"
        files[CHECK_PAGE] = page(title, fragments, "To scale, each picture by itself.").encode()
    return PictureFiles(files, shown, CHECK_PAGE if fragments else "")


def fairness_pictures(path: Path) -> tuple[tuple[str, str], ...]:
    """Draw how the edges of each panel given by stations bend: (part, curvature comb as SVG)."""
    return tuple((r.part, r.picture) for r in panel_reports(read_job_text(path), path.parent))


def part_files(
    path: Path, parts: tuple[SheetPart, ...], wanted: Sequence[str] = ()
) -> dict[str, bytes]:
    """Draw parts of a job as DXF, with fairness reports of panels given by stations.

    Parameters
    ----------
    path
        Of the job file.
    wanted
        Names of parts; empty: all.

    Returns
    -------
    dict
        Content of each file by its name; each part has a name of its own.
    """
    stems = dict(zip((p.name for p in parts), free_names(p.name for p in parts), strict=True))
    files: dict[str, bytes] = {}
    with tempfile.TemporaryDirectory() as made:
        for part in (p for p in parts if not wanted or p.name in wanted):
            drawing = Path(made) / "part.dxf"
            write_shape_drawing(drawing, part.shape, part.name)
            files[f"{stems[part.name]}.dxf"] = drawing.read_bytes()
    for report in panel_reports(read_job_text(path), path.parent):
        if report.part in stems and (not wanted or report.part in wanted):
            stem = f"{stems[report.part]}-fairness"
            table = to_csv(COLUMNS, [(safe_text(r[0]), *r[1:]) for r in report.rows])
            files[f"{stem}.svg"] = report.picture.encode()
            files[f"{stem}.csv"] = table.encode()
    return files
