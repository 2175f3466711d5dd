"""What any layout of one material must obey: areas, rectangles inside pieces, conflicts.

Pieces that are alike (the same outline and freedom) are one class: all is worked out once for each
class, so that a fleet of a thousand pieces costs no more than one boat.  What these facts prove,
and why, is told in :mod:`nestcut.sheets.least.bounds`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.nesting.problem import Turns
from nestcut.sheets.least.chords import MOST_STEPS, chord_weights
from nestcut.sheets.least.conservative import Sides, best_weights
from nestcut.sheets.left.offcuts import largest_boxes
from nestcut.sheets.prepare import Group, PreparedPiece, PreparedStock
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.tolerances.noise import DUST, NOISE, WHOLE_SLACK

SCALE = 1_000_000
"""Weights are whole numbers in units of 1 / SCALE of a sheet, rounded down."""

_PAIRS = 12
"""Pairs of dual feasible functions used for each kind of sheet."""

_CHORD_CLASSES = 30
"""Classes weighed by chords, those with the most area; the others weigh nothing there."""

_CHORD_ROWS = 4
"""Rows of weights by chords that are used for each kind of sheet."""

_UNDER = 0.98
"""Share of the clearance by which pieces are grown for their area: safely less than all of it."""

_MOST_SPAN_DEG = 15.0
"""Pieces that may stray farther from upright are known by their disc alone. [deg]"""

Clique = tuple[tuple[int, int], ...]
"""Pieces of which no two share a sheet: (class, how many of it)."""


@dataclass(frozen=True, slots=True)
class Inner:
    """Upright rectangles inside a piece, each in its allowed quarter turns, and a disc. [mm]"""

    boxes: tuple[tuple[tuple[float, float], ...], ...]
    radius: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Facts:
    """Necessary conditions of one group, by kind of sheet and class of pieces.

    Parameters
    ----------
    class_of
        Class of each piece, in the order of the group.
    counts, inner
        By class: how many there are, and what lies inside one.
    boxes
        Sides of the box around each kind's usable area, grown by ``gap_mm``. [mm]
    gap_mm
        Least gap in x or y between upright rectangles that are a clearance apart. [mm]
    area_rows, weight_rows
        Weight of one piece of each class on a sheet of each kind.
    conflicts
        For each kind, which classes can't share a sheet, shape (classes, classes); on the
        diagonal: two of one class.
    cliques
        For each kind, the largest first.
    fits
        For each kind, whether a piece of each class may be on it at all.
    """

    group: Group
    class_of: tuple[int, ...]
    counts: tuple[int, ...]
    inner: tuple[Inner, ...]
    boxes: tuple[tuple[float, float], ...]
    gap_mm: float
    area_rows: tuple[list[int], ...]
    weight_rows: tuple[list[list[int]], ...]
    conflicts: tuple[np.ndarray, ...]
    cliques: tuple[list[Clique], ...]
    fits: tuple[list[bool], ...]

    def total(self, row: list[int]) -> int:
        """Weight of all pieces together."""
        return sum(a * m for a, m in zip(row, self.counts, strict=True))


def facts_of(group: Group) -> Facts:
    """Work out what any layout of the group must obey."""
    class_of, members = _classes(group)
    counts = tuple(class_of.count(c) for c in range(len(members)))
    lengths = sorted({s for stock in group.stocks for s in _box_mm(group, stock)})
    inner = tuple(_inner(p, lengths) for p in members)
    areas = [_area_mm2(group, p) for p in members]
    conflicts = tuple(_conflicts(group, s, inner) for s in group.stocks)
    return Facts(
        group=group,
        class_of=class_of,
        counts=counts,
        inner=inner,
        boxes=tuple(_box_mm(group, s) for s in group.stocks),
        gap_mm=group.clearance_mm / math.sqrt(2.0),
        area_rows=tuple(_area_row(group, s, areas) for s in group.stocks),
        weight_rows=tuple(
            _weight_rows(group, s, inner, counts) + _chord_rows(group, s, members, counts)
            for s in group.stocks
        ),
        conflicts=conflicts,
        cliques=tuple(_cliques(bad, counts) for bad in conflicts),
        fits=tuple(_fits(group, s, inner) for s in group.stocks),
    )


def _classes(group: Group) -> tuple[tuple[int, ...], list[PreparedPiece]]:
    """Class of each piece and one piece of each class."""
    known: dict[tuple[bytes, str], int] = {}
    members: list[PreparedPiece] = []
    class_of = []
    for piece in group.pieces:
        holes = b"|".join(h.tobytes() for h in piece.item.holes)
        freedom = f"{piece.item.turns}{piece.item.lies}"
        key = (piece.item.outline.tobytes() + b"/" + holes, freedom)
        if key not in known:
            known[key] = len(members)
            members.append(piece)
        class_of.append(known[key])
    return tuple(class_of), members


def _inner(piece: PreparedPiece, lengths: list[float]) -> Inner:
    net = piece.net
    disc = shapely.maximum_inscribed_circle(net, tolerance=1.0).length * 0.999
    turns = piece.item.turns
    if not _is_upright(turns):
        return Inner(boxes=(), radius=disc)
    if piece.sides_mm is not None:
        found, shrink = [piece.sides_mm], 0.0 if turns.is_discrete else 2.0 * SAME_LENGTH_MM
    else:
        x0, y0, x1, y1 = net.bounds
        outside = shapely.box(x0 - 1.0, y0 - 1.0, x1 + 1.0, y1 + 1.0).difference(net)
        found = [(b[2] - b[0], b[3] - b[1]) for b in largest_boxes(outside, net.bounds)]
        shrink = 2.0 * SAME_LENGTH_MM
    if not turns.is_discrete:
        found = [s for b in found for s in sides_at_any_angle(b, turns.span_deg, lengths)]
        found.sort(key=lambda s: -s[0] * s[1])
    quarter = {round(t / 90.0) % 2 for t in piece.item.turns.centres_deg}
    boxes = tuple(
        tuple((h - shrink, w - shrink) if q else (w - shrink, h - shrink) for q in sorted(quarter))
        for w, h in found
    )
    return Inner(boxes=boxes, radius=disc)


def _is_upright(turns: Turns) -> bool:
    return turns.span_deg <= _MOST_SPAN_DEG and all(
        abs(t / 90.0 - round(t / 90.0)) < DUST for t in turns.centres_deg
    )


def sides_at_any_angle(
    sides_mm: tuple[float, float], span_deg: float, lengths_mm: list[float]
) -> list[tuple[float, float]]:
    """Return upright rectangles that lie in a given one however it's turned within the span.

    An upright w' x h' about the centre of a rectangle w x h turned by t lies in it if
    ``w' cos t + h' |sin t| <= w`` and ``w' |sin t| + h' cos t <= h`` (the support of the one along
    the axes of the other). Both left sides rise with t up to the angle of the diagonal, and are
    never more than the diagonal.

    Parameters
    ----------
    sides_mm
        Sides of the rectangle, upright at turn 0. [mm]
    span_deg
        How far it may be turned either way. [deg]
    lengths_mm
        Lengths of which halves and thirds are worth just passing. [mm]

    Returns
    -------
    list
        Sides of up to a dozen rectangles, long and thin to short and thick. [mm]
    """
    w, h = sides_mm
    a = math.radians(span_deg)
    c, s = math.cos(a), math.sin(a)
    wanted = {w * share for share in (0.25, 0.5, 0.75, 0.9, 0.97)}
    wanted |= {x / part * (1.0 + WHOLE_SLACK) for x in lengths_mm for part in (2, 3)}
    found = []
    for long in sorted(x for x in wanted if x < w):
        short = min((h - long * s) / c, (w - long * c) / s if s > 0.0 else h)
        if short <= 0.0:
            continue
        first = long * c + short * s if math.atan2(short, long) >= a else math.hypot(long, short)
        second = long * s + short * c if math.atan2(long, short) >= a else math.hypot(long, short)
        if first <= w + NOISE and second <= h + NOISE:
            found.append((long, short))
    return found


def _area_mm2(group: Group, piece: PreparedPiece) -> float:
    half = group.clearance_mm / 2.0
    outer = Polygon(piece.net.exterior)
    area = outer.buffer(half * _UNDER).area if half > 0.0 else outer.area
    for ring in piece.net.interiors:
        area -= Polygon(ring).area
    return area * (1.0 - NOISE)


def _area_row(group: Group, stock: PreparedStock, areas: list[float]) -> list[int]:
    """Grown areas as shares of what one sheet offers them.

    A net piece may touch a keep-out, so grown it may reach half a clearance into it: only the
    keep-out shrunk by so much is sure to be lost.
    """
    room: BaseGeometry = Polygon(stock.container.outline)
    for blocked in stock.container.blocked:
        room = room.difference(Polygon(blocked).buffer(-group.clearance_mm / 2.0))
    return [math.floor(a / room.area * SCALE) for a in areas]


def _box_mm(group: Group, stock: PreparedStock) -> tuple[float, float]:
    """Sides of the box around the usable area, in the engine's frame, grown by ``c / sqrt 2``."""
    x0, y0, x1, y1 = stock.usable.bounds
    sides = (x1 - x0, y1 - y0) if stock.frame_turn_deg == 0.0 else (y1 - y0, x1 - x0)
    grow = group.clearance_mm / math.sqrt(2.0)
    return sides[0] + grow, sides[1] + grow


