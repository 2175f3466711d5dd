"""Lines that cross in height, and lines that are exchanged all along."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np

from nestcut.errors import Finding
from nestcut.facts import Length
from nestcut.shapes.hull.spaceline import SpaceLine
from nestcut.shapes.known import warning
from nestcut.shapes.table.offsets import OffsetTable, View

_SAME_MM = 3.0
"""Heights nearer than this are alike: lines meet at a stem. [mm]"""
_ORDER = ("keel", "chine", "knuckle", "sheer")
"""Lines whose order from below is known by their names."""


def crossings(table: OffsetTable) -> tuple[Finding, ...]:
    """Pairs of lines in a table whose heights change places, or are the wrong way round."""
    told: list[Finding] = []
    names = [n for n in table.line_names if (n, View.HEIGHTS) in table.readings]
    for one, other in combinations(names, 2):
        rows = [table.row(n, View.HEIGHTS) for n in (one, other)]
        rises = [
            (table.stations[i], p - q)
            for i, (p, q) in enumerate(zip(*rows, strict=True))
            if p is not None and q is not None and abs(p - q) > _SAME_MM
        ]
        where = f"offsets.table[{table.rows[one, View.HEIGHTS]}]"
        odd = _odd(rises)
        if odd:
            stations = ", ".join(odd)
            told.append(warning("SHP-076", where, one=one, other=other, stations=stations))
        else:
            told += _exchanged(where, one, other, rises)
    return tuple(told)


def line_crossings(lines: Mapping[str, SpaceLine], where: Mapping[str, str]) -> tuple[Finding, ...]:
    """The same for single lines; ``where`` are their key paths."""
    told: list[Finding] = []
    for one, other in combinations(lines, 2):
        first, second = lines[one].points, lines[other].points
        shared = [x for x in first[:, 0] if second[0, 0] <= x <= second[-1, 0]]
        rises = []
        for x in shared:
            at = [np.array([line.where(0, float(x))]) for line in (lines[one], lines[other])]
            rise = float(lines[one].at(at[0])[0, 2] - lines[other].at(at[1])[0, 2])
            if abs(rise) > _SAME_MM:
                rises.append((float(x), rise))
        odd = _odd(rises)
        if odd:
            told.append(
                warning("SHP-085", where[one], one=one, other=other, at=Length(float(odd[0])))
            )
        else:
            told += _exchanged(where[one], one, other, rises)
    return tuple(told)


def _odd(rises: Sequence[tuple[str | float, float]]) -> list[str]:
    """Places where the order is another than at most of them."""
    above = sum(1 for _, d in rises if d > 0)
    if above in {0, len(rises)}:
        return []
    return [str(s) for s, d in rises if (d > 0) != (above * 2 > len(rises))]


def _exchanged(
    where: str, one: str, other: str, rises: Sequence[tuple[str | float, float]]
) -> list[Finding]:
    """A pair whose names tell which is the lower, and whose heights tell otherwise."""
    ranks = [next((i for i, w in enumerate(_ORDER) if w in n.lower()), -1) for n in (one, other)]
    if not rises or min(ranks) < 0 or ranks[0] == ranks[1]:
        return []
    is_above = rises[0][1] > 0
    if (ranks[0] > ranks[1]) == is_above:
        return []
    low, high = (one, other) if ranks[0] < ranks[1] else (other, one)
    return [warning("SHP-077", where, low=low, high=high)]
