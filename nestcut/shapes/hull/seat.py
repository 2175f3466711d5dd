"""Seats and thwarts: the inside of the planking at one height."""

from __future__ import annotations

import math

import numpy as np

from nestcut.geometry.curves import end_point, start_point
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.hull.section import Plane, SectionWish, section
from nestcut.shapes.hull.spaceline import SpaceLine, through
from nestcut.tolerances import SAME_LENGTH_MM

_SPACING_MM, _FEWEST = 60.0, 5
"""Places at which the planking is met: a fair curve through them is nearer than a saw. [mm, -]"""


def seat_edge(lines: list[SpaceLine], ends_mm: tuple[float, float], wish: SectionWish) -> SpaceLine:
    """Starboard edge of a seat from its after end (x = 0) forward; half-breadths along y. [mm]

    Parameters
    ----------
    lines
        Lines that its sections pass, from the keel up.
    ends_mm
        Where it begins and ends, forward of the after end of the lines. [mm]
    wish
        Planking, and the seat's height as the sections' top.

    Raises
    ------
    ShapeFaultError
        If the ends are one, or the planking isn't met at that height.
    """
    start, stop = ends_mm
    if stop - start <= SAME_LENGTH_MM:
        raise ShapeFaultError("to", "SHP-139")
    number = max(_FEWEST, math.ceil((stop - start) / _SPACING_MM) + 1)
    places = np.linspace(start, stop, number)
    breadths = [_half_breadth_mm(lines, float(x), wish) for x in places]
    return through(np.stack([places - start, np.array(breadths)], axis=1))


def _half_breadth_mm(lines: list[SpaceLine], forward_mm: float, wish: SectionWish) -> float:
    """Half-breadth inside the planking at the height where a section ends. [mm]"""
    drawn = section(lines, Plane(forward_mm=forward_mm), wish)
    ends = [p for c in drawn.outline for p in (start_point(c), end_point(c))]
    top = max(y for _, y in ends)
    return max(x for x, y in ends if top - y <= SAME_LENGTH_MM)
