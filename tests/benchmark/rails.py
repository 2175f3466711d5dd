"""Seeded rail jobs: ``python -m tests.benchmark.rails [--jobs 200] [--seed 0] [--highs] ...``.

One JSON line a job: cost, bound, joints, seconds, what the verifier said, and with ``--highs`` the
cost that an independent model finds (``tests/benchmark/rails_by_highs.py``).  The last line sums
up.  Jobs 0 to jobs/2 - 1 have 2 to 6 rails, the others 7 to 12.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from typing import Any

from nestcut.boards import BoardsOutcome, JointPreference, cut_boards
from nestcut.model.job import Job
from nestcut.model.plan import Plan
from nestcut.search.settings import Deadline, Settings, Silent
from nestcut.verify import verify_plan
from tests.benchmark.rail_jobs import RailJob, draw_job


def solve(job: Job, seconds: float | None, seed: int) -> BoardsOutcome:
    """Run a job through the call that plans use."""
    return cut_boards(
        job.rail_parts,
        job.board_stocks,
        job.cutting,
        JointPreference.CHEAPEST,
        Settings(seed=seed, seconds=seconds),
        Deadline(seconds=seconds),
        Silent(),
    )


def plan_of(job: Job, outcome: BoardsOutcome) -> Plan:
    """Put an outcome into a plan, as planning does, for the verifier."""
    from nestcut.planning.judge import judge_joints
    from nestcut.planning.totals import draw_up_buying_list

    joints, more = judge_joints(job, outcome.joints, outcome.findings)
    return Plan(
        seed=0,
        effort="normal",
        workers=1,
        seconds_limit=None,
        stopped_by=outcome.stopped_by,
        pieces=(),
        rail_pieces=outcome.pieces,
        sheets=(),
        boards=outcome.layouts,
        joints=joints,
        findings=(*outcome.findings, *more),
        unplaced=outcome.unplaced,
        bounds=outcome.bounds,
        buy=draw_up_buying_list(job, (), outcome.layouts),
    )


def measure(drawn: RailJob, seconds: float, seed: int) -> dict[str, Any]:
    """Solve and verify one job."""
    begin, processor = time.perf_counter(), time.process_time()
    outcome = solve(drawn.job, seconds, seed)
    taken, processor = time.perf_counter() - begin, time.process_time() - processor
    verification = verify_plan(drawn.job, plan_of(drawn.job, outcome))
    money = [b for b in outcome.bounds if b.measure == "money"]
    return {
        "name": drawn.job.name,
        "rails": drawn.n_rails,
        "pieces": len(outcome.pieces),
        "boards": len(outcome.layouts),
        "joints": len(outcome.joints),
        "cost": sum(b.used for b in money),
        "bound": sum(b.lower for b in money),
        "proven": bool(outcome.bounds) and all(b.is_proven_optimal for b in outcome.bounds),
        "unplaced": len(outcome.unplaced),
        "seconds": round(taken, 2),
        "processor_s": round(processor, 2),
        "verified": verification.is_proven,
        "stopped_by": outcome.stopped_by.name,
    }


def main(arguments: list[str] | None = None) -> int:
    """Run what the command line asks for; exit status 1 where a plan fails its check."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.rails", description=__doc__)
    parser.add_argument("--jobs", type=int, default=200)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--only", default="", help="numbers, separated by commas; a-b is a range")
    parser.add_argument("--highs", type=float, default=0.0, help="seconds for HiGHS on a small job")
    asked = parser.parse_args(arguments)
    numbers = _numbers(asked.only) or list(range(asked.jobs))
    lines = []
    for number in numbers:
        drawn = draw_job(asked.seed, number, asked.jobs)
        line = measure(drawn, asked.seconds, asked.seed)
        if asked.highs and number < asked.jobs // 2:
            from tests.benchmark.rails_by_highs import least_cost

            again = least_cost(drawn.job, asked.highs)
            line |= {"highs": again.cost, "highs_bound": again.bound, "highs_s": again.seconds}
        lines.append(line)
        print(json.dumps(line), flush=True)
    print(json.dumps(summary(lines)), flush=True)
    return 0 if all(line["verified"] for line in lines) else 1


def _numbers(text: str) -> list[int]:
    found: list[int] = []
    for word in text.split(","):
        if "-" in word:
            first, last = word.split("-")
            found += range(int(first), int(last) + 1)
        elif word:
            found.append(int(word))
    return found


def summary(lines: list[dict[str, Any]]) -> dict[str, Any]:
    """Return the last line."""
    compared = [r for r in lines if r.get("highs") is not None and r["highs"] == r["highs_bound"]]
    return {
        "jobs": len(lines),
        "proven": sum(1 for r in lines if r["proven"]),
        "within_10_s": sum(1 for r in lines if r["proven"] and r["seconds"] <= 10.0),
        "within_10_processor_s": sum(1 for r in lines if r["proven"] and r["processor_s"] <= 10.0),
        "verified": sum(1 for r in lines if r["verified"]),
        "with_unplaced": sum(1 for r in lines if r["unplaced"]),
        "slowest_s": max((r["seconds"] for r in lines), default=0.0),
        "slowest_processor_s": max((r["processor_s"] for r in lines), default=0.0),
        "highs_settled": len(compared),
        "highs_same_cost": sum(1 for r in compared if abs(r["highs"] - r["cost"]) < 0.5),
    }


if __name__ == "__main__":
    sys.exit(main())
