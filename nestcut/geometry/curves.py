"""What can be asked of a true curve: where it runs, how long, how far out, what area it sweeps.

Every curve is run through by ``u`` from 0 (start) to 1 (end): angle for arcs, knot value for
splines.  Lines, arcs and elliptic arcs are treated in closed form; splines through their Bezier
pieces, to float noise.
"""

from __future__ import annotations

import math

import numpy as np

from nestcut.geometry import bezier
from nestcut.geometry.bezier import Floats
from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Point, Spline
from nestcut.tolerances import SAME_POINT_MM
from nestcut.tolerances.noise import DUST, STEP_FAR_OUT, STEP_OUT

_WIDEST_STEP_RAD = math.pi / 2.0
"""No chord or tangent stands for more than a quarter turn. [rad]"""


def evaluate(curve: Curve, u: float) -> Point:
    """Return the point at ``u``. [mm]"""
    match curve:
        case Line((ax, ay), (bx, by)):
            return ((1.0 - u) * ax + u * bx, (1.0 - u) * ay + u * by)
        case Arc() | EllipticArc():
            centre, major, minor, start_rad, sweep_rad = _axes(curve)
            c, s = math.cos(start_rad + u * sweep_rad), math.sin(start_rad + u * sweep_rad)
            return (
                centre[0] + c * major[0] + s * minor[0],
                centre[1] + c * major[1] + s * minor[1],
            )
        case Spline():
            x, y = evaluate_many(curve, np.array([u], dtype=np.float64))[0].tolist()
            return (x, y)


def evaluate_many(curve: Curve, u: Floats) -> Floats:
    """Return the points at every ``u``, shape (len(u), 2). [mm]"""
    match curve:
        case Line(start, end):
            points: Floats = np.outer(1.0 - u, start) + np.outer(u, end)
            return points
        case Arc() | EllipticArc():
            centre, major, minor, start_rad, sweep_rad = _axes(curve)
            t = start_rad + u * sweep_rad
            around: Floats = (
                np.asarray(centre) + np.outer(np.cos(t), major) + np.outer(np.sin(t), minor)
            )
            return around
        case Spline():
            low, high = bezier.domain(curve)
            return bezier.evaluate(curve, low + u * (high - low))


def start_point(curve: Curve) -> Point:
    """Return where the curve begins. [mm]"""
    match curve:
        case Line(start, _):
            return start
        case Spline(degree, control, knots, _) if knots[0] == knots[degree]:
            return control[0]
        case _:
            return evaluate(curve, 0.0)


def end_point(curve: Curve) -> Point:
    """Return where the curve ends. [mm]"""
    match curve:
        case Line(_, end):
            return end
        case Spline(degree, control, knots, _) if knots[-1] == knots[-1 - degree]:
            return control[-1]
        case _:
            return evaluate(curve, 1.0)


def derivative(curve: Curve, u: float) -> Point:
    """Return the derivative by ``u``. [mm]"""
    match curve:
        case Line(start, end):
            return (end[0] - start[0], end[1] - start[1])
        case Arc() | EllipticArc():
            _, major, minor, start_rad, sweep_rad = _axes(curve)
            c, s = math.cos(start_rad + u * sweep_rad), math.sin(start_rad + u * sweep_rad)
            return (
                sweep_rad * (minor[0] * c - major[0] * s),
                sweep_rad * (minor[1] * c - major[1] * s),
            )
        case Spline():
            rows, breaks = bezier.pieces(curve)
            t = breaks[0] + min(max(u, 0.0), 1.0) * (breaks[-1] - breaks[0])
            index = min(int(np.searchsorted(breaks, t, side="right")) - 1, len(rows) - 1)
            width = breaks[index + 1] - breaks[index]
            _, slope = bezier.at(
                rows[index : index + 1], np.array([(t - breaks[index]) / width], dtype=np.float64)
            )
            dx, dy = (slope[0, 0] * (breaks[-1] - breaks[0]) / width).tolist()
            return (dx, dy)


def tangent(curve: Curve, u: float) -> Point:
    """Return the unit vector along the curve at ``u``; where it stands still, a nearby one. [-]"""
    for step in (0.0, STEP_OUT, -STEP_OUT, STEP_FAR_OUT, -STEP_FAR_OUT):
        dx, dy = derivative(curve, min(max(u + step, 0.0), 1.0))
        size = math.hypot(dx, dy)
        if size > 0.0:
            return (dx / size, dy / size)
    raise ValueError(f"a curve without length has no tangent: {curve}")


