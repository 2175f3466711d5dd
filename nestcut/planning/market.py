"""From whom to buy, and how many packs: least cost over yards, packs, limits and deliveries.

Layouts are searched for a plain job: every stock has a price each and perhaps a limit.  What isn't
plain is enumerated around that search.  Which yards are ordered from is tried set by set; pieces of
different stuff share nothing but these, so each stuff is planned by itself once for each set that
concerns it.  Stock that comes in packs is tried pack by pack, the cheapest first: so many packs are
paid for and then to hand for nothing, while everything else keeps its price.

Whatever packs are bought, the plan costs no less than if each sheet or board of them could be
bought singly; so that cost bounds all of them, and the enumeration ends where packs alone cost more
than the best plan.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import TypeVar

from nestcut.facts import fact
from nestcut.model.job import Job
from nestcut.model.part import CutFrom
from nestcut.model.plan import Bound, Counted, Plan
from nestcut.model.stock import BoardLength, SheetStock
from nestcut.planning.totals import with_purchases
from nestcut.search.settings import Deadline, Effort
from nestcut.tolerances.noise import SOLVER_SLACK
from nestcut.verify.stock import check_bounds

PlanOf = Callable[[Job], Plan | None]
"""Plans a plain part of a job; None: nothing can be made of it."""

MOST_TRIES = {Effort.QUICK: 40, Effort.NORMAL: 120, Effort.THOROUGH: 600}
"""Purchases of packs that are tried for one stuff and one set of yards, by effort."""
MOST_YARDS = 6
"""Yards with a fee whose sets are all tried; of more, only the sets of one, two and all."""

IN_ALL = "all that is bought"
"""Name and measure of the bound on everything that is paid."""

Pack = tuple[str, float]
"""A stock and a length that come in packs."""
Packs = tuple[tuple[Pack, int], ...]
"""How many packs of each."""
_Offer = TypeVar("_Offer", SheetStock, BoardLength)


@dataclass(frozen=True, slots=True, kw_only=True)
class Market:
    """The job to search, with what is ordered where; ``lower_minor`` no plan can cost less than."""

    job: Job
    lower_minor: float

    def bound(self, used_minor: int) -> Bound:
        """Return the bound on all that is paid."""
        return Bound(
            name=IN_ALL,
            measure=Counted.MONEY_IN_ALL,
            lower=min(self.lower_minor, float(used_minor)),
            used=float(used_minor),
            reason=fact("PLN-131"),
        )


def is_plain(job: Job) -> bool:
    """Whether prices are each, without packs, limits and deliveries."""
    return (
        not any(s.delivery_minor for s in job.suppliers)
        and all(s.pack == 1 and s.most is None for s in job.sheet_stocks)
        and all(o.pack == 1 and o.most is None for b in job.board_stocks for o in b.lengths)
    )


def bounds_that_hold(job: Job, plan: Plan) -> tuple[Bound, ...]:
    """Return the bounds of a search that mean the same for the job as it was asked."""
    packed = {s.name for s in job.sheet_stocks if s.pack > 1 or s.most is not None}
    packed |= {
        b.name for b in job.board_stocks if any(o.pack > 1 or o.most is not None for o in b.lengths)
    }
    own = {s.material for s in job.sheet_stocks if s.name in packed}
    own |= {b.material for b in job.board_stocks if b.name in packed}
    stuffs = {s.name: s.material for s in job.sheet_stocks}
    stuffs |= {b.name: b.material for b in job.board_stocks}
    used = {x.stock for x in plan.sheets} | {x.stock for x in plan.boards}
    if own & {stuffs[name] for name in used}:
        plan = replace(plan, bounds=tuple(b for b in plan.bounds if b.measure is Counted.JOINTS))
    fees = {s.name for s in job.suppliers if s.delivery_minor}
    if fees:  # a bound on one stuff was reached among some yards only
        plan = replace(plan, bounds=tuple(b for b in plan.bounds if b.measure is Counted.JOINTS))
    return tuple(b for b in plan.bounds if not check_bounds(job, replace(plan, bounds=(b,))))


def choose_purchases(job: Job, plan_of: PlanOf, deadline: Deadline, effort: Effort) -> Market:
    """Choose yards and packs.

    Parameters
    ----------
    job
        As asked; a job that isn't plain.
    plan_of
        Plans a part of it.
    deadline, effort
        When to stop, and how many purchases may be tried.

    Returns
    -------
    Market
        Where nothing was found in time, the job with all yards and as many packs as are needed.
    """
    stuffs = [_Stuff(part, plan_of, MOST_TRIES[effort], deadline) for part in _parts_of(job)]
    fees = {s.name: s.delivery_minor for s in job.suppliers if s.delivery_minor}
    best: tuple[float, frozenset[str], list[_Found]] | None = None
    lower = float("inf")
    for yards in _sets(sorted(fees)):
        if best is not None and deadline.stop_reason() is not None:
            lower = 0.0
            break
        fee = float(sum(fees[y] for y in yards))
        if best is not None and fee >= best[0]:
            lower = min(lower, fee)
            continue
        found = [s.least(frozenset(fees) - yards) for s in stuffs]
        lower = min(lower, fee + sum(f.lower for f in found))
        total = fee + sum(f.cost for f in found)
        if total < float("inf") and (best is None or total < best[0]):
            best = total, yards, found
    if len(fees) > MOST_YARDS:
        lower = 0.0
    if best is None:
        return Market(job=plain_job(job, frozenset(), None), lower_minor=0.0)
    _, yards, found = best
    packs = tuple(p for f in found for p in f.packs)
    return Market(job=plain_job(job, frozenset(fees) - yards, packs), lower_minor=lower)


def _sets(yards: list[str]) -> Iterator[frozenset[str]]:
    """All sets of yards, the largest first: it shows soonest what a fee is worth."""
    for n in range(len(yards), -1, -1):
        if len(yards) <= MOST_YARDS or n <= 2 or n == len(yards):
            yield from (frozenset(c) for c in combinations(yards, n))


def plain_job(job: Job, closed: frozenset[str], packs: Packs | None) -> Job:
    """Return a job to search.

    Parameters
    ----------
    closed
        Yards that nothing is ordered from.
    packs
        How many packs are paid for, and so to hand; None: packs are opened, at the price of each.
    """
    paid = None if packs is None else dict(packs)
    sheets = tuple(
        sheet for s in job.sheet_stocks for sheet in _plain(s, (s.name, s.supplier), paid, closed)
    )
    boards = []
    for b in job.board_stocks:
        name = b.name, b.supplier
        offers = tuple(offer for o in b.lengths for offer in _plain(o, name, paid, closed))
        boards.append(replace(b, lengths=offers))
    return replace(
        job, sheet_stocks=sheets, board_stocks=tuple(b for b in boards if b.lengths), suppliers=()
    )


def _plain(
    of: _Offer, who: tuple[str, str], paid: dict[Pack, int] | None, closed: frozenset[str]
) -> tuple[_Offer, ...]:
    """What can be had of one size, if anything; ``who`` names the stock and its yard."""
    name, yard = who
    if not of.is_to_buy:
        return (of,)
    if yard in closed:
        return ()
    if of.pack == 1 or paid is None:
        return (replace(of, count=of.most, pack=1, most=None),)
    n = paid.get((name, of.length_mm), 0) * of.pack
    n = n if of.most is None else min(n, of.most)
    return (replace(of, count=n, price_minor=0, pack=1, most=None),) if n else ()


def _parts_of(job: Job) -> list[Job]:
    """Return a job for each stuff: sheets of one material and thickness, boards of one material."""
    made = []
    flat = [p for p in job.sheet_parts if p.cut_from is CutFrom.SHEET]
    for key in dict.fromkeys((p.material, p.thickness_mm) for p in flat):
        parts = tuple(p for p in flat if (p.material, p.thickness_mm) == key)
        stocks = tuple(s for s in job.sheet_stocks if (s.material, s.thickness_mm) == key)
        made.append(_alone(job, sheet_parts=parts, sheet_stocks=stocks))
    curved = [p for p in job.sheet_parts if p.cut_from is CutFrom.BOARD]
    bare = _alone(job, sheet_parts=(), sheet_stocks=())
    materials = dict.fromkeys([r.material for r in job.rail_parts] + [p.material for p in curved])
    return made + [
        replace(
            bare,
            sheet_parts=tuple(p for p in curved if p.material == material),
            rail_parts=tuple(r for r in job.rail_parts if r.material == material),
            board_stocks=tuple(b for b in job.board_stocks if b.material == material),
        )
        for material in materials
    ]


def _alone(job: Job, **kept: object) -> Job:
    bare = replace(job, rail_parts=(), board_stocks=(), findings=(), suppliers=())
    return replace(bare, **kept)  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class _Found:
    """The least cost found for one stuff, what it can't be less than, and the packs for it."""

    cost: float
    lower: float
    packs: Packs = ()


