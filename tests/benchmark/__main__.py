"""Run the benchmark: ``python -m tests.benchmark KIND FOLDER [--seconds S] [--workers N] ...``."""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections.abc import Iterator
from concurrent.futures import Executor, wait
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

from tests.benchmark.outcome import Instance, Outcome, Runner, Spend


def imported(place: str) -> Any:
    """Import the "module:function" of this name."""
    module, _, function = place.partition(":")
    return getattr(import_module(module), function)


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of benchmark.

    ``files`` is the "kind" that its instance files carry, ``known`` the section of
    best_known.json, ``runner`` the "module:function" of its :data:`Runner`, imported on demand,
    ``prepare`` of what is done once before any clock runs.
    """

    files: str
    known: str
    runner: str
    prepare: str = ""

    def load(self) -> Runner:
        """Import the runner."""
        runner: Runner = imported(self.runner)
        return runner


KINDS = {
    "strip": Kind(
        "irregular_strip",
        "irregular_strip",
        "tests.benchmark.irregular:strip",
        "tests.benchmark.irregular:compile_kernels",
    ),
    "bins": Kind(
        "irregular_bin",
        "irregular_bin",
        "tests.benchmark.irregular:bins",
        "tests.benchmark.irregular:compile_kernels",
    ),
    "rect-strip": Kind("rect_strip", "rect_strip", "tests.benchmark.rect:rect_strip"),
    "rect-bins": Kind("rect_bin", "rect_bin", "tests.benchmark.rect:rect_bins"),
    "through-cut": Kind(
        "rect_guillotine_value", "rect_guillotine", "tests.benchmark.rect:through_cut"
    ),
    "boards": Kind("oned", "oned", "tests.benchmark.boards:boards"),
}

CLOCKS = {"wall": time.monotonic, "processor": time.process_time}
"""What ``--seconds`` are measured by."""


def instances(folder: Path, kind: Kind) -> list[Instance]:
    """Read the instance files of this kind in a folder, by name."""
    found = []
    for path in sorted(folder.glob("*.json")):
        data = json.loads(path.read_text(encoding="utf-8"))
        if isinstance(data, dict) and data.get("kind") == kind.files:
            found.append({"name": path.stem, **data})
    return found


def best_known(folder: Path, kind: Kind) -> dict[str, Any]:
    """Return this kind's section of the nearest best_known.json beside or above the folder."""
    for place in (folder, *folder.resolve().parents):
        path = place / "best_known.json"
        if path.is_file():
            section = json.loads(path.read_text(encoding="utf-8")).get(kind.known, {})
            return dict(section)
    return {}


def line(name: str, outcome: Outcome, seconds: float) -> dict[str, Any]:
    """Return the JSON line of one instance."""
    return {
        "name": name,
        "pieces": outcome.pieces,
        "value": outcome.value,
        "bound": outcome.bound,
        "best": outcome.best,
        "ratio": outcome.ratio,
        "seconds": round(seconds, 2),
        "verified": outcome.verified,
        **outcome.beside,
    }


def summary(lines: list[dict[str, Any]]) -> dict[str, Any]:
    """Return the last line: counts, the mean and the worst ratio, the sum of values."""
    ratios = [r["ratio"] for r in lines if r["ratio"] is not None]
    return {
        "instances": len(lines),
        "verified": sum(1 for r in lines if r["verified"]),
        "value_total": sum(r["value"] for r in lines),
        "ratio_mean": sum(ratios) / len(ratios) if ratios else None,
        "ratio_worst": min(ratios) if ratios else None,
        "seconds": round(sum(r["seconds"] for r in lines), 2),
    }


@contextmanager
def crew_for(kind: Kind, workers: int) -> Iterator[Executor | None]:
    """Make this process ready, and workers that stay for all instances; None where none are used.

    A plan hires its workers once, too, and a yard keeps its own: no instance pays for the start.
    """
    if not kind.prepare:
        yield None
        return
    prepare = imported(kind.prepare)
    prepare()
    if workers <= 1:
        yield None
        return
    from nestcut.nesting.workers import hired

    with hired(workers) as executor:
        wait([executor.submit(prepare) for _ in range(workers)])
        yield executor


def main(arguments: list[str] | None = None) -> int:
    """Run what the command line asks for; exit status 1 where a layout fails its check."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark", description=__doc__)
    parser.add_argument("kind", choices=sorted(KINDS))
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument(
        "--clock",
        choices=sorted(CLOCKS),
        default="wall",
        help="processor: seconds of this process's work, on a busy machine; one worker",
    )
    parser.add_argument("--only", default="", help="names, separated by commas")
    asked = parser.parse_args(arguments)
    kind = KINDS[asked.kind]
    only = {name for name in asked.only.split(",") if name}
    known = best_known(asked.folder, kind)
    run = kind.load()
    chosen = [i for i in instances(asked.folder, kind) if not only or i["name"] in only]
    lines = []
    workers = 1 if asked.clock == "processor" else asked.workers
    with crew_for(kind, workers) as executor:
        spend = Spend(
            seconds=asked.seconds,
            workers=workers,
            seed=asked.seed,
            clock=CLOCKS[asked.clock],
            executor=executor,
        )
        for instance in chosen:
            name = instance["name"]
            begin = spend.clock()
            outcome = run(instance, known.get(name), spend)
            lines.append(line(name, outcome, spend.clock() - begin))
            print(json.dumps(lines[-1]), flush=True)
    print(json.dumps(summary(lines)), flush=True)
    return 0 if all(r["verified"] for r in lines) else 1


if __name__ == "__main__":
    sys.exit(main())
