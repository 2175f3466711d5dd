"""Charts: how every shape of a plan is marked out once, and where each piece's chart lies.

A chart holds the figures of one shape along a base line of its own.  Copies and twins share one
(the other hand is its mirror image), and so do all pieces of a joined panel, whose chart is that of
the whole panel with the lines at which it is cut.  A shape that is alike on both sides of a line is
marked as a half-section along that centre line.  On a sheet a piece then needs two points: where
its base line begins and where it ends.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from nestcut.geometry.affine import apply, matrix
from nestcut.geometry.polygons import bounds_mm
from nestcut.geometry.pose import MIRROR, move_points, move_shape
from nestcut.joints.division import with_allowance
from nestcut.model.curves import Point
from nestcut.model.part import CutFrom, SheetPart
from nestcut.model.piece import SheetPiece
from nestcut.model.pose import Pose
from nestcut.model.shape import Shape
from nestcut.papers.marking.marks import with_marks_to_edges
from nestcut.papers.marking.outline import Marking, mark_open, mark_shape
from nestcut.papers.marking.panel_form import is_panel, through_mm
from nestcut.papers.marking.rules import MarkingRule
from nestcut.papers.marking.symmetry import (
    centred,
    has_marks_alike,
    has_no_hand,
    is_plain,
    is_ring,
    is_round,
)
from nestcut.papers.marking.table import gauge_of
from nestcut.papers.view import PlacedPiece, PlanView, is_trim_line
from nestcut.papers.view.base_line import base_line_pose
from nestcut.tolerances.lengths import ALIKE_MM, LEAST_MM, NOISE_MM, PANEL_EDGE_MM

Array = NDArray[np.float64]


class Form(StrEnum):
    """How a chart's figures are set out."""

    POINTS = "points"
    """Numbered points round the outline."""
    HALF = "half-section"
    """Half-breadths along a centre line, both sides alike."""
    PANEL = "panel"
    """Two rows of offsets at stations along the base line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A line across a panel at which a piece ends; the piece lies on its ``side``.

    ``side`` is -1 where the piece comes before the line as one goes along, 1 where it goes on
    from it. [mm, in the chart]
    """

    line: tuple[Point, Point]
    side: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartUse:
    """One piece that is drawn by a chart.

    ``matrix`` (2 x 3) takes a point of the piece's own frame to the chart. [mm]
    ``is_turned`` where the piece lies on its sheet as the chart's mirror image, because it's the
    other hand or because its good face is down.
    """

    placed: PlacedPiece
    is_turned: bool
    matrix: Array = field(compare=False, repr=False)
    cuts: tuple[Cut, ...] = ()

    @property
    def piece(self) -> SheetPiece:
        """What is drawn."""
        return self.placed.piece


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """How one shape is marked out.

    ``marking`` has the outline first; of a half-section the half from the centre line's lower end
    to its upper one, open.  ``shape`` is the whole shape along its base line.
    """

    number: int
    form: Form
    uses: tuple[ChartUse, ...]
    shape: Shape
    marking: Marking
    gauge_mm: float | None
    is_whole_panel: bool
    is_through: bool = False
    """Whether its base line runs through a panel, both edges being measured out from it."""
    is_alike: bool = False
    """Whether outline, holes and marks are the same on both sides of its line."""
    has_hand: bool = True
    """Whether its mirror image is another shape, or is bevelled elsewhere."""


@lru_cache(maxsize=2)
def charts_of(view: PlanView, rule: MarkingRule) -> tuple[Chart, ...]:
    """Return the charts of placed pieces, numbered in the order of sheets.

    Pages of boards and joints, of marking out and the page on screen ask for the same ones.
    """
    found: dict[tuple[object, ...], list[tuple[PlacedPiece, _Lie]]] = {}
    for sheet in view.sheets:
        for placed in sheet.placed:
            lie = _lie_of(placed)
            found.setdefault(lie.key, []).append((placed, lie))
    charts = []
    for number, alike in enumerate(map(_as_all_lie, found.values()), start=1):
        placed, first = alike[0]
        seen: dict[str, ChartUse] = {}
        for other, lie in alike:
            seen[other.piece.id] = ChartUse(
                placed=other, is_turned=lie.is_turned, matrix=lie.matrix, cuts=lie.cuts
            )
        gauge = gauge_of(first.source, placed.part, ())
        shape = first.shape if gauge is None else _without_trim_line(first.shape)
        shape = with_marks_to_edges(shape, 0.0 if placed.part is None else placed.part.allowance_mm)
        form, is_through = first.form, False
        if form is Form.HALF:
            marking = _half_marking(shape, rule)
        else:
            marking = mark_shape(shape, rule)
            form = Form.PANEL if is_panel(marking) else Form.POINTS
            up = through_mm(marking) if form is Form.PANEL else None
            if up is not None:
                down = Pose(shift_mm=(0.0, -up))
                shape, is_through = move_shape(shape, down), True
                marking = mark_shape(shape, rule)
                seen = {key: _moved(use, down) for key, use in seen.items()}
        is_alike = form is Form.HALF and has_marks_alike(shape)
        has_bevels = any(p.part is not None and p.part.edge_bevels for p, _ in alike)
        charts.append(
            Chart(
                number=number,
                form=form,
                uses=tuple(seen.values()),
                shape=shape,
                marking=marking,
                gauge_mm=gauge,
                is_whole_panel=first.is_whole,
                is_through=is_through,
                is_alike=is_alike,
                has_hand=not is_alike and (has_bevels or not has_no_hand(shape)),
            )
        )
    return tuple(charts)


