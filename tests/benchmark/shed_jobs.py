"""Fifty jobs one after the other over one stock book, against the same jobs without it.

``python -m tests.benchmark.shed_jobs [--jobs N] [--seed N]`` prints one JSON line at the end.  The
jobs are invented: small sets of rectangles from 6 mm and 9 mm ply.  Every plan is proven; no entry
of the book is used twice; and at the end all pieces and what lies in the shed together are no more
wood than was bought.
"""

from __future__ import annotations

import argparse
import json
import tempfile
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry import Polygon

import nestcut
from nestcut.model.stock import SheetStock
from nestcut.shed import Change, Kept, gather_rest, handed_out, relevant_entries, write_change

_HEAD = """
[job]
name = "job {number}"
[saw]
kerf = "3 mm"
[[sheet]]
name = "6 mm ply"
material = "ply"
length = "2440 mm"
width = "1220 mm"
thickness = "6 mm"
price = 58
[[sheet]]
name = "9 mm ply"
material = "ply"
length = "2440 mm"
width = "1220 mm"
thickness = "9 mm"
price = 79
"""


def job_text(number: int, luck: np.random.Generator) -> str:
    """Return a job of two to six kinds of rectangles."""
    text = _HEAD.format(number=number)
    for k in range(int(luck.integers(2, 7))):
        length, width = luck.integers(150, 1400), luck.integers(80, 500)
        text += (
            f'[[part]]\nname = "p{k}"\nthickness = "{luck.choice([6, 9])} mm"\n'
            f"count = {luck.integers(1, 4)}\n"
            f'[part.shape]\nkind = "rectangle"\nlength = "{length} mm"\nwidth = "{width} mm"\n'
        )
    return text


def run(jobs: int, seed: int) -> dict[str, float]:
    """Plan all jobs both ways; every plan is proven."""
    luck = np.random.default_rng(seed)
    budget = nestcut.Budget(effort="quick")
    with_book = without = pieces_mm2 = bought_mm2 = 0.0
    gone: set[int] = set()
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "shed.toml"
        state = write_change(book, lambda _: Change())
        for number in range(jobs):
            text = job_text(number, luck)
            without += nestcut.money(
                nestcut.plan_job(nestcut.read_job(text, drawings={}), budget).plan
            )
            plain = nestcut.read_job(text, drawings={})
            own = handed_out(text, relevant_entries(state, plain))
            done = nestcut.plan_job(nestcut.read_job(own, drawings={}), budget)
            with_book += nestcut.money(done.plan)
            used = frozenset(
                int(s.stock.split()[1]) for s in done.plan.sheets if s.stock.startswith("shed ")
            )
            assert nestcut.verify_plan(done.job, done.plan).is_proven
            assert not gone & used, f"{gone & used} is used twice"
            gone |= used
            pieces_mm2 += sum(Polygon(p.shape.outline.points).area for p in done.plan.pieces)
            bought_mm2 += sum(b.count * b.length_mm * b.width_mm for b in done.plan.buy)
            rest = gather_rest(done.job, done.plan, Kept())
            change = Change(added=rest, removed=used)
            state = write_change(book, lambda _, change=change: change)  # type: ignore[misc]
        lying = sum(area_mm2(e.stock) for e in state.entries if isinstance(e.stock, SheetStock))
    assert pieces_mm2 + lying <= bought_mm2
    return {
        "jobs": jobs,
        "bought_without": without,
        "bought_with": with_book,
        "bought_m2": round(bought_mm2 / 1e6, 2),
        "pieces_m2": round(pieces_mm2 / 1e6, 2),
        "left_in_the_shed_m2": round(lying / 1e6, 2),
    }


def area_mm2(stock: SheetStock) -> float:
    """Area of an entry that can be cut from: its true outline less what is kept out."""
    x, y = stock.length_mm, stock.width_mm
    corners = stock.outline or ((0.0, 0.0), (x, 0.0), (x, y), (0.0, y))
    out = shapely.union_all([Polygon(k.points) for k in stock.keep_outs])
    return float(Polygon(corners).difference(out).area)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=50)
    parser.add_argument("--seed", type=int, default=0)
    options = parser.parse_args()
    print(json.dumps(run(options.jobs, options.seed)))
