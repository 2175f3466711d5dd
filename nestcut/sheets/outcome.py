"""What laying out sheets comes to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from nestcut.errors import Finding
from nestcut.model.plan import Bound, SheetLayout, StopReason, Unplaced


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetsOutcome:
    """Layouts of all materials, what found no place, and how good it is.

    ``findings`` are notes and warnings; whatever makes a plan impossible is raised instead.
    """

    layouts: tuple[SheetLayout, ...]
    unplaced: tuple[Unplaced, ...]
    bounds: tuple[Bound, ...]
    stopped_by: StopReason
    findings: tuple[Finding, ...] = ()


Better = Callable[[SheetsOutcome], None]
"""Told every better outcome as soon as it is found and checked; called from the main thread."""


def ignore_better(outcome: SheetsOutcome) -> None:
    """Take no note of better outcomes on the way."""
    del outcome