def _moved(use: ChartUse, pose: Pose) -> ChartUse:
    """A use of a chart that was moved along its own axes."""
    shift = np.array([[0.0, 0.0, pose.shift_mm[0]], [0.0, 0.0, pose.shift_mm[1]]])
    cuts = tuple(Cut(line=_pair(move_points(c.line, pose)), side=c.side) for c in use.cuts)
    return replace(use, matrix=use.matrix + shift, cuts=cuts)


def _pair(points: tuple[Point, ...]) -> tuple[Point, Point]:
    first, last = points
    return first, last


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lie:
    """How a piece lies in its chart."""

    key: tuple[object, ...]
    source: Shape
    shape: Shape
    form: Form
    matrix: Array
    is_turned: bool
    """Whether the piece lies on its sheet as the chart's mirror image."""
    is_whole: bool = False
    cuts: tuple[Cut, ...] = ()


def _lie_of(placed: PlacedPiece) -> _Lie:
    piece, part = placed.piece, placed.part
    is_mirrored = piece.hand is not None and part is not None and piece.hand is not part.drawn
    into = MIRROR if is_mirrored else Pose()
    own = move_shape(piece.shape, into)
    if piece.n_shares > 1 and part is not None and piece.cut_from is CutFrom.SHEET:
        joined = _in_whole(placed, own, part, is_mirrored)
        if joined is not None:
            return joined
    pose, form = _chart_pose(own)
    if is_ring(own):
        return _ring_lie(placed)
    shape = move_shape(own, pose)
    where = "sheet" if placed.part is None else placed.part.cut_from.value
    key = (
        where,
        tuple((round(x, 2), round(y, 2)) for x, y in shape.outline.points),
        _extras(shape),
    )
    return _Lie(
        key=key,
        source=own,
        shape=shape,
        form=form,
        matrix=matrix(into, pose),
        is_turned=is_mirrored is placed.is_face_up,
    )


def _ring_lie(placed: PlacedPiece) -> _Lie:
    """How a ring lies in its chart: any line through its middle will do, so the sheet's along."""
    lying = placed.placement
    pose, form = _chart_pose(placed.piece.shape)
    own = move_shape(placed.piece.shape, pose)
    rings = (own.outline, *own.holes)
    return _Lie(
        key=("ring", *(round(bounds_mm(r.points)[2], 2) for r in rings)),
        source=placed.piece.shape,
        shape=own,
        form=form,
        matrix=matrix(pose, Pose(lying.lie, lying.turn_deg)),
        is_turned=False,
    )


def _as_all_lie(alike: list[tuple[PlacedPiece, _Lie]]) -> list[tuple[PlacedPiece, _Lie]]:
    """Pieces of one shape, drawn as they lie where all lie as its mirror image."""
    first = alike[0][1]
    if first.is_whole or not all(lie.is_turned for _, lie in alike):
        return alike
    if first.form is Form.HALF:
        over = Pose(MIRROR.lie, 180.0)  # x, y -> x, -y
    else:
        x0, _, x1, _ = bounds_mm(first.shape.outline.points)
        over = Pose(MIRROR.lie, shift_mm=(x0 + x1, 0.0))
    shape, by = move_shape(first.shape, over), matrix(Pose(), over)
    return [
        (
            placed,
            replace(
                lie,
                shape=shape,
                is_turned=False,
                matrix=np.column_stack(
                    [by[:, :2] @ lie.matrix[:, :2], apply(by, lie.matrix[:, 2])]
                ),
            ),
        )
        for placed, lie in alike
    ]


def _extras(shape: Shape) -> tuple[object, ...]:
    """Holes and marks, as far as they tell one chart from another."""
    holes = tuple(tuple((round(x, 2), round(y, 2)) for x, y in h.points) for h in shape.holes)
    marks = tuple(
        (m.label, tuple((round(x, 1), round(y, 1)) for x, y in m.points)) for m in shape.marks
    )
    return holes, marks