def _relative(
    group: Group, stock: PreparedStock, boxes: tuple[tuple[float, float], ...]
) -> tuple[tuple[float, float], ...]:
    """Sides relative to the sheet's box, in those turns in which the rectangle goes in."""
    w, h = _box_mm(group, stock)
    grow = group.clearance_mm / math.sqrt(2.0)
    found = (((a + grow) / w, (b + grow) / h) for a, b in boxes)
    return tuple((a, b) for a, b in found if a <= 1.0 and b <= 1.0)


def _fits(group: Group, stock: PreparedStock, inner: tuple[Inner, ...]) -> list[bool]:
    """Whether each piece may be on this kind at all, as far as its rectangles and disc tell."""
    w, h = _box_mm(group, stock)
    return [
        2.0 * p.radius <= min(w, h) and all(_relative(group, stock, b) for b in p.boxes)
        for p in inner
    ]


def _weight_rows(
    group: Group, stock: PreparedStock, inner: tuple[Inner, ...], counts: tuple[int, ...]
) -> list[list[int]]:
    sides: list[Sides | None] = []
    for p in inner:
        choices = (_relative(group, stock, turns) for turns in p.boxes)
        fitting = tuple(c for c in choices if c)
        sides.append(Sides(fitting) if fitting else None)
    return [
        [math.floor(w * SCALE * (1.0 - NOISE)) for w in weights]
        for _, weights in best_weights(tuple(sides), counts, _PAIRS)
    ]


