"""Is a shape the one that the job draws, curve by curve, and do its points stand for it?"""

from __future__ import annotations

from enum import Enum, auto

import numpy as np
import shapely
from shapely.geometry import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.errors import Finding
from nestcut.model.curves import Point
from nestcut.model.part import Hand, SheetPart
from nestcut.model.shape import Mark, MarkUse, Ring, Shape
from nestcut.tolerances import JOIN_GAP_MM, SAME_POINT_MM, VERIFY_MM
from nestcut.tolerances.lengths import SAME_LINE_MM
from nestcut.tolerances.likeness import SAME_LINE_SHARE, UNSEEN_SHARE
from nestcut.verify.findings import exact, objection
from nestcut.verify.truth import (
    covered,
    line_off_mm,
    mark_line,
    mirrored,
    mirrored_curve,
    mirrored_point,
    region,
    reversed_curve,
    ring_line,
    rough,
    same_curve,
    widest_gap_mm,
)

_COVERS_MM = VERIFY_MM / 2.0
"""Flattened points may cut so far into the true outline; they should not at all. [mm]"""


class Image(Enum):
    """How a piece of one hand is seen in its part's drawing."""

    DRAWN = auto()
    MIRRORED = auto()


def image_of(part: SheetPart, hand: Hand | None) -> Image:
    """Return how a piece of this hand is seen."""
    return Image.DRAWN if hand in {None, part.drawn} else Image.MIRRORED


def wanted_ring(ring: Ring, image: Image) -> Ring:
    """Return a ring as a hand has it; a mirrored one runs the other way round."""
    if image is Image.DRAWN:
        return ring
    points = tuple(mirrored_point(p) for p in ring.points)
    curves = tuple(reversed_curve(mirrored_curve(c)) for c in reversed(ring.curves))
    return Ring((points[0], *reversed(points[1:])), curves)


def check_whole(have: Shape, want: Shape, where: str, image: Image) -> list[Finding]:
    """Compare a shape curve by curve, point by point and mark by mark with the job's.

    Parameters
    ----------
    have
        As the plan has it.
    want
        As the job has it.
    where
        What it is called on the papers.
    """
    rings = [
        (have.outline, wanted_ring(want.outline, image)),
        *((a, wanted_ring(b, image)) for a, b in zip(have.holes, want.holes, strict=False)),
    ]
    found: list[Finding] = []
    if len(have.holes) != len(want.holes):
        found.append(objection("VER-060", where, has=len(have.holes), needs=len(want.holes)))
    for a, b in rings:
        if len(a.curves) != len(b.curves) or not all(map(same_curve, a.curves, b.curves)):
            off = line_off_mm(LineString(ring_line(a)), LineString(ring_line(b)), SAME_LINE_MM)
            found.append(objection("VER-007", where, by=exact(off)))
        elif not _same_points(a.points, b.points) and not b.curves:
            off = line_off_mm(LineString(ring_line(a)), LineString(ring_line(b)), 0.0)
            found.append(objection("VER-007", where, by=exact(off)))
        elif not _same_points(a.points, b.points):
            found.append(objection("VER-029", where))
    return found


def _same_points(a: tuple[Point, ...], b: tuple[Point, ...]) -> bool:
    return len(a) == len(b) and bool(np.all(np.abs(np.asarray(a) - np.asarray(b)) <= SAME_POINT_MM))


def check_sound(shape: Shape, where: str, gap_mm: float) -> list[Finding]:
    """Curves follow each other head to tail and enclose an area, and so do the points.

    Parameters
    ----------
    where
        What it is called on the papers.
    gap_mm
        How far ends of neighbouring curves may be apart. [mm]
    """
    try:
        true, flat = region(shape), rough(shape)
        is_sound = (
            true.is_valid
            and flat.is_valid
            and all(map(_is_drawn, shape.marks))
            and all(
                widest_gap_mm(r) <= gap_mm + SAME_LINE_MM for r in (shape.outline, *shape.holes)
            )
        )
    except (ValueError, shapely.errors.GEOSException):
        is_sound = False
    return [] if is_sound else [objection("VER-005", where)]


