"""Bulkheads, frames and transoms by half-breadths at heights, mirrored about the centre line."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from nestcut.facts import Length
from nestcut.geometry.curves import end_point, start_point
from nestcut.geometry.pose import MIRROR, move_curve, reverse_curve
from nestcut.model.curves import Arc, Curve, Line, Point, Spline
from nestcut.shapes.fair.fairing import Manner, fair_curve
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.figures.outline import Corner, Treatment, closed_outline
from nestcut.tolerances import SAME_LENGTH_MM

_SAME_HEIGHT_MM = 0.5
"""A limber hole belongs to the corner nearer than this. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfBreadths:
    """Readings of one side of a section.

    Parameters
    ----------
    heights_mm
        Heights above the base line, rising, at least two; the first is the bottom. [mm]
    half_breadths_mm
        Distance of the edge from the centre line at each height. [mm]
    knuckle_heights_mm
        Heights where the edge turns sharply, chines for instance. [mm]
    manner
        How the edge runs between readings.
    keel_height_mm
        Height of the bottom at the centre line, where it isn't flat; None: flat. [mm]
    camber_mm
        Rise of the top edge at the centre line: an arc through both top corners. [mm]
    bite_heights_mm, bite_mm
        Heights of corners that get a limber hole, and its radius. [mm]
    keel_bite_mm
        Radius of the limber hole at the centre line of the bottom; 0: none. [mm]
    """

    heights_mm: tuple[float, ...]
    half_breadths_mm: tuple[float, ...]
    knuckle_heights_mm: tuple[float, ...] = ()
    manner: Manner = Manner.STRAIGHT
    keel_height_mm: float | None = None
    camber_mm: float = 0.0
    bite_heights_mm: tuple[float, ...] = ()
    bite_mm: float = 0.0
    keel_bite_mm: float = 0.0


def bulkhead(spec: HalfBreadths) -> tuple[Curve, ...]:
    """Outline of the whole section, centre line at x = 0, heights along y.

    Raises
    ------
    ShapeFaultError
        If readings don't match, heights don't rise, or a limber hole has no corner.
    """
    _check(spec)
    if spec.manner is Manner.STRAIGHT:
        return _straight(spec)
    side = _fair_side(spec)
    other = tuple(reverse_curve(move_curve(c, MIRROR)) for c in reversed(side))
    first, last = start_point(side[0]), end_point(other[-1])
    is_flat = math.dist(first, last) > SAME_LENGTH_MM
    closing: tuple[Curve, ...] = (Line(last, first),) if is_flat else ()
    return (*side, *top_edge(end_point(side[-1]), spec.camber_mm), *other, *closing)


def _check(spec: HalfBreadths) -> None:
    heights, breadths = spec.heights_mm, spec.half_breadths_mm
    if len(heights) != len(breadths) or len(heights) < 2:
        raise ShapeFaultError(
            "half_breadths", "SHP-110", number=len(breadths), heights=len(heights)
        )
    if any(b - a <= SAME_LENGTH_MM for a, b in itertools.pairwise(heights)):
        raise ShapeFaultError("heights", "SHP-111")
    if spec.keel_height_mm is not None and spec.keel_height_mm > heights[0]:
        raise ShapeFaultError("keel_height", "SHP-112")
    for height in spec.bite_heights_mm:
        nearest = min(heights, key=lambda h: abs(h - height))
        if abs(nearest - height) > _SAME_HEIGHT_MM:
            raise ShapeFaultError(
                "limber_at", "SHP-059", height=Length(height), nearest=Length(nearest)
            )


