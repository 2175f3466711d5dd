"""Does everything add up: each piece placed once, stock not overdrawn, buying list and bounds?"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.plan import BoardLayout, Plan, SheetLayout
from nestcut.verify.findings import objection

StockKey = tuple[str, float]
"""Name of a stock and a length; sheets of one name are all of one length. [mm]"""


def check_totals(job: Job, plan: Plan) -> list[Finding]:
    """Check counts over the whole plan."""
    return _check_placed_once(plan) + _check_stock(job, plan) + _check_bounds(plan)


def _check_placed_once(plan: Plan) -> list[Finding]:
    places: Counter[str] = Counter()
    for layout in plan.sheets:
        places.update(p.piece for p in layout.placements)
    for board in plan.boards:
        places.update(c.piece for c in board.cuts)
    unplaced = Counter(u.piece for u in plan.unplaced)
    found: list[Finding] = []
    for name in [p.id for p in plan.pieces] + [p.id for p in plan.rail_pieces]:
        times = places[name] + unplaced[name]
        if times == 0:
            found.append(objection("VER-040", name, "this piece has no place in the plan."))
        elif times > 1:
            found.append(objection("VER-041", name, f"this piece is cut {times} times."))
    return found


@dataclass(slots=True)
class _Supply:
    """What can be had of every stock and length."""

    to_hand: Counter[StockKey] = field(default_factory=Counter)
    price_minor: dict[StockKey, int] = field(default_factory=dict)
    """Prices of what can be bought without end."""

    def add(self, key: StockKey, count: int | None, price_minor: int) -> None:
        """Note one stock."""
        if count is None:
            self.price_minor[key] = price_minor
        else:
            self.to_hand[key] += count


def _supply(job: Job) -> _Supply:
    supply = _Supply()
    for sheet in job.sheet_stocks:
        supply.add((sheet.name, round(sheet.length_mm, 6)), sheet.count, sheet.price_minor)
    for board in job.board_stocks:
        for length in board.lengths:
            key = (board.name, round(length.length_mm, 6))
            supply.add(key, length.count, length.price_minor)
    return supply


def _check_stock(job: Job, plan: Plan) -> list[Finding]:
    """No more of a stock is used than there is, and what is used is on the buying list."""
    supply = _supply(job)
    layouts: tuple[SheetLayout | BoardLayout, ...] = (*plan.sheets, *plan.boards)
    used = Counter((layout.stock, round(layout.length_mm, 6)) for layout in layouts)
    found: list[Finding] = []
    for key, count in sorted(used.items()):
        if key not in supply.price_minor and count > supply.to_hand[key]:
            message = f"{count} used, but only {supply.to_hand[key]} to hand."
            found.append(objection("VER-042", key[0], message))
    listed: Counter[StockKey] = Counter()
    for line in plan.buy:
        key = (line.stock, round(line.length_mm, 6))
        listed[key] += line.count + line.to_hand
        if line.count and line.price_minor != supply.price_minor.get(key):
            found.append(objection("VER-043", line.stock, "no such stock is sold at this price."))
        if line.to_hand > supply.to_hand[key]:
            found.append(objection("VER-043", line.stock, "more to hand than there is."))
    for key in sorted(set(used) | set(listed)):
        if used[key] != listed[key]:
            message = f"{used[key]} used at {key[1]:.1f} mm, but {listed[key]} on the buying list."
            found.append(objection("VER-043", key[0], message))
    return found


def _check_bounds(plan: Plan) -> list[Finding]:
    return [
        objection("VER-044", b.name, f"the bound {b.lower:g} is above what is used, {b.used:g}.")
        for b in plan.bounds
        if b.lower > b.used + 1e-6
    ]
