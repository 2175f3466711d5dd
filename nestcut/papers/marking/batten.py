"""The batten: the one curve that stands for a strip sprung through marked points.

A thin strip held at points and free at its ends takes the shape of least bending energy, which for
gentle slopes is the natural cubic spline (handbook beam theory: the fourth derivative is zero
between the supports and the second derivative is zero at free ends).  Here it is taken over the
straight distance from point to point, x and y apart, so that it may run any way.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

STATED = (
    "Batten: prick the points, hold a thin lath along them with weights, or with nails in the "
    "waste, leave its ends free, sight along it, let it lie fair, though it miss a point by a "
    "pencil line, and draw."
)
"""What the pages say about the curve that the points stand for."""

CENTRE_STATED = "One that ends on a centre line runs on over it, alike on the other side."
"""What they say where half-sections are drawn."""

CLOSED_STATED = "A batten that closes on itself bends alike on both sides of every point."
"""What they say where there is one."""


class Ends(StrEnum):
    """How a batten ends."""

    FREE = "free"
    """At the first and the last point, without bending there."""
    CLOSED = "closed"
    """It comes round to its first point, which isn't repeated."""


def batten_points(points: Array, ends: Ends, per_gap: int = 16) -> Array:
    """Return points along the batten, its marked points among them.

    Parameters
    ----------
    points
        Marked points, shape (n, 2), no two neighbours alike. [mm]
    ends
        How it ends; a closed batten needs three points.
    per_gap
        Points a gap, the marked one at its start included.

    Returns
    -------
    ndarray
        Shape (gaps * per_gap + 1, 2); for a closed batten the last equals the first. [mm]

    Raises
    ------
    ValueError
        If there are too few points.
    """
    least = 2 if ends is Ends.FREE else 3
    if len(points) < least:
        raise ValueError(f"a batten with {ends} ends needs {least} points, got {len(points)}")
    through = points if ends is Ends.FREE else np.vstack([points, points[:1]])
    gaps = np.hypot(*np.diff(through, axis=0).T)
    bend = _second_derivatives(through, gaps, ends)
    share = np.linspace(0.0, 1.0, per_gap, endpoint=False)[None, :, None]
    h = gaps[:, None, None]
    near, far = 1.0 - share, share
    line = (
        near * through[:-1, None, :]
        + far * through[1:, None, :]
        + h**2 / 6.0 * ((near**3 - near) * bend[:-1, None, :] + (far**3 - far) * bend[1:, None, :])
    )
    return np.vstack([line.reshape(-1, 2), through[-1:]])


def _second_derivatives(through: Array, gaps: Array, ends: Ends) -> Array:
    """Solve the spline's continuity equations for the second derivative at every point."""
    n = len(through)
    slopes = np.diff(through, axis=0) / gaps[:, None]
    if ends is Ends.FREE:
        bend = np.zeros((n, 2))
        if n > 2:
            matrix = np.diag(2.0 * (gaps[:-1] + gaps[1:]))
            matrix += np.diag(gaps[1:-1], 1) + np.diag(gaps[1:-1], -1)
            inner = np.linalg.solve(matrix, 6.0 * np.diff(slopes, axis=0))
            bend[1:-1] = inner
        return bend
    m = n - 1
    before = np.roll(gaps, 1)
    matrix = np.diag(2.0 * (before + gaps))
    for i in range(m):
        matrix[i, (i + 1) % m] += gaps[i]
        matrix[i, (i - 1) % m] += before[i]
    around = np.linalg.solve(matrix, 6.0 * (slopes - np.roll(slopes, 1, axis=0)))
    return np.vstack([around, around[:1]])