def _in_whole(
    placed: PlacedPiece,
    own: Shape,
    part: SheetPart,
    is_mirrored: bool,  # noqa: FBT001
) -> _Lie | None:
    """How a share lies in the chart of its whole part; None if it isn't simply cut from it."""
    whole = with_allowance(part)
    pose, _ = _chart_pose(whole, halves=False)
    shape = move_shape(whole, pose)
    edge = LineString([*shape.outline.points, shape.outline.points[0]])
    ring = move_points(own.outline.points, pose)
    cuts = _cuts(ring, edge, Polygon(shape.outline.points))
    if not cuts:
        return None
    return _Lie(
        key=("whole", part.name),
        source=whole,
        shape=shape,
        form=Form.POINTS,
        matrix=matrix(MIRROR if is_mirrored else Pose(), pose),
        is_turned=is_mirrored is placed.is_face_up,
        is_whole=True,
        cuts=cuts,
    )


def _cuts(ring: tuple[Point, ...], edge: LineString, whole: Polygon) -> tuple[Cut, ...]:
    """Straight lines at which a piece leaves its whole panel's edge."""
    piece = Polygon(ring)
    middle = piece.centroid.x
    apart = piece.exterior.difference(edge.buffer(PANEL_EDGE_MM))
    found = []
    for line in shapely.get_parts(shapely.line_merge(apart)):
        if line.length < 1.0:
            continue
        points = shapely.get_coordinates(line)
        a, b = points[0], points[-1]
        chord = LineString([a, b])
        if shapely.hausdorff_distance(line, chord) > PANEL_EDGE_MM:
            return ()
        ends = _to_edge(a, b, whole)
        side = -1 if (float(a[0]) + float(b[0])) / 2.0 > middle else 1
        found.append(Cut(line=ends, side=side))
    return tuple(sorted(found, key=lambda c: c.line[0][0] + c.line[1][0]))


def _to_edge(a: Array, b: Array, whole: Polygon) -> tuple[Point, Point]:
    """A chord's ends run out to the panel's edge, lower end first."""
    step = (b - a) / max(float(np.hypot(*(b - a))), LEAST_MM)
    long = LineString([a - step * 5.0, b + step * 5.0]).intersection(whole)
    parts = [g for g in shapely.get_parts(long) if g.length > 1.0]
    at = shapely.get_coordinates(max(parts, key=lambda g: g.length)) if parts else np.array([a, b])
    first, last = sorted(((float(x), float(y)) for x, y in (at[0], at[-1])), key=lambda p: p[1])
    return first, last


def _chart_pose(shape: Shape, *, halves: bool = True) -> tuple[Pose, Form]:
    """How a shape lies along its base line: its centre line or its middle, if it has one."""
    if is_round(shape):
        x0, y0, x1, y1 = bounds_mm(shape.outline.points)
        return Pose(shift_mm=(-(x0 + x1) / 2.0, -(y0 + y1) / 2.0)), Form.POINTS
    if halves and not is_plain(shape):
        for turn in (-90.0, 0.0):
            pose = centred(shape, turn)
            if pose is not None:
                return pose, Form.HALF
    return base_line_pose(shape), Form.POINTS


def _half_marking(shape: Shape, rule: MarkingRule) -> Marking:
    """Mark the half at y >= 0: the outline, what holes have there, and every mark."""
    lines = [mark_open("outline", _half_chain(shape.outline.points), rule)]
    for k, hole in enumerate(shape.holes, start=1):
        middle = Polygon(hole.points).centroid.y
        if middle < -ALIKE_MM:
            continue  # its twin above the centre line stands for both
        whole = mark_shape(Shape(hole), rule).lines[0]
        if whole.circle is None and middle <= ALIKE_MM:
            whole = mark_open("", _half_chain(hole.points), rule)
        lines.append(replace(whole, name=f"hole {k}"))
    marks = mark_shape(Shape(shape.outline, (), shape.marks), rule).lines[1:]
    number = 1
    numbered = []
    for line in (*lines, *marks):
        points = tuple(replace(p, number=number + k) for k, p in enumerate(line.points))
        numbered.append(replace(line, points=points))
        number += len(points)
    return Marking(lines=tuple(numbered), diagonals=(), rule=rule)


def _half_chain(points: tuple[Point, ...]) -> Array:
    """The part of a ring at y >= 0, from the lower end of the centre line to its upper one."""
    x0, _, x1, y1 = bounds_mm(points)
    upper = Polygon(points).intersection(shapely.box(x0 - 1.0, 0.0, x1 + 1.0, y1 + 1.0))
    body = max(shapely.get_parts(upper), key=lambda g: g.area)
    ring = shapely.get_coordinates(shapely.normalize(body).exterior)[:-1]
    if not shapely.is_ccw(LineString([*ring, ring[0]])):
        ring = ring[::-1]
    on_line = np.flatnonzero(np.abs(ring[:, 1]) < NOISE_MM)
    start = on_line[int(np.argmax(ring[on_line, 0]))]
    chain = np.roll(ring, -int(start), axis=0)  # from the far end over the top to the near one
    stop = max(k for k in range(len(chain)) if abs(chain[k, 1]) < NOISE_MM)
    return np.asarray(chain[: stop + 1][::-1], dtype=np.float64)


def _without_trim_line(shape: Shape) -> Shape:
    return replace(shape, marks=tuple(m for m in shape.marks if not is_trim_line(m)))
