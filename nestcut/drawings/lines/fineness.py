"""How finely a curve is followed: as asked, but never beyond what its size can use."""

from __future__ import annotations

import math

from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Spline
from nestcut.tolerances.likeness import CURVE_SHARE


def fineness_mm(curves: tuple[Curve, ...], flatness_mm: float) -> float:
    """Return the flatness to use for these curves. [mm]"""
    return max(flatness_mm, CURVE_SHARE * max((_size_mm(c) for c in curves), default=0.0))


def _size_mm(curve: Curve) -> float:
    match curve:
        case Line():
            return 0.0
        case Arc(_, radius, _, sweep):
            return radius * min(2.0, math.radians(abs(sweep)))
        case EllipticArc(_, major, minor, _, sweep):
            return (math.hypot(*major) + math.hypot(*minor)) * min(2.0, abs(sweep))
        case Spline(_, control, _, _):
            xs, ys = [p[0] for p in control], [p[1] for p in control]
            return max(max(xs) - min(xs), max(ys) - min(ys))