def _straight(spec: HalfBreadths) -> tuple[Curve, ...]:
    """Whole ring of straight edges with bitten corners and the arc of the camber on top."""
    readings = zip(spec.half_breadths_mm, spec.heights_mm, strict=True)
    side = [_corner(p, spec) for p in readings if p[0] > SAME_LENGTH_MM]
    pointed = [h for b, h in _ends(spec) if b <= SAME_LENGTH_MM]
    bottom = spec.heights_mm[0] if spec.keel_height_mm is None else spec.keel_height_mm
    keel: Corner | None = None
    if spec.keel_bite_mm > 0.0:
        keel = Corner((0.0, bottom), Treatment.BITE, spec.keel_bite_mm)
    elif spec.keel_height_mm is not None or spec.heights_mm[0] in pointed:
        keel = Corner((0.0, bottom))
    tip = Corner((0.0, spec.heights_mm[-1])) if spec.heights_mm[-1] in pointed else None
    return mirrored_ring(side, keel, tip, spec.camber_mm)


def mirrored_ring(
    side: list[Corner], keel: Corner | None, tip: Corner | None, camber_mm: float
) -> tuple[Curve, ...]:
    """Ring of straight edges, mirrored about the centre line, the camber's arc for its top edge.

    Parameters
    ----------
    side
        Starboard corners, from the bottom up (and down again inside, of an open frame).
    keel, tip
        Corners on the centre line, before the first and behind the last of these.
    camber_mm
        How much higher the top edge is in the middle. [mm]
    """
    ring = [] if keel is None else [keel]
    ring += side
    ring += [] if tip is None else [tip]
    ring += [Corner((-c.at[0], c.at[1]), c.treatment, c.size_mm) for c in reversed(side)]
    corner = side[-1].at
    result: list[Curve] = []
    for curve in closed_outline(tuple(ring)):
        is_top = (
            tip is None
            and isinstance(curve, Line)
            and curve.start == corner
            and curve.end[0] == -corner[0]
        )
        result += top_edge(corner, camber_mm) if is_top else (curve,)
    return tuple(result)


def _ends(spec: HalfBreadths) -> tuple[Point, Point]:
    return (
        (spec.half_breadths_mm[0], spec.heights_mm[0]),
        (spec.half_breadths_mm[-1], spec.heights_mm[-1]),
    )


def _corner(point: Point, spec: HalfBreadths) -> Corner:
    is_bitten = any(abs(point[1] - h) <= _SAME_HEIGHT_MM for h in spec.bite_heights_mm)
    if is_bitten and spec.bite_mm > 0.0:
        return Corner(point, Treatment.BITE, spec.bite_mm)
    return Corner(point)


def _fair_side(spec: HalfBreadths) -> tuple[Curve, ...]:
    """Starboard side with fair edges between knuckles; bites need straight edges."""
    if spec.keel_bite_mm > 0.0 or spec.bite_heights_mm:
        raise ShapeFaultError("limber_at", "SHP-113")
    along = tuple(zip(spec.heights_mm, spec.half_breadths_mm, strict=True))
    side = tuple(_swapped(c) for c in fair_curve(along, spec.knuckle_heights_mm, spec.manner))
    start = start_point(side[0])
    if start[0] <= SAME_LENGTH_MM or spec.keel_height_mm is None:
        return side
    return (Line((0.0, spec.keel_height_mm), start), *side)


def _swapped(curve: Curve) -> Curve:
    """Exchange x and y of a line or a spline."""
    if isinstance(curve, Line):
        return Line(curve.start[::-1], curve.end[::-1])
    if isinstance(curve, Spline):
        return Spline(curve.degree, tuple(p[::-1] for p in curve.control), curve.knots)
    raise TypeError(curve)


def top_edge(corner: Point, camber_mm: float) -> tuple[Curve, ...]:
    """Top edge from the starboard corner to the port one."""
    half = corner[0]
    if half <= SAME_LENGTH_MM:
        return ()
    if camber_mm <= SAME_LENGTH_MM:
        return (Line(corner, (-half, corner[1])),)
    if camber_mm > half:
        raise ShapeFaultError("camber", "SHP-114")
    radius = half * half / (2.0 * camber_mm) + camber_mm / 2.0
    reach = math.degrees(math.asin(half / radius))
    return (Arc((0.0, corner[1] + camber_mm - radius), radius, 90.0 - reach, 2.0 * reach),)
