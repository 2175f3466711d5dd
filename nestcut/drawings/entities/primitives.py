"""One DXF entity to true curves. Positions are mapped by a Frame; nothing is flattened."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Callable
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from nestcut.drawings.entities.frames import Frame, Plane, around, object_axes
from nestcut.geometry.curves import end_point, start_point
from nestcut.model.curves import Arc, Curve, Line, Point, Spline
from nestcut.tolerances import SAME_POINT_MM
from nestcut.tolerances.lengths import WHOLE_TURN_RAD
from nestcut.tolerances.noise import DUST, LEAST_SPAN, LEAST_WEIGHT, NOISE, SAME_KNOT

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity

MAX_COORDINATE = 1e9
"""Larger coordinates are typing errors or attacks, not boats. [drawing units]"""

MAX_DEGREE = 25
MAX_CONTROL = 100_000


class UnusableError(ValueError):
    """An entity that can't be read; the text says why."""


Curves = tuple[tuple[Curve, ...], bool]
"""Curves head to tail, and whether the entity says it's closed."""
Vertex = tuple[float, float, float]
"""A place in the entity's plane, and the bulge that follows."""


def numbers(*values: float) -> None:
    """Refuse values that are no finite numbers of sensible size.

    Raises
    ------
    UnusableError
        If one is.
    """
    for value in values:
        if not math.isfinite(value):
            raise UnusableError("a coordinate is not a number")
        if abs(value) > MAX_COORDINATE:
            raise UnusableError(f"a coordinate of {value:.3g} is beyond any drawing")


def _xyz(vector: Any) -> tuple[float, float, float]:
    numbers(vector.x, vector.y, vector.z)
    return (vector.x, vector.y, vector.z)


def _plane(entity: DXFEntity, frame: Frame, elevation: float) -> Plane:
    extrusion = entity.dxf.get("extrusion", None)
    normal = (0.0, 0.0, 1.0) if extrusion is None else _xyz(extrusion)
    numbers(elevation)
    return frame.plane(normal, elevation)


def _line(entity: DXFEntity, frame: Frame) -> Curves:
    start, end = _xyz(entity.dxf.start), _xyz(entity.dxf.end)
    return (Line(frame.point(start), frame.point(end)),), False


def _circle(entity: DXFEntity, frame: Frame) -> Curves:
    x, y, z = _xyz(entity.dxf.center)
    radius = abs(float(entity.dxf.radius))
    numbers(radius)
    if radius == 0.0:
        raise UnusableError("its radius is 0")
    return (_mapped(Arc((x, y), radius, 0.0, 360.0), _plane(entity, frame, z)),), True


def _arc(entity: DXFEntity, frame: Frame) -> Curves:
    x, y, z = _xyz(entity.dxf.center)
    radius = abs(float(entity.dxf.radius))
    start, end = float(entity.dxf.start_angle), float(entity.dxf.end_angle)
    numbers(radius, start, end)
    if radius == 0.0:
        raise UnusableError("its radius is 0")
    sweep = (end - start) % 360.0
    if math.radians(sweep) <= WHOLE_TURN_RAD or math.radians(360.0 - sweep) <= WHOLE_TURN_RAD:
        sweep = 360.0
    curve = _mapped(Arc((x, y), radius, start % 360.0, sweep), _plane(entity, frame, z))
    return (curve,), sweep == 360.0


def _ellipse(entity: DXFEntity, frame: Frame) -> Curves:
    centre, major = _xyz(entity.dxf.center), _xyz(entity.dxf.major_axis)
    ratio = float(entity.dxf.ratio)
    start, end = float(entity.dxf.start_param), float(entity.dxf.end_param)
    numbers(ratio, start, end)
    _, _, n = object_axes(_xyz(entity.dxf.extrusion))
    minor = (
        (n[1] * major[2] - n[2] * major[1]) * ratio,
        (n[2] * major[0] - n[0] * major[2]) * ratio,
        (n[0] * major[1] - n[1] * major[0]) * ratio,
    )
    sweep = (end - start) % (2.0 * math.pi)
    if sweep <= WHOLE_TURN_RAD or 2.0 * math.pi - sweep <= WHOLE_TURN_RAD:
        sweep = 2.0 * math.pi
    o = frame.point((0.0, 0.0, 0.0))
    first, second = _from(o, frame.point(major)), _from(o, frame.point(minor))
    try:
        curve = around(frame.point(centre), first, second, start, sweep)
    except ValueError as error:
        raise UnusableError(str(error)) from None
    return (curve,), sweep == 2.0 * math.pi


def _from(o: Point, p: Point) -> Point:
    return (p[0] - o[0], p[1] - o[1])


def _mapped(curve: Curve, plane: Plane) -> Curve:
    try:
        return plane.curve(curve)
    except ValueError as error:
        raise UnusableError(str(error)) from None


