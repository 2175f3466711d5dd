"""The same rail jobs by an independent model: one mixed-integer programme, solved by HiGHS.

Written apart from :mod:`nestcut.boards`: no patterns, no clusters, no whole numbers of units.
Joint positions are continuous; every strip of every board that could be bought is a place; a piece
has a length in each place, zero unless it lies there.  For small jobs of one stock.  Boards are
ripped from end to end: where rails differ in width, a plan sawn in another order may cost less.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from nestcut.model.job import Job
from nestcut.model.part import Hands, RailPart
from nestcut.trade.joints import CLEAR_WOOD_OVERLAPS

MORE_JOINTS = 2
"""As many joints beyond the fewest possible as the plan thinks of where no rule says."""


@dataclass(frozen=True, slots=True)
class Again:
    """Cost and bound that HiGHS found; None where it found nothing."""

    cost: float | None
    bound: float | None
    seconds: float


@dataclass(slots=True)
class _Programme:
    """Rows and columns being written down."""

    cost: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    entries: list[tuple[int, int, float]] = field(default_factory=list)
    row_low: list[float] = field(default_factory=list)
    row_high: list[float] = field(default_factory=list)

    def column(self, low: float, high: float, whole: int = 0, cost: float = 0.0) -> int:
        """Add a variable."""
        self.low.append(low)
        self.high.append(high)
        self.whole.append(whole)
        self.cost.append(cost)
        return len(self.cost) - 1

    def row(self, terms: list[tuple[int, float]], low: float, high: float) -> None:
        """Add a condition: low <= sum of terms <= high."""
        number = len(self.row_low)
        self.entries += [(number, c, v) for c, v in terms]
        self.row_low.append(low)
        self.row_high.append(high)

    def solve(self, seconds: float) -> Again:
        """Hand it to HiGHS."""
        rows, columns, values = zip(*self.entries, strict=True)
        matrix = csr_array(
            (np.array(values), (np.array(rows), np.array(columns))),
            shape=(len(self.row_low), len(self.cost)),
        )
        begin = time.perf_counter()
        result = milp(
            np.array(self.cost),
            constraints=LinearConstraint(matrix, np.array(self.row_low), np.array(self.row_high)),
            bounds=Bounds(np.array(self.low), np.array(self.high)),
            integrality=np.array(self.whole, dtype=np.int64),
            options={"time_limit": seconds, "mip_rel_gap": 0.0},
        )
        taken = round(time.perf_counter() - begin, 2)
        if result.x is None:
            return Again(None, None, taken)
        bound = math.ceil(result.mip_dual_bound - 1e-4)
        return Again(float(round(result.fun)), float(min(bound, round(result.fun))), taken)


@dataclass(frozen=True, slots=True)
class _Place:
    """A stretch of a strip, there if the column ``given`` is 1."""

    width: float
    room: float
    given: int


@dataclass(slots=True)
class _Line:
    """A single rail's variables: joint positions, which exist, lengths of pieces."""

    part: RailPart
    overlap: float
    at: list[int]
    exists: list[int]
    length: list[int]


def least_cost(job: Job, seconds: float) -> Again:
    """Least cost of a job of one stock; (None, None) where nothing was found in time."""
    (stock,) = job.board_stocks
    kerf = job.cutting.kerf_mm
    widths = sorted({p.width_mm for p in job.rail_parts})
    strips = {w: math.floor((stock.width_mm + kerf + 1e-9) / (w + kerf)) for w in widths}
    longest = max(o.length_mm - 2 * stock.end_trim_mm for o in stock.lengths)
    model = _Programme()
    lines = [
        _line(model, part, longest)
        for part in job.rail_parts
        for _ in range(part.count * (2 if part.hands is Hands.PAIR else 1))
    ]
    _stagger_twins(model, job.rail_parts, lines)
    n_pieces = sum(len(line.length) for line in lines)
    places: list[_Place] = []
    for offer in stock.lengths:
        trim = stock.end_trim_mm
        ends = [trim]
        for defect in offer.defects:
            ends += [defect.from_mm, max(defect.to_mm, defect.from_mm + kerf)]
        ends.append(offer.length_mm - trim)
        stretches = [b - a for a, b in zip(ends[::2], ends[1::2], strict=True)]
        need = sum(p.length_mm + 2 * p.allowance_mm for p in job.rail_parts) * 2
        fewest = min(strips.values())
        most = offer.count or min(
            math.ceil(n_pieces / fewest) + len(widths),
            math.ceil(2.0 * need / (fewest * offer.length_mm)) + 2,
        )
        previous = None
        for _ in range(most):
            bought = model.column(0, 1, 1, offer.price_minor)
            places += _strips(model, bought, stretches, strips, stock.width_mm, kerf)
            if previous is not None:
                model.row([(previous, 1.0), (bought, -1.0)], 0.0, 1.0)
            previous = bought
    _lay(model, lines, places, kerf)
    return model.solve(seconds)


def _strips(
    model: _Programme,
    bought: int,
    stretches: list[float],
    strips: dict[float, int],
    board_width: float,
    kerf: float,
) -> list[_Place]:
    """Strips that one board may give; where widths differ, each is ripped or not."""
    if len(strips) == 1:
        ((width, n),) = strips.items()
        return [_Place(width, room, bought) for room in stretches for _ in range(n)]
    places: list[_Place] = []
    terms = [(bought, -(board_width + kerf))]
    for width, n in strips.items():
        for _ in range(n):
            ripped = model.column(0, 1, 1)
            terms.append((ripped, width + kerf))
            places += [_Place(width, room, ripped) for room in stretches]
    model.row(terms, -math.inf, 0.0)
    return places


