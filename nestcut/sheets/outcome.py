"""What laying out sheets comes to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from nestcut.facts import Fact
from nestcut.model.plan import Bound, SheetLayout, StopReason, Unplaced


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """What the search won over one pass of bottom-left by falling area, for one material.

    ``plain_*`` are the one-pass layout's figures; sheets are those used, to hand or bought.
    """

    name: str
    said: Fact | None = None
    plain_sheets: int
    plain_offcut_mm2: float
    sheets: int
    offcut_mm2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetsOutcome:
    """Layouts of all materials, what found no place, and how good it is.

    Whatever makes a plan impossible is raised instead.  Where layouts keep a rectangle in reserve
    is asked once they stand (:mod:`nestcut.sheets.left.reserves`).
    """

    layouts: tuple[SheetLayout, ...]
    unplaced: tuple[Unplaced, ...]
    bounds: tuple[Bound, ...]
    stopped_by: StopReason
    compared: tuple[Comparison, ...] = ()


Better = Callable[[SheetsOutcome], None]
"""Told every better outcome as soon as it is found and checked; called from the main thread."""


def ignore_better(outcome: SheetsOutcome) -> None:
    """Take no note of better outcomes on the way."""
    del outcome
