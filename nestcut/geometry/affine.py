"""Poses as matrices: one after the other, and back."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from nestcut.geometry.pose import move_points
from nestcut.model.pose import Pose

Array = NDArray[np.float64]


def matrix(first: Pose, then: Pose) -> Array:
    """Matrix (2 x 3) of two poses, one after the other."""
    corner, along, up = move_points(move_points(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)), first), then)
    return np.array(
        [
            [along[0] - corner[0], up[0] - corner[0], corner[0]],
            [along[1] - corner[1], up[1] - corner[1], corner[1]],
        ]
    )


def apply(matrix: Array, points: Array) -> Array:
    """Move points by a matrix."""
    return np.asarray(points @ matrix[:, :2].T + matrix[:, 2], dtype=np.float64)


def inverse(matrix: Array) -> Array:
    """The matrix that undoes another."""
    turn = np.linalg.inv(matrix[:, :2])
    return np.column_stack([turn, -turn @ matrix[:, 2]])
