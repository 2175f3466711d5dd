"""Where an inserted block lies: scale, turn, mirror, repeat, own plane."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from nestcut.drawings.entities.frames import Frame, object_axes
from nestcut.drawings.entities.primitives import UnusableError
from nestcut.tolerances.noise import DUST

MAX_COPIES = 12_000
"""A block repeated more often is a mistake or an attack. [-]"""


def insert_frames(entity: Any, base: Any) -> list[Frame]:
    """Return the frame of each copy: base point to origin, scale, turn, array step, own plane.

    Raises
    ------
    UnusableError
        If its numbers can't be used.
    """
    d = entity.dxf
    scale = np.array([float(d.get(n, 1.0)) for n in ("xscale", "yscale", "zscale")])
    turn = math.radians(float(d.get("rotation", 0.0)))
    insert = d.get("insert", None)
    at = np.zeros(3) if insert is None else np.array((insert.x, insert.y, insert.z))
    origin = np.zeros(3) if base is None else np.array((base.x, base.y, base.z))
    if not all(np.isfinite(a).all() for a in (scale, at, origin)) or not math.isfinite(turn):
        raise UnusableError("a coordinate is not a number")
    extrusion = tuple(d.get("extrusion", (0.0, 0.0, 1.0)))
    own = np.column_stack(object_axes((extrusion[0], extrusion[1], extrusion[2])))
    c, s = _cos_sin(turn)
    spin = np.array(((c, -s, 0.0), (s, c, 0.0), (0.0, 0.0, 1.0)))
    linear = own @ spin @ np.diag(scale)
    rows, columns = int(d.get("row_count", 1) or 1), int(d.get("column_count", 1) or 1)
    if rows < 1 or columns < 1 or rows * columns > MAX_COPIES:
        raise UnusableError(f"it repeats a block {rows} by {columns} times")
    step = (float(d.get("column_spacing", 0.0)), float(d.get("row_spacing", 0.0)))
    return [
        Frame(
            linear, own @ (at + spin @ np.array((i * step[0], j * step[1], 0.0))) - linear @ origin
        )
        for j in range(rows)
        for i in range(columns)
    ]


def _cos_sin(turn: float) -> tuple[float, float]:
    """Exact for quarter turns, so that turned circles stay circles to the last bit."""
    quarters = turn / (math.pi / 2.0)
    if abs(quarters - round(quarters)) < DUST:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarters) % 4]
    return math.cos(turn), math.sin(turn)
