"""Where the time of a plan goes: ``python -m tests.benchmark.profile``.

Own time (without what a function calls) by room, and the functions with the most of it. A compiled
kernel's time holds that of the kernels it calls. One worker, so that all of the work is seen.
"""

from __future__ import annotations

import argparse
import cProfile
import pstats
import sys
from collections import defaultdict
from pathlib import Path

import nestcut
from nestcut.boards import JointPreference
from nestcut.intake.job import read_job
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from tests.benchmark.fleet import BEACH_BOAT

ROOT = Path(nestcut.__file__).parent
MOST = 12


def place_of(file: str) -> str:
    """Name a file by its place in nestcut, or by its package."""
    path = Path(file)
    if path.is_relative_to(ROOT):
        return path.relative_to(ROOT).as_posix()
    parts = path.parts
    if "site-packages" in parts:
        return parts[parts.index("site-packages") + 1]
    return "Python itself"


def main(arguments: list[str]) -> None:
    """Plan a job under the profiler and print two tables."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.profile", description=__doc__)
    parser.add_argument("job", nargs="?", type=Path, default=BEACH_BOAT)
    parser.add_argument("--effort", type=Effort, default=Effort.NORMAL, choices=list(Effort))
    asked = parser.parse_args(arguments)
    job = read_job(asked.job)
    settings = Settings(seed=0, effort=asked.effort, workers=1)
    desk = Desk(
        settings=settings,
        deadline=Deadline(),
        watcher=Silent(),
        preference=JointPreference.BALANCED,
    )
    profiler = cProfile.Profile()
    profiler.runcall(plan_job, job, desk)
    rooms: dict[str, float] = defaultdict(float)
    functions: list[tuple[float, int, str]] = []
    stats = pstats.Stats(profiler)
    for (file, _, name), row in stats.stats.items():  # type: ignore[attr-defined]
        calls, own = row[1], row[2]
        place = place_of(file)
        room = place.split("/")[0]
        if place.startswith("nesting/kernels"):
            room = "nesting/kernels, compiled"
        rooms[room] += own
        functions.append((own, calls, f"{place} {name}"))
    total = sum(rooms.values())
    print(f"{total:.1f} s\n\n| where | share |\n|---|---|")
    for room, seconds in sorted(rooms.items(), key=lambda kv: -kv[1])[:MOST]:
        print(f"| {room} | {100.0 * seconds / total:.1f} % |")
    print("\n| function | calls | own s |\n|---|---|---|")
    for own, calls, name in sorted(functions, reverse=True)[:MOST]:
        print(f"| {name} | {calls} | {own:.2f} |")


if __name__ == "__main__":
    main(sys.argv[1:])
