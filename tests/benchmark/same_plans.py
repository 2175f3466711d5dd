"""Same plans as another tree: ``python -m tests.benchmark.same_plans TREE [--jobs 200]``.

``--work FOLDER`` keeps what was planned: stopped and called again, it goes on where it was.

Plans the demos and jobs by lot (``tests/second/chance``) here and with the package in another
folder (a checkout of an older commit), with the same seeds, and compares plan.json and the lists
byte for byte.  Exit status 1 where they differ; what differs is named by its keys and files.

Nine in ten stop at the first plan: how far joints and sawing had come by then is the clock's
affair, so a job that differs there is to be planned a few times with either tree before anything
is made of it.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path
from typing import Any

from tests.second.chance import write_job

ROOT = Path(__file__).parents[2]
DEMOS = ("punt", "beach-boat", "skiff")
SCRIPT = """
import pathlib, sys, nestcut
from nestcut.outlet.results import write_plan_alone
effort, *folders = sys.argv[1:]
for number, folder in enumerate(folders):
    file = pathlib.Path(folder, "job.toml")
    out = pathlib.Path(folder, "out")
    if {"plan.json", "refused.txt"} & {p.name for p in out.glob("*")}:
        continue
    try:
        job = nestcut.read_job(file)
        # nine in ten stop at the first plan: those searched take most of the time
        seconds = 0.0 if folder.startswith("lot-") and number % 10 else None
        done = nestcut.plan_job(job, nestcut.Budget(effort=effort, seconds=seconds))
    except nestcut.InputError as error:
        out.mkdir()
        said = sorted(f"{f.code} {f.where}" for f in error.findings)
        pathlib.Path(out, "refused.txt").write_text("\\n".join(said))
    else:
        write_plan_alone(done, out, job.style)
"""


def plan_with(tree: Path, folder: Path, names: list[str], effort: str) -> None:
    """Plan jobs in the folders of these names with the package in a tree; results go beside."""
    subprocess.run(
        [sys.executable, "-c", SCRIPT, effort, *names],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(tree)},
        check=True,
    )


def difference(one: Path, other: Path) -> list[str]:
    """Name the keys of plan.json and the files that two folders of results don't share."""
    names = sorted({p.name for folder in (one, other) for p in folder.iterdir()})
    told = []
    for name in names:
        here, there = (f / name for f in (one, other))
        if not (here.exists() and there.exists()):
            told.append(f"{name} only in one")
        elif here.read_bytes() != there.read_bytes():
            told += _keys(here, there) if name.endswith(".json") else [name]
    return told


def _keys(one: Path, other: Path) -> list[str]:
    plans: list[dict[str, Any]] = [json.loads(p.read_text(encoding="utf-8")) for p in (one, other)]
    keys = dict.fromkeys([*plans[0], *plans[1]])
    return [f"plan.json {k}" for k in keys if plans[0].get(k) != plans[1].get(k)] or ["plan.json"]


def _write(folder: Path) -> None:
    """Write a demo's job or one by lot into a folder of its name, unless it is there."""
    if (folder / "job.toml").exists():
        return
    kind, _, seed = folder.name.partition("-")
    if kind != "lot":
        shutil.copytree(ROOT / "parts" / folder.name, folder)
        return
    folder.mkdir(parents=True)
    written = write_job(folder, int(seed))
    written.rename(folder / "job.toml")


def main(arguments: list[str] | None = None) -> int:
    """Compare what the command line asks for."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.same_plans")
    parser.add_argument("tree", type=Path)
    parser.add_argument("--effort", default="quick")
    parser.add_argument("--demos", default=",".join(DEMOS))
    parser.add_argument("--jobs", type=int, default=0, help="jobs by lot beside the demos")
    parser.add_argument("--work", type=Path, help="where plans of both trees are kept")
    asked = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory(prefix="same-plans-") as made:
        work = Path(made) if asked.work is None else asked.work.resolve()
        names = [n for n in asked.demos.split(",") if n] + [f"lot-{n}" for n in range(asked.jobs)]
        for side in ("there", "here"):
            for name in names:
                _write(work / side / name)
        plan_with(asked.tree.resolve(), work / "there", names, asked.effort)
        plan_with(ROOT, work / "here", names, asked.effort)
        told = {n: difference(work / "there" / n / "out", work / "here" / n / "out") for n in names}
    for name, differing in told.items():
        if differing:
            print(f"{name}: {', '.join(differing)}")
    others = Counter(d for differing in told.values() for d in differing)
    print(f"{len(names)} jobs, {sum(1 for d in told.values() if d)} differ: {dict(others)}")
    return int(bool(others))


if __name__ == "__main__":
    sys.exit(main())
