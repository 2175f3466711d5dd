"""A first job file with the picture page of its drawings beside it."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from nestcut.drawings.first.start import first_job
from nestcut.drawings.pictures.picture import job_picture
from nestcut.drawings.records import Drawing
from nestcut.errors import InputError, Severity, finding
from nestcut.facts import Names
from nestcut.outlet.single import check_single, write_single
from nestcut.papers.draw import svg_png
from nestcut.units import LengthStyle
from nestcut.words import Speech

NO_OUTLINE = "JOB-026"
"""No part is found: the picture alone is written."""


@dataclass(frozen=True, slots=True)
class Started:
    """What was written: the picture page (SVG; a PNG lies beside it), and how much was found."""

    picture: Path
    parts: int
    outlines: int
    questions: int


def write_first_job(
    target: Path, drawings: tuple[tuple[str, Drawing], ...], style: LengthStyle
) -> Started:
    """Write a job file and a page that shows every outline with its number and name.

    Parameters
    ----------
    target
        The job file.
    drawings
        Each drawing with its name as seen from the job file.
    style
        How lengths are written.

    Raises
    ------
    InputError
        If something stands in the way; or if no outline is found: then only the page is written,
        and the finding points to it.
    """
    check_single(target)
    picture = _free(target)
    made = first_job(drawings, name=target.stem, picture=picture.name, style=style)
    shown = [(file, d, names) for (file, d), names in zip(drawings, made.names, strict=True)]
    svg = job_picture(shown, Speech(style=style))
    n_parts = len({name for names in made.names for name in names.values()})
    if n_parts:
        write_single(target, made.text.encode())
    write_single(picture, svg.encode())
    write_single(picture.with_suffix(".png"), svg_png(svg))
    if not n_parts:
        files = Names(tuple(file for file, _ in drawings))
        raise InputError(
            [finding(NO_OUTLINE, Severity.ERROR, str(target), files=files, picture=str(picture))]
        )
    n_outlines = sum(len(d.outlines) for _, d in drawings)
    return Started(picture, n_parts, n_outlines, made.questions)


def _free(target: Path) -> Path:
    """A name for the picture page that nothing bears: pages of earlier runs stay."""
    number = 1
    while True:
        tail = "" if number == 1 else f"-{number}"
        path = target.with_name(f"{target.stem}-picture{tail}.svg")
        if not os.path.lexists(path) and not os.path.lexists(path.with_suffix(".png")):
            return path
        number += 1
