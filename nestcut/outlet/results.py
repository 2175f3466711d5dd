"""All files of a plan, written at once."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from nestcut.model.job import Job, Notation
from nestcut.model.plan import VerifiedPlan
from nestcut.outlet.folder import write_folder
from nestcut.papers.draw import Paper
from nestcut.units import LengthStyle


def choose_paper(word: str | None, style: LengthStyle) -> Paper:
    """Paper as asked for; else Letter where lengths are shown in inches, A4 elsewhere."""
    if word is not None:
        return Paper(word)
    return Paper.LETTER if style is LengthStyle.INCH else Paper.A4


def with_marking(job: Job, word: str | None) -> Job:
    """Write marking-out numbers as asked for; None: as the job says."""
    if word is None:
        return job
    return replace(job, marking=replace(job.marking, notation=Notation(word)))


def write_results(verified: VerifiedPlan, folder: Path, paper: Paper, style: LengthStyle) -> None:
    """Write plan.json, the papers and the sheet drawings: all of them or none."""
    # What draws and prints is loaded here, when there is a plan: the search begins sooner.
    from nestcut.drawings.write import write_sheet_drawing
    from nestcut.papers.view import file_stem
    from nestcut.papers.write import write_papers
    from nestcut.planfile.write import plan_to_json

    def fill(made: Path) -> None:
        (made / "plan.json").write_text(plan_to_json(verified), encoding="utf-8", newline="\n")
        write_papers(verified, made, paper, style)
        for layout in verified.plan.sheets:
            name = f"{file_stem(layout.number, layout.stock)}.dxf"
            write_sheet_drawing(made / "sheets" / name, verified, layout)

    write_folder(folder, fill)
