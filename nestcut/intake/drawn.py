"""Drawings of a job as they lie on the table: every outline, and which part of the job it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from nestcut.drawings.records import Drawing, OutlineRef, Stroke
from nestcut.errors import InputError
from nestcut.gate import FileKind, read_text, tables_of
from nestcut.geometry.curves import flatten
from nestcut.intake.job import finder_of
from nestcut.intake.numbers import ENTRY_NAMES
from nestcut.intake.outlines import numbers_of, pointed_at, reference
from nestcut.jobfile.read import parse_job_text
from nestcut.jobfile.records import DrawnSource, OutlineBy
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
    parts, names
        Places of parts in the job file, from 0, and their names, by the numbers of their outlines.
    loose
        Lines that look as if they wanted to be outlines, as points. [mm]
    """

    file: str
    drawing: Drawing
    parts: Mapping[int, int]
    names: Mapping[int, str]
    loose: tuple[tuple[Point, ...], ...]
    no_parts: frozenset[int]
    """Numbers of outlines that the job says are no parts."""


def drawings_on_table(job: Path, written: str | None = None) -> tuple[OnTable, ...]:
    """Read every drawing that a job names and that can be read.

    The job may have open questions and faults: drawings are shown so that they can be answered.

    Parameters
    ----------
    job
        Path of the job file.
    written
        Text to read in place of the file's own.
    """
    try:
        words = read_text(job, FileKind.JOB) if written is None else written
        data = tables_of(words, str(job))
    except (InputError, ValueError):
        return ()
    text = parse_job_text(words.encode(), job.as_posix(), ENTRY_NAMES)
    section = data.get("drawings")
    section = section if isinstance(section, dict) else {}
    rules = text.drawings
    if isinstance(section.get("folder"), str):
        rules = replace(rules, folder=section["folder"])
    if section.get("unit") == "":  # asked, and not answered yet
        rules = replace(rules, unit=None)
    finder = finder_of(replace(text, drawings=rules), job.parent)
    tables = data.get("part")
    parts = [p if isinstance(p, dict) else {} for p in (tables if isinstance(tables, list) else [])]
    named = (p.get("drawing") for p in parts)
    files = dict.fromkeys(f for f in (*named, *text.drawings_named) if isinstance(f, str) and f)
    drawn = ((file, finder.drawing(file)) for file in files)
    return tuple(
        _on_table(file, d, parts, numbers_of(rules.of(file).no_parts, d))
        for file, d in drawn
        if d is not None
    )


def _on_table(
    file: str, drawing: Drawing, parts: list[dict[str, object]], no_parts: frozenset[int]
) -> OnTable:
    places = _places(file, drawing, parts)
    return OnTable(
        file=file,
        drawing=drawing,
        parts=places,
        names={n: str(parts[at]["name"]) for n, at in places.items() if parts[at].get("name")},
        no_parts=no_parts,
        loose=tuple(_points(s) for s in drawing.open_lines[:_MOST_LOOSE]),
    )


def _points(stroke: Stroke) -> tuple[Point, ...]:
    return tuple(p for c in stroke.curves for p in flatten(c, _SHOWN_MM))


def _pointer(part: dict[str, object]) -> OutlineRef:
    """What a part's table points at; anything that is no text points nowhere."""
    for by in OutlineBy:
        name = part.get(by.value)
        if isinstance(name, str) and name:
            return reference(DrawnSource(file="", by=by, name=name))
    return OutlineRef()


def _places(file: str, drawing: Drawing, parts: list[dict[str, object]]) -> dict[int, int]:
    """Places of parts by outline; a part that points at none or several has no outline here.

    An outline that is half a part, or whose holes are in doubt, is the part's all the same.
    """
    places: dict[int, int] = {}
    for place, part in enumerate(parts):
        if part.get("drawing") != file:
            continue
        picked = pointed_at(drawing, _pointer(part))
        if picked is not None:
            places.setdefault(picked.number, place)
    return places