def length_mm(curve: Curve) -> float:
    """Return the length along the curve. [mm]"""
    match curve:
        case Line(start, end):
            return math.dist(start, end)
        case Arc(_, radius, _, sweep):
            return radius * abs(math.radians(sweep))
        case EllipticArc():
            return _elliptic_length_mm(curve)
        case Spline():
            return bezier.integral(
                bezier.pieces(curve)[0], lambda _, slope: np.hypot(slope[..., 0], slope[..., 1])
            )


def _elliptic_length_mm(curve: EllipticArc) -> float:
    """Gauss-Legendre on stretches of an eighth turn, doubled until nothing changes."""
    _, major, minor, start, sweep = _axes(curve)
    nodes, weights = np.polynomial.legendre.leggauss(20)
    n, before = max(1, math.ceil(abs(sweep) / (math.pi / 4.0))), math.inf
    for _ in range(12):
        u = ((np.arange(n)[:, None] + (nodes + 1.0) / 2.0) / n).ravel()
        t = start + u * sweep
        dx = minor[0] * np.cos(t) - major[0] * np.sin(t)
        dy = minor[1] * np.cos(t) - major[1] * np.sin(t)
        speed = np.hypot(dx, dy)
        now = float(np.sum(speed.reshape(n, -1) @ weights)) / (2.0 * n) * abs(sweep)
        if abs(now - before) <= 64.0 * bezier.EPSILON * now:
            return now
        n, before = 2 * n, now
    return before


def bounding_box(curve: Curve) -> tuple[float, float, float, float]:
    """Return (min x, min y, max x, max y) of the true curve. [mm]"""
    if isinstance(curve, Spline):
        rows, _ = bezier.pieces(curve)
        return (
            -bezier.furthest(rows, (-1.0, 0.0)),
            -bezier.furthest(rows, (0.0, -1.0)),
            bezier.furthest(rows, (1.0, 0.0)),
            bezier.furthest(rows, (0.0, 1.0)),
        )
    points = [start_point(curve), end_point(curve)]
    if not isinstance(curve, Line):
        _, major, minor, start, sweep = _axes(curve)
        for k in (0, 1):
            top = math.atan2(minor[k], major[k])
            points += [evaluate(curve, u) for u in _shares(top, start, sweep)]
            points += [evaluate(curve, u) for u in _shares(top + math.pi, start, sweep)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys), max(xs), max(ys))


def flatten(curve: Curve, sagitta_mm: float) -> tuple[Point, ...]:
    """Return a polyline with its vertices on the curve, nowhere further off than the sagitta.

    Both ends are included. [mm]
    """
    match curve:
        case Line(start, end):
            return (start, end)
        case Arc() | EllipticArc():
            n = _step_count(curve, sagitta_mm)
            points = evaluate_many(curve, np.arange(n + 1) / n)
            return tuple((x, y) for x, y in points.tolist())
        case Spline():
            return tuple(bezier.flatten(bezier.pieces(curve)[0], sagitta_mm))


def cover_left(curve: Curve, flatness_mm: float) -> tuple[Point, ...]:
    """Return a polyline that never runs to the left of the curve and at most so far to its right.

    Chords where the curve turns right, meeting points of tangents where it turns left; both ends
    are included.  With material on the left, what the polyline bounds covers the material.
    """
    match curve:
        case Line(start, end):
            return (start, end)
        case Arc() | EllipticArc():
            _, major, minor, _, sweep = _axes(curve)
            if _cross(major, minor) * sweep <= 0.0:
                return flatten(curve, flatness_mm)
            return _tangent_polygon(curve, flatness_mm)
        case Spline():
            return tuple(bezier.cover_left(bezier.pieces(curve)[0], flatness_mm))


def split(curve: Curve, u: float) -> tuple[Curve, Curve]:
    """Cut a curve in two at ``u``, exactly; ``0 < u < 1``."""
    if not 0.0 < u < 1.0:
        raise ValueError(f"a curve is cut between its ends, not at u = {u}")
    match curve:
        case Line(start, end):
            middle = evaluate(curve, u)
            return Line(start, middle), Line(middle, end)
        case Arc(centre, radius, start_deg, sweep):
            first = u * sweep
            return (
                Arc(centre, radius, start_deg, first),
                Arc(centre, radius, start_deg + first, sweep - first),
            )
        case EllipticArc(centre, major, minor, start_rad, sweep):
            first = u * sweep
            return (
                EllipticArc(centre, major, minor, start_rad, first),
                EllipticArc(centre, major, minor, start_rad + first, sweep - first),
            )
        case Spline():
            return _split_spline(curve, u)


