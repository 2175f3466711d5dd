"""Shapes: closed outlines with cut-outs and marks, true and flattened side by side."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nestcut.model.curves import Curve, Point


@dataclass(frozen=True, slots=True)
class Ring:
    """A closed line.

    Parameters
    ----------
    points
        The flattened ring, shape (n, 2), n >= 3, first point not repeated. Outlines run
        counter-clockwise, holes clockwise. Flattening errs on the safe side: an outline's
        polygon covers the true outline, a hole's polygon lies inside the true hole.
    curves
        The true curves head to tail, same direction. Empty means: straight through ``points``.
    """

    points: tuple[Point, ...]
    curves: tuple[Curve, ...] = ()

    def __post_init__(self) -> None:
        if len(self.points) < 3:
            raise ValueError(f"a ring needs three points, got {len(self.points)}")


class MarkUse(StrEnum):
    """What a mark is for; its label is the builder's and decides nothing."""

    PLAIN = "plain"
    """Drawn or asked for: a frame station, a fold."""
    TRIM = "trim"
    """The net outline inside an allowance, to trim to after the dry fit."""
    JOINT = "joint"
    """Where the overlap of a joint begins, or the joint under a strap."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A line to draw on a piece but not to cut: a frame station, a fold, a trim line.

    ``points`` is the flattened line, open or closed; ``label`` may be empty.
    """

    points: tuple[Point, ...]
    curves: tuple[Curve, ...] = ()
    label: str = ""
    use: MarkUse = MarkUse.PLAIN


@dataclass(frozen=True, slots=True)
class Shape:
    """What is cut out: an outline, the holes in it, and marks on it."""

    outline: Ring
    holes: tuple[Ring, ...] = ()
    marks: tuple[Mark, ...] = ()
