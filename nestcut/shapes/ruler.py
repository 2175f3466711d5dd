"""Where along a part a place along the boat lies, for whatever is placed along the part."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from nestcut.model.part import End
from nestcut.model.shape import Mark


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """Where a part is bent hardest, along it, and to which radius. [mm]"""

    from_mm: float
    to_mm: float
    radius_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruler:
    """A part's own scale, from the end at which it starts.

    Parameters
    ----------
    length_mm
        Its length. [mm]
    bow
        Which of its ends lies towards the bow.
    of_forward
        Least and greatest place along the part that lies so far forward of the after end, where the
        part is; None beyond its ends. [mm]
    hardest
        Where it is bent hardest; None where no place stands out, or nobody knows.
    """

    length_mm: float
    bow: End = End.UNSAID
    of_forward: Callable[[float], tuple[float, float] | None] | None = None
    hardest: Bend | None = None


def mark_span(mark: Mark | None, start_mm: float) -> tuple[float, float] | None:
    """Least and greatest place of a line across a part, from the part's start. [mm]"""
    if mark is None:
        return None
    places = [x - start_mm for x, _ in mark.points]
    return min(places), max(places)