def split_many(curve: Curve, us: tuple[float, ...]) -> tuple[Curve, ...]:
    """Cut a curve at several ``u``; values too near an end or each other are left out."""
    whole = max(length_mm(curve), SAME_POINT_MM)
    cuts = []
    last = 0.0
    for u in sorted(us):
        if (u - last) * whole > SAME_POINT_MM and (1.0 - u) * whole > SAME_POINT_MM:
            cuts.append(u)
            last = u
    parts: list[Curve] = []
    rest, done = curve, 0.0
    for u in cuts:
        first, rest = split(rest, (u - done) / (1.0 - done))
        parts.append(first)
        done = u
    return (*parts, rest)


def _split_spline(spline: Spline, u: float) -> tuple[Spline, Spline]:
    """Raise the multiplicity of a knot to the degree (Boehm's insertion) and part there."""
    p = spline.degree
    low, high = bezier.domain(spline)
    t = low + u * (high - low)
    knots = np.asarray(spline.knots, dtype=np.float64)
    control = bezier.homogeneous(spline)
    while np.count_nonzero(knots == t) < p:
        k = int(np.searchsorted(knots, t, side="right")) - 1
        i = np.arange(k - p + 1, k + 1)
        width = knots[i + p] - knots[i]
        a = np.where(width > 0.0, (t - knots[i]) / np.where(width > 0.0, width, 1.0), 0.0)[:, None]
        fresh = (1.0 - a) * control[i - 1] + a * control[i]
        control = np.concatenate([control[: k - p + 1], fresh, control[k:]])
        knots = np.insert(knots, k + 1, t)
    first = int(np.searchsorted(knots, t, side="left"))
    end = int(np.searchsorted(knots, t, side="right"))
    left = _spline(p, control[:first], np.append(knots[:end][: first + p], t))
    right = _spline(p, control[end - p - 1 :], np.append(t, knots[end - p :]))
    return left, right


def _spline(degree: int, control: Floats, knots: Floats) -> Spline:
    points = tuple((x, y) for x, y in (control[:, :2] / control[:, 2:]).tolist())
    weights = () if np.all(control[:, 2] == 1.0) else tuple(control[:, 2].tolist())
    return Spline(degree, points, tuple(knots.tolist()), weights)


def line_crossings(curve: Curve, point: Point, direction: Point) -> tuple[float, ...]:
    """Values of ``u`` where the curve meets the endless line through ``point``, rising.

    A stretch that runs along the line gives none.  ``direction`` needn't have unit length.

    Parameters
    ----------
    point
        On the line. [mm]
    direction
        Along it, of any length.
    """
    nx, ny = -direction[1], direction[0]
    match curve:
        case Line(start, end):
            a = nx * (start[0] - point[0]) + ny * (start[1] - point[1])
            b = nx * (end[0] - point[0]) + ny * (end[1] - point[1])
            if a == b or a * b > 0.0:
                return ()
            return (a / (a - b),)
        case Arc() | EllipticArc():
            return _around_crossings(curve, point, (nx, ny))
        case Spline():
            rows, breaks = bezier.pieces(curve)
            scale = breaks[-1] - breaks[0]
            found = [
                float(breaks[i] - breaks[0] + u * (breaks[i + 1] - breaks[i])) / float(scale)
                for i, row in enumerate(rows)
                for u in bezier.crossings(row, point, direction)
            ]
            return tuple(u for i, u in enumerate(found) if i == 0 or u - found[i - 1] > DUST)


def _around_crossings(curve: Arc | EllipticArc, point: Point, normal: Point) -> tuple[float, ...]:
    centre, major, minor, start, sweep = _axes(curve)
    a = normal[0] * major[0] + normal[1] * major[1]
    b = normal[0] * minor[0] + normal[1] * minor[1]
    c = normal[0] * (point[0] - centre[0]) + normal[1] * (point[1] - centre[1])
    reach = math.hypot(a, b)
    if reach == 0.0 or abs(c) > reach:
        return ()
    middle, half = math.atan2(b, a), math.acos(c / reach)
    found = {u for t in (middle - half, middle + half) for u in _shares(t, start, sweep)}
    return tuple(sorted(found))


