"""How many planted misreadings are named first: seeded tables of four families of hulls.

    python -m tests.benchmark.misreadings [--tables 200] [--seed 2026]

A line for each family and number of stations: the share of readings misread by an inch or more that
is doubted first, and the share of fair tables with a doubt (and the most doubts in one of them).
"""

from __future__ import annotations

import argparse

import numpy as np

from nestcut.shapes.table.doubts import doubts_of
from tests.unit.shapes.tables.hulls import HULLS, misread


def main() -> None:
    """Print the shares."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--tables", type=int, default=200)
    asked.add_argument("--seed", type=int, default=2026)
    wish = asked.parse_args()
    every: list[bool] = []
    for family in HULLS:
        for stations in range(5, 12):
            rng = np.random.default_rng((wish.seed, stations))
            named, false = [], []
            for _ in range(wish.tables):
                boat = family(rng, stations)
                false.append(len(doubts_of(boat.rows)))
                wrong, what = misread(rng, boat)
                told = doubts_of(wrong.rows)
                named.append(bool(told) and (told[0].line, told[0].view, told[0].station) == what)
            every += named
            print(
                f"{family.__name__:12} {stations:2} stations: {np.mean(named):.3f} named first, "
                f"{np.mean([f > 0 for f in false]):.3f} of fair tables doubted, "
                f"at most {max(false)}",
                flush=True,
            )
    print(f"all {len(every)}: {np.mean(every):.4f}")


if __name__ == "__main__":
    main()
