"""Is a bound that one run prints undercut by another?  ``python -m tests.benchmark.undercut punt``.

Plans a demo (or a job file) with every choice of ``--joints``, several seeds and efforts, and
compares the bounds in plan.json: what is printed as impossible must be out of reach of every run
of the same job.  A bound speaks of its key, a stock or a material, and of its ``measure``: only
bounds that agree in both are compared, however the builder weighs joints against money, since
none is said to hold for one way of joining alone.  Where a run has no such bound it says nothing
of what it uses there, and isn't counted.  Exit status 1 where a bound is undercut; the line says
then whether both runs divide all parts alike.

``--work FOLDER`` keeps what was planned: stopped and called again, it goes on where it was.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections import defaultdict
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import Any

import nestcut
from nestcut.outlet.results import write_plan_alone
from nestcut.tolerances.noise import SOLVER_SLACK

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What one run tells of one stock: proven least, what it takes, why, and its joints."""

    run: str
    lower: float
    used: float
    why: str
    joints: tuple[str, ...]


def job_of(name: str) -> Path:
    """Return the job file of a demo, or the path as it is."""
    demo = ROOT / "parts" / name / "job.toml"
    return demo if demo.exists() else Path(name)


def told_by(run: str, plan: dict[str, Any]) -> dict[tuple[str, str], Told]:
    """Read from a plan.json what a run tells of each stock, by its name and measure."""
    joints = tuple(sorted(f"{j['part']} {j['hand']} {j['at_mm']:.3f}" for j in plan["joints"]))
    return {
        (name, bound["measure"]): Told(
            run=run,
            lower=bound["lower"],
            used=bound["used"],
            why=(bound["why"] or {}).get("code", "no reason"),
            joints=joints,
        )
        for name, bound in plan["bounds"].items()
    }


def compare(runs: dict[str, dict[str, Any]]) -> tuple[list[str], int]:
    """Return a line for each stock and measure, and how many are undercut.

    Parameters
    ----------
    runs
        The plan.json of each run of one job, by the run's name.
    """
    rows: dict[tuple[str, str], list[Told]] = defaultdict(list)
    for run, plan in runs.items():
        for key, told in told_by(run, plan).items():
            rows[key].append(told)
    lines, undercut = [], 0
    for (name, measure), row in rows.items():
        high = max(row, key=lambda t: t.lower)
        low = min(row, key=lambda t: t.used)
        line = (
            f"{name} ({measure}): least said {high.lower:g} ({high.why}, {high.run}), "
            f"least used {low.used:g} ({low.run}); {len(row)} of {len(runs)} runs tell"
        )
        if low.used < high.lower - SOLVER_SLACK:
            undercut += 1
            alike = "joined alike" if low.joints == high.joints else "joined otherwise"
            line += f"; UNDERCUT, {alike}"
        lines.append(line)
    return lines, undercut


def plan_into(folder: Path, job: Path, effort: str, joints: str, seed: int) -> dict[str, Any]:
    """Plan a job with one worker, unless the folder has its plan; give its plan.json."""
    file = folder / "plan.json"
    if not file.exists():
        read = nestcut.read_job(job)
        budget = nestcut.Budget(effort=effort, joints=joints, seed=seed)
        write_plan_alone(nestcut.plan_job(read, budget), folder, read.style)
    plan: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return plan


def main(arguments: list[str] | None = None) -> int:
    """Sweep as the command line asks."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.undercut")
    parser.add_argument("job", help="punt, beach-boat, skiff or a job file")
    parser.add_argument("--efforts", nargs="*", default=["quick", "normal"])
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--work", type=Path, help="where plans are kept")
    asked = parser.parse_args(arguments)
    job = job_of(asked.job)
    runs: dict[str, dict[str, Any]] = {}
    with tempfile.TemporaryDirectory(prefix="undercut-") as made:
        work = Path(made) if asked.work is None else asked.work
        for effort, seed, joints in product(
            asked.efforts, range(asked.seeds), nestcut.JointPreference
        ):
            run = f"{effort} {joints.value} {seed}"
            runs[run] = plan_into(work / run.replace(" ", "-"), job, effort, joints.value, seed)
            print(run, {n: b["used"] for n, b in runs[run]["bounds"].items()}, flush=True)
    lines, undercut = compare(runs)
    print("\n".join(lines))
    print(f"{len(runs)} runs, {len(lines)} bounds compared, {undercut} undercut")
    return int(undercut > 0)


if __name__ == "__main__":
    sys.exit(main())
