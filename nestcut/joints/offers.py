"""What is offered for a part whose joints may lie where they suit, to choose from."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from nestcut.facts import Fact
from nestcut.model.part import SheetPart

Positions = tuple[float, ...]
"""Middles of joints along a part, rising. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Joint positions of one part: of the drawn hand, and of its twin where they differ."""

    at_mm: Positions
    twin_at_mm: Positions | None = None


class KeptBack(StrEnum):
    """What keeps a band's pieces from being longer, and so from being fewer."""

    GRAIN = "the grain"
    WIDTH = "the board's width"
    LENGTH = "the board's length"


@dataclass(frozen=True, slots=True, kw_only=True)
class FromWidth:
    """What a band comes to from boards of one width.

    Parameters
    ----------
    width_mm
        Of the boards, as far as it can be used. [mm]
    pieces_mm
        Lengths of the pieces along the curve, overlaps included, from the reference end; empty
        where no number of pieces will do. [mm]
    cost_minor
        The length of board that they take, in money; None where no prices are known. [minor units]
    run_out
        Grain running out at an edge at worst, the run in "1 in run". [-]
    kept_back
        What keeps the pieces from being fewer.
    """

    width_mm: float
    pieces_mm: tuple[float, ...] = ()
    cost_minor: float | None = None
    run_out: float = math.inf
    kept_back: tuple[KeptBack, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """What is offered for one part.

    Parameters
    ----------
    choices
        Fewest joints first. Empty where no set of positions will do.
    equal
        Those of them that divide the part into equal stretches: the plain way to do it.
    reasons
        Why something is missing.
    widths
        Of a band: what it comes to from boards of each width, narrowest first.
    most_joints
        Most joints that were thought of.
    """

    part: SheetPart
    choices: tuple[Choice, ...]
    equal: tuple[Choice, ...]
    reasons: tuple[Fact, ...] = ()
    widths: tuple[FromWidth, ...] = ()
    most_joints: int = 0
