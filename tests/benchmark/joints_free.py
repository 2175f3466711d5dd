"""Free joint positions against fixed equal splits: ``python -m tests.benchmark.joints_free``.

One run plans the job (the beach boat unless another is named) with every joint position free, and
once for each of several fixed equal splits, with the same seed, effort and number of workers.  All
plans are proven by the verifier.  The last table sets free positions against the best fixed split
of each material, even where different splits are best in different materials.  Exit status 1 if
free positions cost more than a fixed split anywhere, or less nowhere.

Fixed splits: every long part in as few pieces as may be, and in one more; divided so that the
middles of joints are equally far apart, or so that all pieces are equally long, overlaps included.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from nestcut.boards import JointPreference
from nestcut.errors import Severity
from nestcut.intake.job import read_job
from nestcut.joints.curved.line import BandLine, band_line
from nestcut.joints.curved.places import BandSearch
from nestcut.joints.curved.stretches import Stretches
from nestcut.joints.division import overlap_mm
from nestcut.joints.fitting import Fit
from nestcut.model.job import Job
from nestcut.model.joint import JointRule
from nestcut.model.part import CutFrom, RailPart, SheetPart
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.planning.divide_job import planks_of
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.planning.sawn.as_sheets import boards_as_sheets
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from tests.told import all_said

BEACH_BOAT = Path(__file__).resolve().parents[2] / "parts" / "beach-boat" / "job.toml"
MOST_PIECES = 12

Spread = Callable[[float, int, float], tuple[float, ...]]
"""Positions from a part's length, the number of pieces and the overlap. [mm]"""


def equal_middles(length_mm: float, pieces: int, overlap: float) -> tuple[float, ...]:
    """Joints whose middles, and the part's ends, are equally far apart. [mm]"""
    del overlap
    return tuple(float(round(length_mm * k / pieces)) for k in range(1, pieces))


def equal_pieces(length_mm: float, pieces: int, overlap: float) -> tuple[float, ...]:
    """Joints that make all pieces equally long, overlaps included. [mm]"""
    piece = (length_mm + (pieces - 1) * overlap) / pieces
    return tuple(float(round(k * (piece - overlap) + overlap / 2.0)) for k in range(1, pieces))


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to divide the long parts of a job; ``spread`` None: left to the search."""

    name: str
    spread: Spread | None = None
    more: int = 0


WAYS = (
    Way(name="free"),
    Way(name="fewest pieces, equal middles", spread=equal_middles),
    Way(name="fewest pieces, equal lengths", spread=equal_pieces),
    Way(name="one piece more, equal middles", spread=equal_middles, more=1),
    Way(name="one piece more, equal lengths", spread=equal_pieces, more=1),
)


def divided(job: Job, way: Way) -> Job:
    """Return the job with the joints of all long parts set, or all left free."""
    return replace(
        job,
        sheet_parts=tuple(_sheet_part(p, job, way) for p in job.sheet_parts),
        rail_parts=tuple(_rail(r, job, way) for r in job.rail_parts),
    )


def _sheet_part(part: SheetPart, job: Job, way: Way) -> SheetPart:
    if part.joint is None:
        return part
    rule = replace(part.joint, at_mm=None)
    free = replace(part, joint=rule)
    if way.spread is None:
        return free
    fits, length, overlap = _judge(free, rule, job)
    at = _first_that_fits(fits, way, length, overlap)
    return replace(part, joint=replace(rule, at_mm=at) if at else None)


def _judge(
    part: SheetPart, rule: JointRule, job: Job
) -> tuple[Callable[[tuple[float, ...]], bool], float, float]:
    """Return what tells whether pieces fit the stock, the part's length and its overlap."""
    overlap = overlap_mm(rule, part.thickness_mm)
    stocks = tuple(
        s
        for s in (
            job.sheet_stocks
            if part.cut_from is CutFrom.SHEET
            else boards_as_sheets(job.board_stocks)
        )
        if (s.material, s.thickness_mm) == (part.material, part.thickness_mm)
    )
    band = None if part.width_along_mm is None else band_line(part)
    if isinstance(band, BandLine):
        planks = planks_of(part, job, stocks)
        search = BandSearch(Stretches(part, max(p.length_mm for p in planks)), planks)
        return (lambda at: search.way(at) is not None), band.length_mm, overlap
    fit = Fit(part, rule, stocks)

    def fits(at: tuple[float, ...]) -> bool:
        ends = zip((None, *at), (*at, None), strict=True)
        return all(fit.piece(before, after) for before, after in ends)

    return fits, fit.length, overlap


def _rail(part: RailPart, job: Job, way: Way) -> RailPart:
    if part.joint is None:
        return part
    rule = replace(part.joint, at_mm=None)
    if way.spread is None:
        return replace(part, joint=rule)
    overlap = rule.slope * part.thickness_mm
    longest = max(
        offer.length_mm - 2.0 * board.end_trim_mm
        for board in job.board_stocks
        for offer in board.lengths
        if board.material == part.material
        and board.thickness_mm in {part.thickness_mm, part.width_mm}
    )

    def fits(at: tuple[float, ...]) -> bool:
        starts = (-part.allowance_mm, *(a - overlap / 2.0 for a in at))
        stops = (*(a + overlap / 2.0 for a in at), part.length_mm + part.allowance_mm)
        return all(b - a <= longest for a, b in zip(starts, stops, strict=True))

    at = _first_that_fits(fits, way, part.length_mm, overlap)
    return replace(part, joint=replace(rule, at_mm=at) if at else None)


