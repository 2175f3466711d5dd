"""The figures of an SVG file: each element to pieces that give curves under a transform.

Terms and rules: W3C, Scalable Vector Graphics 2.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
from numpy.typing import NDArray

from nestcut.drawings.entities.frames import around
from nestcut.drawings.entities.primitives import UnusableError, numbers
from nestcut.model.curves import Curve, Line, Point, Spline

Floats = NDArray[np.float64]

MAX_DATA = 2_000_000
"""Longer path data is a picture traced, not a part. [signs]"""

PHYSICAL_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72.0, "pc": 25.4 / 6.0}
"""Units that measure something. [mm] A px is one of the screen's dots: nobody's word on size."""

LENGTH = re.compile(r"\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*([a-zA-Z%]*)\s*")

Piece = Callable[[Floats], Curve | None]
"""A piece of a path that gives its curve under a transform; None where it has no length."""

Run = tuple[list[Piece], bool]
"""Pieces head to tail, and whether they close."""


def _line(a: Point, b: Point) -> Piece:
    def made(matrix: Floats) -> Curve | None:
        p, q = mapped(matrix, a), mapped(matrix, b)
        numbers(*p, *q)
        return Line(p, q) if p != q else None

    return made


def _bezier(points: list[Point]) -> Piece:
    def made(matrix: Floats) -> Curve | None:
        ends = tuple(mapped(matrix, p) for p in points)
        for p in ends:
            numbers(*p)
        if len(set(ends)) == 1:
            return None
        n = len(ends)
        return Spline(n - 1, ends, (0.0,) * n + (1.0,) * n)

    return made


def _arc(centre: Point, first: Point, second: Point, start: float, sweep: float) -> Piece:
    def made(matrix: Floats) -> Curve | None:
        o = mapped(matrix, (0.0, 0.0))
        a, b = mapped(matrix, first), mapped(matrix, second)
        spot = mapped(matrix, centre)
        numbers(*a, *b, *spot)
        return around(spot, (a[0] - o[0], a[1] - o[1]), (b[0] - o[0], b[1] - o[1]), start, sweep)

    return made


def _path(element: ET.Element) -> list[Run]:
    from svgpathtools.parser import parse_path

    data = element.get("d", "")
    if len(data) > MAX_DATA:
        raise UnusableError("it is too long")
    runs: list[Run] = []
    read = parse_path(data)
    if any(s.start is None or s.end is None for s in read):
        raise UnusableError("its path breaks off")  # such as a Z before any point
    for part in read.continuous_subpaths():
        pieces = [_piece(segment) for segment in part]
        runs.append((pieces, bool(part.isclosed())))
    return runs


def _piece(segment: Any) -> Piece:
    kind = type(segment).__name__
    if kind == "Line":
        return _line(_xy(segment.start), _xy(segment.end))
    if kind == "Arc":
        turn = math.radians(segment.rotation)
        c, s = math.cos(turn), math.sin(turn)
        rx, ry = segment.radius.real, segment.radius.imag
        return _arc(
            _xy(segment.center), (rx * c, rx * s), (-ry * s, ry * c),
            math.radians(segment.theta), math.radians(segment.delta),
        )  # fmt: skip
    return _bezier([_xy(p) for p in segment.bpoints()])


def _rect(element: ET.Element) -> list[Run]:
    x, y = number_of(element, "x"), number_of(element, "y")
    w, h = number_of(element, "width"), number_of(element, "height")
    rx, ry = number_of(element, "rx"), number_of(element, "ry")
    rx, ry = min(rx or ry, w / 2.0), min(ry or rx, h / 2.0)
    if w <= 0.0 or h <= 0.0:
        raise UnusableError("it has no size")
    if not rx:
        corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
        return [_ring(corners)]
    quarter = math.pi / 2.0
    r1, r2 = (rx, 0.0), (0.0, ry)
    pieces = [
        _line((x + rx, y), (x + w - rx, y)),
        _arc((x + w - rx, y + ry), r1, r2, -quarter, quarter),
        _line((x + w, y + ry), (x + w, y + h - ry)),
        _arc((x + w - rx, y + h - ry), r1, r2, 0.0, quarter),
        _line((x + w - rx, y + h), (x + rx, y + h)),
        _arc((x + rx, y + h - ry), r1, r2, quarter, quarter),
        _line((x, y + h - ry), (x, y + ry)),
        _arc((x + rx, y + ry), r1, r2, 2.0 * quarter, quarter),
    ]
    return [(pieces, True)]


def _round(element: ET.Element) -> list[Run]:
    centre = (number_of(element, "cx"), number_of(element, "cy"))
    r = number_of(element, "r")
    rx, ry = (r, r) if r else (number_of(element, "rx"), number_of(element, "ry"))
    if rx <= 0.0 or ry <= 0.0:
        raise UnusableError("its radius is 0")
    return [([_arc(centre, (rx, 0.0), (0.0, ry), 0.0, 2.0 * math.pi)], True)]


def _straight(element: ET.Element) -> list[Run]:
    ends = [(number_of(element, f"x{k}"), number_of(element, f"y{k}")) for k in (1, 2)]
    return [_run(ends)]


def _poly(element: ET.Element) -> list[Run]:
    flat = numbers_in(element.get("points", ""))
    points = list(zip(flat[::2], flat[1::2], strict=False))
    if len(points) < 2:
        raise UnusableError("it has fewer than two points")
    closed = tag_of(element) == "polygon" or points[0] == points[-1]
    return [_ring(points) if closed else _run(points)]


def _run(points: list[Point]) -> Run:
    return [_line(a, b) for a, b in pairwise(points)], False


def _ring(points: list[Point]) -> Run:
    return [_line(a, b) for a, b in pairwise([*points, points[0]])], True


SHAPES: dict[str, Callable[[ET.Element], list[Run]]] = {
    "path": _path, "rect": _rect, "circle": _round, "ellipse": _round, "line": _straight,
    "polyline": _poly, "polygon": _poly,
}  # fmt: skip


def _xy(z: complex) -> Point:
    return (z.real, z.imag)


def mapped(matrix: Floats, p: Point) -> Point:
    """Return a point under a transform, shape (3, 3)."""
    (a, b, c), (d, e, f) = matrix[:2].tolist()  # plain floats: what overflows is left out later
    return (a * p[0] + b * p[1] + c, d * p[0] + e * p[1] + f)


def shifted(x: float, y: float) -> Floats:
    """Return the transform of a shift, shape (3, 3)."""
    return np.array(((1.0, 0.0, x), (0.0, 1.0, y), (0.0, 0.0, 1.0)))


def tag_of(element: ET.Element) -> str:
    """Return an element's name without its name space."""
    return str(element.tag).split("}")[-1]


def number_of(element: ET.Element, name: str) -> float:
    """Return an attribute in user units; physical units count 96 px to an inch (CSS)."""
    met = LENGTH.match(element.get(name, ""))
    if met is None:
        return 0.0
    value = float(met[1]) * (PHYSICAL_MM[met[2]] * 96.0 / 25.4 if met[2] in PHYSICAL_MM else 1.0)
    if not math.isfinite(value):
        raise UnusableError("a coordinate is not a number")
    return value


def numbers_in(text: str) -> list[float]:
    """Return the numbers of a list; none at all where one isn't finite."""
    found = [float(t) for t in re.findall(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?", text)]
    return found if all(map(math.isfinite, found)) else []
