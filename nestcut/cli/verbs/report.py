"""``nestcut report``: papers from a plan file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from nestcut.cli.session import Session
from nestcut.cli.talk import show_findings
from nestcut.door.job import with_marking
from nestcut.door.lengths import LengthStyle
from nestcut.door.papers import (
    check_other_plans,
    choose_paper,
    papers_folder,
    settle_papers_folder,
    spelling_findings,
    write_results,
)
from nestcut.door.plan import read_proven


def run_report(
    path: Path,
    session: Session,
    *,
    out: Path | None,
    paper: str | None,
    units: str | None,
    marking: str | None,
) -> int:
    """Write the papers of a plan again, after proving it again.

    Parameters
    ----------
    path
        The plan file, or a folder of results.
    out
        Folder for the papers; None: that of the plan.
    paper
        Size of the pages; None: the usual one for the units.
    units
        Units of the papers; None: the job's.
    marking
        How outlines are marked out; None: as the job says.
    """
    folder = papers_folder(path) if out is None else out
    settled = settle_papers_folder(folder)
    read = read_proven(path)
    job = with_marking(read.job, marking)
    verified = replace(read, job=job)
    if out is not None and out.resolve() != papers_folder(path).resolve():
        check_other_plans(out, verified)
    style = job.style if units is None else LengthStyle(units)
    written = write_results(
        verified,
        folder,
        choose_paper(paper, style),
        style,
        lambda: session.note_written(str(folder)),
    )
    show_findings((*settled, *written.findings, *spelling_findings(job)))
    click.echo(f"Papers: {folder}/shop.pdf, {folder}/shop.html and the files beside them")
    return 0 if verified.plan.is_complete else 4
