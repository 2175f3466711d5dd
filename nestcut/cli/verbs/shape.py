"""``nestcut shape``: what numbers gave, as drawings to check, edit and share."""

from __future__ import annotations

from pathlib import Path

import click

from nestcut.cli.talk import say, show_findings
from nestcut.cli.verbs.drawn import write_drawings
from nestcut.door.findings import InputError, Names, Severity, blocking, finding, speech_of
from nestcut.door.job import check_job, part_files, reading_limits


def run_shape(job: Path, *, out: Path | None, names: tuple[str, ...]) -> int:
    """Write a DXF for each part, and fairness reports of panels; exit 3 on faulty input.

    Parameters
    ----------
    job
        The job file.
    out
        Folder for the drawings; None: one named after the job's, in ``outputs``.
    names
        Parts to draw; none: all.
    """
    understanding = check_job(job)
    findings = (*understanding.findings, *reading_limits(understanding))
    show_findings(findings, speech_of(understanding.job))
    parts = understanding.job.sheet_parts
    _check_names(names, tuple(p.name for p in parts))
    folder = out if out is not None else Path("outputs") / f"{job.parent.resolve().name} shapes"
    write_drawings(folder, files := part_files(job, parts, names))
    for name in files:
        click.echo(folder / name)
    n = len(blocking(understanding.findings))
    if n:
        say(f"{n} to settle; parts at fault have no drawing.")
        return 3
    return 0


def _check_names(wanted: tuple[str, ...], known: tuple[str, ...]) -> None:
    missing = [name for name in wanted if name not in known]
    if missing:
        raise InputError(
            [
                finding("SHP-030", Severity.ERROR, name, names=Names(known))
                if known
                else finding("SHP-034", Severity.ERROR, name)
                for name in missing
            ]
        )
