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

from nestcut.cli.locate import spot_of
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
        say(f"{head} {finding.code}  {_place(finding)}{finding.where}")
        told = tell(finding, speech)
        say(f"    {told.message}")
        if told.remedy:
            say(f"    -> {told.remedy}")


def _place(finding: Finding) -> str:
    """File, line and name of the table that a finding points at, as far as they're known."""
    if not finding.file or finding.file in finding.where:
        return ""
    path = Path(finding.file)
    spot = spot_of(finding.where, path) if path.suffix.lower() == ".toml" else None
    if spot is None:
        return f"{finding.file}: "
    name = f" ({spot.name})" if spot.name else ""
    return f"{finding.file}, line {spot.line}{name}: "


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