def _light_polyline(entity: Any, frame: Frame) -> Curves:
    plane = _plane(entity, frame, float(entity.dxf.get("elevation", 0.0)))
    vertices = [(float(x), float(y), float(b)) for x, y, b in entity.get_points("xyb")]
    return _bulged(_round(vertices, entity.closed), plane)


def _round(vertices: list[Vertex], closed: object) -> list[Vertex]:
    """Return the vertices of a run, the first once more at the end of one that says it's closed."""
    return [*vertices, vertices[0]] if closed and len(vertices) > 1 else vertices


def _bulged(vertices: list[Vertex], plane: Plane) -> Curves:
    for vertex in vertices:
        numbers(*vertex)
    if len(vertices) < 2:
        raise UnusableError("it has fewer than two points")
    curves = tuple(
        _mapped(bulge_curve((ax, ay), (bx, by), bulge), plane)
        for (ax, ay, bulge), (bx, by, _) in pairwise(vertices)
        if (ax, ay) != (bx, by)
    )
    if not curves:
        raise UnusableError("all its points are one point")
    return curves, vertices[0][:2] == vertices[-1][:2]


def bulge_curve(a: Point, b: Point, bulge: float) -> Curve:
    """Return the arc of a polyline segment; the bulge is the tangent of a quarter of its angle.

    Source: DXF reference, LWPOLYLINE group code 42.

    Parameters
    ----------
    a, b
        Ends of the segment.
    bulge
        Tangent of a quarter of its angle, positive counter-clockwise. [-]
    """
    chord = math.dist(a, b)
    if abs(bulge) * chord <= DUST * chord or bulge == 0.0:
        return Line(a, b)
    sweep = 4.0 * math.atan(bulge)
    # Centre: from the chord's middle to its left by chord (1 - b^2) / (4 b).
    off = (1.0 - bulge * bulge) / (4.0 * bulge)
    cx = (a[0] + b[0]) / 2.0 - off * (b[1] - a[1])
    cy = (a[1] + b[1]) / 2.0 + off * (b[0] - a[0])
    radius = abs(chord * (1.0 + bulge * bulge) / (4.0 * bulge))
    if radius > MAX_COORDINATE:
        return Line(a, b)
    start = math.degrees(math.atan2(a[1] - cy, a[0] - cx))
    return Arc((cx, cy), radius, start % 360.0, math.degrees(sweep))


def _old_polyline(entity: Any, frame: Frame) -> Curves:
    if entity.is_polygon_mesh or entity.is_poly_face_mesh:
        raise UnusableError("it is a 3D surface")
    # Spline frames (control points kept beside the smoothed line) aren't part of the line.
    vertices = [v for v in entity.vertices if not v.dxf.get("flags", 0) & 16]
    if entity.is_3d_polyline:
        points = [frame.point(_xyz(v.dxf.location)) for v in vertices]
        flat = [(x, y, 0.0) for x, y in points]
        return _bulged(_round(flat, entity.is_closed), Plane((1.0, 0.0), (0.0, 1.0), (0.0, 0.0)))
    elevation = entity.dxf.get("elevation", None)
    plane = _plane(entity, frame, 0.0 if elevation is None else float(elevation.z))
    rows = []
    for v in vertices:
        x, y, _ = _xyz(v.dxf.location)
        rows.append((x, y, float(v.dxf.get("bulge", 0.0))))
    return _bulged(_round(rows, entity.is_closed), plane)


def _spline(entity: Any, frame: Frame) -> Curves:
    control = [_xyz_of(p) for p in entity.control_points]
    if not control:
        return _through_fit_points(entity, frame)
    splines = checked_spline(
        int(entity.dxf.degree),
        [frame.point(p) for p in control],
        [float(k) for k in entity.knots],
        [float(w) for w in entity.weights],
    )
    return splines, bool(entity.closed) and _meets(splines)


def checked_spline(
    degree: int, control: list[Point], knots: list[float], weights: list[float]
) -> tuple[Spline, ...]:
    """Return a spline that all geometry can live with, parted at its full inner knots.

    A knot that is repeated more often than the degree parts a spline into curves of their own, as
    programs write chains of Bezier curves; whether they meet is seen from the curves.

    Parameters
    ----------
    degree
        Of the spline, 1 or more.
    control
        Its control points, shape (n, 2).
    knots
        Its knots, rising, shape (n + degree + 1,). [-]
    weights
        Of the control points, shape (n,); empty: all alike. [-]

    Raises
    ------
    UnusableError
        If its numbers don't fit together.
    """
    if len(control) > MAX_CONTROL:
        raise UnusableError(f"it has {len(control)} control points")
    if not 1 <= degree <= MAX_DEGREE:
        raise UnusableError(f"its degree is {degree}")
    if len(control) <= degree:
        raise UnusableError(f"{len(control)} control points are too few for degree {degree}")
    if len(knots) != len(control) + degree + 1:
        raise UnusableError(f"{len(knots)} knots don't fit {len(control)} control points")
    for point in control:
        numbers(*point)
    if not all(math.isfinite(k) for k in knots):
        raise UnusableError("a knot is not a number")
    if any(b < a for a, b in pairwise(knots)):
        raise UnusableError("its knots don't rise")
    if not knots[degree] < knots[len(control)] or math.isinf(knots[-1] - knots[0]):
        raise UnusableError("its knots span nothing")
    if weights and (
        len(weights) != len(control) or not all(LEAST_WEIGHT < w < 1e9 for w in weights)
    ):
        raise UnusableError("its weights are unusable")
    knots = _settled(knots, degree, len(control))
    return tuple(
        Spline(
            degree,
            tuple(control[i - degree : j]),
            tuple(knots[i - degree : j + degree + 1]),
            tuple(weights[i - degree : j]) if len(set(weights)) > 1 else (),
        )
        for i, j in _spans(knots, degree, len(control))
    )


