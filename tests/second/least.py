"""The least a small job can cost, by a model of its own: no patterns, no rips, no dual functions.

Rails and flat rectangles are boxes on boards and sheets.  Which box lies on which, where, and which
way round are variables; two boxes on one sheet are a kerf (and gap) apart to the left, to the
right, above or below (C. S. Chen, S. M. Lee, Q. S. Shen, "An analytical model for the container
loading problem", European Journal of Operational Research 80, 1995, in two dimensions).  Joints
that are free have their places as variables, whole or not.  HiGHS solves it (Q. Huangfu, J. A. J.
Hall, "Parallelizing the dual revised simplex method", Mathematical Programming Computation 10,
2018), by ``scipy.optimize.milp``.

Any cutting is allowed, through cuts or not.  What the model finds can be sawn; corners of flat
pieces may lie a little nearer than the model lets them, along the diagonal, so its optimum is an
upper bound of the least cost where there is a gap, and the least cost itself where there is none.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from tests.second.asked import HANDS, JobAsked, JointAsked, RailAsked, Stock

Terms = list[tuple[int, float]]


@dataclass(frozen=True)
class Least:
    """Cost of the best plan found, and what HiGHS proves that no plan of the model undercuts."""

    cost: float
    proven: float


@dataclass
class _Model:
    """Rows and columns being written down."""

    cost: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    entries: list[tuple[int, int, float]] = field(default_factory=list)
    row_low: list[float] = field(default_factory=list)
    row_high: list[float] = field(default_factory=list)

    def number(self, low: float, high: float) -> int:
        return self._column(low, high, 0, 0.0)

    def yes_no(self, cost: float = 0.0) -> int:
        return self._column(0.0, 1.0, 1, cost)

    def _column(self, low: float, high: float, whole: int, cost: float) -> int:
        self.low.append(low)
        self.high.append(high)
        self.whole.append(whole)
        self.cost.append(cost)
        return len(self.cost) - 1

    def row(self, terms: Terms, low: float, high: float) -> None:
        n = len(self.row_low)
        self.entries += [(n, c, v) for c, v in terms]
        self.row_low.append(low)
        self.row_high.append(high)

    def at_least(self, terms: Terms, low: float) -> None:
        self.row(terms, low, math.inf)

    def solve(self, seconds: float) -> Least | None:
        rows, columns, values = zip(*self.entries, strict=True)
        shape = (len(self.row_low), len(self.cost))
        matrix = csr_array((np.array(values), (np.array(rows), np.array(columns))), shape=shape)
        result = milp(
            np.array(self.cost),
            constraints=LinearConstraint(matrix, np.array(self.row_low), np.array(self.row_high)),
            bounds=Bounds(np.array(self.low), np.array(self.high)),
            integrality=np.array(self.whole),
            options={"time_limit": seconds, "mip_rel_gap": 0.0},
        )
        if result.x is None:
            return None
        return Least(float(round(result.fun)), float(math.ceil(result.mip_dual_bound - 1e-4)))


@dataclass(frozen=True)
class Box:
    """What lies somewhere: a column or a fixed size along and across; ``is_there`` None: always."""

    sizes: tuple[tuple[float, float], ...]
    """Length and width, one for each way round. [mm]"""
    length: int | None = None
    """Column of a length that joints decide. [mm]"""
    is_there: int | None = None
    thickness: float = 0.0
    material: str | None = None


# ---- rails ----


def rail_boxes(model: _Model, job: JobAsked, longest: float) -> list[Box]:
    """Every piece that every rail may be in; joints given, free or not allowed."""
    found: list[Box] = []
    for rail in job.rails:
        assert rail.length_mm is not None
        for _ in range(rail.count * len(HANDS[rail.hand])):
            whole = rail.length_mm + 2.0 * rail.allowance_mm
            rule = rail.joint
            if rule is None:
                found.append(_rail_box(rail, whole))
            elif rule.at_mm is not None:
                found += [_rail_box(rail, n) for n in given_lengths(rail, rule)]
            else:
                found += _free_boxes(model, rail, rule, longest)
    return found


def given_lengths(rail: RailAsked, rule: JointAsked) -> list[float]:
    """Lengths of a rail's pieces, joints given. [mm]"""
    assert rail.length_mm is not None
    raw = rail.length_mm + 2.0 * rail.allowance_mm
    if not rule.at_mm:
        return [raw]
    half = rule.overlap_mm(rail.thickness_mm) / 2.0
    places = [0.0, *(at + rail.allowance_mm for at in rule.at_mm), raw]
    found = [b - a + 2.0 * half for a, b in pairwise(places)]
    found[0] -= half
    found[-1] -= half
    return found


