"""How the pieces of a chart stand in it: which way the bow and up lie, where their bevels run."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from nestcut.geometry.pose import move_shape
from nestcut.model.curves import Point
from nestcut.model.pose import Lie, Placement
from nestcut.papers.marking.charts import Chart, ChartUse
from nestcut.papers.view import PlacedPiece, Stance, stance_of
from nestcut.tolerances.looks import SAME_WAY


def in_chart(use: ChartUse) -> PlacedPiece:
    """A piece as it lies in its chart instead of on its sheet."""
    turn = use.matrix[:, :2]
    is_up = bool(np.linalg.det(turn) > 0.0)
    along = turn[:, 0] if is_up else -turn[:, 0]
    pose = Placement(
        lie=Lie.FACE_UP if is_up else Lie.FACE_DOWN,
        turn_deg=math.degrees(math.atan2(along[1], along[0])),
        shift_mm=(float(use.matrix[0, 2]), float(use.matrix[1, 2])),
        piece=use.piece.id,
    )
    return replace(use.placed, placement=pose, shape=move_shape(use.piece.shape, pose))


def chart_stance(chart: Chart) -> Stance:
    """Which way the bow and up lie in a chart, as far as all its pieces agree.

    The chart of a half-section has no sides: across its line neither is told.
    """
    stances = [stance_of(in_chart(use)) for use in chart.uses]
    return Stance(_agreed([s.forward for s in stances]), _agreed([s.up for s in stances]))


def _agreed(ways: list[Point | None]) -> Point | None:
    first = ways[0]
    if first is None:
        return None
    for way in ways[1:]:
        if way is None or math.dist(way, first) > SAME_WAY:
            return None
    return first
