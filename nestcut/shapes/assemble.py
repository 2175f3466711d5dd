"""From curves to a checked shape."""

from __future__ import annotations

from shapely.geometry import Polygon
from shapely.validation import explain_validity

from nestcut.facts import Spot
from nestcut.geometry.curves import bounding_box
from nestcut.geometry.polygons import to_polygon
from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.model.curves import Curve
from nestcut.model.shape import Mark, Shape
from nestcut.shapes.faults import ShapeFaultError
from nestcut.tolerances import AREA_MM2

LONGEST_MM = 100_000.0
"""Nothing longer is cut from sheets at home: a slip of the unit. [mm]"""


def assemble(
    outline: tuple[Curve, ...],
    holes: tuple[tuple[Curve, ...], ...] = (),
    marks: tuple[Mark, ...] = (),
    *,
    flatness_mm: float,
) -> Shape:
    """Make a shape of closed runs of curves and prove that it can be cut.

    Parameters
    ----------
    outline
        Closed, head to tail, any way round. [mm]
    holes
        Closed, head to tail, any way round. [mm]
    flatness_mm
        How far the polygons may be from the true lines. [mm]

    Raises
    ------
    ShapeFaultError
        If the outline is absurdly large, crosses itself or has no area, or a hole leaves it or
        meets another.
    """
    _check_size(outline)
    try:
        outer = ring_from_curves(outline, flatness_mm, Side.OUTLINE)
        inner = tuple(ring_from_curves(h, flatness_mm, Side.HOLE) for h in holes)
    except ValueError as error:
        raise ShapeFaultError("shape", "SHP-104") from error
    body = Polygon(outer.points)
    if not body.is_valid or body.area < AREA_MM2:
        raise ShapeFaultError("shape", "SHP-101", at=_fault_place(body))
    for number, ring in enumerate(inner, start=1):
        if not body.contains_properly(Polygon(ring.points)):
            raise ShapeFaultError(f"holes[{number}]", "SHP-105")
    shape = Shape(outer, inner, marks)
    if not to_polygon(shape).is_valid:
        raise ShapeFaultError("hole", "SHP-102")
    return shape


def _fault_place(body: Polygon) -> Spot:
    """Where an outline is at fault; shapely names the place in brackets only."""
    inside = explain_validity(body).partition("[")[2].rstrip("]").split()
    x, y = (float(c) for c in inside) if len(inside) == 2 else body.exterior.coords[0][:2]
    return Spot((x, y))


def _check_size(outline: tuple[Curve, ...]) -> None:
    boxes = [bounding_box(c) for c in outline]
    long = max(b[2] for b in boxes) - min(b[0] for b in boxes)
    wide = max(b[3] for b in boxes) - min(b[1] for b in boxes)
    if max(long, wide) > LONGEST_MM:
        raise ShapeFaultError("shape", "SHP-103", metres=round(max(long, wide) / 1000.0))
