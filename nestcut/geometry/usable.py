"""Areas of what can be used of a sheet, as its stock says (``model/stock``, ``Usable``)."""

from __future__ import annotations

import shapely
from shapely.geometry import MultiPolygon, Polygon

from nestcut.geometry.offset import polygons_of, shrunk
from nestcut.model.stock import Usable


def usable_area(usable: Usable) -> Polygon:
    """Return a sheet less what is trimmed, barred areas not considered, in the sheet's frame. [mm]

    Of an odd outline that its trim takes apart the largest part; an empty polygon where nothing is
    left.
    """
    parts = _parts(usable)
    return parts[0] if parts else Polygon()


def whole_area(usable: Usable) -> Polygon | MultiPolygon:
    """Return all parts of a sheet less what is trimmed, for what is left of it. [mm]"""
    parts = _parts(usable)
    return parts[0] if len(parts) == 1 else MultiPolygon(list(parts))


def _parts(usable: Usable) -> tuple[Polygon, ...]:
    (x0, y0), (x1, y1) = usable.low_mm, usable.high_mm
    if x0 >= x1 or y0 >= y1:
        return ()
    inner = shapely.box(x0, y0, x1, y1)
    if usable.outline is None:
        return (inner,)
    parts = shrunk(Polygon(usable.outline), usable.trim_mm)
    if parts and not inner.covers(shapely.union_all(parts)):
        parts = polygons_of(shapely.union_all(parts).intersection(inner))
    return parts


def free_area(usable: Usable) -> Polygon | MultiPolygon:
    """Return where pieces may lie: :func:`usable_area` without what is barred. [mm]"""
    area = usable_area(usable)
    if not usable.barred:
        return area
    free = polygons_of(
        area.difference(shapely.union_all([Polygon(k.points) for k in usable.barred]))
    )
    return free[0] if len(free) == 1 else MultiPolygon(list(free))


def beds_mm(usable: Usable) -> tuple[tuple[float, float], ...]:
    """Return length and width of the boxes that a piece must fit one of, each once. [mm]

    What is barred from edge to edge makes two beds of a sheet; what is barred in its middle none.
    """
    boxes = [part.bounds for part in polygons_of(free_area(usable))]
    return tuple(dict.fromkeys((x1 - x0, y1 - y0) for x0, y0, x1, y1 in boxes))
