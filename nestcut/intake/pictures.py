"""Pictures of a job for the builder's eye: its drawings, its lines plan and its parts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

from nestcut.drawings.pick import pick_outline
from nestcut.drawings.pictures.picture import drawing_picture
from nestcut.drawings.records import CUT, Drawing, DrawnOutline, OutlineRef
from nestcut.errors import InputError
from nestcut.gate import Kind, read_text, tables_of
from nestcut.intake.job import Understanding, finder_of, read_job_text
from nestcut.intake.numbers import LinesPlan
from nestcut.intake.outlines import reference
from nestcut.jobfile.records import DrawnSource, OutlineBy
from nestcut.pictures import (
    Fragment,
    InPlace,
    LinesToDraw,
    Ringed,
    lines_fragments,
    opened_out,
    part_fragment,
)
from nestcut.shapes.offsets import View
from nestcut.words import speech_of


def pictures_of(job: Path) -> tuple[tuple[str, str], ...]:
    """Return (drawing's file name, SVG text) for every drawing a job names and that can be read.

    The job may have open questions and faults: drawings are shown so that they can be answered.
    """
    text = read_job_text(job)
    written = _written(job)
    rules = text.drawings
    folder = written.folder if written.folder is not None else rules.folder
    finder = finder_of(replace(text, drawings=replace(rules, folder=folder)), job.parent)
    files = sorted({*text.drawings_named, *written.parts})
    drawings = ((file, finder.drawing(file)) for file in files)
    return tuple(
        (file, drawing_picture(d, _names(d, written.parts.get(file, ()))))
        for file, d in drawings
        if d is not None
    )


@dataclass(frozen=True, slots=True)
class _Written:
    """Drawings as the file's text names them, whatever else is wrong with it."""

    folder: str | None = None
    parts: dict[str, list[tuple[str, OutlineRef]]] = field(default_factory=dict)
    """By drawing: names of parts, and the outlines that they point at."""


def _written(job: Path) -> _Written:
    try:
        data = tables_of(read_text(job, Kind.JOB), str(job))
    except (InputError, ValueError):
        return _Written()
    section, parts = data.get("drawings"), data.get("part")
    folder = section.get("folder") if isinstance(section, dict) else None
    made = _Written(folder if isinstance(folder, str) else None)
    for part in parts if isinstance(parts, list) else []:
        file = part.get("drawing") if isinstance(part, dict) else None
        if isinstance(file, str) and file:
            made.parts.setdefault(file, []).append((str(part.get("name", "")), pointer(part)))
    return made


def pointer(part: dict[str, object]) -> OutlineRef:
    """What a part's table points at; anything that is no text points nowhere."""
    for by in OutlineBy:
        name = part.get(by.value)
        if isinstance(name, str) and name:
            return reference(DrawnSource(file="", by=by, name=name))
    return OutlineRef()


def _names(drawing: Drawing, parts: Iterable[tuple[str, OutlineRef]]) -> dict[int, str]:
    """Names that the job gives to outlines, by their numbers in the picture."""
    wanted = ((name, replace(ref, doubtful_holes=(CUT,))) for name, ref in parts)
    found = ((name, pick_outline(drawing, ref)) for name, ref in wanted)
    return {o.number: name for name, o in found if isinstance(o, DrawnOutline) and name}


def job_fragments(understanding: Understanding) -> tuple[Fragment, ...]:
    """Lines plan with doubted readings, boxes opened out, and every part to scale."""
    job, plan = understanding.job, understanding.plan
    speech = speech_of(job)
    parts = {p.name: p for p in job.sheet_parts}
    boxes = understanding.entries.boxes
    walls = {name for _, names in boxes for name in names}
    laid = [
        InPlace(name=x.name, over=x.over, outlines=x.outlines) for x in understanding.entries.laid
    ]
    return (
        *lines_fragments(_lines_to_draw(plan)),
        *(opened_out(name, [parts[n] for n in names], speech) for name, names in boxes),
        *(
            part_fragment(part, speech, [x for x in laid if x.over == part.name])
            for part in job.sheet_parts
            if part.name not in walls
        ),
    )


def _lines_to_draw(plan: LinesPlan) -> LinesToDraw:
    table = plan.table
    if table is not None:
        pairs = zip(table.stations, table.at_mm, strict=True)
        stations = tuple((name, table.forward_mm(at)) for name, at in pairs)
    else:
        places = sorted({float(x) for line in plan.lines.values() for x in line.points[:, 0]})
        stations = tuple((str(i), x) for i, x in enumerate(places, start=1))
    ringed = tuple(
        Ringed(
            line=d.line,
            forward_mm=d.x_mm,
            is_height=d.view == View.HEIGHTS.value,
            words=f"{d.line}, station {d.station}: read again",
        )
        for d in plan.doubts
    )
    return LinesToDraw(lines=plan.lines, stations=stations, doubts=ringed)
