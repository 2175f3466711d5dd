"""Figures along two edges of a sheet, from its marking-out corner.

Only what can be set out by them is told: straight edges that run square to the sheet, and the
lines at which offcuts come off, each with its owner.  Slanted and curved edges lie on their base
lines (marking out).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry import LineString

from nestcut.model.curves import Line, Point
from nestcut.papers.draw import (
    SIZE_MM,
    Figure,
    Item,
    along_bottom,
    along_left,
    capacity,
    depth_mm,
    figure_text,
    merged,
    row_below,
)
from nestcut.papers.draw.running_figures import SAME_FIGURE_MM
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.view import Figures, Keep, PlacedPiece, SheetView
from nestcut.tolerances.noise import NOISE

Shown = tuple[tuple[Figure, str], ...]
StockMarks = tuple[tuple[tuple[float, str], ...], tuple[tuple[float, str], ...]]
SHEETS_EDGE = "sheet's edge"
BARRED = "not to be used"
BARRED_HATCHING = "cross-hatched"
"""How spots look that must not be used; the legend has their reasons."""
LONGEST_REASON = 20
"""Letters of a reason that has room beside a figure."""
AT_CORNER_MM = 0.5
"""Nearer the corner than this needs no figure: it's the edge itself. [mm]"""
SQUARE_MM = 0.5
"""A straight edge that strays less from square to the sheet is square to it. [mm]"""
LEAST_EDGE_MM = 20.0
"""A shorter one is no edge to set out by. [mm]"""
LONG_EDGE_MM = 150.0
"""One so long is set out by a tape wherever it lies on its piece. [mm]"""
CORNER_RAD = math.radians(12.0)
"""Where a ring turns by more, two edges meet; chords of a fair curve turn by less. [rad]"""
LONGER = 4.0
"""An edge that runs on into a curve is so many times longer than the curve's chords. [-]"""
CROWDED = 10
"""Where more figures stand along a margin, only edges that are seen from it have one. [-]"""


@dataclass(frozen=True, slots=True)
class EdgeFigures:
    """Distances along the sheet and across it, with their texts; how many had no room."""

    along: Shown
    across: Shown
    left_out: int = 0

    def below_mm(self, span_mm: float) -> float:
        """Room that they take below a sheet that is so long on paper. [mm on paper]"""
        return row_below([t for _, t in self.along], span_mm - SIZE_MM * 0.56).depth_mm

    @property
    def beside_mm(self) -> float:
        """Room that they take left of the sheet. [mm on paper]"""
        return depth_mm([t for _, t in self.across])

    def fitting(self, frame: SheetFrame, kept: frozenset[int]) -> EdgeFigures:
        """Drop what an edge has no room for: first the edges of pieces not in ``kept``."""
        x0, y0, x1, y1 = frame.window
        along = _fitting(self.along, capacity((x1 - x0) / frame.scale), kept)
        across = _fitting(self.across, capacity((y1 - y0) / frame.scale), kept)
        lost = len(self.along) + len(self.across) - len(along) - len(across)
        return EdgeFigures(along, across, lost)

    def items(self, frame: SheetFrame) -> tuple[Item, ...]:
        """Draw them along the window's lower and left edge."""
        x0, y0, x1, y1 = frame.window
        half = SIZE_MM * 0.56
        across = (frame.y(y0) + half, frame.y(y1))
        return (
            *along_bottom(self.along, frame.x, frame.y(y0), (frame.x(x0) + half, frame.x(x1))),
            *along_left(self.across, frame.y, frame.x(x0), across),
        )


def edge_figures(
    placed: Sequence[PlacedPiece],
    keeps: Sequence[Keep],
    figures: Figures,
    size_mm: tuple[float, float] = (math.inf, math.inf),
    stock: StockMarks = ((), ()),
) -> EdgeFigures:
    """Where square edges of pieces and lines of offcuts lie, along the sheet and across it.

    What lies on the edges of a sheet of ``size_mm`` needs no figure. [mm]

    Parameters
    ----------
    placed
        Pieces of the sheet.
    keeps
        Offcuts to keep whole.
    size_mm
        Of the sheet; what lies on its own edges needs no figure. [mm]
    stock
        What the sheet itself has to be checked by: :func:`stock_marks`.
    """
    found: tuple[list[tuple[float, str]], list[tuple[float, str]]] = ([], [])
    for p in placed:
        for axis in (0, 1):
            for at in square_edges(p, axis):
                found[axis].append((at, str(p.number)))
    for axis in (0, 1):
        if len(merged(found[axis])) > CROWDED:
            seen = [
                at
                for p in placed
                for at, name in found[axis]
                if name == str(p.number) and is_in_sight(p, axis, at, placed)
            ]
            # a piece that lies level with one in sight is set out by the same figure
            found[axis][:] = [
                (at, name)
                for at, name in found[axis]
                if any(abs(at - other) < SAME_FIGURE_MM for other in seen)
            ]
    gathered = []
    for axis, own in enumerate(found):
        own += [
            (at, k.name)
            for k in keeps
            for at in (k.along_mm, k.across_mm)[axis]
            # rounded inwards it would differ by a step from the edge that it lies on
            if k.cut_mm is not None or not _is_otherwise(at, own, figures)
        ]
        gathered.append(merged([*own, *stock[axis]]))
    along, across = (_written(f, figures, far) for f, far in zip(gathered, size_mm, strict=True))
    return EdgeFigures(along, across)


