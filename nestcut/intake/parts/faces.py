"""Which face of a bevelled part is the larger, held against the panels that meet it.

A transom stands across the boat at one end.  Where the panels widen from that end on, its inner
face is the larger, and its outer one where they narrow.  A job that says otherwise may be right,
for panels are flat here and the boat isn't; so it is asked, not corrected.
"""

from __future__ import annotations

import shapely

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Length
from nestcut.geometry.polygons import bounds_mm, to_polygon
from nestcut.model.joint import Face
from nestcut.model.part import Bearings, Outside, SheetPart, Towards
from nestcut.tolerances.likeness import END_SHARE, WIDENS_SHARE

IN_SHARE = 0.1
"""A panel's width is measured so much further in again, to see whether it widens. [-]"""
_ENDS = {Towards.RIGHT: 1.0, Towards.LEFT: -1.0}


def larger_face_doubts(parts: tuple[SheetPart, ...]) -> tuple[Finding, ...]:
    """Ask about bevels whose larger face isn't the one that their neighbours speak for."""
    found: list[Finding] = []
    for part in parts:
        outer = _outer_face(part.bearings)
        is_fore = _is_fore_end(part.bearings, outer)
        if outer is None or is_fore is None or not part.edge_bevels:
            continue
        told = " ".join(b.words for b in part.edge_bevels)
        met = [p for p in parts if p is not part and p.name in told]
        widths = [(p, w) for p in met if (w := _widths(p, is_fore=is_fore)) is not None]
        says_outer = {b.larger is outer for b in part.edge_bevels}
        if not widths or len(says_outer) != 1:
            continue
        widens = [inner > end for _, (end, inner) in widths]
        if all(widens) is says_outer.pop() and len(set(widens)) == 1:
            panel, (end, inner) = widths[0]
            found.append(
                finding(
                    "JOB-109",
                    Severity.WARNING,
                    part.name,
                    panel=panel.name,
                    end=Length(end),
                    inner=Length(inner),
                    larger="inner" if widens[0] else "outer",
                )
            )
    return tuple(found)


def _outer_face(bearings: Bearings) -> Face | None:
    outer = {Outside.GOOD: Face.GOOD, Outside.BACK: Face.BACK}
    return outer.get(bearings.outside)


def _is_fore_end(bearings: Bearings, outer: Face | None) -> bool | None:
    """Whether a part's outer face looks forward; None where it doesn't stand across the boat."""
    if bearings.forward not in {Towards.GOOD, Towards.BACK}:
        return None
    return (bearings.forward is Towards.GOOD) is (outer is Face.GOOD)


def _widths(part: SheetPart, *, is_fore: bool) -> tuple[float, float] | None:
    """Width of a panel near one of its ends, and further in; None where it hardly changes. [mm]"""
    way = _ENDS.get(part.bearings.forward)
    if way is None:
        return None
    x0, y0, x1, y1 = bounds_mm(part.shape.outline.points)
    polygon = to_polygon(part.shape)
    is_at_right = (way > 0.0) is is_fore

    def width(share: float) -> float:
        x = x1 - share * (x1 - x0) if is_at_right else x0 + share * (x1 - x0)
        across = polygon.intersection(shapely.LineString([(x, y0 - 1.0), (x, y1 + 1.0)]))
        return float(across.length)

    end, inner = width(END_SHARE), width(END_SHARE + IN_SHARE)
    return (end, inner) if abs(inner - end) > WIDENS_SHARE * max(end, inner) else None