def _first_that_fits(
    fits: Callable[[tuple[float, ...]], bool], way: Way, length: float, overlap: float
) -> tuple[float, ...]:
    """Return the equal split in fewest pieces that the stock and the rules allow, or in more.

    A part that comes out whole stays whole only where fewest pieces are asked for.
    """
    if way.spread is None:
        raise ValueError("free positions aren't spread")
    lawful = [
        at
        for n in range(1, MOST_PIECES)
        if fits(at := way.spread(length, n, overlap) if n > 1 else ())
    ]
    return lawful[min(way.more, len(lawful) - 1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """What one material takes."""

    used: int
    bought: int
    cost_minor: int


def counts(plan: Plan, job: Job) -> dict[str, Count]:
    """Sheets or boards of every material and thickness, and what is paid for them."""
    names = {s.name: f"{s.material} {s.thickness_mm:g} mm sheets" for s in job.sheet_stocks}
    names |= {b.name: f"{b.material} {b.thickness_mm:g} mm boards" for b in job.board_stocks}
    used, bought, cost = Counter[str](), Counter[str](), Counter[str]()
    for line in plan.buy:
        used[names[line.stock]] += line.count + line.to_hand
        bought[names[line.stock]] += line.count
        cost[names[line.stock]] += line.count * line.price_minor
    return {n: Count(used=used[n], bought=bought[n], cost_minor=cost[n]) for n in sorted(used)}


def run(job: Job, way: Way, settings: Settings) -> tuple[VerifiedPlan, float]:
    """Plan a job one way; the verifier has seen what comes back."""
    begin = time.perf_counter()
    desk = Desk(
        settings=settings,
        deadline=Deadline(settings.seconds),
        watcher=Silent(),
        preference=JointPreference.CHEAPEST,
    )
    verified = plan_job(divided(job, way), desk)
    return verified, time.perf_counter() - begin


def _rows(results: dict[str, VerifiedPlan], job: Job) -> tuple[list[str], bool, bool]:
    """Return the lines of the comparison, whether free is worse anywhere, better anywhere."""
    free = counts(results["free"].plan, job)
    fixed = {
        name: counts(v.plan, job)
        for name, v in results.items()
        if name != "free" and v.plan.is_complete and not _broken(v.plan)
    }
    worse = better = False
    lines = [
        "| material | free: used, bought, cost | best fixed: used, bought, cost | which fixed |",
        "|---|---|---|---|",
    ]
    total = [0, 0]
    for material in sorted({m for c in (free, *fixed.values()) for m in c}):
        nothing = Count(used=0, bought=0, cost_minor=0)
        own = free.get(material, nothing)
        name, best = min(
            ((n, c.get(material, nothing)) for n, c in fixed.items()),
            key=lambda item: (item[1].cost_minor, item[1].used),
        )
        a, b = (own.cost_minor, own.used), (best.cost_minor, best.used)
        worse, better = worse or a > b, better or a < b
        total = [total[0] + own.cost_minor, total[1] + best.cost_minor]
        lines.append(f"| {material} | {_words(own)} | {_words(best)} | {name} |")
    lines.append(f"| together | {total[0] / 100:.2f} | {total[1] / 100:.2f} | |")
    return lines, worse, better


def _words(count: Count) -> str:
    return f"{count.used}, {count.bought}, {count.cost_minor / 100:.2f}"


def _broken(plan: Plan) -> list[str]:
    """Joint rules that a plan breaks, by code."""
    return sorted(
        {f.code for f in plan.findings if f.code[:3] in {"JNT", "BRD"}}
        - {f.code for f in plan.findings if f.severity is Severity.NOTE}
    )


def main(arguments: list[str] | None = None) -> int:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.joints_free")
    parser.add_argument("job", nargs="?", type=Path, default=BEACH_BOAT)
    parser.add_argument("--effort", type=Effort, default=Effort.NORMAL)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--workers", type=int, default=1)
    asked = parser.parse_args(arguments)
    job = read_job(asked.job)
    settings = Settings(seed=asked.seed, effort=asked.effort, workers=asked.workers)
    results: dict[str, VerifiedPlan] = {}
    print(
        "| joints | sheets and boards used | bought | cost | joints | unplaced | rules broken | s |"
    )
    print("|---|---|---|---|---|---|---|---|")
    for way in WAYS:
        verified, seconds = run(job, way, settings)
        plan = results.setdefault(way.name, verified).plan
        own = counts(plan, job).values()
        cells = (
            sum(c.used for c in own),
            sum(c.bought for c in own),
            f"{sum(c.cost_minor for c in own) / 100:.2f}",
            len(plan.joints),
            len(plan.unplaced),
            ", ".join(_broken(plan)) or "none",
            f"{seconds:.0f}",
        )
        print(f"| {way.name} | " + " | ".join(str(c) for c in cells) + " |", flush=True)
    lines, worse, better = _rows(results, job)
    print("\n" + "\n".join(lines))
    told = "worse" if worse else "worse nowhere"
    print(f"\nfree is {told}, better {'somewhere' if better else 'nowhere'}")
    for note in all_said(results["free"].plan.notes):
        print(f"- {note}")
    return 1 if worse or not better else 0


if __name__ == "__main__":
    sys.exit(main())
