"""``nestcut start``: a first job file from drawings."""

from __future__ import annotations

from pathlib import Path

import click

from nestcut.cli.talk import say, show_findings
from nestcut.door.findings import InputError, Severity, Speech, finding
from nestcut.door.job import (
    NO_OUTLINE,
    Drawing,
    many,
    read_drawings,
    start_from_drawings,
    start_job,
    usual_style,
)
from nestcut.door.lengths import LengthStyle


def run_start(paths: tuple[Path, ...], *, out: Path | None, world: str | None) -> int:
    """Write a first job file; an existing one is never overwritten.

    Parameters
    ----------
    paths
        Drawings; none: a job file without any.
    out
        The job file to write; None: one beside the first drawing, named after it.
    world
        Units of the job, as typed; None: those that the drawings suggest, else mm.

    Raises
    ------
    InputError
        If a drawing is a folder, a job file or at fault, or the file is there already.
    UsageError
        If neither drawings nor a file to write are named.
    """
    folders = [p for p in paths if p.is_dir()]
    if folders:
        raise InputError([finding("JOB-025", Severity.ERROR, str(p)) for p in folders])
    jobs = [p for p in paths if p.suffix.casefold() == ".toml"]
    if jobs:
        raise InputError([finding("JOB-117", Severity.ERROR, str(p), file=p.name) for p in jobs])
    if not paths and out is None:
        message = "Name drawings, or a job file to write with --out, such as --out boat.toml."
        raise click.UsageError(message)
    target = out if out is not None else paths[0].with_name(f"{paths[0].stem}.toml")
    if target.is_dir():
        path = (target / "job.toml").as_posix()
        raise InputError([finding("OUT-016", Severity.ERROR, str(target), path=path)])
    if not paths:
        start_job(target, units=world or "mm")
        click.echo(str(target))
        _say_next(target)
        return 0
    drawings = read_drawings(paths, target, lambda path: say(f"reading {path} ..."))
    style = usual_style([d for _, d in drawings]) if world is None else LengthStyle(world)
    for _, drawing in drawings:
        _show(drawing, style)
    try:
        done = start_from_drawings(target, drawings, style)
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
    """Show what needs doing; questions stand in the job file, the rest below the picture.

    What sizes mean comes before all sizes, and what changes how many are cut isn't kept back.
    """
    found = drawing.findings
    of_sizes = [f for f in found if f.code in _OF_SIZES]
    shown = [f for f in found if f.severity in _SHOWN or f.code == _DRAWN_TWICE]
    for told in (of_sizes, shown):
        show_findings(told, Speech(style=style))
    rest = sum(1 for f in found if f not in shown and f.severity is not Severity.QUESTION)
    if rest:
        say(f"{drawing.file}: {many(rest, 'remark')} below its picture.")


_OF_SIZES = frozenset({"DXF-010", "DXF-012"})
"""The drawing's unit isn't known, so all sizes are guesses."""
_DRAWN_TWICE = "DXF-028"
_SHOWN = frozenset({Severity.ERROR, Severity.WARNING})


def _say_next(target: Path, questions: int | None = None) -> None:
    asked = "its questions" if questions is None else many(questions, "question")
    say(f"Now open {target}, answer {asked}, then: nestcut check {target}")