def _chord_rows(
    group: Group, stock: PreparedStock, members: list[PreparedPiece], counts: tuple[int, ...]
) -> list[list[int]]:
    """Weights by rows and columns, the heaviest few; pieces that turn freely weigh nothing."""
    x0, y0, x1, y1 = stock.usable.bounds
    sides = (x1 - x0, y1 - y0) if stock.frame_turn_deg == 0.0 else (y1 - y0, x1 - x0)
    area = np.array([m * p.net.area for m, p in zip(counts, members, strict=True)])
    weighed = set(np.argsort(-area, kind="stable")[:_CHORD_CLASSES].tolist())
    weights = [
        chord_weights(p.net, p.item.turns, group.clearance_mm, sides).ravel()
        if c in weighed and _is_upright(p.item.turns)
        else np.zeros(2 * MOST_STEPS)
        for c, p in enumerate(members)
    ]
    rows = np.floor(np.array(weights).T * SCALE * (1.0 - NOISE)).astype(int)
    order = np.argsort(-(rows @ np.array(counts)), kind="stable")[:_CHORD_ROWS]
    return [rows[k].tolist() for k in order]


def _conflicts(group: Group, stock: PreparedStock, inner: tuple[Inner, ...]) -> np.ndarray:
    n = len(inner)
    grow = group.clearance_mm / math.sqrt(2.0)
    w, h = (s - grow for s in _box_mm(group, stock))
    bad = np.zeros((n, n), dtype=np.bool_)
    for i in range(n):
        for j in range(i, n):
            bad[i, j] = bad[j, i] = _cannot_share(inner[i], inner[j], w, h, group)
    return bad


def _cliques(bad: np.ndarray, counts: tuple[int, ...]) -> list[Clique]:
    """Sets of pieces of which no two share a sheet, grown greedily from each class.

    Of a class whose own pieces share no sheet all are taken, else one.
    """
    n = len(counts)
    size = np.array([m if bad[c, c] else 1 for c, m in enumerate(counts)])
    found: dict[Clique, int] = {}
    for start in range(n):
        chosen = [start]
        ready = bad[start].copy()
        ready[start] = False
        while ready.any():
            reach = np.where(ready, size + (bad & ready) @ size, -1)
            nxt = int(reach.argmax())
            chosen.append(nxt)
            ready &= bad[nxt]
            ready[nxt] = False
        clique = tuple((c, int(size[c])) for c in sorted(chosen))
        found[clique] = sum(m for _, m in clique)
    order = sorted(found, key=lambda q: (-found[q], q))
    return [q for q in order if found[q] > 1][:_MOST_CLIQUES]


_MOST_CLIQUES = 40


def _cannot_share(p: Inner, q: Inner, w: float, h: float, group: Group) -> bool:
    c = group.clearance_mm
    reach = math.hypot(max(0.0, w - p.radius - q.radius), max(0.0, h - p.radius - q.radius))
    if reach < p.radius + q.radius + c - 2.0 * SAME_LENGTH_MM:
        return True
    gap = c / math.sqrt(2.0)
    return any(
        all(
            a[0] + b[0] + gap > w and a[1] + b[1] + gap > h
            for a in turns_p
            for b in turns_q
            if a[0] <= w and a[1] <= h and b[0] <= w and b[1] <= h
        )
        for turns_p in p.boxes
        for turns_q in q.boxes
    )
