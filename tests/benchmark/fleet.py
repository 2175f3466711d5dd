"""Many boats at once: ``python -m tests.benchmark.fleet``.

All flat parts of the beach boat are put on sheets of 6 mm and repeated until there are so many
pieces. Each size runs in a process of its own, so that memory is its own; the verifier proves each
plan, and a line of the table tells what it cost.
"""

from __future__ import annotations

import argparse
import resource
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

from nestcut.boards import JointPreference
from nestcut.intake.job import read_job
from nestcut.model.job import Job
from nestcut.model.part import CutFrom
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.search.settings import Deadline, Effort, Settings, Silent

BEACH_BOAT = Path(__file__).resolve().parents[2] / "parts" / "beach-boat" / "job.toml"
THICKNESS_MM = 6.0


def fleet(job: Job, boats: int) -> Job:
    """Return the job of so many boats, every flat part on bought sheets of 6 mm."""
    stock = next(s for s in job.sheet_stocks if s.thickness_mm == THICKNESS_MM and s.count is None)
    parts = tuple(
        replace(part, count=part.count * boats, thickness_mm=THICKNESS_MM, material=stock.material)
        for part in job.sheet_parts
        if part.cut_from is CutFrom.SHEET
    )
    return replace(job, sheet_stocks=(stock,), board_stocks=(), sheet_parts=parts, rail_parts=())


def row(boats: int, settings: Settings) -> str:
    """Plan for so many boats and return a line of the table."""
    job = fleet(read_job(BEACH_BOAT), boats)
    begin = time.perf_counter()
    desk = Desk(
        settings=settings,
        deadline=Deadline(settings.seconds),
        watcher=Silent(),
        preference=JointPreference.BALANCED,
    )
    plan = plan_job(job, desk).plan
    seconds = time.perf_counter() - begin
    memory = max(
        resource.getrusage(who).ru_maxrss
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    pieces = sum(len(layout.placements) for layout in plan.sheets)
    cells = (
        boats,
        pieces,
        len(plan.sheets),
        "yes" if plan.is_complete else "no",
        f"{seconds:.1f}",
        f"{1000.0 * seconds / max(1, pieces):.0f}",
        f"{memory / 1024:.0f}",
    )
    return "| " + " | ".join(str(c) for c in cells) + " |"


def main(arguments: list[str]) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.fleet", description=__doc__)
    parser.add_argument("--boats", type=int, nargs="*", default=[1, 4, 14])
    parser.add_argument("--effort", type=Effort, default=Effort.NORMAL, choices=list(Effort))
    parser.add_argument("--seconds", type=float, default=240.0)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args(arguments)
    settings = Settings(
        seed=asked.seed, effort=asked.effort, seconds=asked.seconds, workers=asked.workers
    )
    print("| boats | pieces | sheets | complete | seconds | ms a piece | MiB, largest process |")
    print("|---|---|---|---|---|---|---|")
    for boats in asked.boats:
        with ProcessPoolExecutor(1, get_context("spawn")) as pool:
            print(pool.submit(row, boats, settings).result(), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
