"""The least that any plan must buy: a proven lower bound for one material.

Every plan puts each piece on one sheet of some kind.  A small integer model asks how cheaply that
can be done if only necessary conditions have to hold, so its optimum (or any bound on it that the
solver proves) is a bound for every plan, whatever shapes, turns and arrangements it uses:

area
    Pieces keep the clearance c from each other, so the pieces grown by c/2 are disjoint, and a
    piece inside the usable area, grown, lies inside that area widened by c/2.  Hence the grown
    areas on the sheets of a kind sum up to at most the number of such sheets times the widened
    area.  The areas used here are those of pieces grown by slightly less (so that no rounding of
    the geometry library can make them too large), less what other pieces may take of their holes.
rectangles inside
    Let R be an upright rectangle inside a piece, for a piece that may only lie in quarter turns.
    Wherever the piece lies, its R lies upright.  (A piece that may stray a few degrees holds an
    upright rectangle of one size at every such angle: :func:`sides_at_any_angle`.)  Two of them,
    in different pieces, are at least c apart, so their gap in x or in y is at least
    ``c / sqrt 2``: grown by half of that on each side they don't overlap, and they lie in the box
    around the usable area grown alike.  Dual feasible functions
    (:mod:`nestcut.sheets.conservative`) then say how much they weigh at least.
no two share a sheet
    If two such rectangles fit neither side by side nor one above the other in the box, in any of
    their turns, no sheet holds both pieces: upright boxes that don't overlap are apart in x or in
    y. Of a set in which that holds for all pairs, each sheet takes one at most.
a piece fits
    A piece whose rectangle is larger than the box in all turns isn't on that kind at all.

The same argument holds for pieces that turn freely with a disc instead of the rectangle: discs of
radius r and s in a box W x H have centres at most ``hypot(W - r - s, H - r - s)`` apart, and need
``r + s + c``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.nesting.problem import Turns
from nestcut.sheets.conservative import Sides, best_weights
from nestcut.sheets.offcuts import largest_boxes
from nestcut.sheets.prepare import Group, PreparedPiece, PreparedStock
from nestcut.tolerances import SAME_LENGTH_MM

_SCALE = 1_000_000
"""Weights become whole numbers, rounded down."""

_PAIRS = 12
"""Pairs of dual feasible functions used for each kind of sheet."""

_UNDER = 0.98
"""Share of the clearance by which pieces are grown for their area: safely less than all of it."""

_WORK = 20.0
"""Deterministic time that the model may take."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastBuy:
    """A proven bound.

    ``cost`` is the least cost in the group's own measure, ``sheets`` the least number of sheets
    that cost something; ``reason`` says what proves it.
    """

    cost: float
    sheets: int
    reason: str


@dataclass(frozen=True, slots=True)
class Inner:
    """Upright rectangles inside a piece, by turn, and a disc inside it. [mm]"""

    boxes: tuple[tuple[tuple[float, float], ...], ...]
    radius: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Model:
    """Necessary conditions of one group, by kind of sheet.

    Parameters
    ----------
    boxes
        Sides of the box around each kind's usable area, grown by ``gap_mm``. [mm]
    gap_mm
        Least gap in x or y between upright rectangles that are a clearance apart. [mm]
    area_rows, weight_rows
        Weights of the pieces in units of 1 / ``scale`` of a sheet, rounded down.
    cliques
        Sets of pieces of which no two share a sheet, the largest first.
    fits
        Whether each piece may be on this kind at all.
    """

    group: Group
    inner: tuple[Inner, ...]
    boxes: tuple[tuple[float, float], ...]
    gap_mm: float
    area_rows: tuple[list[int], ...]
    weight_rows: tuple[list[list[int]], ...]
    cliques: tuple[list[list[int]], ...]
    fits: tuple[list[bool], ...]
    scale: int = _SCALE


