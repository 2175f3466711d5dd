"""Findings and progress as lines on stderr."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TextIO

import click

from nestcut.cli.width import columns, fitted
from nestcut.door.findings import (
    Finding,
    Progress,
    Severity,
    Speech,
    Spot,
    lines_of,
    plain,
    plain_line,
    progress_line,
    spot_of,
    tell,
)

_COLOURS = {
    Severity.ERROR: "red",
    Severity.QUESTION: "magenta",
    Severity.WARNING: "yellow",
    Severity.REPAIRED: "cyan",
    Severity.NOTE: "blue",
}


_QUIET_S = 1.0
"""What changes in figures only is shown again after so long. [s]"""
MOST_SHOWN = 50
"""So many findings of one command are shown; nobody reads more at once. [-]"""


def say(text: str) -> None:
    """Print a line of talk."""
    click.echo(fitted(text, sys.stderr), err=True)


def show(text: str) -> None:
    """Print a line of what was asked for."""
    click.echo(fitted(text, sys.stdout))


def show_findings(findings: Iterable[Finding], speech: Speech = Speech()) -> None:  # noqa: B008
    """Print findings, the blocking ones last so that they are what is seen."""
    ranked = sorted(findings, key=lambda f: f.is_blocking)
    kept, left = _most_telling(ranked)
    read: dict[Path, list[str]] = {}
    for told in kept:
        head = click.style(str(told.severity), fg=_COLOURS[told.severity], bold=True)
        spot = _spot(told, read)
        say(f"{head} {told.code}  {plain_line(_place(told, spot) + told.where)}")
        if spot is not None and told.severity is not Severity.NOTE:
            for line in _shown(spot):
                click.echo(f"    {plain_line(line)}", err=True)  # the caret keeps its place
        words = tell(told, speech)
        say(f"    {plain(words.message)}")
        if words.remedy:
            say(f"    -> {plain(words.remedy)}")
    if left:
        say(f"and {left} more like these; settle those shown first.")


def _most_telling(ranked: list[Finding]) -> tuple[list[Finding], int]:
    """Return the first findings, those that bar a plan before others, and how many are left out."""
    barring = [f for f in ranked if f.is_blocking][:MOST_SHOWN]
    others = [f for f in ranked if not f.is_blocking][: MOST_SHOWN - len(barring)]
    return [*others, *barring], len(ranked) - len(others) - len(barring)


def _spot(told: Finding, read: dict[Path, list[str]]) -> Spot | None:
    """Where a finding points in the job file; None where it points elsewhere.

    ``read`` keeps the lines of files from one finding to the next.
    """
    path = Path(told.file)
    if not told.file or path.suffix.lower() != ".toml":
        return None
    if path not in read:
        read[path] = lines_of(path)
    lines = read[path]
    if not told.line:
        return spot_of(told.where, lines)
    text = lines[told.line - 1] if told.line <= len(lines) else ""
    return Spot(told.line, "", text, told.column, max(1, len(text) - told.column + 1))


def _place(told: Finding, spot: Spot | None) -> str:
    """File, line and name of the table that a finding points at, as far as they're known."""
    if not told.file or told.file in told.where:
        return ""
    if spot is None or told.line:
        return f"{told.file}: "
    name = f" ({spot.name[:60]})" if spot.name else ""
    return f"{told.file}, line {spot.line}{name}: "


_WIDEST = 92


def _shown(spot: Spot) -> tuple[str, ...]:
    """Line of the file and a caret under what is meant, cut to a terminal's width."""
    text = spot.text.expandtabs(1).rstrip()
    if not text:
        return ()
    start = spot.column - 1
    cut = max(0, start - _WIDEST // 2) if len(text) > _WIDEST else 0
    shown = text[cut : cut + _WIDEST]
    width = max(1, min(spot.width, len(shown) - (start - cut)))
    return (f"| {shown}", f"| {' ' * (start - cut)}{'^' * width}")


def use_colour() -> bool | None:
    """Whether colours are wanted: None leaves it to the terminal, NO_COLOR turns them off."""
    return False if os.environ.get("NO_COLOR") else None


def _news(progress: Progress) -> tuple[object, ...]:
    """What is shown at once when it changes."""
    return progress.phase, progress.subject, progress.counts


@dataclass(slots=True)
class ProgressLine:
    """A watcher that keeps one line on a terminal; elsewhere it prints a line now and then."""

    speech: Speech = field(default_factory=Speech)
    stream: TextIO = field(default_factory=lambda: sys.stderr)
    started_s: float = field(default_factory=time.monotonic)
    _last: Progress | None = None
    _shown_s: float = 0.0
    _width: int = 0

    def tell(self, progress: Progress) -> None:
        """Show what is being worked on, the best so far and the bound."""
        now = time.monotonic()
        is_new = self._last is None or _news(progress) != _news(self._last)
        if not is_new and (progress == self._last or now - self._shown_s < _QUIET_S):
            return
        self._last, self._shown_s = progress, now
        line = f"{now - self.started_s:6.1f} s  {progress_line(progress, self.speech)}"
        if self.stream.isatty():
            line = line[: columns() - 1]  # a line that goes on below could not be overwritten
            self.stream.write("\r" + line.ljust(self._width))
            self._width = len(line)
        else:
            self.stream.write(line + "\n")
        self.stream.flush()

    def close(self) -> None:
        """End the line."""
        if self._width and self.stream.isatty():
            self.stream.write("\n")
            self._width = 0