def _is_otherwise(at_mm: float, found: Sequence[tuple[float, str]], figures: Figures) -> bool:
    """Whether the nearest figure stands within a step of the tape, and is written otherwise.

    One figure for both would say otherwise than the offcut's row.
    """
    off, other = min(((abs(at_mm - o), o) for o, _ in found), default=(math.inf, 0.0))
    near = max(SAME_FIGURE_MM, figures.step_mm)
    return off < near and figures.place(other) != figures.place(at_mm)


def stock_marks(sheet: SheetView) -> StockMarks:
    """Corners of a sheet that is no rectangle, and where what must not be used begins and ends.

    Along the sheet, then across it; each with what is there. [mm]
    """
    layout = sheet.layout
    size = (layout.length_mm, layout.width_mm)
    found: tuple[list[tuple[float, str]], list[tuple[float, str]]] = ([], [])
    for axis in (0, 1):
        corners = {p[axis] for p in layout.outline or ()}
        found[axis].extend((at, SHEETS_EDGE) for at in sorted(corners))
        for spot in layout.barred:
            values = [p[axis] for p in spot.points]
            ends = sorted({min(values), max(values)})
            found[axis].extend((at, _short(spot.reason)) for at in ends)
    along, across = (
        tuple(f for f in own if AT_CORNER_MM < f[0] < far - AT_CORNER_MM)
        for own, far in zip(found, size, strict=True)
    )
    return along, across


def _short(reason: str) -> str:
    """Why a spot must not be used, beside a figure: long words stand in the legend alone."""
    if len(reason) > LONGEST_REASON:
        return BARRED_HATCHING
    return reason or BARRED


def is_in_sight(placed: PlacedPiece, axis: int, at_mm: float, among: Sequence[PlacedPiece]) -> bool:
    """Whether nothing lies between an edge and the margin where its figure stands.

    Parameters
    ----------
    axis
        0: an edge across the sheet, at a length; 1: one along it.
    at_mm
        Where the edge is. [mm]
    among
        Pieces that may lie between.
    """
    sides = (b for at, b in _square_lines(placed, axis) if abs(at - at_mm) < SQUARE_MM)
    near = min((min(b) for b in sides), default=0.0)
    ends = [(at_mm, 0.0), (at_mm, near)] if axis == 0 else [(0.0, at_mm), (near, at_mm)]
    way = LineString(ends)
    return all(
        other is placed or other.polygon.intersection(way).length < SQUARE_MM for other in among
    )


def square_edges(placed: PlacedPiece, axis: int) -> tuple[float, ...]:
    """Places of a piece's straight edges that run square to the sheet, and that a tape finds.

    Those at its least and greatest place, and long ones between; never a curve, however flat.
    ``axis`` 0 asks along the sheet, 1 across it. [mm]
    """
    box = placed.box_mm
    outer = (box[axis], box[axis + 2])
    runs: dict[float, float] = {}
    for at, (a, b) in sorted(_square_lines(placed, axis)):
        near = next((k for k in runs if abs(k - at) < SQUARE_MM), at)
        runs[near] = runs.get(near, 0.0) + abs(b - a)
    return tuple(
        at
        for at, run in runs.items()
        if run >= LONG_EDGE_MM
        or (run >= LEAST_EDGE_MM and min(abs(at - o) for o in outer) < SQUARE_MM)
    )


def _square_lines(placed: PlacedPiece, axis: int) -> list[tuple[float, tuple[float, float]]]:
    """Straight lines of an outline square to an axis: where on it, and from where to where. [mm]"""
    ring = placed.shape.outline
    lines = [(c.start, c.end) for c in ring.curves if isinstance(c, Line)]
    if not ring.curves:
        lines = _straight(ring.points)
    return [
        ((a[axis] + b[axis]) / 2.0, (a[1 - axis], b[1 - axis]))
        for a, b in lines
        if abs(b[axis] - a[axis]) < min(SQUARE_MM, abs(b[1 - axis] - a[1 - axis]))
    ]


def _straight(points: tuple[Point, ...]) -> list[tuple[Point, Point]]:
    """Sides of a ring that are edges, not chords of a curve.

    An edge ends at corners, or where a curve's chords begin, which are much shorter.
    """
    corners = [p for p, turn in zip(points, _turns(points), strict=True) if abs(turn) > NOISE]
    if len(corners) < 3:
        return []
    turns = _turns(tuple(corners))
    count = len(corners)
    long = [math.dist(corners[k], corners[(k + 1) % count]) for k in range(count)]
    found = []
    for k in range(count):
        ends = ((turns[k], long[k - 1]), (turns[(k + 1) % count], long[(k + 1) % count]))
        if all(abs(t) > CORNER_RAD or beside * LONGER < long[k] for t, beside in ends):
            found.append((corners[k], corners[(k + 1) % count]))
    return found


def _turns(ring: tuple[Point, ...]) -> list[float]:
    """By how much a ring turns at each of its points. [rad]"""
    found = []
    for k, (x, y) in enumerate(ring):
        (ax, ay), (bx, by) = ring[k - 1], ring[(k + 1) % len(ring)]
        into, out = math.atan2(y - ay, x - ax), math.atan2(by - y, bx - x)
        found.append(math.remainder(out - into, math.tau))
    return found


def _written(found: Sequence[Figure], figures: Figures, far_mm: float) -> Shown:
    return tuple(
        (f, figure_text(f, figures.place))
        for f in found
        if AT_CORNER_MM < f.at_mm < far_mm - AT_CORNER_MM
    )


def _fitting(shown: Shown, room: int, kept: frozenset[int]) -> Shown:
    if len(shown) <= room:
        return shown
    names = {str(n) for n in kept}
    wanted = [s for s in shown if any(not w.isdigit() or w in names for w in s[0].whose)]
    return tuple(wanted[:room])
