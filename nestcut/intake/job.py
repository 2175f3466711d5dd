"""A job file and the drawings it names to a :class:`nestcut.model.job.Job`."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from nestcut.errors import Finding, InputError, JobFileError, Severity, blocking, finding
from nestcut.gate import MAX_PIECES, FileKind, read_file
from nestcut.geometry.rings import true_bounds_mm
from nestcut.intake.numbers import (
    ENTRY_NAMES,
    LinesPlan,
    NumberParts,
    doubled_names,
    entry_parts,
    lines_plan,
    measured_rails,
    rail_rulers,
)
from nestcut.intake.outlines import OutlineFinder
from nestcut.intake.parts.bends import clear_of_bend_and_frames, clear_of_panel_bend
from nestcut.intake.parts.bevels import place_bevels
from nestcut.intake.parts.faces import larger_face_doubts
from nestcut.intake.parts.frames import clear_of_lines
from nestcut.intake.parts.given_names import names_in_the_way
from nestcut.intake.parts.joint_places import scale_of_part, with_places
from nestcut.intake.parts.layers import grown_at_bevels, in_layers
from nestcut.intake.parts.stands import doubtful_stands
from nestcut.intake.readings import with_readings
from nestcut.intake.saws import unknown_saws, with_saws
from nestcut.jobfile.match import fill_material, fill_rail_material
from nestcut.jobfile.read import parse_job_text
from nestcut.jobfile.records import JobText, PartText, Written
from nestcut.jobfile.spots import named
from nestcut.model.job import Job
from nestcut.model.joint import JointAxis
from nestcut.model.part import CutFrom, Hands, RailPart, SheetPart
from nestcut.shapes.build import BuiltShape, build_shape
from nestcut.shapes.known import Known
from nestcut.shapes.ruler import Ruler


@dataclass(frozen=True, slots=True, kw_only=True)
class Understanding:
    """What was understood of a job, as far as it goes, and everything that was noticed."""

    job: Job
    findings: tuple[Finding, ...]
    written: Written
    missed_parts: int
    """Flat parts written but not understood."""
    missed_rails: int
    plan: LinesPlan
    """Lines in space, where there are any."""
    entries: NumberParts
    """What entries of several parts gave."""

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
        job = understanding.job
        raise JobFileError(understanding.findings, job.style, job.fraction)
    return understanding.job


def understand_job(path: Path) -> Understanding:
    """Read as much of a job as can be read, with all findings.

    Raises
    ------
    JobFileError
        If there is no file to read.
    """
    return _understand(read_job_text(path), path.parent)


def read_job_text(path: Path) -> JobText:
    """Read a job file alone, without its drawings.

    Raises
    ------
    JobFileError
        If there is no file to read.
    """
    return parse_job_text(_read_bytes(path), path.as_posix(), ENTRY_NAMES)


def finder_of(text: JobText, folder: Path) -> OutlineFinder:
    """Return the finder of a job's outlines; ``folder`` is the job file's."""
    return OutlineFinder(
        folder=folder / text.drawings.folder,
        rules=text.drawings,
        flatness_mm=text.cutting.flatness_mm,
        plan=lines_plan(text, folder),
        job_folder=folder,
        written=tuple(p.name for p in text.parts),
        failed={*text.failed},
        failed_drawn=text.failed_drawn,
        drawings_named=text.drawings_named,
    )


def _understand(text: JobText, folder: Path) -> Understanding:
    """Gather lines, parts, rails and entries, in this order: later ones may refer to earlier."""
    finder = finder_of(text, folder)
    noticed: list[Finding] = [*finder.plan.findings]
    parts: list[SheetPart] = []
    for entry in text.parts:
        shape, found = finder.find(entry)
        noticed += found
        if shape is not None:
            bevels, found = place_bevels(entry, shape)
            noticed += [*found, *doubtful_stands(entry, shape)]
            built = finder.extras.get(entry.name)
            part = replace(SheetPart.of(entry, shape), edge_bevels=bevels)
            if built is not None:
                part = _with_extras(part, built, entry)
            if built is not None and built.is_smaller_face:
                part, told = grown_at_bevels(part, entry)
                noticed += told
            part = joined_the_long_way(part, entry)
            if part.joint is not None and entry.joint_places is not None:
                ruler = None if built is None else built.ruler
                scale = scale_of_part(part, ruler, finder.known)
                part = replace(part, joint=with_places(part.joint, entry.joint_places, scale))
            part = clear_of_lines(part)
            part = clear_of_panel_bend(part, None if built is None else built.ruler)
            layers, told = in_layers(part, entry)
            noticed += told
            parts += layers
    for table in text.missed_shapes:
        build_shape(with_readings(table, folder), text.cutting.flatness_mm, finder.known)
    rulers = rail_rulers(text, finder.known)
    rails = list(measured_rails(text, finder.known, rulers))
    entries = entry_parts(text, finder.known)
    noticed += entries.findings
    written = (*(p.name for p in text.parts), *(r.name for r in text.rails))
    noticed += doubled_names(entries, written)
    # Parts without stock stay, to be echoed: their findings bar any plan.
    named_parts: list[SheetPart] = []
    for part in (*parts, *entries.sheet_parts):
        material = fill_material(part, text)
        if isinstance(material, Finding):
            noticed += _unless_stock_is_faulty(material, text, part.cut_from)
            material = part.material or "?"
        named_parts.append(replace(part, material=material))
    named_rails, told = _named_rails(text, (*rails, *entries.rail_parts), rulers, finder.known)
    noticed += told
    noticed += larger_face_doubts(tuple(named_parts))
    noticed += names_in_the_way(text, (*named_parts, *named_rails))
    noticed += unknown_saws(text)
    text.sheets, text.boards = with_saws(text, named_parts, named_rails)
    noticed += _too_many_pieces(text, (*named_parts, *named_rails))
    noticed = [*finder.told(), *text.findings, *_without_followers(noticed)]
    findings = named(noticed, list(text.lines))
    return Understanding(
        job=_job(text, tuple(named_parts), tuple(named_rails), findings),
        findings=tuple(findings),
        written=text.written,
        missed_parts=text.written.parts - len(finder.found),
        missed_rails=text.written.rails - len(rails),
        plan=finder.plan,
        entries=entries,
    )


def _named_rails(
    text: JobText, rails: tuple[RailPart, ...], rulers: Mapping[str, Ruler], known: Known
) -> tuple[list[RailPart], list[Finding]]:
    """Rails with their material, and what their joints keep clear of where they follow a line."""
    named_rails: list[RailPart] = []
    noticed: list[Finding] = []
    for rail in rails:
        material = fill_rail_material(rail, text)
        if isinstance(material, Finding):
            noticed += _unless_stock_is_faulty(material, text, CutFrom.BOARD)
            material = rail.material or "?"
        made = replace(rail, material=material)
        if rail.name in rulers:
            longest = _longest_mm(text, material)
            made, told = clear_of_bend_and_frames(made, rulers[rail.name], known, longest)
            noticed += told
        named_rails.append(made)
    return named_rails, noticed


_DOUBTS = frozenset({"SHP-070", "SHP-071", "SHP-072", "SHP-073", "SHP-076", "SHP-077", "SHP-085"})
_STIFF = "SHP-013"


def _without_followers(noticed: list[Finding]) -> list[Finding]:
    """Leave out that a panel won't lie flat where a reading of its lines is doubted already."""
    is_doubted = any(f.code in _DOUBTS for f in noticed)
    return [f for f in noticed if not (is_doubted and f.code == _STIFF)]


