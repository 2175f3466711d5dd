"""Pictures of a job for the builder's eye: its drawings, its lines plan and its parts."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field, replace
from pathlib import Path

from nestcut.drawings.pictures.picture import drawing_picture
from nestcut.intake.job import Understanding, finder_of, read_job_text
from nestcut.intake.numbers import LinesPlan
from nestcut.jobfile.records import DrawnSource
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
    known = {p.source.file for p in text.parts if isinstance(p.source, DrawnSource)}
    files = sorted({*known, *written.names})
    drawings = ((file, finder.drawing(file)) for file in files)
    return tuple(
        (file, drawing_picture(d, written.names.get(file))) for file, d in drawings if d is not None
    )


@dataclass(frozen=True, slots=True)
class _Written:
    """Drawings as the file's text names them, whatever else is wrong with it."""

    folder: str | None = None
    names: dict[str, dict[int, str]] = field(default_factory=dict)
    """Files, and names of parts by the number of their outline where that is written."""


def _written(job: Path) -> _Written:
    try:
        data = tomllib.loads(job.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError):
        return _Written()
    section, parts = data.get("drawings"), data.get("part")
    folder = section.get("folder") if isinstance(section, dict) else None
    made = _Written(folder if isinstance(folder, str) else None)
    for part in parts if isinstance(parts, list) else []:
        file = part.get("drawing") if isinstance(part, dict) else None
        if not isinstance(file, str) or not file:
            continue
        names = made.names.setdefault(file, {})
        number = re.match(r"\s*(\d{1,6})\b", str(part.get("outline", "")))
        if number is not None and part.get("name"):
            names[int(number[1])] = str(part["name"])
    return made


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
