"""The same boat planned in several ways, side by side."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from nestcut.choices import (
    Found,
    Way,
    as_plan_of,
    best_of_all,
    better_of,
    row_of,
    ways_of,
    ways_of_joints,
)
from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.outlet import Papers, check_folder, write_folder
from nestcut.outlet.results import choose_paper
from nestcut.papers.choices import (
    ChoiceRow,
    choices_drawings,
    choices_page,
    least_money,
    words_of,
)
from nestcut.papers.draw import drawings_pdf, svg_text
from nestcut.papers.view import Figures
from nestcut.words import tell_fact
from nestcut.words.speech import speech_of

__all__ = [
    "ChoiceRow",
    "Found",
    "Way",
    "as_plan_of",
    "best_of_all",
    "better_of",
    "check_choices_folder",
    "choice_words",
    "least_money",
    "row_of",
    "way_words",
    "ways_of",
    "ways_of_joints",
    "write_choices",
]

CHOICES = Papers(
    register="nestcut-choices.json",
    form="nestcut choices",
    names=re.compile(r"choices\.(svg|pdf|html)"),
)
"""The page and the picture of all ways; each plan has a folder of its own beside them."""
_MATTER = '{"format": "nestcut choices", "version": 1}'


def way_words(way: Way, job: Job) -> str:
    """Say what is different about a way."""
    return tell_fact(way.name, speech_of(job))


def choice_words(rows: Sequence[ChoiceRow], job: Job) -> tuple[str, ...]:
    """Say what is cheapest, and what fewer joints cost beside it."""
    return words_of(rows, _figures(job))


def check_choices_folder(folder: Path) -> None:
    """Refuse a folder that the page can't be written to, before anything is searched.

    Raises
    ------
    InputError
        With everything that stands in the way.
    """
    check_folder(folder, CHOICES, CHOICES.names)


def write_choices(
    job: Job, rows: Sequence[ChoiceRow], folder: Path, paper: str | None = None
) -> tuple[Finding, ...]:
    """Write the page, the picture (SVG) and both on paper (PDF), over none but our own.

    Parameters
    ----------
    paper
        ``"a4"`` or ``"letter"``; None: as the units go.

    Returns
    -------
    tuple of Finding
        What stood in the way.

    Raises
    ------
    InputError
        If the folder can't be written.
    """
    figures = _figures(job)
    drawings = choices_drawings(job.name, rows, choose_paper(paper, job.style), figures)
    files = {
        "choices.svg": svg_text(drawings[0]).encode(),
        "choices.pdf": drawings_pdf(drawings, f"{job.name}: ways to plan it"),
        "choices.html": choices_page(job.name, rows, drawings[0], figures).encode(),
    }

    def fill(made: Path) -> None:
        for name, content in files.items():
            (made / name).write_bytes(content)

    return write_folder(folder, CHOICES, fill, _MATTER).findings


def _figures(job: Job) -> Figures:
    return Figures(job.style, job.fraction, job.currency)
