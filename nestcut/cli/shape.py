"""``nestcut shape``: what numbers gave, as drawings to check, edit and share."""

from __future__ import annotations

from pathlib import Path

import click

from nestcut.cli.talk import say, show_findings
from nestcut.drawings.write import write_shape_drawing
from nestcut.errors import Finding, InputError, Severity, blocking
from nestcut.intake.fairness import COLUMNS, panel_reports
from nestcut.intake.job import read_job_text, understand_job
from nestcut.model.part import SheetPart
from nestcut.outlet.folder import safe_name
from nestcut.reports.csv_lists import safe_text, to_csv


def run_shape(job: Path, *, out: Path | None, names: tuple[str, ...]) -> int:
    """Write a DXF for each part, and fairness reports of panels; exit 3 on faulty input."""
    understanding = understand_job(job)
    show_findings(understanding.findings)
    parts = understanding.job.sheet_parts
    _check_names(names, tuple(p.name for p in parts))
    folder = out if out is not None else Path("outputs") / f"{job.parent.resolve().name} shapes"
    try:
        _write(job, folder, [p for p in parts if not names or p.name in names], names)
    except OSError as error:
        raise InputError(
            [
                Finding(
                    code="OUT-001",
                    severity=Severity.ERROR,
                    where=str(folder),
                    message=f"can't be written ({error.strerror or error}).",
                    remedy="Choose another folder with --out.",
                )
            ]
        ) from None
    n = len(blocking(understanding.findings))
    if n:
        say(f"{n} to settle; parts at fault have no drawing.")
        return 3
    return 0


def _write(job: Path, folder: Path, parts: list[SheetPart], names: tuple[str, ...]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for part in parts:
        path = folder / f"{safe_name(part.name)}.dxf"
        write_shape_drawing(path, part.shape, part.name)
        click.echo(path)
    for report in panel_reports(read_job_text(job), job.parent):
        if not names or report.part in names:
            stem = f"{safe_name(report.part)}-fairness"
            (folder / f"{stem}.svg").write_text(report.picture, encoding="utf-8")
            (folder / f"{stem}.csv").write_text(
                to_csv(COLUMNS, [(safe_text(r[0]), *r[1:]) for r in report.rows]), encoding="utf-8"
            )
            click.echo(folder / f"{stem}.svg")
            click.echo(folder / f"{stem}.csv")


def _check_names(wanted: tuple[str, ...], known: tuple[str, ...]) -> None:
    missing = [name for name in wanted if name not in known]
    if missing:
        raise InputError(
            [
                Finding(
                    code="SHP-030",
                    severity=Severity.ERROR,
                    where=name,
                    message="there is no flat part of this name.",
                    remedy=f"Choose from: {', '.join(known)}.",
                )
                for name in missing
            ]
        )
