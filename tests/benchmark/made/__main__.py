"""Run made sets: ``python -m tests.benchmark.made [--aim strip] [--family cells,knees] ...``.

One worker; ``--seconds`` are of processor time, so that others on the machine don't count.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.benchmark.irregular import bins, compile_kernels, strip
from tests.benchmark.made.sets import FAMILIES, TURNS, Aim, Part, Sort, Variety, make, sorts
from tests.benchmark.outcome import Outcome, Spend


def chosen(asked: argparse.Namespace) -> Iterable[Sort]:
    """Sorts of the part asked for, of these families, turns and varieties."""
    for sort in sorts():
        wanted = sort.part == asked.part and sort.aim == asked.aim and sort.serial < asked.serials
        kept = sort.family in asked.family and sort.turns in asked.turns
        if wanted and kept and sort.variety in asked.variety:
            yield sort


def table(found: dict[str, list[Outcome]]) -> list[str]:
    """Return the lines of a table: family, sets, mean and worst ratio, sets at what is known."""
    lines = [
        "| family | sets | mean ratio | worst | at it | verified |",
        "|---|---|---|---|---|---|",
    ]
    everything = [o for outcomes in found.values() for o in outcomes]
    for family, outcomes in (*found.items(), ("all", everything)):
        ratios = [o.ratio or 0.0 for o in outcomes]
        at_it = sum(r > 1.0 - 1e-6 for r in ratios)
        good = sum(o.verified for o in outcomes)
        lines.append(
            f"| {family} | {len(ratios)} | {np.mean(ratios):.4f} | {min(ratios):.4f} | {at_it} "
            f"| {good} |"
        )
    return lines


def main(arguments: list[str] | None = None) -> int:
    """Run what the command line asks for; exit status 1 where a layout fails its check."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.made", description=__doc__)
    parser.add_argument("--part", type=Part, choices=list(Part), default=Part.TUNE)
    parser.add_argument("--aim", type=Aim, choices=list(Aim), default=Aim.STRIP)
    for name, names in (("family", FAMILIES), ("turns", TURNS), ("variety", list(Variety))):
        parser.add_argument(f"--{name}", default=",".join(names), help="names, with commas")
    parser.add_argument("--serials", type=int, default=4, help="serials below this one")
    parser.add_argument("--seconds", type=float, default=10.0, help="of processor time, a set")
    parser.add_argument("--seeds", type=int, default=1)
    parser.add_argument("--save", type=Path, help="folder to write the sets to, instead of a run")
    asked = parser.parse_args(arguments)
    for name in ("family", "turns", "variety"):
        setattr(asked, name, getattr(asked, name).split(","))
    if asked.save is None:
        compile_kernels()
    run = strip if asked.aim is Aim.STRIP else bins
    found: dict[str, list[Outcome]] = defaultdict(list)
    for sort in chosen(asked):
        instance = make(sort)
        if asked.save is not None:
            (asked.save / f"{sort.name}.json").write_text(json.dumps(instance), encoding="utf-8")
            continue
        spend = Spend(seconds=asked.seconds, clock=time.process_time)
        for seed in range(asked.seeds):
            outcome = run(instance, None, replace(spend, seed=seed))
            found[sort.family].append(outcome)
            print(sort.name, seed, outcome.pieces, f"{outcome.ratio:.4f}", flush=True)
    print("\n".join(table(found)))
    return 0 if all(o.verified for outcomes in found.values() for o in outcomes) else 1


if __name__ == "__main__":
    sys.exit(main())
