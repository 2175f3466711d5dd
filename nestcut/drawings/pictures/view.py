"""From a drawing's mm to a picture's pixels, and how much of the drawing is shown."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from nestcut.drawings.records import ON_SCREEN, Drawing, Stroke
from nestcut.drawings.tell import RINGED
from nestcut.geometry.curves import bounding_box, flatten
from nestcut.model.curves import Curve, Point
from nestcut.tolerances.lengths import LEAST_EXTENT_MM, LEAST_MM
from nestcut.tolerances.looks import PICTURE_MARGIN

WIDTH = 1000.0
"""Width of the drawing's part of the picture. [px]"""

Box = tuple[float, float, float, float]


class View:
    """From mm to picture, y down."""

    def __init__(self, box: tuple[float, float, float, float]) -> None:
        x0, y0, x1, y1 = box
        size = max(x1 - x0, LEAST_MM)
        self.scale = WIDTH / max(size, (y1 - y0) * 0.5)
        self.x0, self.y1 = x0, y1
        self.height = (y1 - y0) * self.scale + 40.0

    def at(self, p: Point) -> Point:
        """Map a point."""
        return ((p[0] - self.x0) * self.scale + 20.0, (self.y1 - p[1]) * self.scale + 20.0)

    def path(self, points: list[Point], *, end: str = "") -> str:
        """Return path data through points."""
        mapped = [self.at(p) for p in points]
        return "M" + " L".join(f"{x:.2f} {y:.2f}" for x, y in mapped) + end

    def line(self, parent: ET.Element, curves: tuple[Curve, ...], style: dict[str, str]) -> None:
        """Draw curves head to tail.

        Parameters
        ----------
        parent
            Element of the picture to draw into.
        curves
            Head to tail. [mm]
        style
            SVG attributes that add to the usual ones or replace them.
        """
        ET.SubElement(
            parent,
            "path",
            {"d": self.path(self.points(curves)), "fill": "none", "stroke-width": "1", **style},
        )

    def points(self, curves: tuple[Curve, ...]) -> list[Point]:
        """Flatten to a third of a pixel."""
        points: list[Point] = []
        for curve in curves:
            points += flatten(curve, 0.3 / self.scale)[1 if points else 0 :]
        return points


def box_of(drawing: Drawing) -> Box:
    """Box of outlines, rings and the open lines near them: strays don't shrink it all. [mm]"""
    boxes = [o.box_mm for o in (*drawing.outlines, *drawing.offered) if o.seen in ON_SCREEN]
    open_boxes = [_stroke_box(s) for s in drawing.open_lines]
    if not boxes:
        boxes, open_boxes = open_boxes, []
    if not boxes:
        boxes = [bounding_box(c) for s in drawing.left_out for c in s.curves]
    if not boxes:
        return (0.0, 0.0, 100.0, 50.0)
    x0, y0, x1, y1 = _around(boxes)
    reach = max(x1 - x0, y1 - y0)
    near = [
        b for b in open_boxes
        if x0 - reach <= b[0] and b[2] <= x1 + reach and y0 - reach <= b[1] and b[3] <= y1 + reach
    ]  # fmt: skip
    rings = [
        (*f.at_mm, *f.at_mm)
        for f in drawing.findings
        if f.at_mm is not None and f.severity in RINGED
    ]
    x0, y0, x1, y1 = _around([(x0, y0, x1, y1), *near, *rings])
    margin = PICTURE_MARGIN * max(x1 - x0, y1 - y0, LEAST_EXTENT_MM)
    return (x0 - margin, y0 - margin, x1 + margin, y1 + margin)


def _stroke_box(stroke: Stroke) -> Box:
    return _around([bounding_box(c) for c in stroke.curves])


def _around(boxes: list[Box]) -> Box:
    return (
        min(b[0] for b in boxes), min(b[1] for b in boxes),
        max(b[2] for b in boxes), max(b[3] for b in boxes),
    )  # fmt: skip