def _longest_mm(text: JobText, material: str) -> float:
    """Longest usable board of a material; endless where there is none. [mm]"""
    lengths = [
        offer.length_mm - 2.0 * board.end_trim_mm
        for board in text.boards
        if board.material == material
        for offer in board.lengths
    ]
    return max(lengths, default=math.inf)


def _too_many_pieces(text: JobText, parts: tuple[SheetPart | RailPart, ...]) -> list[Finding]:
    """Count the pieces before any work is done on them."""
    count = sum(p.count * (2 if p.hands is Hands.PAIR else 1) for p in parts)
    if count <= MAX_PIECES:
        return []
    return [finding("LIM-010", Severity.ERROR, text.file, count=count, limit=MAX_PIECES)]


def _unless_stock_is_faulty(finding: Finding, text: JobText, cut_from: CutFrom) -> list[Finding]:
    """Drop a finding that may only follow from a fault in a stock table, which is told already."""
    read, written = len(text.boards), text.written.boards
    if cut_from is CutFrom.SHEET:
        read, written = len(text.sheets), text.written.sheets
    return [finding] if read == written else []


def _read_bytes(path: Path) -> bytes:
    try:
        return read_file(path, FileKind.JOB)
    except InputError as error:
        raise JobFileError(error.findings) from None


def _with_extras(part: SheetPart, built: BuiltShape, entry: PartText) -> SheetPart:
    """Add what the kind of figure knows beyond its outline, where the job doesn't say itself."""
    hand = part.drawn if built.hand is None or entry.is_hand_written else built.hand
    return replace(
        part,
        drawn=hand,
        width_along_mm=part.width_along_mm or built.band_width_mm,
        edge_bevels=part.edge_bevels or built.edge_bevels,
        bearings=part.bearings.filled(built.bearings),
    )


def joined_the_long_way(part: SheetPart, entry: PartText) -> SheetPart:
    """Part whose free joints follow its longer side, where the job doesn't say which."""
    rule = part.joint
    is_open = rule is not None and rule.at_mm is None and not entry.is_axis_written
    if rule is None or not is_open or part.width_along_mm is not None:
        return part
    x0, y0, x1, y1 = true_bounds_mm(part.shape.outline)
    if y1 - y0 <= x1 - x0:
        return part
    return replace(part, joint=replace(rule, axis=JointAxis.WIDTH))


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
        written_sha256=text.written_sha256,
        cutting=text.cutting,
        sheet_stocks=text.sheets,
        board_stocks=text.boards,
        sheet_parts=parts,
        rail_parts=rails,
        style=text.style,
        fraction=text.fraction,
        currency=text.currency,
        marking=text.marking,
        assumed=tuple(text.assumed),
        findings=tuple(f for f in findings if not f.is_blocking),
        suppliers=text.suppliers,
    )
