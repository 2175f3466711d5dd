"""Ends that almost meet: each gap measured between the ends that belong together, with its cure.

Nothing is closed here.  A wider joining gap is tried on the lines of one layer, and what comes of
it is compared with what there is: which outlines would close, and what else would change.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, replace

import numpy as np
import shapely

from nestcut.drawings.lines.chain import Chain
from nestcut.drawings.lines.closing import Closer
from nestcut.drawings.lines.loops import Loop
from nestcut.drawings.records import ReadOptions, Stroke
from nestcut.drawings.tell import Teller
from nestcut.geometry.curves import flatten, length_mm
from nestcut.model.curves import Point
from nestcut.tolerances import SAME_POINT_MM
from nestcut.tolerances.lengths import GAP_FLATNESS_MM
from nestcut.tolerances.noise import WHOLE_SLACK
from nestcut.trade import shop as trade

_REACH_MM = trade.LOOSE_ENDS_MM.value

MAX_CHAINS, MAX_STROKES, MAX_TRIES = 200, 4_000, 6
"""Beyond these numbers of open lines, of lines on the layer, and of trials, gaps aren't looked for:
the time would be better spent closing them. [-]"""

_ROUND_UP = 10.0
"""Settings are given in tenths of a millimetre. [1/mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class GapFault:
    """Two ends, or an end and a line, that belong together and don't meet."""

    layer: str
    at_mm: Point
    away_mm: float
    is_end_to_end: bool
    gaps: int
    """Gaps of this kind that the same setting closes. [-]"""
    least_mm: float
    """The least setting that closes its outline. [mm]"""
    others: int
    """Outlines that stand already and would change with that setting. [-]"""
    outlines: tuple[Loop, ...] = ()
    """What closes with that setting."""


@dataclass(frozen=True, slots=True)
class _Miss:
    at: Point
    away: float
    is_end_to_end: bool


def gap_faults(
    strokes: list[Stroke], open_chains: list[Chain], options: ReadOptions
) -> tuple[list[GapFault], set[int]]:
    """Return the faults, and the ids of the open chains that they explain."""
    by_layer: dict[str, list[Chain]] = defaultdict(list)
    for made in open_chains:
        by_layer[made.strokes[0].layer].append(made)
    faults: list[GapFault] = []
    explained: set[int] = set()
    for layer, chains in sorted(by_layer.items()):
        own = [s for s in strokes if s.layer == layer]
        if len(chains) > MAX_CHAINS or len(own) > MAX_STROKES:
            continue
        misses = _misses(chains, options.gap_of(layer))
        faults += _tried(layer, own, misses, options)
        told = [f.at_mm for f in faults if f.layer == layer]
        explained |= {
            id(c) for c in chains
            if any(math.dist(p, end) <= _REACH_MM for p in told for end in (c.start, c.end))
        }  # fmt: skip
    return faults, explained


def _misses(chains: list[Chain], gap_mm: float) -> list[_Miss]:
    """Ends nearest to each other beyond the gap; else an end near another line."""
    ends = [(i, p) for i, c in enumerate(chains) for p in (c.start, c.end)]
    spots = np.asarray([p for _, p in ends])
    away = np.hypot(*(spots[:, None] - spots[None]).transpose(2, 0, 1))
    np.fill_diagonal(away, math.inf)
    sizes = [sum(length_mm(c) for c in chains[i].curves) for i, _ in ends]
    nearest = away.argmin(axis=1)
    found, paired = [], set()
    for i, j in enumerate(nearest.tolist()):
        reach = min(_REACH_MM, 0.2 * min(sizes[i], sizes[j]))
        if i < j and nearest[j] == i and gap_mm < away[i, j] <= reach:
            found.append(_Miss(ends[i][1], float(away[i, j]), is_end_to_end=True))
            paired |= {i, j}
    lines = [
        shapely.LineString([p for k in c.curves for p in flatten(k, GAP_FLATNESS_MM)])
        for c in chains
    ]
    for i, (own, p) in enumerate(ends):
        if i in paired:
            continue
        others = [lines[k].distance(shapely.Point(p)) for k in range(len(lines)) if k != own]
        others += _own_lines_away(chains[own], i % 2, p)
        least = min(others, default=math.inf)
        if gap_mm < least <= min(_REACH_MM, 0.2 * sizes[i]):
            found.append(_Miss(p, float(least), is_end_to_end=False))
    return found


def _own_lines_away(made: Chain, end: int, p: Point) -> list[float]:
    """Distances of a line's end (0: first, 1: last) from its own other stretches. [mm]"""
    others = made.curves[2:] if end == 0 else made.curves[:-2]
    lines = (shapely.LineString(flatten(c, GAP_FLATNESS_MM)) for c in others)
    return [float(line.distance(shapely.Point(p))) for line in lines]


def _tried(
    layer: str, strokes: list[Stroke], misses: list[_Miss], options: ReadOptions
) -> list[GapFault]:
    """Try the least settings one by one; a miss is a fault where an outline closes over it."""
    before = _loops(strokes, options.gap_of(layer), options)
    faults: list[GapFault] = []
    left = list(misses)
    tries = sorted({math.ceil(m.away * _ROUND_UP - WHOLE_SLACK) / _ROUND_UP for m in misses})
    for gap in tries[:MAX_TRIES]:
        after = _loops(strokes, gap, options)
        new = [loop for key, loop in after.items() if key not in before]
        lost = sum(1 for key in before if key not in after)
        if not new:
            continue
        edges = [loop.polygon.boundary for loop in new]
        here = [
            m for m in left
            if m.away <= gap + SAME_POINT_MM
            and any(e.distance(shapely.Point(m.at)) <= gap + SAME_POINT_MM for e in edges)
        ]  # fmt: skip
        faults += [
            GapFault(
                layer=layer, at_mm=m.at, away_mm=m.away, is_end_to_end=m.is_end_to_end,
                gaps=len(here), least_mm=gap, others=lost, outlines=tuple(new),
            )
            for m in here
        ]  # fmt: skip
        left = [m for m in left if m not in here]
        before = after
    return faults


def _loops(
    strokes: list[Stroke], gap_mm: float, options: ReadOptions
) -> dict[tuple[int, ...], Loop]:
    """Return what closes at a gap, by box and area to a tenth."""
    trial = replace(options, join_gap_mm=gap_mm, layer_gaps=())
    closer = Closer(trial, Teller("", []))
    closer.close(strokes)
    return {
        (*(round(10.0 * c) for c in loop.box_mm), round(loop.area_mm2 / 10.0)): loop
        for loop in closer.loops
    }
