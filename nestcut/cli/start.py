"""``nestcut start``: a first job file from drawings."""

from __future__ import annotations

import os
from pathlib import Path

import click

from nestcut.cli.talk import say, show_findings
from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import Drawing
from nestcut.drawings.start import start_job
from nestcut.errors import DrawingError, Finding, InputError, Severity
from nestcut.units import LengthStyle, Unit

_INCH_WORLD = {Unit.INCH, Unit.FOOT}


def run_start(paths: tuple[Path, ...], *, out: Path | None, world: str | None) -> int:
    """Write a first job file; an existing one is never overwritten."""
    target = out if out is not None else paths[0].with_name(f"{paths[0].stem}.toml")
    if target.exists():
        raise InputError(
            [
                _finding(
                    "OUT-002",
                    str(target),
                    "there is a job file already.",
                    "Choose another with --out.",
                )
            ]
        )
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
    style = _style(world, [d for _, d in drawings])
    text = start_job(tuple(drawings), name=target.stem, style=style)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with target.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except OSError as error:
        message = f"the job file can't be written ({error.strerror or error})."
        raise InputError(
            [_finding("OUT-001", str(target), message, "Choose another with --out.")]
        ) from None
    n = sum(len(d.outlines) for _, d in drawings)
    click.echo(str(target))
    say(
        f"{n} outlines found. Now open {target}, answer its questions, then: nestcut check {target}"
    )
    return 0


def _style(world: str | None, drawings: list[Drawing]) -> LengthStyle:
    if world is not None:
        return LengthStyle(world)
    is_inch = any(d.unit in _INCH_WORLD for d in drawings)
    return LengthStyle.INCH if is_inch else LengthStyle.MM


def _finding(code: str, where: str, message: str, remedy: str) -> Finding:
    return Finding(code=code, severity=Severity.ERROR, where=where, message=message, remedy=remedy)