def _spans(knots: list[float], degree: int, count: int) -> list[tuple[int, int]]:
    """Return (last knot of a beginning, first knot of its end) of each stretch in one piece."""
    inner = Counter(knots[degree + 1 : count])
    full = [k for k, times in inner.items() if times > degree and knots[degree] < k < knots[count]]
    stops = [knots[degree], *sorted(full), knots[count]]
    return [(bisect_right(knots, a) - 1, bisect_left(knots, b)) for a, b in pairwise(stops)]


def _meets(curves: tuple[Curve, ...]) -> bool:
    """Whether each curve begins where the one before it ends."""
    size = max((abs(c) for curve in curves for c in start_point(curve)), default=0.0)
    near = max(SAME_POINT_MM, NOISE * size)
    return all(math.dist(end_point(a), start_point(b)) <= near for a, b in pairwise(curves))


def _settled(knots: list[float], degree: int, count: int) -> list[float]:
    """Bring far-off knot ranges to 0..1; let knots coincide that floats can hardly tell apart."""
    low, high = knots[degree], knots[count]
    if not LEAST_SPAN <= high - low <= 1.0 / LEAST_SPAN or abs(low) > (high - low) / LEAST_SPAN:
        knots = [(k - low) / (high - low) for k in knots]
        low, high = 0.0, 1.0
    if knots[-1] - knots[0] > (high - low) / LEAST_SPAN:
        raise UnusableError("its outer knots lie far off")
    settled = knots[:1]
    for knot in knots[1:]:
        settled.append(knot if knot - settled[-1] > SAME_KNOT * (high - low) else settled[-1])
    if not settled[degree] < settled[count]:
        raise UnusableError("its knots span nothing")
    return settled


def _xyz_of(p: Any) -> tuple[float, float, float]:
    x, y, z = (float(c) for c in (*p, 0.0)[:3])
    numbers(x, y, z)
    return (x, y, z)


def _through_fit_points(entity: Any, frame: Frame) -> Curves:
    """Interpolate fit points as drawing programs do, by a cubic with the given end tangents."""
    from ezdxf.math import fit_points_to_cad_cv

    fit = [_xyz_of(p) for p in entity.fit_points]
    if len(fit) < 2:
        raise UnusableError("it has neither control points nor fit points")
    if len(fit) > MAX_CONTROL // 10:
        raise UnusableError(f"it has {len(fit)} fit points")
    tangents = None
    if entity.dxf.hasattr("start_tangent") and entity.dxf.hasattr("end_tangent"):
        ends = [_xyz(entity.dxf.start_tangent), _xyz(entity.dxf.end_tangent)]
        tangents = ends if all(any(t) for t in ends) else None
    if len(fit) == 2 and tangents is None:
        return (Line(frame.point(fit[0]), frame.point(fit[1])),), False
    curve = fit_points_to_cad_cv(fit, tangents=tangents)
    points = tuple(frame.point(_xyz_of(p)) for p in curve.control_points)
    splines = checked_spline(curve.degree, list(points), [float(k) for k in curve.knots()], [])
    return splines, bool(entity.closed)


READERS: dict[str, Callable[[Any, Frame], Curves]] = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _light_polyline,
    "POLYLINE": _old_polyline,
    "SPLINE": _spline,
    "HELIX": _spline,
}
"""Entities that draw lines; all others are left out with a reason."""


def entity_curves(entity: DXFEntity, frame: Frame) -> Curves:
    """Return an entity's true curves and whether it calls itself closed.

    Raises
    ------
    UnusableError
        If it can't be read; says why.
    """
    try:
        curves, closed = READERS[entity.dxftype()](entity, frame)
    except UnusableError:
        raise
    except Exception as error:
        text = " ".join(str(error).split())[:80]
        raise UnusableError(f"it is damaged ({text or type(error).__name__})") from None
    return curves, closed
