"""``nestcut start``: a first job file from drawings."""

from __future__ import annotations

import os
from pathlib import Path

import click

from nestcut.cli.talk import say, show_findings
from nestcut.drawings.first.by_numbers import start_by_numbers
from nestcut.drawings.first.gaps import read_for_start
from nestcut.drawings.records import Drawing
from nestcut.errors import DrawingError, Finding, InputError, Severity
from nestcut.outlet import check_single, write_single
from nestcut.outlet.first import NO_OUTLINE, write_first_job
from nestcut.papers.view import many
from nestcut.units import LengthStyle, Unit
from nestcut.words import Speech

_INCH_WORLD = {Unit.INCH, Unit.FOOT}


def run_start(paths: tuple[Path, ...], *, out: Path | None, world: str | None) -> int:
    """Write a first job file; an existing one is never overwritten."""
    folders = [p for p in paths if p.is_dir()]
    if folders:
        remedy = "Give the drawings in it by name, such as boat.dxf."
        raise InputError(
            [
                _finding("JOB-025", str(p), "that is a folder, not a drawing.", remedy)
                for p in folders
            ]
        )
    if not paths and out is None:
        message = "Name drawings, or a job file to write with --out, such as --out boat.toml."
        raise click.UsageError(message)
    target = out if out is not None else paths[0].with_name(f"{paths[0].stem}.toml")
    if target.is_dir():
        remedy = f"Name the file, such as --out {(target / 'job.toml').as_posix()}."
        raise InputError([_finding("OUT-002", str(target), "that is a folder.", remedy)])
    check_single(target)
    if not paths:
        write_single(target, start_by_numbers(target.stem, LengthStyle(world or "mm")).encode())
        click.echo(str(target))
        _say_next(target)
        return 0
    drawings: list[tuple[str, Drawing]] = []
    faults: list[Finding] = []
    for path in paths:
        say(f"reading {path} ...")
        try:
            drawing = read_for_start(path)
        except DrawingError as error:
            faults += error.findings
            continue
        name = Path(os.path.relpath(path, target.parent)).as_posix()
        drawings.append((name, drawing))
    if faults:
        raise InputError(faults)
    style = _style(world, [d for _, d in drawings])
    for _, drawing in drawings:
        _show(drawing, style)
    try:
        done = write_first_job(target, tuple(drawings), style)
    except InputError as error:
        if any(f.code != NO_OUTLINE for f in error.findings):
            raise
        show_findings(error.findings)  # the picture is written, so not "nothing was written"
        return 3
    click.echo(str(target))
    say(
        f"{many(done.parts, 'part')} found: look at {done.picture} (or .png), which shows every "
        "outline with its number."
    )
    _say_next(target, done.questions)
    return 0


def _show(drawing: Drawing, style: LengthStyle) -> None:
    """Show what needs doing; questions stand in the job file, the rest below the picture."""
    shown = [f for f in drawing.findings if f.severity in {Severity.ERROR, Severity.WARNING}]
    show_findings(shown, Speech(style=style))
    rest = sum(1 for f in drawing.findings if f.severity in {Severity.NOTE, Severity.REPAIRED})
    if rest:
        say(f"{drawing.file}: {many(rest, 'remark')} below its picture.")


def _say_next(target: Path, questions: int | None = None) -> None:
    asked = "its questions" if questions is None else many(questions, "question")
    say(f"Now open {target}, answer {asked}, then: nestcut check {target}")


def _style(world: str | None, drawings: list[Drawing]) -> LengthStyle:
    if world is not None:
        return LengthStyle(world)
    is_inch = any(d.unit in _INCH_WORLD for d in drawings)
    return LengthStyle.INCH if is_inch else LengthStyle.MM


def _finding(code: str, where: str, message: str, remedy: str) -> Finding:
    return Finding(code=code, severity=Severity.ERROR, where=where, message=message, remedy=remedy)
