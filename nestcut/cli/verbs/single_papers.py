"""Papers asked for one by one from a plan file: a pattern, labels."""

from __future__ import annotations

from pathlib import Path

import click

from nestcut.cli.talk import show_findings
from nestcut.door.papers import papers_folder
from nestcut.door.plan import read_proven
from nestcut.door.single import (
    LabelSheet,
    PrintedPattern,
    add_paper,
    labels_of,
    pattern_of,
)


def run_pattern(path: Path, piece: str, *, out: Path | None, paper: str | None, tiles: str) -> int:
    """Write the full-size pattern of a piece, or of a part by its name.

    Parameters
    ----------
    path
        The plan file, or a folder of results.
    piece
        Name of a piece or part.
    out
        The PDF to write; None: one in the plan's folder.
    paper
        Size of the pages; None: the usual one for the job's units.
    tiles
        ``all``, ``touched`` by the piece, or only those with ``lines``.
    """
    made = pattern_of(read_proven(path), piece, paper=paper, tiles=tiles)
    click.echo(f"Pattern of {made.of}: {_write(path, out, made.file, made.data)}")
    for line in _served_lines(made):
        click.echo(line)
    return 0


def run_labels(
    path: Path, *, out: Path | None, paper: str | None, grid: str | None, used: int
) -> int:
    """Write labels for every piece; ``used`` are gone from the first sheet of labels.

    Parameters
    ----------
    path
        The plan file, or a folder of results.
    out
        The PDF to write; None: ``labels.pdf`` in the plan's folder.
    paper
        Size of the pages; None: the usual one for the job's units.
    grid
        Sizes of a sheet of labels, as the builder types them; None: the usual one.
    used
        How many labels are gone from the first sheet.
    """
    data = labels_of(read_proven(path), LabelSheet(paper=paper, grid=grid, used=used))
    click.echo(f"Labels: {_write(path, out, 'labels.pdf', data)}")
    return 0


def _served_lines(made: PrintedPattern) -> list[str]:
    """Say which other pieces of the part it fits, and which have patterns of their own."""
    lines = []
    alike = [name for name in made.served.alike if name != made.of]
    if alike:
        lines.append(f"It serves as well for: {'; '.join(alike)}.")
    if made.served.turned:
        lines.append(f"Turned over, it serves for: {'; '.join(made.served.turned)}.")
    if made.served.others:
        asked = "; ".join(f"'{name}'" for name in made.served.others)
        lines.append(f"Not for these, which differ: ask for each by its name: {asked}.")
    return lines


def _write(plan: Path, out: Path | None, name: str, data: bytes) -> Path:
    target = papers_folder(plan) / name if out is None else out
    show_findings(add_paper(plan, target, data))
    return target
