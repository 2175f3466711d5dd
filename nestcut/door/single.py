"""One paper at a time: labels and patterns of a plan."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from nestcut.errors import Finding
from nestcut.model.plan import VerifiedPlan
from nestcut.outlet import Outcome, add_to_folder, write_single
from nestcut.outlet.results import PLAN_PAPERS, choose_paper, papers_folder
from nestcut.papers import labels
from nestcut.papers.labels import (
    Served,
    TileChoice,
    default_grid,
    find_placed,
    labels_pdf,
    parse_grid,
    placed_pattern_pdf,
    stock_label,
    texts_pdf,
)
from nestcut.papers.view import Figures, plan_view
from nestcut.shed import Entry
from nestcut.units import LengthStyle
from nestcut.words import safe_name

__all__ = [
    "LabelSheet",
    "PrintedPattern",
    "add_paper",
    "labels_of",
    "pattern_of",
    "stock_labels",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelSheet:
    """Labels to print on.

    Parameters
    ----------
    paper
        ``"a4"`` or ``"letter"``; None: as the units go.
    grid
        Columns, rows and measures as ``nestcut labels --grid`` takes them; None: the usual sheet.
    used
        Labels already peeled off. [-]
    """

    paper: str | None = None
    grid: str | None = None
    used: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedPattern:
    """A full-size pattern as a PDF, with the name of its file.

    Parameters
    ----------
    of
        Name in words of the piece that it is drawn from.
    served
        Which pieces of its part it fits.
    """

    file: str
    data: bytes
    of: str
    served: Served


def labels_of(verified: VerifiedPlan, sheet: LabelSheet) -> bytes:
    """Return a PDF of labels for every piece of a plan.

    Raises
    ------
    InputError
        If labels of this size can't be printed.
    """
    job = verified.job
    size = choose_paper(sheet.paper, job.style)
    measures = default_grid(size) if sheet.grid is None else parse_grid(sheet.grid, size)
    figures = Figures(job.style, job.fraction, job.currency)
    return labels_pdf(plan_view(verified), figures, measures, sheet.used)


def stock_labels(
    title: str, entries: tuple[Entry, ...], sheet: LabelSheet, style: LengthStyle
) -> bytes:
    """Return a PDF of labels for what lies in the shed; raises as :func:`labels_of`.

    Parameters
    ----------
    title
        Title of the PDF.
    """
    size = choose_paper(sheet.paper, style)
    measures = default_grid(size) if sheet.grid is None else parse_grid(sheet.grid, size)
    figures = Figures(style, 16, "")
    labels = [stock_label(e.stock, e.origin.came_from, figures) for e in entries]
    return texts_pdf(labels, title, measures, sheet.used)


def pattern_of(
    verified: VerifiedPlan, piece: str, *, paper: str | None, tiles: str
) -> PrintedPattern:
    """Return a full-size pattern; where a part is named, that of its first piece.

    The file has the part's name only where one pattern serves for the whole part.

    Parameters
    ----------
    piece
        A piece by its short name or by the one that lists have, or a part by its name.
    paper
        ``"a4"`` or ``"letter"``; None: as the job's units go.
    tiles
        ``"all"``, ``"touched"`` by the piece, or only those with ``"lines"``.

    Raises
    ------
    InputError
        If there is no such piece.
    """
    view, job = plan_view(verified), verified.job
    in_words = {view.name_of(p.id): p.id for p in verified.plan.pieces}
    piece = in_words.get(piece, piece)
    figures = Figures(job.style, job.fraction, job.currency)
    placed = find_placed(view, piece)
    made = labels.pattern_of(placed, view, choose_paper(paper, job.style), TileChoice(tiles))
    name = placed.piece.id if made.served.others else piece
    return PrintedPattern(
        file=f"pattern-{safe_name(name)}.pdf",
        data=placed_pattern_pdf(made, placed, view, figures),
        of=view.name_of(placed.piece.id),
        served=made.served,
    )


def add_paper(plan: Path, target: Path, data: bytes) -> tuple[Finding, ...]:
    """Write a paper: among those of its plan, to go with them; elsewhere only where nothing is.

    Parameters
    ----------
    plan
        Path of the plan file.
    target
        Path of the paper.
    data
        What to write.

    Raises
    ------
    InputError
        If the file can't be written.
    """
    folder = papers_folder(plan)
    is_of_the_plan = target.resolve() == (folder / target.name).resolve()
    is_kept = (folder / PLAN_PAPERS.register).is_file()
    if is_of_the_plan and PLAN_PAPERS.names.fullmatch(target.name) and is_kept:
        written: Outcome = add_to_folder(
            folder, PLAN_PAPERS, lambda made: _put(made / target.name, data)
        )
        return written.findings
    write_single(target, data)
    return ()


def _put(path: Path, data: bytes) -> None:
    path.write_bytes(data)
