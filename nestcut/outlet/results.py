"""All files of a plan, written at once."""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from nestcut.errors import Finding, InputError, PlanRejectedError, Severity, finding
from nestcut.model.job import Job
from nestcut.model.plan import VerifiedPlan
from nestcut.outlet.folder import Outcome, Papers, write_folder
from nestcut.papers.draw import Paper
from nestcut.units import LengthStyle
from nestcut.words import next_name, safe_name

_LISTS = r"(cut-list|buying-list|joints|usage|marking-out)\.csv|(shop|marking-out)\.pdf|shop\.html"
PLAN_PAPERS = Papers(
    register="plan.json",
    form="nestcut plan",
    names=re.compile(
        rf"{_LISTS}|labels\.pdf|pattern-.*\.pdf"
        r"|sheets/\d\d+-[^/]*\.(svg|dxf)|boards/\d\d+-[^/]*\.svg"
    ),
    folders=("sheets", "boards"),
)
"""Files that a plan brings; labels and patterns of an older plan go with it: a stale pattern would
be cut from."""


def papers_folder(plan: Path) -> Path:
    """Return the folder that a plan's papers go to: its own, or one named after a lone plan file.

    A plan that a friend sent may lie among anything.
    """
    if plan.is_dir():
        return plan
    if plan.name == PLAN_PAPERS.register:
        return plan.parent
    return plan.with_suffix("") if plan.suffix else plan.with_name(f"{plan.name}-papers")


def next_folder(folder: Path) -> Path:
    """``outputs/punt`` is followed by ``outputs/punt-2``; none that is there already."""
    return folder.with_name(next_name(folder.name, lambda n: folder.with_name(n).exists()))


def expected_papers(job: Job) -> re.Pattern[str]:
    """Return the pattern of the names that a plan of this job may write."""
    names = [*(s.name for s in job.sheet_stocks), *(b.name for b in job.board_stocks)]
    stems = {safe_name(name) for name in names}
    stock = "|".join(sorted(map(re.escape, stems))) or "-"
    return re.compile(rf"{_LISTS}|(sheets|boards)/\d\d+-({stock})\.(svg|dxf)")


def choose_paper(word: str | None, style: LengthStyle) -> Paper:
    """Paper as asked for; else Letter where lengths are shown in inches, A4 elsewhere."""
    if word is not None:
        return Paper(word)
    return Paper.LETTER if style is LengthStyle.INCH else Paper.A4


def write_results(
    verified: VerifiedPlan,
    folder: Path,
    paper: Paper,
    style: LengthStyle,
    on_written: Callable[[], None] = lambda: None,
    made: Path | None = None,
) -> Outcome:
    """Write plan.json, the papers and the sheet drawings: all of them or none.

    Parameters
    ----------
    on_written
        Called once everything is in its place.
    made
        Where the papers have been made already by :func:`make_papers`; None: they are made here.
    """
    from nestcut.planfile.write import plan_to_json

    def fill(place: Path) -> None:
        if made is None:
            make_papers(verified, place, paper, style)
        else:
            shutil.copytree(made, place, dirs_exist_ok=True)

    return write_folder(folder, PLAN_PAPERS, fill, plan_to_json(verified), on_written)


def write_plan_alone(
    verified: VerifiedPlan,
    folder: Path,
    style: LengthStyle,
    on_written: Callable[[], None] = lambda: None,
) -> Outcome:
    """Write plan.json and the lists that take no time; ``report`` makes the papers later.

    Parameters
    ----------
    folder
        Where they go.
    on_written
        Called once everything is in its place.
    """
    from nestcut.papers.write import write_lists
    from nestcut.planfile.write import plan_to_json

    def fill(place: Path) -> None:
        write_lists(verified, place, style)

    return write_folder(folder, PLAN_PAPERS, fill, plan_to_json(verified), on_written)


def make_papers(verified: VerifiedPlan, folder: Path, paper: Paper, style: LengthStyle) -> None:
    """Make the papers and the sheet drawings of a plan in a private place, and read them back.

    Raises
    ------
    PlanRejectedError
        If what was written doesn't say what the plan says: a fault of ours.
    """
    # What draws and prints is loaded here, when there is a plan: the search begins sooner.
    from nestcut.drawings.write import write_sheet_drawing
    from nestcut.papers.view import file_stem
    from nestcut.papers.write import write_papers
    from nestcut.readback import check_files

    write_papers(verified, folder, paper, style)
    for layout in verified.plan.sheets:
        name = f"{file_stem(layout.number, layout.stock)}.dxf"
        write_sheet_drawing(folder / "sheets" / name, verified, layout)
    # All files lie in a private place here, where nobody sees them before they are right.
    wrong = check_files(folder, verified)
    if wrong:
        raise PlanRejectedError(wrong)


@dataclass(frozen=True, slots=True, kw_only=True)
class Haven:
    """Where papers came to lie after all; ``findings`` say why not where they should."""

    folder: Path
    findings: tuple[Finding, ...]


def write_somewhere(wanted: Path, write: Callable[[Path], Outcome]) -> Haven:
    """Write a plan that took long to find; where its folder fails, into a new one elsewhere.

    Raises
    ------
    InputError
        If no place takes it.
    """
    try:
        return Haven(folder=wanted, findings=write(wanted).findings)
    except InputError as error:
        why = error.findings
    for place in (Path.cwd(), Path.home(), Path(tempfile.gettempdir())):
        folder = _new_folder(place, wanted)
        try:
            outcome = write(folder)
        except InputError:
            continue
        told = finding("OUT-006", Severity.ERROR, str(folder))
        return Haven(folder=folder, findings=(*why, *outcome.findings, told))
    raise InputError(why)


def _new_folder(place: Path, wanted: Path) -> Path:
    """Return the name of a folder that isn't there yet."""
    stem = f"nestcut-{safe_name(wanted.name)}"
    numbers = range(1, 1000)
    names = (place / (stem if number == 1 else f"{stem}-{number}") for number in numbers)
    return next((name for name in names if not name.exists()), place / stem)