def _line(model: _Programme, part: RailPart, longest: float) -> _Line:
    rule = part.joint
    assert rule is not None
    overlap = rule.slope * part.thickness_mm
    whole = part.length_mm + 2 * part.allowance_mm
    fewest = _fewest(part, overlap, longest)
    most = rule.max_joints if rule.max_joints is not None else fewest + MORE_JOINTS
    at = [model.column(overlap / 2, part.length_mm - overlap / 2) for _ in range(most)]
    exists = [model.column(0, 1, 1) for _ in range(most)]
    length = [model.column(0, longest) for _ in range(most + 1)]
    big = 2 * whole
    least = rule.min_piece_mm
    for k in range(most):
        if k:
            model.row([(exists[k - 1], 1), (exists[k], -1)], 0, 1)
            # an overlap, and clear wood before the next one begins
            apart = max((1.0 + CLEAR_WOOD_OVERLAPS.value) * overlap, least - overlap)
            model.row([(at[k], 1), (at[k - 1], -1), (exists[k], -big)], apart - big, math.inf)
        # the first piece reaches from the end to the far side of the first overlap, and so on
        begin = [(at[k - 1], -1.0)] if k else []
        offset = overlap if k else part.allowance_mm + overlap / 2
        terms = [(length[k], 1.0), (at[k], -1.0), *((c, -v) for c, v in begin)]
        model.row([*terms, (exists[k], -big)], offset - big, math.inf)
        for zone in rule.keep_clear:
            side = model.column(0, 1, 1)
            high = zone.from_mm - overlap / 2
            low = zone.to_mm + overlap / 2
            model.row([(at[k], 1), (side, -big), (exists[k], big)], -math.inf, high + big)
            model.row([(at[k], 1), (side, -big), (exists[k], -big)], low - 2 * big, math.inf)
    for k in range(most + 1):
        # the last piece reaches to the other end
        begin = [(at[k - 1], 1.0)] if k else []
        offset = part.length_mm + part.allowance_mm + (overlap / 2 if k else part.allowance_mm)
        terms = [(length[k], 1.0), *begin]
        if k < most:
            terms.append((exists[k], big))
        if k:
            terms.append((exists[k - 1], -big))
        model.row(terms, offset - (big if k else 0.0), math.inf)
        if k:
            model.row([(length[k], 1), (exists[k - 1], -least)], 0, math.inf)
            last = part.length_mm + part.allowance_mm - max(least, overlap) + overlap / 2
            model.row([(at[k - 1], 1), (exists[k - 1], big)], -math.inf, last + big)
    if most:
        first = max(least, overlap) - part.allowance_mm - overlap / 2
        model.row([(at[0], 1), (exists[0], -big)], first - big, math.inf)
    return _Line(part, overlap, at, exists, length)


def _fewest(part: RailPart, overlap: float, longest: float) -> int:
    """Fewest joints that the rules allow: tried by a small programme of its own."""
    whole = part.length_mm + 2 * part.allowance_mm
    if whole <= longest:
        return 0
    from nestcut.joints.rules import JoinedPart, possible_numbers

    assert part.joint is not None
    joined = JoinedPart(
        name=part.name,
        length_mm=part.length_mm,
        overlap_mm=overlap,
        rule=part.joint,
        allowance_mm=part.allowance_mm,
    )
    return possible_numbers(joined, longest, 12)[0]


def _stagger_twins(model: _Programme, parts: tuple[RailPart, ...], lines: list[_Line]) -> None:
    for part in parts:
        own = [line for line in lines if line.part is part]
        least = part.joint.stagger_mm if part.joint is not None else 0.0
        if len(own) != 2 or least <= 0.0:
            continue
        big = 4 * part.length_mm
        for e, s in zip(own[0].exists, own[0].at, strict=True):
            for f, t in zip(own[1].exists, own[1].at, strict=True):
                side = model.column(0, 1, 1)
                terms = [(s, 1.0), (t, -1.0), (side, big)]
                model.row([*terms, (e, -big), (f, -big)], least - 2 * big, math.inf)
                model.row([*terms, (e, big), (f, big)], -math.inf, -least + 3 * big)


def _lay(model: _Programme, lines: list[_Line], places: list[_Place], kerf: float) -> None:
    loads: list[list[tuple[int, float]]] = [[] for _ in places]
    for line in lines:
        for k, length in enumerate(line.length):
            lies = []
            parts = []
            for p, place in enumerate(places):
                if place.width != line.part.width_mm:
                    continue
                room = place.room
                here = model.column(0, 1, 1)
                share = model.column(0, room)
                model.row([(share, 1), (here, -room)], -math.inf, 0)
                loads[p] += [(share, 1.0), (here, kerf)]
                lies.append((here, 1.0))
                parts.append((share, 1.0))
            if k:
                model.row([*lies, (line.exists[k - 1], -1)], 0, 0)
            else:
                model.row(lies, 1, 1)
            model.row([*parts, (length, -1)], 0, math.inf)
    for place, load in zip(places, loads, strict=True):
        model.row([*load, (place.given, -(place.room + kerf))], -math.inf, 0)
