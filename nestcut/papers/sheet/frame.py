"""Where a sheet lies on paper: the one place where mm on the sheet turn into mm on paper."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import affinity
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.model.curves import Point
from nestcut.papers.draw import Area, Fill, Item


@dataclass(frozen=True)
class SheetFrame:
    """Where a sheet lies on paper: ``origin`` is its marking-out corner, ``scale`` 10 for 1:10.

    ``window`` is the stretch that is shown, in mm on the sheet: (x0, y0, x1, y1).
    """

    scale: float
    origin: Point
    window: tuple[float, float, float, float]

    def x(self, x_mm: float) -> float:
        """Place on paper of a distance along the sheet. [mm]"""
        return self.origin[0] + x_mm / self.scale

    def y(self, y_mm: float) -> float:
        """Place on paper of a distance across the sheet. [mm]"""
        return self.origin[1] + y_mm / self.scale

    def point(self, p: Point) -> Point:
        """Place on paper of a point."""
        return (self.x(p[0]), self.y(p[1]))

    def points(self, points: tuple[Point, ...]) -> tuple[Point, ...]:
        """Places on paper of points."""
        return tuple(self.point(p) for p in points)

    def shape(self, geometry: BaseGeometry) -> BaseGeometry:
        """A geometry on paper."""
        k = 1.0 / self.scale
        return affinity.affine_transform(geometry, [k, 0.0, 0.0, k, *self.origin])

    @property
    def paper_window(self) -> Polygon:
        """The window on paper."""
        x0, y0, x1, y1 = self.window
        return box(self.x(x0), self.y(y0), self.x(x1), self.y(y1))


def corner_mark(frame: SheetFrame) -> tuple[Item, ...]:
    """The marking-out corner: a black triangle outside the sheet, pointing into the corner."""
    x, y = frame.origin
    corners = ((x, y), (x - 4.2, y - 1.6), (x - 1.6, y - 4.2))
    return (Area(corners, pen=None, fill=Fill.INK),)