def _is_drawn(mark: Mark) -> bool:
    """Whether a mark has a length, of its points as well as of its curves."""
    return all(
        len(rows) > 1 and LineString(rows).length > 0.0 for rows in (mark.points, mark_line(mark))
    )


def gap_of(shape: Shape) -> float:
    """Widest gap between curves that the job's own outline has; no more than a drawing may. [mm]"""
    return min(JOIN_GAP_MM, max(widest_gap_mm(r) for r in (shape.outline, *shape.holes)))


def check_points(shape: Shape, where: str, flatness_mm: float) -> list[Finding]:
    """Flattened points cover the true shape and are nowhere further off than the job asks.

    They run round it to the left, and to the right round a hole, as areas are summed.

    Parameters
    ----------
    where
        What it is called on the papers.
    flatness_mm
        How far points may be from the true lines. [mm]
    """
    true, flat = region(shape), rough(shape)
    off = line_off_mm(flat.boundary, true.boundary, flatness_mm + _COVERS_MM)
    n = sum(len(r.points) for r in (shape.outline, *shape.holes))
    runs_round = flat.exterior.is_ccw and not any(h.is_ccw for h in flat.interiors)
    once = len({p for r in (shape.outline, *shape.holes) for p in r.points}) == n
    if off == 0.0 and once and runs_round and covered(true, flat, _COVERS_MM):
        return []
    return [objection("VER-029", where)]


def check_region(have: Shape, want: BaseGeometry, where: str) -> list[Finding]:
    """Compare true lines with those that the verifier has worked out.

    Parameters
    ----------
    want
        What the verifier has worked out. [mm]
    where
        What it is called on the papers.
    """
    off = line_off_mm(region(have).boundary, want.boundary, SAME_LINE_MM)
    return [objection("VER-007", where, by=exact(off))] if off > 0.0 else []


Named = tuple[str, MarkUse]
"""A mark's label, and what it is for."""


def check_marks(
    have: tuple[Mark, ...], want: dict[Named, list[LineString]], where: str, flatness_mm: float
) -> list[Finding]:
    """Compare lines to draw, label by label: nothing missing, moved, doubled or made up.

    Parameters
    ----------
    want
        Lines by their label and use. [mm]
    where
        What it is called on the papers.
    flatness_mm
        How far points may be from the true lines. [mm]
    """
    found: list[Finding] = []
    for label, use in sorted({(m.label, m.use) for m in have} | set(want)):
        own = [m for m in have if (m.label, m.use) == (label, use)]
        lines = MultiLineString(want.get((label, use), []))
        for rows, allowed in (
            ([mark_line(m) for m in own], SAME_LINE_MM),
            ([m.points for m in own], flatness_mm + _COVERS_MM),
        ):
            made = MultiLineString([r for r in rows if len(r) > 1])
            off = line_off_mm(made, lines, allowed)
            share = SAME_LINE_SHARE if allowed == SAME_LINE_MM else UNSEEN_SHARE
            slack = allowed + share * lines.length
            if off > 0.0 or abs(made.length - lines.length) > slack:
                found.append(objection("VER-037", where, label=label or "without a name"))
                break
    return found


def marks_within(
    marks: tuple[Mark, ...], strip: BaseGeometry | None, image: Image
) -> dict[Named, list[LineString]]:
    """Return the stretches of a part's marks inside a strip of its frame, by label, for a hand.

    Parameters
    ----------
    strip
        Of the part's frame; None: all of it. [mm]
    """
    found: dict[Named, list[LineString]] = {}
    for mark in marks:
        line: BaseGeometry = LineString(mark_line(mark))
        if strip is not None:
            line = line.intersection(strip)
        bits = [g for g in shapely.get_parts(line).tolist() if g.length > SAME_POINT_MM]
        if bits:
            own = found.setdefault((mark.label, mark.use), [])
            own += [mirrored(g) if image is Image.MIRRORED else g for g in bits]
    return found


def ring_mark(area: Polygon) -> LineString:
    """Return an outline as a line to draw. [mm]"""
    return LineString(area.exterior.coords)
