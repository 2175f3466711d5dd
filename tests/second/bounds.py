"""Bounds and proven plans of small jobs against the model of least cost.

``python -m tests.second.bounds --jobs 300`` prints what it found; status 1 where a plan of the
model costs less than a bound says is possible, or less than a plan called proven.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import nestcut
from tests.second.asked import JobAsked, read_job
from tests.second.chance_small import small_job
from tests.second.least import Least, least_of_flat, least_of_rails

SECONDS = 20.0
"""After which a model is left unsolved; what it found by then counts all the same. [s]"""


def check_seed(seed: int, tally: Counter[str], *, seconds: float = SECONDS) -> list[str]:
    """Plan one small job and hold its bounds in money against the model; return what is wrong."""
    text = small_job(seed)
    try:
        job = nestcut.read_job(text, drawings={})
        plan = nestcut.plan_job(job, nestcut.Budget(effort="quick")).plan
    except nestcut.InputError:
        tally["jobs without a plan"] += 1
        return []
    if plan.unplaced:
        tally["jobs with pieces left"] += 1
        return []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.toml"
        path.write_text(text, encoding="utf-8")
        asked = read_job(path)
    wrong: list[str] = []
    if asked.rails:
        boards = {s.name for s in asked.stocks if s.kind == "board"}
        most = sum(line.count for line in plan.buy if line.stock in boards)
        found = least_of_rails(asked, seconds, max(1, most))
        wrong += _held(seed, plan, asked, boards, found, tally)
    if asked.parts:
        sheets = {s.name for s in asked.stocks if s.kind == "sheet"}
        most = sum(line.count for line in plan.buy if line.stock in sheets)
        found = least_of_flat(asked, seconds, max(1, most))
        wrong += _held(seed, plan, asked, sheets, found, tally)
    return wrong


def _held(
    seed: int,
    plan: nestcut.Plan,
    asked: JobAsked,
    stocks: set[str],
    found: Least | None,
    tally: Counter[str],
) -> list[str]:
    """Compare the bounds on one kind of stock with what the model found."""
    if found is None:
        tally["models without an answer in time"] += 1
        return []
    paid = sum(x.count * x.price_minor for x in plan.buy if x.stock in stocks)
    prices = {s.price_minor for s in asked.stocks if s.name in stocks and s.count is None}
    bounds = [
        b
        for b in plan.bounds
        if b.measure != "joints" and any(name in stocks for name in b.name.split(", "))
    ] or [b for b in plan.bounds if b.measure != "joints" and b.name.startswith("ply ")]
    if len(bounds) != 1 or (bounds[0].measure != "money" and len(prices) != 1):
        tally[f"bounds not compared: {len(bounds)}"] += 1
        return []
    (bound,) = bounds
    each = 1.0 if bound.measure == "money" else float(next(iter(prices)))
    lower, used = bound.lower * each, bound.used * each
    tally["bounds held against the model"] += 1
    tally["of these proven"] += bound.is_proven_optimal
    tally["models solved to the end"] += found.proven >= found.cost
    tally["plans that the model undercuts"] += found.cost < used
    wrong = []
    if abs(used - paid) > 1e-6:
        wrong.append(f"{seed}: {bound.name} says {used}, paid is {paid}")
    if found.cost < lower - 1e-6:
        wrong.append(f"{seed}: {bound.name} can't be below {lower}, the model has {found.cost}")
    if bound.is_proven_optimal and found.cost < used - 1e-6:
        wrong.append(f"{seed}: {bound.name} is proven at {used}, the model has {found.cost}")
    if bound.is_proven_optimal and found.proven > used + 1e-6:
        tally["proven plans below the model's bound: corners nearer than it lets them"] += 1
    return wrong


def main(arguments: list[str]) -> int:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(prog="python -m tests.second.bounds", description=__doc__)
    parser.add_argument("--jobs", type=int, default=300)
    parser.add_argument("--first", type=int, default=0)
    asked = parser.parse_args(arguments)
    tally: Counter[str] = Counter()
    wrong: list[str] = []
    begin = time.process_time()
    for seed in range(asked.first, asked.first + asked.jobs):
        said = check_seed(seed, tally)
        for words in said:
            print(words, flush=True)
        wrong += said
    print(f"{asked.jobs} jobs in {time.process_time() - begin:.0f} s of processor time")
    for name, n in sorted(tally.items()):
        print(f"  {n:5d} {name}")
    print(f"{len(wrong)} bounds that don't hold")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
