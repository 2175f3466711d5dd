"""Where a butt strap lies along its joint: how far its ends keep from the panel's edges."""

from __future__ import annotations

import shapely
from shapely.geometry import LineString

from nestcut.geometry.polygons import bounds_mm, to_polygon
from nestcut.geometry.pose import MIRROR, move_points
from nestcut.joints.division import with_allowance
from nestcut.model.joint import Face
from nestcut.model.part import Towards
from nestcut.model.shape import MarkUse, Shape
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.placed import PlacedPiece
from nestcut.papers.view.rows import (
    PlanView,
)
from nestcut.tolerances.lengths import LEAST_MM

_ENDS = {
    True: {Towards.TOP: ("lower", "upper"), Towards.BOTTOM: ("upper", "lower")},
    False: {Towards.RIGHT: ("after", "forward"), Towards.LEFT: ("forward", "after")},
}
_AS_DRAWN = {True: ("lower (as drawn)", "upper (as drawn)"), False: ("left (as drawn)", "right")}


def strap_words(placed: PlacedPiece, view: PlanView, figures: Figures) -> tuple[str, ...]:
    """Say how far a strap's ends keep from the panel's edges along the joint.

    When it is glued the trim is still on, and the trim line underneath: the edges to measure from
    are the sawn ones.
    """
    part = placed.part
    strap = None if part is None else part.strap_of
    panel = None if strap is None else view.sheet_parts.get(strap.part)
    if part is None or strap is None or panel is None:
        return ()
    lines = [m.points for m in part.shape.marks if m.use is MarkUse.JOINT]
    if not lines:
        return ()
    points = [p for line in lines for p in line]
    if strap.face is Face.BACK:
        points = list(move_points(tuple(points), MIRROR))
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    stands = max(ys) - min(ys) > max(xs) - min(xs)
    own = (min(ys), max(ys)) if stands else (min(xs), max(xs))
    ends = _panel_ends(panel.shape, (xs[0], ys[0]), own, stands=stands)
    if ends is None:
        return ()
    said = panel.bearings.up if stands else panel.bearings.forward
    low, high = _ENDS[stands].get(said, _AS_DRAWN[stands])
    finished = [figures.near(v) for v in (own[0] - ends[0], ends[1] - own[1])]
    sawn = _panel_ends(with_allowance(panel), (xs[0], ys[0]), own, stands=stands)
    if panel.allowance_mm <= 0.0 or sawn is None:
        below, above = finished
        return (f"along the joint {below} from the finished {low} edge, {above} from the {high}",)
    below, above = (figures.near(v) for v in (own[0] - sawn[0], sawn[1] - own[1]))
    left = " and ".join(dict.fromkeys(finished))
    return (
        f"along the joint {below} from the {low} edge as sawn, {above} from the {high}; {left} "
        "once trimmed",
    )


def _panel_ends(
    panel: Shape, on_line: tuple[float, float], own: tuple[float, float], *, stands: bool
) -> tuple[float, float] | None:
    """Where a panel's edges cross a joint on both sides of a strap. [mm]"""
    x0, y0, x1, y1 = bounds_mm(panel.outline.points)
    x, y = on_line
    line = [(x, y0 - 1.0), (x, y1 + 1.0)] if stands else [(x0 - 1.0, y), (x1 + 1.0, y)]
    middle = (own[0] + own[1]) / 2.0
    for part in shapely.get_parts(to_polygon(panel).intersection(LineString(line))):
        along = shapely.get_coordinates(part)[:, 1 if stands else 0]
        a, b = float(along.min()), float(along.max())
        if a - LEAST_MM <= middle <= b + LEAST_MM:
            return a, b
    return None
