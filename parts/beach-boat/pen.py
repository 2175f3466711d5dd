"""A small pen over ezdxf: rounded and notched outlines, fair edges, labels, marks."""

from __future__ import annotations

import math
from pathlib import Path

from ezdxf._options import options
from ezdxf.document import Drawing
from ezdxf.filemanagement import new
from ezdxf.math import Vec3, global_bspline_interpolation
from hull import Point

from nestcut.geometry.pose import move_curve
from nestcut.model.curves import Curve, Line, Spline
from nestcut.model.pose import Pose

options.write_fixed_meta_data_for_testing = True  # same bytes on every run
INSUNITS = {"mm": 4, "in": 1}

Corner = tuple[float, float, str, float]
"""A vertex and what is done to it: ``sharp`` 0, ``round`` radius, ``notch`` radius of a bite."""


def sharp(*points: Point) -> list[Corner]:
    """Plain corners."""
    return [(x, y, "sharp", 0.0) for x, y in points]


def rounded(x: float, y: float, radius: float) -> Corner:
    """Corner rounded with a fillet."""
    return (x, y, "round", radius)


def notched(x: float, y: float, radius: float) -> Corner:
    """Corner bitten out by a circle about it: a limber hole."""
    return (x, y, "notch", radius)


def with_bulges(corners: list[Corner]) -> list[tuple[float, float, float]]:
    """Turn corners into (x, y, bulge) vertices of a closed polyline, counter-clockwise input."""
    vertices: list[tuple[float, float, float]] = []
    n = len(corners)
    for i, (x, y, kind, radius) in enumerate(corners):
        if kind == "sharp":
            vertices.append((x, y, 0.0))
            continue
        before, after = corners[i - 1], corners[(i + 1) % n]
        ux, uy = _unit(before[0] - x, before[1] - y)
        vx, vy = _unit(after[0] - x, after[1] - y)
        opening = math.atan2(vx * uy - vy * ux, ux * vx + uy * vy)  # inner angle, > 0 convex
        inner = opening if opening > 0 else opening + 2 * math.pi
        if kind == "round":
            reach = radius / math.tan(abs(opening) / 2)
            bulge = math.copysign(math.tan((math.pi - abs(opening)) / 4), opening)
        else:
            reach, bulge = radius, -math.tan(inner / 4)
        vertices.append((x + ux * reach, y + uy * reach, bulge))
        vertices.append((x + vx * reach, y + vy * reach, 0.0))
    return vertices


def _unit(x: float, y: float) -> Point:
    size = math.hypot(x, y)
    return (x / size, y / size)


class Pen:
    """Draws the outlines of one file."""

    def __init__(self, unit: str = "mm", text_height: float = 25.0) -> None:
        self.doc: Drawing = new("R2010")
        for name in ("LAYOUT", "ACDBPLACEHOLDER"):  # else their order would follow the hash seed
            self.doc.classes.add_class(name)
        self.doc.header["$INSUNITS"] = INSUNITS[unit]
        self.doc.header["$MEASUREMENT"] = 1 if unit == "mm" else 0
        self.space = self.doc.modelspace()
        self.text_height = text_height
        for name, colour in (("outline", 7), ("marks", 3), ("names", 5)):
            self.doc.layers.add(name, color=colour)

    def layer(self, name: str) -> str:
        """Make a layer if need be and return its name."""
        if name not in self.doc.layers:
            self.doc.layers.add(name)
        return name

    def label(self, text: str, at: Point, size: float | None = None) -> None:
        """Name a part."""
        entity = self.space.add_text(
            text, height=size or self.text_height, dxfattribs={"layer": "names"}
        )
        entity.set_placement(at)

    def outline(self, corners: list[Corner], at: Point = (0, 0), layer: str = "outline") -> None:
        """Draw a closed polyline with bulges."""
        points = [(x + at[0], y + at[1], b) for x, y, b in with_bulges(corners)]
        self.space.add_lwpolyline(
            points, format="xyb", close=True, dxfattribs={"layer": self.layer(layer)}
        )

    def line(self, a: Point, b: Point, layer: str = "outline") -> None:
        """Straight segment."""
        self.space.add_line(a, b, dxfattribs={"layer": self.layer(layer)})

    def circle(self, centre: Point, radius: float, layer: str = "outline") -> None:
        """Whole circle."""
        self.space.add_circle(centre, radius, dxfattribs={"layer": self.layer(layer)})

    def arc_through(self, a: Point, b: Point, sag: float, layer: str = "outline") -> None:
        """Arc from a to b that bulges ``sag`` to the right of a -> b."""
        chord = math.dist(a, b)
        radius = chord**2 / (8 * sag) + sag / 2
        ux, uy = _unit(b[0] - a[0], b[1] - a[1])
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        left = radius - sag
        centre = (middle[0] - uy * left, middle[1] + ux * left)
        start, end = (math.degrees(math.atan2(p[1] - centre[1], p[0] - centre[0])) for p in (a, b))
        self.space.add_arc(centre, radius, start, end, dxfattribs={"layer": self.layer(layer)})

    def fair(self, points: list[Point], layer: str = "outline") -> None:
        """Cubic spline through points."""
        curve = global_bspline_interpolation([Vec3(p) for p in points], degree=3)
        spline = self.space.add_spline(dxfattribs={"layer": self.layer(layer)})
        spline.apply_construction_tool(curve)

    def curves(self, run: tuple[Curve, ...], at: Point, layer: str = "outline") -> None:
        """Draw true lines and splines."""
        attributes = {"layer": self.layer(layer)}
        for curve in (move_curve(c, Pose(shift_mm=at)) for c in run):
            if isinstance(curve, Line):
                self.space.add_line(curve.start, curve.end, dxfattribs=attributes)
            elif isinstance(curve, Spline):
                entity = self.space.add_spline(degree=curve.degree, dxfattribs=attributes)
                entity.control_points = [(x, y, 0.0) for x, y in curve.control]
                entity.knots = curve.knots
            else:
                raise TypeError(curve)

    def mark_through(self, points: list[Point], text: str) -> None:
        """Draw a line that isn't cut, 3 mm short of the edges at both ends, with its name."""
        (a, b), (c, d) = (points[0], points[1]), (points[-1], points[-2])
        u, v = _unit(b[0] - a[0], b[1] - a[1]), _unit(d[0] - c[0], d[1] - c[1])
        run = [
            (a[0] + 3 * u[0], a[1] + 3 * u[1]),
            *points[1:-1],
            (c[0] + 3 * v[0], c[1] + 3 * v[1]),
        ]
        self.space.add_lwpolyline(run, dxfattribs={"layer": "marks"})
        entity = self.space.add_text(text, height=12, rotation=90, dxfattribs={"layer": "marks"})
        entity.set_placement((a[0] - 4, a[1] + 15))

    def save(self, path: Path) -> None:
        """Write the file."""
        path.parent.mkdir(exist_ok=True)
        self.doc.saveas(path)
