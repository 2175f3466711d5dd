"""Where a line in space bends hardest: there a rail along it is glued and screwed under tension."""

from __future__ import annotations

import numpy as np

from nestcut.shapes.hull.spaceline import SpaceLine
from nestcut.shapes.ruler import Bend
from nestcut.tolerances.noise import DUST
from nestcut.trade.joints import EVEN_BEND_SHARE, HARD_BEND_SHARE

_PLACES = 400
"""Places along a line at which its bend is measured."""


def hardest_bend(line: SpaceLine, start: float, stop: float) -> Bend | None:
    """Return the stretch of a line that bends nearly as hard as any place of it.

    The bend of a curve p(t) in space is |p' x p''| / |p'|^3.  Knuckles aren't bends.

    Parameters
    ----------
    start, stop
        Parameters between which a part follows it. [mm]

    Returns
    -------
    Bend or None
        Counted from ``start`` along the line; None where the line is straight, or bends so evenly
        that no place stands out.
    """
    t = np.linspace(start, stop, _PLACES)
    direction, bend = line.direction(t), line.bend(t)
    if direction.shape[1] == 2:
        flat = np.zeros((len(t), 1))
        direction, bend = np.hstack([direction, flat]), np.hstack([bend, flat])
    speed = np.linalg.norm(direction, axis=1)
    hard = np.linalg.norm(np.cross(direction, bend), axis=1) / np.maximum(speed, DUST) ** 3
    k = int(np.argmax(hard))
    if hard[k] <= DUST:
        return None
    is_hard = hard >= HARD_BEND_SHARE.value * hard[k]
    first = last = k
    while first > 0 and is_hard[first - 1]:
        first -= 1
    while last < _PLACES - 1 and is_hard[last + 1]:
        last += 1
    if last - first > EVEN_BEND_SHARE.value * _PLACES:
        return None
    begins, ends = (line.length_mm(start, float(t[i])) for i in (first, last))
    return Bend(from_mm=begins, to_mm=ends, radius_mm=float(1.0 / hard[k]))
