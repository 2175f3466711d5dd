"""Pictures of a job for the builder's eye: its drawings, its lines plan and its parts."""

from __future__ import annotations

from pathlib import Path

from nestcut.drawings.pictures.picture import drawing_picture
from nestcut.intake.drawn import drawings_on_table
from nestcut.intake.job import Understanding
from nestcut.intake.numbers import LinesPlan
from nestcut.model.part import SheetPart
from nestcut.pictures import (
    Fragment,
    InPlace,
    LinesToDraw,
    Ringed,
    lines_fragments,
    opened_out,
    part_fragment,
)
from nestcut.shapes.table.offsets import View
from nestcut.words import speech_of


def pictures_of(job: Path) -> tuple[tuple[str, str], ...]:
    """Return (drawing's file name, SVG text) for every drawing a job names and that can be read.

    The job may have open questions and faults: drawings are shown so that they can be answered.
    """
    on_table = sorted(drawings_on_table(job), key=lambda on: on.file)
    return tuple((on.file, drawing_picture(on.drawing, on.names)) for on in on_table)


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
    bare = [
        part_fragment(
            SheetPart(name=f"{x.name}, outline only", material="", thickness_mm=0.0, shape=x.bare),
            speech,
            [InPlace(name=x.name, over="", outlines=x.outlines)],
        )
        for x in understanding.entries.laid
        if x.bare is not None
    ]
    return (
        *lines_fragments(_lines_to_draw(plan)),
        *(opened_out(name, [parts[n] for n in names], speech) for name, names in boxes),
        *(
            part_fragment(part, speech, [x for x in laid if x.over == part.name])
            for part in job.sheet_parts
            if part.name not in walls
        ),
        *bare,
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
