"""Hatch lines across any area: they are what tells areas apart on a black and white print."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from nestcut.papers.draw.diagram import Lines, Pen


def hatch(
    area: BaseGeometry, *, spacing_mm: float, angle_deg: float = 45.0, pen: Pen = Pen.HATCH
) -> Lines:
    """Parallel lines inside ``area``, ``spacing_mm`` apart; the pattern is fixed to the page.

    Parameters
    ----------
    area
        What to fill, on the page. [mm]
    spacing_mm
        Distance between lines. [mm]
    angle_deg
        Way of the lines, counter-clockwise from x. [deg]
    """
    if area.is_empty:
        return Lines((), pen)
    angle = math.radians(angle_deg)
    along, across = (math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))
    x0, y0, x1, y1 = area.bounds
    corners = [(x, y) for x in (x0, x1) for y in (y0, y1)]
    lows = [c[0] * across[0] + c[1] * across[1] for c in corners]
    runs = [c[0] * along[0] + c[1] * along[1] for c in corners]
    first = math.ceil(min(lows) / spacing_mm)
    offsets = np.arange(first, math.floor(max(lows) / spacing_mm) + 1) * spacing_mm
    if offsets.size == 0:
        return Lines((), pen)
    ends = np.empty((offsets.size, 2, 2))
    for k, run in enumerate((min(runs) - 1.0, max(runs) + 1.0)):
        ends[:, k, 0] = run * along[0] + offsets * across[0]
        ends[:, k, 1] = run * along[1] + offsets * across[1]
    cut = shapely.intersection(shapely.linestrings(ends), area)
    parts = shapely.get_parts(cut)
    segments = []
    for part in parts:
        if part.geom_type == "LineString" and part.length > 0.2:
            a, b = part.coords[0], part.coords[-1]
            segments.append(((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))))
    return Lines(tuple(segments), pen)
