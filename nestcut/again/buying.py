"""From whom something is bought while a plan is made again, and how many packs are paid for.

Layouts are searched with a price each.  Whatever is found is paid as it is sold: whole packs, and a
delivery for every yard that something is ordered from.  So the search is repeated with yards closed
that ask for a delivery, and with packs that are paid for lying there for nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from itertools import combinations

from nestcut.model.job import Job
from nestcut.model.plan import Plan
from nestcut.model.stock import BoardLength, BoardStock, SheetStock

MOST_SETS = 16
"""Sets of yards that are tried; the largest first."""

Pack = tuple[str, float]
"""A stock and a length that come in packs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Buying:
    """Which yards are closed, and how many packs are paid for; None: single ones, packs opened."""

    closed: frozenset[str] = frozenset()
    packs: Mapping[Pack, int] | None = field(default=None)

    def sheet(self, s: SheetStock) -> SheetStock | None:
        """Return what can be had of sheets on sale; None: nothing."""
        if s.supplier in self.closed:
            return None
        if s.pack == 1 or self.packs is None:
            return replace(s, count=s.most, pack=1, most=None)
        n = _held_to(self.packs.get((s.name, s.length_mm), 0) * s.pack, s.most)
        return replace(s, count=n, price_minor=0, pack=1, most=None) if n else None

    def offer(self, board: BoardStock, o: BoardLength) -> BoardLength | None:
        """Return what can be had of boards on sale; None: nothing."""
        if board.supplier in self.closed:
            return None
        if o.pack == 1 or self.packs is None:
            return replace(o, count=o.most, pack=1, most=None)
        n = _held_to(self.packs.get((board.name, o.length_mm), 0) * o.pack, o.most)
        return replace(o, count=n, price_minor=0, pack=1, most=None) if n else None


def _held_to(n: int, most: int | None) -> int:
    return n if most is None else min(n, most)


SINGLY = Buying()
"""Everything that is on sale, at its price each."""


def least_of(job: Job, first: Plan, search: Callable[[Buying], Plan]) -> list[Plan]:
    """Return plans bought otherwise than one that was bought singly from all yards.

    Parameters
    ----------
    first
        That plan, with its buying list.
    search
        Finds a plan for one way of buying.
    """
    fees = {s.name: s.delivery_minor for s in job.suppliers if s.delivery_minor}
    found: list[Plan] = []
    for closed in _sets(sorted(fees)):
        paid = sum(fees[y] for y in fees.keys() - closed if _asks(first, y))
        if closed and not any(_asks(p, y) for p in (first, *found) for y in closed):
            continue  # nothing is ordered from there anyway
        plan = first if not closed else search(Buying(closed=closed))
        found += [plan] if closed else []
        used = _packs_used(job, plan)
        if not used or (plan.is_complete and plan.cost_minor <= paid):
            continue
        fewer = [{**used, p: n - 1} for p, n in used.items() if n > 0]
        found += [search(Buying(closed=closed, packs=packs)) for packs in (used, *fewer)]
    return found


def _asks(plan: Plan, yard: str) -> bool:
    return any(b.supplier == yard and b.count for b in plan.buy)


def _sets(yards: list[str]) -> list[frozenset[str]]:
    """Sets of yards to close, none first."""
    every = [frozenset(c) for n in range(len(yards) + 1) for c in combinations(yards, n)]
    return every[:MOST_SETS]


def _packs_used(job: Job, plan: Plan) -> dict[Pack, int]:
    """How many packs of each a plan opens; of all that are sold in packs."""
    lines = {(b.stock, b.length_mm): b.count - b.over for b in plan.buy}
    packs = {(s.name, s.length_mm): s.pack for s in job.sheet_stocks if s.is_to_buy and s.pack > 1}
    for board in job.board_stocks:
        for o in board.lengths:
            if o.is_to_buy and o.pack > 1:
                packs[board.name, o.length_mm] = o.pack
    used = {key: -(-max(0, lines.get(key, 0)) // pack) for key, pack in packs.items()}
    return used if any(used.values()) else {}
