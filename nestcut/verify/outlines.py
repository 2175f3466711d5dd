"""Shapes as polygons, moved by affine maps: the verifier's own eyes."""

from __future__ import annotations

from typing import TypeVar

from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.model.part import Hand, SheetPart
from nestcut.model.plan import Lie, Placement
from nestcut.model.shape import Shape

G = TypeVar("G", bound=BaseGeometry)


def polygon_of(shape: Shape) -> Polygon:
    """Return the flattened shape as a polygon. [mm]"""
    return Polygon(shape.outline.points, [h.points for h in shape.holes])


def mirrored(geometry: G) -> G:
    """Reflect x -> -x. [mm]"""
    return affinity.scale(geometry, xfact=-1.0, yfact=1.0, origin=(0.0, 0.0))


def wanted_polygon(part: SheetPart, hand: Hand | None) -> Polygon:
    """Return what a part must look like in the given hand, seen from its good face. [mm]"""
    drawn = polygon_of(part.shape)
    return drawn if hand is None or hand is part.drawn else mirrored(drawn)


def placed_polygon(shape: Shape, placement: Placement) -> Polygon:
    """Return a piece's outline on its sheet: reflect if face down, turn, shift. [mm]"""
    polygon = polygon_of(shape)
    if placement.lie is Lie.FACE_DOWN:
        polygon = mirrored(polygon)
    turned = affinity.rotate(polygon, placement.turn_deg, origin=(0.0, 0.0))
    return affinity.translate(turned, placement.shift_mm[0], placement.shift_mm[1])
