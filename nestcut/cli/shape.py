"""``nestcut shape``: what numbers gave, as drawings to check, edit and share."""

from __future__ import annotations

import tempfile
from pathlib import Path

import click

from nestcut.cli.talk import say, show_findings
from nestcut.drawings.write import write_shape_drawing
from nestcut.errors import Finding, InputError, Severity, blocking
from nestcut.intake.fairness import COLUMNS, panel_reports
from nestcut.intake.job import read_job_text, understand_job
from nestcut.model.part import SheetPart
from nestcut.outlet.folder import safe_name
from nestcut.papers.lists import safe_text, to_csv


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
    if folder.exists() and not folder.is_dir():
        raise InputError([_refused(folder, "that is a file, and a folder is needed.")])
    with tempfile.TemporaryDirectory() as made:
        files = [
            (folder / f"{safe_name(p.name)}.dxf", _drawn(Path(made) / "part.dxf", p)) for p in parts
        ]
    for report in panel_reports(read_job_text(job), job.parent):
        if not names or report.part in names:
            stem = f"{safe_name(report.part)}-fairness"
            table = to_csv(COLUMNS, [(safe_text(r[0]), *r[1:]) for r in report.rows])
            files.append((folder / f"{stem}.svg", report.picture.encode()))
            files.append((folder / f"{stem}.csv", table.encode()))
    foreign = [path for path, content in files if _is_other(path, content)]
    if foreign:
        message = "there is another file of this name, which is left as it is."
        raise InputError([_refused(path, message) for path in foreign])
    folder.mkdir(parents=True, exist_ok=True)
    for path, content in files:
        path.write_bytes(content)
        click.echo(path)


def _drawn(path: Path, part: SheetPart) -> bytes:
    write_shape_drawing(path, part.shape, part.name)
    return path.read_bytes()


def _is_other(path: Path, content: bytes) -> bool:
    """Whether something stands there that isn't the very file about to be written."""
    return path.exists() and (not path.is_file() or path.read_bytes() != content)


def _refused(path: Path, message: str) -> Finding:
    return Finding(
        code="OUT-002",
        severity=Severity.ERROR,
        where=str(path),
        message=message,
        remedy="Choose another folder with --out, or move what is there.",
    )


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
                    remedy=f"Choose from: {', '.join(known)}."
                    if known
                    else "No flat part of this job was understood: settle what is above first.",
                )
                for name in missing
            ]
        )
