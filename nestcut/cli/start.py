"""``nestcut start``: a first job file from drawings."""

from __future__ import annotations

import os
from pathlib import Path

import click

from nestcut.cli.talk import say, show_findings
from nestcut.drawings.first.start import first_job, start_by_numbers
from nestcut.drawings.pictures.picture import job_picture
from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import Drawing
from nestcut.errors import DrawingError, Finding, InputError, Severity
from nestcut.outlet import check_single, write_single
from nestcut.papers.view import many
from nestcut.units import LengthStyle, Unit

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
        try:
            drawing = read_drawing(path)
        except DrawingError as error:
            faults += error.findings
            continue
        show_findings(drawing.findings)
        name = Path(os.path.relpath(path, target.parent)).as_posix()
        drawings.append((name, drawing))
    if faults:
        raise InputError(faults)
    n = sum(len(d.outlines) for _, d in drawings)
    if not n:
        where = ", ".join(str(p) for p in paths)
        message = "no closed outline was found, so there is nothing to write a job file from."
        remedy = "Close the outlines of the parts in your drawing program; see what is told above."
        raise InputError([_finding("JOB-026", where, message, remedy)])
    style = _style(world, [d for _, d in drawings])
    picture = target.with_name(f"{target.stem}-picture.svg")
    made = first_job(tuple(drawings), name=target.stem, picture=picture.name, style=style)
    shown = job_picture([(f, d, n) for (f, d), n in zip(drawings, made.names, strict=True)])
    check_single(picture, shown.encode())
    write_single(target, made.text.encode())
    write_single(picture, shown.encode())
    click.echo(str(target))
    say(f"{many(n, 'outline')} found; {picture} shows them with their numbers.")
    _say_next(target)
    return 0


def _say_next(target: Path) -> None:
    say(f"Now open {target}, answer its questions, then: nestcut check {target}")


def _style(world: str | None, drawings: list[Drawing]) -> LengthStyle:
    if world is not None:
        return LengthStyle(world)
    is_inch = any(d.unit in _INCH_WORLD for d in drawings)
    return LengthStyle.INCH if is_inch else LengthStyle.MM


def _finding(code: str, where: str, message: str, remedy: str) -> Finding:
    return Finding(code=code, severity=Severity.ERROR, where=where, message=message, remedy=remedy)
