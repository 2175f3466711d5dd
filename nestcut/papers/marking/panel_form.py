"""Which outlines are set out as panels: two rows of offsets at stations along a base line."""

from __future__ import annotations

import numpy as np

from nestcut.papers.marking.lines import Way
from nestcut.papers.marking.outline import Marking, MarkPoint, Role
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.tolerances.lengths import CHART_EDGE_MM

LEAST_STATIONS = 4
"""A shape with fewer points on battens isn't set out as a panel."""


def is_panel(marking: Marking) -> bool:
    """Whether an outline runs out along its lower edge and back along the upper one."""
    line = marking.lines[0]
    if line.circle is not None or len(line.points) < 7:
        return False
    if any(p.way is Way.COMPASS for p in line.points):
        return False
    xs = np.array([p.x_mm for p in line.points])
    if all(p.role is Role.STATION for p in line.points):
        return False
    if sum(p.role is Role.STATION for p in line.points) < LEAST_STATIONS:
        return False
    start, far = panel_ends(marking)
    lower = np.roll(xs, -start)[: (far - start) % len(xs) + 1]
    upper = np.roll(xs, -far)[1 : (start - far) % len(xs)]
    if start == far or not len(upper):  # one curve all round, or a straight line back: no two rows
        return False
    ends_are_corners = all(line.points[k].role is Role.CORNER for k in (start, far))
    is_long = np.ptp(xs) > 1.5 * np.ptp([p.y_mm for p in line.points])
    rises = bool((np.diff(lower) >= 0).all() and (np.diff(upper) <= 0).all())
    return ends_are_corners and rises and bool(is_long)


def panel_ends(marking: Marking) -> tuple[int, int]:
    """Indexes of the points where the lower row begins and ends: lowest at both ends."""
    points = marking.lines[0].points
    corners = [k for k, p in enumerate(points) if p.role is Role.CORNER]
    if not corners:
        return 0, 0
    low = min(points[k].x_mm for k in corners)
    high = max(points[k].x_mm for k in corners)
    start = min(
        (k for k in corners if points[k].x_mm <= low + SAME_LENGTH_MM), key=lambda k: points[k].y_mm
    )
    far = min(
        (k for k in corners if points[k].x_mm >= high - SAME_LENGTH_MM),
        key=lambda k: points[k].y_mm,
    )
    # an end that leans outward belongs to neither edge: the lower row begins at its foot
    n = len(points)
    if _is_steep(points[start], points[(start + 1) % n]):
        start = (start + 1) % n
    if _is_steep(points[far - 1], points[far]):
        far = (far - 1) % n
    return start, far


def _is_steep(a: MarkPoint, b: MarkPoint) -> bool:
    """Whether two corners are joined by a line that rises more than it runs."""
    is_line = a.way is Way.STRAIGHT and a.role is b.role is Role.CORNER
    return is_line and abs(b.y_mm - a.y_mm) > abs(b.x_mm - a.x_mm)


def through_mm(marking: Marking) -> float | None:
    """Height of a line midway between a panel's edges, None where none keeps clear of both. [mm]

    A line along the lowest point of an outline lies beside most of a bowed panel, often off its
    sheet; one that runs through the panel lies on the piece, wherever that is.
    """
    lower, upper = panel_edges(marking)
    low, high = (max(p.y_mm for p in lower), min(p.y_mm for p in upper))
    if high - low < 2.0 * CHART_EDGE_MM:
        return None
    return marking.rule.rounded((low + high) / 2.0)


def panel_edges(marking: Marking) -> tuple[list[MarkPoint], list[MarkPoint]]:
    """Points of the lower and of the upper edge, both along the base line.

    An upper batten that ends where the lower edge does has that point too.
    """
    points = marking.lines[0].points
    n = len(points)
    start, far = panel_ends(marking)
    lower = [points[(start + k) % n] for k in range((far - start) % n + 1)]
    upper = [points[(far + k) % n] for k in range(1, (start - far) % n)][::-1]
    if upper and upper[-1].role is Role.STATION:
        upper = [*upper, points[far]]
    if upper and upper[0].role is Role.STATION:
        upper = [points[start], *upper]
    return lower, upper