def facts_of(group: Group) -> Model:
    """Work out what any layout of the group must obey."""
    lengths = sorted({s for stock in group.stocks for s in _box_mm(group, stock)})
    inner = tuple(_inner(p, lengths) for p in group.pieces)
    areas = np.array([_area_mm2(group, p) for p in group.pieces])
    return Model(
        group=group,
        inner=inner,
        boxes=tuple(_box_mm(group, s) for s in group.stocks),
        gap_mm=group.clearance_mm / math.sqrt(2.0),
        area_rows=tuple(_area_row(group, s, areas) for s in group.stocks),
        weight_rows=tuple(_weight_rows(group, s, inner) for s in group.stocks),
        cliques=tuple(_cliques(group, s, inner) for s in group.stocks),
        fits=tuple(_fits(group, s, inner) for s in group.stocks),
    )


def least_buy(facts: Model) -> LeastBuy | None:
    """Return a proven bound on what the group costs; None if the stock can't hold the pieces.

    The reserve rectangle, where one is wanted, counts as a piece.
    """
    reasons = (
        "the pieces' area with the saw's share",
        "lengths and widths of the large pieces",
        "large pieces of which no two share a sheet",
    )
    kinds = range(len(facts.group.stocks))
    least: LeastBuy | None = None
    for level, reason in enumerate(reasons):
        rows = [[facts.area_rows[k], *(facts.weight_rows[k] if level > 0 else ())] for k in kinds]
        sets = list(facts.cliques) if level > 1 else [[] for _ in kinds]
        found = (_one_kind if len(kinds) == 1 else _all_kinds)(facts, rows, sets)
        if found is None:
            return None
        cost, count = found
        if least is None or cost > least.cost + 1e-9 or count > least.sheets:
            least = LeastBuy(cost=cost, sheets=count, reason=reason)
    return least


