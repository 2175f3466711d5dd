"""How a search goes: records for whoever watches, before anyone has put them into words."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nestcut.facts import Fact
from nestcut.model.plan import Plan

Named = str | Fact
"""A name as the builder wrote it, or what is said where nobody gave one."""


class Phase(StrEnum):
    """What a search is at."""

    FIRST_PLAN = "first plan"
    """A plan without any search has been proven."""
    JOINTS = "joints"
    """Places are tried for joints that the job leaves free."""
    RAILS = "rails"
    """Boards are chosen for rails whose joints are known."""
    JOINED_RAILS = "joined rails"
    """Boards and joints of rails are chosen together; the cheapest boards come first."""
    SHEETS = "sheets"
    """Fewer or cheaper sheets are looked for."""
    OFFCUTS = "offcuts"
    """A larger offcut is looked for."""
    PROVEN = "proven"
    """A better plan has been proven."""


@dataclass(frozen=True, slots=True)
class SoFar:
    """Sheets or boards of one material to buy so far, and the least of any plan; 0: not known."""

    name: Named
    count: int
    least: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """Where a search stands.

    Parameters
    ----------
    phase, subject
        What it is at, and the material or the parts that it is about.
    share
        Share of this phase's work that is done, 0 to 1. [-]
    counts
        What every material of this phase comes to so far.
    cost_minor, bound_minor
        What the best so far costs, and what nothing can cost less than; None: not known. In the
        phases of sheets and rails they are about these alone. [minor units]
    plan
        The plan so far, proven, with all its layouts, where it is a new one; else None.
    """

    phase: Phase
    subject: tuple[Named, ...] = ()
    share: float = 0.0
    counts: tuple[SoFar, ...] = ()
    cost_minor: float | None = None
    bound_minor: float | None = None
    plan: Plan | None = None
