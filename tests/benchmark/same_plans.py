"""Same plans as another tree: ``python -m tests.benchmark.same_plans TREE [--effort quick]``.

Plans both demos and the skiff here and with the package in another folder (a checkout of an older
commit), with the same seed, and compares what is cut from what.  Exit status 1 where they differ.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
JOBS = ("punt", "beach-boat", "skiff")
KEYS = ("pieces", "rail_pieces", "sheets", "boards", "joints", "unplaced", "bounds", "buy")
SCRIPT = """
import sys, nestcut
done = nestcut.plan_job(nestcut.read_job(sys.argv[1]), nestcut.Budget(effort=sys.argv[2]))
sys.stdout.write(nestcut.plan_text(done))
"""


def plan_with(tree: Path, job: Path, effort: str) -> dict[str, Any]:
    """Plan a job with the package in a tree; gives plan.json as it stands."""
    run = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(job), effort],
        cwd=tree,
        env={**os.environ, "PYTHONPATH": str(tree)},
        capture_output=True,
        text=True,
        check=True,
    )
    told: dict[str, Any] = json.loads(run.stdout)
    return told


def main(arguments: list[str] | None = None) -> int:
    """Compare what the command line asks for."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.same_plans")
    parser.add_argument("tree", type=Path)
    parser.add_argument("--effort", default="quick")
    parser.add_argument("--only", default=",".join(JOBS))
    asked = parser.parse_args(arguments)
    is_other = False
    for name in asked.only.split(","):
        job = ROOT / "parts" / name / "job.toml"
        there, here = (plan_with(t, job, asked.effort) for t in (asked.tree.resolve(), ROOT))
        differing = [key for key in KEYS if there.get(key) != here.get(key)]
        told = ", ".join(differing) or "nothing"
        cost = [sum(b["price"] * b["count"] for b in plan["buy"]) for plan in (there, here)]
        print(f"{name}: {told} differs; to buy {cost[0]:.2f} there, {cost[1]:.2f} here", flush=True)
        is_other = is_other or bool(differing)
    return int(is_other)


if __name__ == "__main__":
    sys.exit(main())
