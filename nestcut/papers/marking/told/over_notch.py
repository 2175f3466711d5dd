"""A batten that ends beside a notch on the centre line: whether one runs over it to the other side.

The edge was fair before the notch was cut into it, and whoever marks both halves alone may get a
knuckle in the middle.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry import LineString

from nestcut.papers.marking.batten import Ends, batten_points
from nestcut.papers.marking.charts import Chart, Form
from nestcut.papers.marking.lines import Way
from nestcut.papers.marking.outline import MarkPoint, Role


def over_notch_sentence(chart: Chart) -> str:
    """How the battens beside a notch are laid; empty where no batten ends so."""
    if chart.form is not Form.HALF:
        return ""
    points = list(chart.marking.lines[0].points)
    told = []
    for chain in (points, points[::-1]):
        run = _beside_notch(chain, is_reversed=chain is not points)
        if not run:
            continue
        far, near = run[0].number, run[-1].number
        if _is_kept(run, chart):
            told.append(
                f"Batten {far} to {near}: one lath, over the notch to {far} of the other side."
            )
        else:
            told.append(f"Batten {far} to {near}: a lath for each side, not over the notch.")
    return " ".join(told)


def _beside_notch(chain: list[MarkPoint], *, is_reversed: bool) -> list[MarkPoint]:
    """The last batten before a chain's end on the centre line, if a notch follows it."""
    ways = [p.way for p in chain]
    # of a chain read backwards a point's way leads to the one before it
    steps = ways[1:] if is_reversed else ways[:-1]
    last = max((k for k, way in enumerate(steps) if way is Way.BATTEN), default=None)
    if last is None or last + 2 >= len(chain) or chain[last + 1].y_mm <= 0.0:
        return []
    first = last
    while first > 0 and steps[first - 1] is Way.BATTEN and chain[first].role is Role.STATION:
        first -= 1
    run = chain[first : last + 2]
    rest = chain[last + 1 :]
    goes_across = run[0].y_mm - run[-1].y_mm > abs(run[0].x_mm - run[-1].x_mm)
    goes_in = rest[-1].y_mm == 0.0 and max(p.y_mm for p in rest) <= run[-1].y_mm
    is_deep = max(abs(p.x_mm - rest[0].x_mm) for p in rest) > rest[0].y_mm / 2.0
    return run if goes_across and goes_in and is_deep else []


def _is_kept(run: list[MarkPoint], chart: Chart) -> bool:
    """Whether one batten through both sides' points keeps as near the true edge as is allowed."""
    marking = chart.marking
    half = np.array([(p.x_mm, p.y_mm) for p in run])
    alone = batten_points(half, Ends.FREE)
    across = batten_points(np.vstack([half, half[::-1] * (1.0, -1.0)]), Ends.FREE)
    own = across[across[:, 1] >= half[-1, 1]]
    off = float(shapely.distance(shapely.points(own), LineString(alone)).max())
    return marking.lines[0].error_mm + off <= marking.rule.allowed_mm