@dataclass(slots=True)
class _Stuff:
    """One stuff of a job: the least cost by which yards are closed, each worked out once."""

    job: Job
    plan_of: PlanOf
    tries: int
    deadline: Deadline
    known: dict[frozenset[str], _Found] = field(default_factory=dict)

    def least(self, closed: frozenset[str]) -> _Found:
        """Return the least cost without some yards."""
        sellers = {s.supplier for s in self.job.sheet_stocks if s.is_to_buy}
        sellers |= {b.supplier for b in self.job.board_stocks}
        key = closed & sellers
        if key not in self.known:
            found = self._least(key)
            # With a yard closed nothing gets cheaper, whatever the search could prove there.
            wider = (f.lower for other, f in self.known.items() if other < key)
            self.known[key] = replace(found, lower=max([found.lower, *wider]))
        return self.known[key]

    def _least(self, closed: frozenset[str]) -> _Found:
        singly = self._plan(closed, None)
        if singly is None:
            return _Found(float("inf"), float("inf"))
        floor = _lower(plain_job(self.job, closed, None), singly)
        packs = self._packs(closed)
        if not packs:
            return _Found(self._paid(singly), floor)
        first = self._packs_used(singly, packs)
        (best, _), chosen = self._cost(closed, first), first
        tried, lower = {first}, best
        for bought in _purchases(packs):
            paid = float(sum(packs[p].price_minor * packs[p].pack * n for p, n in bought))
            if paid >= best or best <= floor + SOLVER_SLACK:
                break
            if bought in tried:
                continue
            if len(tried) >= self.tries or self.deadline.stop_reason() is not None:
                lower = min(lower, max(floor, paid))  # whatever else is bought pays for more packs
                break
            tried.add(bought)
            cost, least = self._cost(closed, bought)
            lower = min(lower, max(least, paid))
            if cost < best:
                best, chosen = cost, bought
        return _Found(best, max(floor, min(lower, best)), chosen)

    def _plan(self, closed: frozenset[str], packs: Packs | None) -> Plan | None:
        return self.plan_of(plain_job(self.job, closed, packs))

    def _paid(self, plan: Plan) -> float:
        """What a plan of this stuff costs as asked: whole packs, spares. [minor units]"""
        if not plan.is_complete:
            return float("inf")
        return float(with_purchases(self.job, plan).cost_minor)

    def _cost(self, closed: frozenset[str], packs: Packs) -> tuple[float, float]:
        """Return what the stuff costs with so many packs, and what it costs at least."""
        plain = plain_job(self.job, closed, packs)
        plan = self.plan_of(plain)
        if plan is None:
            return float("inf"), float("inf")
        if not plan.is_complete:
            return float("inf"), 0.0
        return self._paid(plan), self._paid_for(packs) + _lower(plain, plan)

    def _paid_for(self, packs: Packs) -> float:
        known = self._packs(frozenset())
        return float(sum(known[p].price_minor * known[p].pack * n for p, n in packs))

    def _packs(self, closed: frozenset[str]) -> dict[Pack, SheetStock | BoardLength]:
        found: dict[Pack, SheetStock | BoardLength] = {
            (s.name, s.length_mm): s
            for s in self.job.sheet_stocks
            if s.is_to_buy and s.pack > 1 and s.supplier not in closed
        }
        for b in self.job.board_stocks:
            for o in b.lengths:
                if o.is_to_buy and o.pack > 1 and b.supplier not in closed:
                    found[b.name, o.length_mm] = o
        return found

    def _packs_used(self, plan: Plan, packs: dict[Pack, SheetStock | BoardLength]) -> Packs:
        """How many packs a plan opens that buys singly."""
        lines = {(x.stock, x.length_mm): x.count - x.over for x in plan.buy}
        return tuple((p, -(-lines.get(p, 0) // packs[p].pack)) for p in sorted(packs))


def _purchases(packs: dict[Pack, SheetStock | BoardLength]) -> Iterator[Packs]:
    """Every number of packs, the cheapest first."""
    names = sorted(packs)
    prices = [packs[p].price_minor * packs[p].pack for p in names]
    most = [packs[p].most for p in names]
    start = (0,) * len(names)
    heap, seen = [(0, start)], {start}
    while heap:
        paid, counts = heapq.heappop(heap)
        yield tuple(zip(names, counts, strict=True))
        for k, price in enumerate(prices):
            limit = most[k]
            if price <= 0 or (limit is not None and counts[k] * packs[names[k]].pack >= limit):
                continue
            more = (*counts[:k], counts[k] + 1, *counts[k + 1 :])
            if more not in seen:
                seen.add(more)
                heapq.heappush(heap, (paid + price, more))


def _lower(plain: Job, plan: Plan) -> float:
    """What no plan of one stuff can cost less than, by the bounds of its search. [minor units]"""
    total = 0.0
    sheets = [s.price_minor for s in plain.sheet_stocks if s.price_minor > 0]
    for bound in plan.bounds:
        if bound.measure is Counted.MONEY:
            total += bound.lower
        elif bound.measure in {Counted.SHEETS, Counted.SHEETS_TO_BUY} and sheets:
            total += bound.lower * min(sheets)
    return total