def _rail_box(
    rail: RailAsked, length: float, column: int | None = None, is_there: int | None = None
) -> Box:
    return Box(
        sizes=((length, rail.width_mm),),
        length=column,
        is_there=is_there,
        thickness=rail.thickness_mm,
        material=rail.material,
    )


def _free_boxes(model: _Model, rail: RailAsked, rule: JointAsked, longest: float) -> list[Box]:
    """Pieces of a rail whose joints are free: places rise, overlaps keep clear, pieces are long
    enough; piece k is there if joint k is."""
    assert rail.length_mm is not None
    overlap = rule.overlap_mm(rail.thickness_mm)
    whole = rail.length_mm + 2.0 * rail.allowance_mm
    fewest = 0
    while whole + fewest * overlap > (fewest + 1) * longest + 1e-6:
        fewest += 1
    most = fewest + 1 if rule.most is None else min(rule.most, fewest + 1)
    big = 2.0 * whole
    at = [model.number(0.0, whole) for _ in range(most)]  # from the raw end of the rail
    there = [model.yes_no() for _ in range(most)]
    lengths = [model.number(0.0, longest) for _ in range(most + 1)]
    least = max(rule.least_mm, overlap)
    for k in range(most):
        if k:
            model.at_least([(there[k - 1], 1.0), (there[k], -1.0)], 0.0)
            model.at_least([(at[k], 1.0), (at[k - 1], -1.0), (there[k], -big)],
                           max(overlap, least - overlap) - big)  # fmt: skip
        for zone in rule.zones:
            side = model.yes_no()
            low = zone.from_mm + rail.allowance_mm - overlap / 2.0
            high = zone.to_mm + rail.allowance_mm + overlap / 2.0
            model.row([(at[k], 1.0), (side, -big), (there[k], big)], -math.inf, low + big)
            model.at_least([(at[k], 1.0), (side, -big), (there[k], -big)], high - 2.0 * big)
        edge = rail.allowance_mm + overlap / 2.0
        model.at_least([(at[k], 1.0), (there[k], -big)], edge - big)
        model.row([(at[k], 1.0), (there[k], big)], -math.inf, whole - edge + big)
    # piece k ends at joint k where that is there, else at the rail's end
    for k in range(most + 1):
        begin: Terms = [(at[k - 1], 1.0)] if k else []
        reach = overlap / 2.0 if k else 0.0
        if k < most:
            model.at_least([(lengths[k], 1.0), (at[k], -1.0), *begin, (there[k], -big)],
                           overlap / 2.0 + reach - big)  # fmt: skip
        is_last: Terms = [(there[k], big)] if k < most else []
        is_made: Terms = [(there[k - 1], -big)] if k else []
        slack = big if k else 0.0
        model.at_least([(lengths[k], 1.0), *begin, *is_last, *is_made], whole + reach - slack)
        if rule.least_mm > 0.0:
            # a piece must be as long as the rule says without its allowance: its own extent
            extra = rail.allowance_mm if k == 0 else 0.0
            upper: Terms = [(at[k], 1.0)] if k < most else []
            if k < most:
                model.at_least([*upper, *[(c, -v) for c, v in begin], (there[k], -big)],
                               rule.least_mm - overlap / 2.0 - reach + extra - big)  # fmt: skip
    if rule.least_mm > 0.0:
        for k in range(most):
            # the last piece begins at joint k where joint k + 1 isn't there
            nxt: Terms = [(there[k + 1], -big)] if k + 1 < most else []
            model.row([(at[k], 1.0), (there[k], big), *nxt], -math.inf,
                      whole - rail.allowance_mm - rule.least_mm + overlap / 2.0 + big)  # fmt: skip
    return [
        _rail_box(rail, longest, lengths[k], None if k == 0 else there[k - 1])
        for k in range(most + 1)
    ]


# ---- sheets and boards ----


