"""Drawings of a job as they lie on the table: every outline, and which part of the job it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from nestcut.drawings.pick import pick_outline
from nestcut.drawings.records import Drawing, DrawnOutline, Stroke, Whole
from nestcut.errors import InputError
from nestcut.gate import Kind, read_text, tables_of
from nestcut.geometry.curves import flatten
from nestcut.intake.job import finder_of, read_job_text
from nestcut.intake.pictures import pointer
from nestcut.model.curves import Point

_MOST_LOOSE = 2_000
_SHOWN_MM = 0.5
"""How far a shown line may be from the drawn one. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class OnTable:
    """A drawing of a job.

    Parameters
    ----------
    file
        As the job names it.
    parts
        Places of parts in the job file, from 0, by the numbers of their outlines.
    loose
        Lines that look as if they wanted to be outlines, as points. [mm]
    """

    file: str
    drawing: Drawing
    parts: Mapping[int, int]
    loose: tuple[tuple[Point, ...], ...]


def drawings_on_table(job: Path) -> tuple[OnTable, ...]:
    """Read every drawing that a job names and that can be read.

    The job may have open questions and faults: drawings are shown so that they can be answered.
    """
    try:
        data = tables_of(read_text(job, Kind.JOB), str(job))
    except (InputError, ValueError):
        return ()
    text = read_job_text(job)
    section = data.get("drawings")
    folder = section.get("folder") if isinstance(section, dict) else None
    if isinstance(folder, str):
        text = replace(text, drawings=replace(text.drawings, folder=folder))
    if isinstance(section, dict) and section.get("unit") == "":  # asked, and not answered yet
        text = replace(text, drawings=replace(text.drawings, unit=None))
    finder = finder_of(text, job.parent)
    parts = [p if isinstance(p, dict) else {} for p in _tables(data, "part")]
    files = list(dict.fromkeys(p["drawing"] for p in parts if isinstance(p.get("drawing"), str)))
    drawn = [(file, finder.drawing(file)) for file in files if file]
    return tuple(
        OnTable(
            file=file,
            drawing=drawing,
            parts=_places(file, drawing, parts),
            loose=tuple(_points(s) for s in drawing.open_lines[:_MOST_LOOSE]),
        )
        for file, drawing in drawn
        if drawing is not None
    )


def _points(stroke: Stroke) -> tuple[Point, ...]:
    return tuple(p for c in stroke.curves for p in flatten(c, _SHOWN_MM))


def _tables(data: Mapping[str, object], name: str) -> list[object]:
    tables = data.get(name)
    return tables if isinstance(tables, list) else []


def _places(file: str, drawing: Drawing, parts: list[dict[str, object]]) -> dict[int, int]:
    """Places of parts by outline; a part that points at none or several has no outline here."""
    places: dict[int, int] = {}
    for place, part in enumerate(parts):
        if part.get("drawing") != file:
            continue
        pointed = replace(pointer(part), whole=Whole.MIRRORED_HALF)
        for ref in (pointer(part), pointed):
            picked = pick_outline(drawing, ref)
            if isinstance(picked, DrawnOutline):
                places.setdefault(picked.number, place)
                break
    return places
