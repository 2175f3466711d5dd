"""The most valuable way to saw one sheet right through, again and again: exact.

On a panel saw every cut runs from edge to edge.  With unlimited copies of every rectangle the best
such cutting is found exactly by dynamic programming over sub-sheets (Gilmore and Gomory 1966,
Operations Research 14:1045-1074), whose sides need only be sums of pieces' sides (Herz 1972, IBM
Journal of Research and Development 16:462-469).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_CUT_NONE, _CUT_X, _CUT_Y = 0, 1, 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """A rectangle that may be cut as often as one likes; whole units, a value each."""

    width: int
    height: int
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelPlace:
    """Where a copy lies: which panel, lower left corner, sides as it lies."""

    panel: int
    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ThroughCutting:
    """The largest value and one way to reach it."""

    value: float
    places: tuple[PanelPlace, ...]


def best_through_cutting(
    width: int, height: int, panels: tuple[Panel, ...], kerf: int = 0
) -> ThroughCutting:
    """Cut the panels worth most out of one sheet by cuts from edge to edge.

    Parameters
    ----------
    width, height
        Of the sheet, whole units.
    panels
        What may be cut; for one that may be turned, hand in both of its positions.
    kerf
        What each cut costs, whole units.

    Returns
    -------
    ThroughCutting
        Proven the best.
    """
    w, h = width + kerf, height + kerf
    sizes = [(p.width + kerf, p.height + kerf) for p in panels]
    usable = [k for k, (a, b) in enumerate(sizes) if a <= w and b <= h]
    xs = _reachable([sizes[k][0] for k in usable], w)
    ys = _reachable([sizes[k][1] for k in usable], h)
    value = np.zeros((len(xs), len(ys)))
    what = np.full((len(xs), len(ys)), -1, dtype=np.int64)
    for k in usable:
        i0 = int(np.searchsorted(xs, sizes[k][0]))
        j0 = int(np.searchsorted(ys, sizes[k][1]))
        better = value[i0:, j0:] < panels[k].value
        value[i0:, j0:][better] = panels[k].value
        what[i0:, j0:][better] = k
    cut = np.zeros((len(xs), len(ys)), dtype=np.int8)
    at = np.zeros((len(xs), len(ys)), dtype=np.int64)
    rest_y = [_rests(ys, j) for j in range(len(ys))]
    for i in range(len(xs)):
        first, rest = _rests(xs, i)
        if len(first):
            sums = value[first] + value[rest]
            best = sums.argmax(axis=0)
            found = sums[best, np.arange(len(ys))]
            better = found > value[i]
            value[i, better] = found[better]
            cut[i, better] = _CUT_X
            at[i, better] = first[best[better]]
        row = value[i]
        for j, (first_y, rest_j) in enumerate(rest_y):
            if not len(first_y):
                continue
            row_sums = row[first_y] + row[rest_j]
            b = int(row_sums.argmax())
            if row_sums[b] > row[j]:
                row[j] = row_sums[b]
                cut[i, j] = _CUT_Y
                at[i, j] = first_y[b]
    tables = _Tables(xs, ys, cut, at, what, tuple(panels))
    return ThroughCutting(value=float(value[-1, -1]), places=tuple(tables.places()))


def _reachable(sides: list[int], limit: int) -> NDArray[np.int64]:
    """All sums of sides up to the limit, 0 among them."""
    reach = np.zeros(limit + 1, dtype=np.bool_)
    reach[0] = True
    for side in sorted(set(sides)):
        for x in range(side, limit + 1):
            if reach[x - side]:
                reach[x] = True
    return np.flatnonzero(reach).astype(np.int64)


def _rests(points: NDArray[np.int64], i: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Where to cut a side of length ``points[i]``: the first part's index and the rest's.

    Half of the cuts suffice, since both parts are looked at alike; the rest is rounded down to a
    reachable length.
    """
    first = np.arange(1, np.searchsorted(points, points[i] // 2, side="right"), dtype=np.int64)
    rest = np.searchsorted(points, points[i] - points[first], side="right") - 1
    return first, rest.astype(np.int64)


@dataclass(frozen=True, slots=True)
class _Tables:
    xs: NDArray[np.int64]
    ys: NDArray[np.int64]
    cut: NDArray[np.int8]
    at: NDArray[np.int64]
    what: NDArray[np.int64]
    panels: tuple[Panel, ...]

    def places(self) -> list[PanelPlace]:
        """Follow the cuts from the whole sheet down."""
        found: list[PanelPlace] = []
        stack = [(len(self.xs) - 1, len(self.ys) - 1, 0, 0)]
        while stack:
            i, j, x, y = stack.pop()
            k = int(self.at[i, j])
            if self.cut[i, j] == _CUT_X:
                rest = int(np.searchsorted(self.xs, self.xs[i] - self.xs[k], side="right")) - 1
                stack += [(k, j, x, y), (rest, j, x + int(self.xs[k]), y)]
            elif self.cut[i, j] == _CUT_Y:
                rest = int(np.searchsorted(self.ys, self.ys[j] - self.ys[k], side="right")) - 1
                stack += [(i, k, x, y), (i, rest, x, y + int(self.ys[k]))]
            elif self.what[i, j] >= 0:
                n = int(self.what[i, j])
                p = self.panels[n]
                found.append(PanelPlace(panel=n, x=x, y=y, width=p.width, height=p.height))
        return found
