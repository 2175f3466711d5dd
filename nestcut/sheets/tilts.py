"""The tilt at which a piece that may turn a little fits a sheet that is too short for it."""

from __future__ import annotations

import math

import numpy as np
import shapely

from nestcut.model.pose import Pose
from nestcut.sheets.layouts import moved_polygon
from nestcut.sheets.prepare import PreparedPiece, PreparedStock
from nestcut.tolerances import SAME_LENGTH_MM

STEP_DEG = 0.25
"""Tilts are tried this far apart, among them those by which joints are placed. [deg]"""


def tilt_that_fits(piece: PreparedPiece, stock: PreparedStock) -> float | None:
    """Return the turn nearest an allowed one at which the piece's box fits the empty sheet's.

    None where it may not stray from its turns, or fits at no tilt.  Knots and slanting edges of the
    sheet aren't looked at.

    Returns
    -------
    float or None
        Turn from the piece's own frame to the sheet's. [deg]
    """
    turns = piece.item.turns
    if turns.is_discrete or stock.usable.is_empty:
        return None
    x0, y0, x1, y1 = stock.usable.bounds
    lie = moved_polygon(piece.net, Pose(piece.item.lies[0]))
    points = shapely.get_coordinates(lie.convex_hull)
    n = 2 * math.ceil(turns.span_deg / (2.0 * STEP_DEG))
    strays = sorted(np.linspace(-turns.span_deg, turns.span_deg, 2 * n + 1), key=abs)
    for stray in strays:
        for centre in turns.centres_deg:
            turn = (centre + float(stray) + stock.frame_turn_deg) % 360.0
            c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
            wide = float(np.ptp(points @ (c, -s)))
            high = float(np.ptp(points @ (s, c)))
            if wide <= x1 - x0 + SAME_LENGTH_MM and high <= y1 - y0 + SAME_LENGTH_MM:
                return turn
    return None
