"""The free place nearest to a wanted one: for pieces that are turned or change their sheet."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from nestcut.byhand.slide import Bench, outline_of, slide_to
from nestcut.model.piece import SheetPiece
from nestcut.model.pose import Placement

_PITCH_MM = 30.0
"""Places so far apart are tried all over a sheet. [mm]"""
_AT_ONCE = 64
"""So many places are tried in one go. [-]"""


def nearest_free(bench: Bench, piece: SheetPiece, wanted: Placement) -> Placement | None:
    """Return a free place near the one that is wanted, the piece lying the same way.

    Parameters
    ----------
    bench
        The sheet without the piece.
    wanted
        How it shall lie, and about where.

    Returns
    -------
    Placement or None
        The wanted place where it is free; else the nearest of places all over the sheet, pushed on
        from there towards the wanted one.  None, where none of them is free.
    """
    outline = outline_of(piece, wanted)
    here = np.array(wanted.shift_mm)
    if bench.is_free(outline):
        return wanted
    x0, y0, x1, y1 = bench.usable.bounds
    a0, b0, a1, b1 = outline.bounds
    shifts = _shifts((x0 - a0, x1 - a1), (y0 - b0, y1 - b1))
    shifts = shifts[np.argsort(np.hypot(shifts[:, 0], shifts[:, 1]), kind="stable")]
    ring = shapely.get_coordinates(outline.exterior)
    for first in range(0, len(shifts), _AT_ONCE):
        some = shifts[first : first + _AT_ONCE]
        free = bench.are_free(np.asarray(shapely.polygons(ring[None, :, :] + some[:, None, :])))
        if free.any():
            place = here + some[int(np.argmax(free))]
            start = replace(wanted, shift_mm=(float(place[0]), float(place[1])))
            return slide_to(bench, piece, start, wanted.shift_mm)
    return None


def _shifts(along: tuple[float, float], across: tuple[float, float]) -> NDArray[np.float64]:
    """Return moves that keep a box inside another, its borders among them, shape (n, 2). [mm]"""
    rows = [
        np.linspace(low, high, 2 + int((high - low) / _PITCH_MM)) if high >= low else np.empty(0)
        for low, high in (along, across)
    ]
    return np.stack(np.meshgrid(*rows), axis=-1).reshape(-1, 2)