def swept_area_mm2(curve: Curve, about: Point = (0.0, 0.0)) -> float:
    """Return half the integral of x dy - y dx along the curve, seen from ``about``. [mm2]

    Summed over a closed ring it is the signed area, positive if the ring runs counter-clockwise
    (Green's theorem).  Exact for lines, arcs and elliptic arcs.
    """
    match curve:
        case Line(start, end):
            return _cross(_minus(start, about), _minus(end, about)) / 2.0
        case Arc() | EllipticArc():
            centre, major, minor, _, sweep = _axes(curve)
            chord = _minus(end_point(curve), start_point(curve))
            return (_cross(_minus(centre, about), chord) + _cross(major, minor) * sweep) / 2.0
        case Spline():
            origin = np.asarray(about)

            def rate(point: Floats, slope: Floats) -> Floats:
                p = point - origin
                swept: Floats = p[..., 0] * slope[..., 1] - p[..., 1] * slope[..., 0]
                return swept

            # x dy and y dx may cancel to nothing (a straight spline seen from its own line).
            reach = float(np.max(np.abs(np.asarray(curve.control) - origin)))
            return bezier.integral(bezier.pieces(curve)[0], rate, reach * reach) / 2.0


def _axes(curve: Arc | EllipticArc) -> tuple[Point, Point, Point, float, float]:
    """Centre, major and minor vector, start and sweep of the parameter. [mm, mm, mm, rad, rad]"""
    if isinstance(curve, EllipticArc):
        return curve.centre, curve.major, curve.minor, curve.start_rad, curve.sweep_rad
    r = curve.radius_mm
    return (
        curve.centre,
        (r, 0.0),
        (0.0, r),
        math.radians(curve.start_deg),
        math.radians(curve.sweep_deg),
    )


def _reach_mm(curve: Arc | EllipticArc) -> float:
    """Longest half diameter: the spectral norm of (major, minor). [mm]"""
    _, (a, b), (c, d), _, _ = _axes(curve)
    mean = (a * a + b * b + c * c + d * d) / 2.0
    spread = math.hypot((a * a + c * c - b * b - d * d) / 2.0, a * b + c * d)
    return math.sqrt(mean + spread)


def _step_count(curve: Arc | EllipticArc, sagitta_mm: float) -> int:
    """Chords needed so that none is off by more than the sagitta, r (1 - cos(step / 2))."""
    r = _reach_mm(curve)
    step = _WIDEST_STEP_RAD
    if sagitta_mm < r:
        step = min(step, 2.0 * math.acos(1.0 - sagitta_mm / r))
    return max(1, math.ceil(abs(_axes(curve)[4]) / step))


def _tangent_polygon(curve: Arc | EllipticArc, flatness_mm: float) -> tuple[Point, ...]:
    """Circumscribed vertices, off by at most r (1 / cos(step / 2) - 1)."""
    centre, major, minor, start, sweep = _axes(curve)
    r = _reach_mm(curve)
    step = min(_WIDEST_STEP_RAD, 2.0 * math.acos(r / (r + flatness_mm)))
    n = max(1, math.ceil(abs(sweep) / step))
    t = start + (np.arange(n) + 0.5) * sweep / n
    out = 1.0 / math.cos(sweep / n / 2.0)
    points = np.asarray(centre) + out * (np.outer(np.cos(t), major) + np.outer(np.sin(t), minor))
    return (start_point(curve), *((x, y) for x, y in points.tolist()), end_point(curve))


def _shares(angle: float, start: float, sweep: float) -> list[float]:
    """Values of u in [0, 1] at which start + u sweep equals the angle, whole turns apart."""
    if sweep == 0.0:
        return []
    turn = math.copysign(2.0 * math.pi, sweep)
    first = (angle - start) % turn
    return [
        (first + k * turn) / sweep for k in range(2) if 0.0 <= (first + k * turn) / sweep <= 1.0
    ]


def _minus(a: Point, b: Point) -> Point:
    return (a[0] - b[0], a[1] - b[1])


def _cross(a: Point, b: Point) -> float:
    return a[0] * b[1] - a[1] * b[0]