def least_cost(
    model: _Model, boxes: list[Box], stocks: list[Stock], gap_of: dict[str, float], most: int
) -> _Model:
    """Write down that every box lies on a sheet or board; ``most`` of each that can be bought."""
    places: list[tuple[Stock, int, list[int | None]]] = []
    for stock in stocks:
        previous = None
        for _ in range(most if stock.count is None else min(stock.count, most)):
            used = model.yes_no(float(stock.price_minor) if stock.count is None else 0.0)
            if previous is not None:
                model.at_least([(previous, 1.0), (used, -1.0)], 0.0)
            previous = used
            places.append((stock, used, []))
    x = [model.number(0.0, 1e4) for _ in boxes]
    y = [model.number(0.0, 1e4) for _ in boxes]
    ways = [[model.yes_no() for _ in b.sizes] for b in boxes]
    for b, box in enumerate(boxes):
        terms: Terms = [(w, 1.0) for w in ways[b]]
        model.row(terms, 1.0, 1.0)
        lies: Terms = []
        for stock, used, on in places:
            if box.material not in {None, stock.material}:
                on.append(None)
                continue
            here = model.yes_no()
            on.append(here)
            lies.append((here, 1.0))
            model.at_least([(used, 1.0), (here, -1.0)], 0.0)
            _inside(model, box, (x[b], y[b]), ways[b], stock, here)
        if box.is_there is None:
            model.row(lies, 1.0, 1.0)
        else:
            model.row([*lies, (box.is_there, -1.0)], 0.0, 0.0)
    for b in range(len(boxes)):
        for c in range(b):
            for stock, _, on in places:
                one, other = on[b], on[c]
                if one is not None and other is not None:
                    sides = [model.yes_no() for _ in range(4)]
                    model.at_least([*((s, 1.0) for s in sides), (one, -1.0), (other, -1.0)], -1.0)
                    _apart(model, boxes, ways, (b, c), (x, y), sides, gap_of[stock.name])
    return model


def _along(box: Box, ways: list[int]) -> Terms:
    if box.length is not None:
        return [(box.length, 1.0)]
    return [(w, s[0]) for w, s in zip(ways, box.sizes, strict=True)]


def _across(box: Box, ways: list[int]) -> Terms:
    return [(w, s[1]) for w, s in zip(ways, box.sizes, strict=True)]


def _inside(
    model: _Model, box: Box, at: tuple[int, int], ways: list[int], stock: Stock, here: int
) -> None:
    big = 2e4
    ends = max(stock.end_trim_mm, stock.edge_trim_mm)
    trim = stock.edge_trim_mm
    model.at_least([(at[0], 1.0), (here, -big)], ends - big)
    model.at_least([(at[1], 1.0), (here, -big)], trim - big)
    model.row([(at[0], 1.0), *_along(box, ways), (here, big)], -math.inf,
              stock.length_mm - ends + big)  # fmt: skip
    model.row([(at[1], 1.0), *_across(box, ways), (here, big)], -math.inf,
              stock.width_mm - trim + big)  # fmt: skip
    for zone in stock.defects:
        side = model.yes_no()
        terms = [(at[0], 1.0), *_along(box, ways)]
        model.row([*terms, (here, big), (side, -big)], -math.inf, zone.from_mm + big)
        model.at_least([(at[0], 1.0), (here, -big), (side, -big)], zone.to_mm - 2.0 * big)


def _apart(
    model: _Model,
    boxes: list[Box],
    ways: list[list[int]],
    pair: tuple[int, int],
    at: tuple[list[int], list[int]],
    sides: list[int],
    gap: float,
) -> None:
    """Left of, right of, below, above: each with a kerf between, if its side is chosen."""
    big = 2e4
    b, c = pair
    for side, (first, second, axis) in zip(
        sides, ((b, c, 0), (c, b, 0), (b, c, 1), (c, b, 1)), strict=True
    ):
        size = (_along, _across)[axis](boxes[first], ways[first])
        terms = [(at[axis][first], 1.0), *size, (at[axis][second], -1.0), (side, big)]
        model.row(terms, -math.inf, big - gap)


def least_of_rails(job: JobAsked, seconds: float, most: int) -> Least | None:
    """Least cost of all rails of a job; they must be of one material and thickness."""
    boards = [s for s in job.stocks if s.kind == "board"]
    longest = max(s.length_mm - 2.0 * s.end_trim_mm for s in boards)
    model = _Model()
    boxes = rail_boxes(model, job, longest)
    kerfs = {s.name: s.saw.kerf_mm for s in boards}
    return least_cost(model, boxes, boards, kerfs, most).solve(seconds)


def least_of_flat(job: JobAsked, seconds: float, most: int) -> Least | None:
    """Least cost of all flat parts of a job: whole rectangles of one thickness."""
    sheets = [s for s in job.stocks if s.kind == "sheet"]
    boxes = []
    for part in job.parts:
        assert part.shape is not None
        x0, y0, x1, y1 = part.shape.bounds
        a, b = x1 - x0, y1 - y0
        ways = {"along": ((a, b),), "across": ((b, a),), "any": ((a, b), (b, a))}[part.grain]
        boxes += [Box(sizes=ways)] * (part.count * len(HANDS[part.hand]))
    gaps = {s.name: s.saw.kerf_mm + s.saw.gap_mm for s in sheets}
    return least_cost(_Model(), boxes, sheets, gaps, most).solve(seconds)
