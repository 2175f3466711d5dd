"""``nestcut shape``: what numbers gave, as drawings to check, edit and share."""

from __future__ import annotations

import tempfile
from pathlib import Path

import click

from nestcut.cli.drawn import write_drawings
from nestcut.cli.talk import say, show_findings
from nestcut.drawings.write import write_shape_drawing
from nestcut.errors import InputError, Severity, blocking, finding
from nestcut.facts import Names
from nestcut.intake.fairness import COLUMNS, panel_reports
from nestcut.intake.job import read_job_text, understand_job
from nestcut.model.part import SheetPart
from nestcut.outlet import free_names
from nestcut.papers.lists import safe_text, to_csv
from nestcut.words import speech_of


def run_shape(job: Path, *, out: Path | None, names: tuple[str, ...]) -> int:
    """Write a DXF for each part, and fairness reports of panels; exit 3 on faulty input."""
    understanding = understand_job(job)
    show_findings(understanding.findings, speech_of(understanding.job))
    parts = understanding.job.sheet_parts
    _check_names(names, tuple(p.name for p in parts))
    folder = out if out is not None else Path("outputs") / f"{job.parent.resolve().name} shapes"
    write_drawings(folder, files := _files(job, parts, names))
    for name in files:
        click.echo(folder / name)
    n = len(blocking(understanding.findings))
    if n:
        say(f"{n} to settle; parts at fault have no drawing.")
        return 3
    return 0


def _files(job: Path, parts: tuple[SheetPart, ...], names: tuple[str, ...]) -> dict[str, bytes]:
    """Return the content of each file by its name; each part has a name of its own."""
    stems = dict(zip((p.name for p in parts), free_names(p.name for p in parts), strict=True))
    wanted = [p for p in parts if not names or p.name in names]
    files: dict[str, bytes] = {}
    with tempfile.TemporaryDirectory() as made:
        for part in wanted:
            files[f"{stems[part.name]}.dxf"] = _drawn(Path(made) / "part.dxf", part)
    for report in panel_reports(read_job_text(job), job.parent):
        if report.part in stems and (not names or report.part in names):
            stem = f"{stems[report.part]}-fairness"
            table = to_csv(COLUMNS, [(safe_text(r[0]), *r[1:]) for r in report.rows])
            files[f"{stem}.svg"] = report.picture.encode()
            files[f"{stem}.csv"] = table.encode()
    return files


def _drawn(path: Path, part: SheetPart) -> bytes:
    write_shape_drawing(path, part.shape, part.name)
    return path.read_bytes()


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
