"""Papers asked for one by one from a plan file: a pattern, labels, what is left to cut."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from nestcut.cli.talk import say, show_findings
from nestcut.door.findings import Finding, InputError
from nestcut.door.papers import papers_folder
from nestcut.door.plan import read_proven
from nestcut.door.single import LabelSheet, add_paper, labels_of, pattern_of, what_is_left


def run_pattern(path: Path, piece: str, *, out: Path | None, paper: str | None, tiles: str) -> int:
    """Write the full-size pattern of a piece, or of a part by its name."""
    name, data = pattern_of(read_proven(path), piece, paper=paper, tiles=tiles)
    click.echo(f"Pattern: {_write(path, out, name, data)}")
    return 0


def run_labels(
    path: Path, *, out: Path | None, paper: str | None, grid: str | None, used: int
) -> int:
    """Write labels for every piece; ``used`` are gone from the first sheet of labels."""
    data = labels_of(read_proven(path), LabelSheet(paper=paper, grid=grid, used=used))
    click.echo(f"Labels: {_write(path, out, 'labels.pdf', data)}")
    return 0


def run_left(path: Path, ticks: Path, *, out: Path | None = None) -> int:
    """Tell what is left of a plan, from ticks saved by its page; ``out`` is the next job file."""
    try:
        verified = read_proven(path)
    except InputError as error:
        raise InputError(map(_told_for_ticks, error.findings)) from None
    left = what_is_left(verified, ticks, out)
    show_findings(left.findings)
    if out is None:
        click.echo(left.text, nl=False)
        return 0
    click.echo(str(out))
    for words in left.by_hand:
        say(f"by hand: {words}")
    say(f"Look it through, then: nestcut check {out}")
    return 0


def _told_for_ticks(finding: Finding) -> Finding:
    """Ticks belong to their plan: another plan is no remedy for a job file that was edited."""
    if finding.code != "PLAN-005":
        return finding
    return replace(finding, code="TCK-011")


def _write(plan: Path, out: Path | None, name: str, data: bytes) -> Path:
    target = papers_folder(plan) / name if out is None else out
    show_findings(add_paper(plan, target, data))
    return target