def _one_kind(
    facts: Model, rows: list[list[list[int]]], sets: list[list[list[int]]]
) -> tuple[float, int] | None:
    """Least cost and sheets where there is one kind: each row and each set counts by itself."""
    count = max([1, *(-(-sum(row) // facts.scale) for row in rows[0]), *(len(s) for s in sets[0])])
    stock = facts.group.stocks[0]
    if not all(facts.fits[0]) or (stock.stock.count is not None and count > stock.stock.count):
        return None
    return count * stock.cost, count if stock.cost > 0.0 else 0


def _all_kinds(
    facts: Model, rows: list[list[list[int]]], sets: list[list[list[int]]]
) -> tuple[float, int] | None:
    """Least cost and least sheets over all ways of dealing the pieces to kinds."""
    cost = _solve(facts, rows, sets, _Aim.COST)
    if cost is None:
        return None
    return cost, math.ceil(_solve(facts, rows, sets, _Aim.SHEETS) or 0.0)


def conflict_rows(facts: Model, kind: int) -> list[tuple[int, int]]:
    """Return all pairs of pieces that can't share a sheet of a kind."""
    n = len(facts.inner)
    w, h = (s - facts.gap_mm for s in facts.boxes[kind])
    return [
        (i, j)
        for i in range(n)
        for j in range(i + 1, n)
        if _cannot_share(facts.inner[i], facts.inner[j], w, h, facts.group)
    ]


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
        abs(t / 90.0 - round(t / 90.0)) < 1e-12 for t in turns.centres_deg
    )


_MOST_SPAN_DEG = 15.0
"""Pieces that may stray farther from upright are known by their disc alone. [deg]"""


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
    wanted |= {x / part * (1.0 + 1e-6) for x in lengths_mm for part in (2, 3)}
    found = []
    for long in sorted(x for x in wanted if x < w):
        short = min((h - long * s) / c, (w - long * c) / s if s > 0.0 else h)
        if short <= 0.0:
            continue
        first = long * c + short * s if math.atan2(short, long) >= a else math.hypot(long, short)
        second = long * s + short * c if math.atan2(long, short) >= a else math.hypot(long, short)
        if first <= w + 1e-9 and second <= h + 1e-9:
            found.append((long, short))
    return found


def _area_mm2(group: Group, piece: PreparedPiece) -> float:
    half = group.clearance_mm / 2.0
    outer = Polygon(piece.net.exterior)
    area = outer.buffer(half * _UNDER).area if half > 0.0 else outer.area
    for ring in piece.net.interiors:
        area -= Polygon(ring).area
    return area * (1.0 - 1e-9)


def _area_row(group: Group, stock: PreparedStock, areas: np.ndarray) -> list[int]:
    """Grown areas as shares of what one sheet offers them.

    A net piece may touch a keep-out, so grown it may reach half a clearance into it: only the
    keep-out shrunk by so much is sure to be lost.
    """
    room: BaseGeometry = Polygon(stock.container.outline)
    for blocked in stock.container.blocked:
        room = room.difference(Polygon(blocked).buffer(-group.clearance_mm / 2.0))
    return [math.floor(a / room.area * _SCALE) for a in areas]


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


def _weight_rows(group: Group, stock: PreparedStock, inner: tuple[Inner, ...]) -> list[list[int]]:
    sides: list[Sides | None] = []
    for p in inner:
        choices = (_relative(group, stock, turns) for turns in p.boxes)
        fitting = tuple(c for c in choices if c)
        sides.append(Sides(fitting) if fitting else None)
    rows = []
    for _, weights in best_weights(tuple(sides), _PAIRS):
        rows.append([math.floor(w * _SCALE * (1.0 - 1e-9)) for w in weights])
    return rows


def _cliques(group: Group, stock: PreparedStock, inner: tuple[Inner, ...]) -> list[list[int]]:
    """Sets of pieces of which no two share a sheet of this kind, grown greedily from each piece."""
    n = len(inner)
    w, h = _box_mm(group, stock)
    grow = group.clearance_mm / math.sqrt(2.0)
    bad = np.zeros((n, n), dtype=np.bool_)
    for i in range(n):
        for j in range(i + 1, n):
            bad[i, j] = bad[j, i] = _cannot_share(inner[i], inner[j], w - grow, h - grow, group)
    found: list[list[int]] = []
    for start in range(n):
        clique = [start]
        ready = bad[start].copy()
        while ready.any():
            degrees = np.where(ready, (bad & ready).sum(axis=1), -1)
            nxt = int(degrees.argmax())
            clique.append(nxt)
            ready &= bad[nxt]
        if len(clique) > 1 and sorted(clique) not in found:
            found.append(sorted(clique))
    found.sort(key=lambda c: (-len(c), c))
    return found[:_MOST_CLIQUES]


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


class _Aim(Enum):
    COST = "cost"
    SHEETS = "sheets"


def _solve(
    facts: Model,
    rows: list[list[list[int]]],
    sets: list[list[list[int]]],
    aim: _Aim,
) -> float | None:
    """Proven least cost (or number of costing sheets) under the rows and sets; None: impossible."""
    from ortools.sat.python import cp_model

    group, fits = facts.group, facts.fits
    model = cp_model.CpModel()
    n, kinds = len(group.pieces), len(group.stocks)
    most = [n if s.stock.count is None else min(n, s.stock.count) for s in group.stocks]
    used = [model.new_int_var(0, m, f"n{k}") for k, m in enumerate(most)]
    on = [
        [model.new_bool_var(f"y{i}_{k}") if fits[k][i] else None for k in range(kinds)]
        for i in range(n)
    ]
    for i in range(n):
        model.add_exactly_one([v for v in on[i] if v is not None])
    for k in range(kinds):
        for row in rows[k]:
            terms = [
                a * v for a, v in zip(row, (o[k] for o in on), strict=True) if a and v is not None
            ]
            model.add(sum(terms) <= _SCALE * used[k])
        for members in sets[k]:
            inside = [v for v in (on[i][k] for i in members) if v is not None]
            model.add(sum(inside) <= used[k])
    whole = [_whole_cost(s) for s in group.stocks]
    if aim is _Aim.COST:
        model.minimize(sum(c * used[k] for k, c in enumerate(whole)))
    else:
        model.minimize(sum(used[k] for k, c in enumerate(whole) if c > 0))
    solver = cp_model.CpSolver()
    solver.parameters.catch_sigint_signal = False  # Ctrl-C is the command line's to handle
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = _WORK
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    bound = max(0.0, solver.best_objective_bound)
    if aim is _Aim.SHEETS:
        return math.ceil(bound - 1e-6)
    return math.ceil(bound - 1e-6) / _COST_SCALE


_COST_SCALE = 1000


def _whole_cost(stock: PreparedStock) -> int:
    return math.floor(stock.cost * _COST_SCALE + 1e-6)
