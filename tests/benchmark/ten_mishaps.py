"""Ten mishaps one after the other on one boat, and what must hold at the end.

``python -m tests.benchmark.ten_mishaps [punt|beach-boat|skiff ...] [--seed N] [--seconds S]``

After each mishap the two plan files are compared by ``tests/mishaps``; at the end every part
exists once, and what was paid in all is what the stock that is there costs.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from pathlib import Path

import numpy as np

import nestcut
from nestcut.again import Events, compare_plans
from nestcut.again.plan import continue_plan
from nestcut.model.held import Held
from nestcut.model.job import Job
from nestcut.model.part import Hands, RailPart, SheetPart
from nestcut.model.plan import BoardLayout, SheetLayout, VerifiedPlan
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from tests import mishaps

PARTS = Path(__file__).parents[2] / "parts"
LAST = (mishaps.short_boards,)
"""After it nothing long can be made any more."""


def order_of(luck: np.random.Generator) -> list[int]:
    """Ten kinds by number: each once, two that may come twice, the yard's short boards at last."""
    middle = [k for k, kind in enumerate(mishaps.KINDS) if kind not in LAST]
    again = [mishaps.KINDS.index(mishaps.spoilt), mishaps.KINDS.index(mishaps.half_of_pair)]
    mixed = [int(k) for k in luck.permutation([*middle, *again])]
    return [*mixed, *(mishaps.KINDS.index(k) for k in LAST)]


def suffer(name: str, seed: int, seconds: float | None) -> None:
    """Let ten mishaps happen; AssertionError where something doesn't hold."""
    luck = np.random.default_rng(seed)
    asked = nestcut.read_job(PARTS / name / "job.toml")
    first = nestcut.plan_job(asked, nestcut.Budget(effort=nestcut.Effort.QUICK, seconds=seconds))
    old, document = first, mishaps.document_of(first)
    paid = mishaps.spent_minor(document)
    print(f"{name} {seed}: first plan {paid}", flush=True)
    for number, kind in enumerate(order_of(luck), start=1):
        begun = time.process_time()
        mishap = mishaps.KINDS[kind](asked, old.plan, luck)
        stock = Held(sheets=old.job.sheet_stocks, boards=old.job.board_stocks)
        new = continue_plan(
            mishap.job,
            old.plan,
            Events(cut=mishap.cut, spoilt=mishap.spoilt),
            Settings(effort=Effort.QUICK),
            Deadline(seconds),
            Silent(),
            None if mishap.job is asked else stock,
        )
        now = mishaps.document_of(new)
        mishaps.check(document, now, mishap, compare_plans(old.plan, new.plan))
        spent = mishaps.spent_minor(now)
        paid += spent
        kept = len(now.get("already_cut", ()))
        took = time.process_time() - begun
        print(f"  {number} {mishap.name}: {spent} more, {kept} pieces cut, "
              f"{len(now['unplaced'])} without a place, {took:.0f} s", flush=True)  # fmt: skip
        asked, old, document = mishap.job, new, now
    every_part_exists_once(asked, document)
    worth = worth_of(first, old)
    assert paid == worth, f"{paid} paid, what is there costs {worth}"
    print(f"{name} {seed}: holds; {paid} paid in all", flush=True)


def every_part_exists_once(job: Job, document: mishaps.Document) -> None:
    """All shares of every copy and hand, each with one place or named as without one."""
    lies = Counter(p["piece"] for s in document["sheets"] for p in s["placements"])
    lies.update(c["piece"] for b in document["boards"] for c in b["cuts"])
    lies.update(u["piece"] for u in document["unplaced"])
    rows = [*document["pieces"], *document["rail_pieces"]]
    assert Counter(p["id"] for p in rows) == lies
    assert set(lies.values()) == {1}
    shares: dict[tuple[str, str | None, int], list[int]] = {}
    sizes: dict[tuple[str, str | None, int], int] = {}
    for p in rows:
        key = (p["part"], p["hand"], p["copy"])
        shares.setdefault(key, []).append(p["share"])
        sizes[key] = p["n_shares"]
    for key, own in shares.items():
        assert sorted(own) == list(range(1, sizes[key] + 1)), key
    parts: tuple[SheetPart | RailPart, ...] = (*job.sheet_parts, *job.rail_parts)
    for part in parts:
        hands = {Hands.NONE: 1, Hands.PAIR: 2}.get(part.hands, 1)
        assert sum(k[0] == part.name for k in shares) == part.count * hands, part.name


def worth_of(first: VerifiedPlan, last: VerifiedPlan) -> int:
    """What the sheets and boards of the last plan cost, less those that were to hand at first."""
    prices: dict[tuple[str, float], int] = {}
    hand: Counter[tuple[str, float]] = Counter()
    for s in first.job.sheet_stocks:
        if s.count is None:
            prices[s.name, s.length_mm] = s.price_minor
        else:
            hand[s.name, s.length_mm] += s.count
    for b in first.job.board_stocks:
        for o in b.lengths:
            if o.count is None:
                prices[b.name, o.length_mm] = o.price_minor
            else:
                hand[b.name, o.length_mm] += o.count
    layouts: tuple[SheetLayout | BoardLayout, ...] = (*last.plan.sheets, *last.plan.boards)
    used = Counter((x.stock.removesuffix(", bought before"), x.length_mm) for x in layouts)
    over = sum(b.over * b.price_minor for b in first.plan.buy)  # spares lie there uncut
    return over + sum(max(0, n - hand[key]) * prices.get(key, 0) for key, n in used.items())


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("boats", nargs="*", default=["punt"])
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--seconds", type=float, default=None)
    options = parser.parse_args()
    for boat in options.boats:
        suffer(boat, options.seed, options.seconds)
