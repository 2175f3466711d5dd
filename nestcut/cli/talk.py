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

from nestcut.cli.locate import Spot, spot_of
from nestcut.errors import Finding, Severity
from nestcut.words import Speech, tell

_COLOURS = {
    Severity.ERROR: "red",
    Severity.QUESTION: "magenta",
    Severity.WARNING: "yellow",
    Severity.REPAIRED: "cyan",
    Severity.NOTE: "blue",
}


def say(text: str) -> None:
    """Print a line of talk."""
    click.echo(text, err=True)


def show_findings(findings: Iterable[Finding], speech: Speech = Speech()) -> None:  # noqa: B008
    """Print findings, the blocking ones last so that they are what is seen."""
    for finding in sorted(findings, key=lambda f: f.is_blocking):
        head = click.style(str(finding.severity), fg=_COLOURS[finding.severity], bold=True)
        spot = _spot(finding)
        say(f"{head} {finding.code}  {_place(finding, spot)}{finding.where}")
        if spot is not None and finding.severity is not Severity.NOTE:
            for line in _shown(spot):
                say(f"    {line}")
        told = tell(finding, speech)
        say(f"    {told.message}")
        if told.remedy:
            say(f"    -> {told.remedy}")


def _spot(finding: Finding) -> Spot | None:
    """Where a finding points in the job file; None where it points elsewhere."""
    path = Path(finding.file)
    if not finding.file or path.suffix.lower() != ".toml":
        return None
    if not finding.line:
        return spot_of(finding.where, path)
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return None
    text = lines[finding.line - 1] if finding.line <= len(lines) else ""
    return Spot(finding.line, "", text, finding.column, max(1, len(text) - finding.column + 1))


def _place(finding: Finding, spot: Spot | None) -> str:
    """File, line and name of the table that a finding points at, as far as they're known."""
    if not finding.file or finding.file in finding.where:
        return ""
    if spot is None or finding.line:
        return f"{finding.file}: "
    name = f" ({spot.name})" if spot.name else ""
    return f"{finding.file}, line {spot.line}{name}: "


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


@dataclass(slots=True)
class ProgressLine:
    """A watcher that keeps one line on a terminal, or prints changes elsewhere."""

    stream: TextIO = field(default_factory=lambda: sys.stderr)
    started_s: float = field(default_factory=time.monotonic)
    _last: str = ""
    _shown_s: float = 0.0
    _width: int = 0

    def tell(self, stage: str, best: str, bound: str) -> None:
        """Show the stage, the best so far and the bound."""
        text = f"{stage}: {best}" + (f", {bound}" if bound else "")
        now = time.monotonic()
        if text == self._last and now - self._shown_s < 1.0:
            return
        changed, self._last = text != self._last, text
        line = f"{now - self.started_s:6.1f} s  {text}"
        if self.stream.isatty():
            self._shown_s = now
            self.stream.write("\r" + line[:118].ljust(self._width))
            self._width = min(len(line), 118)
            self.stream.flush()
        elif changed:
            self._shown_s = now
            self.stream.write(line + "\n")
            self.stream.flush()

    def close(self) -> None:
        """End the line."""
        if self._width and self.stream.isatty():
            self.stream.write("\n")
            self._width = 0
