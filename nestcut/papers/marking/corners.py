"""Figures of corners: what is one length on a piece is one figure on paper.

Rounded one by one, both ends of a square edge can come out a step apart, and both sides of a
symmetric piece unlike: whoever checks them then looks for a fault in the sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from nestcut.papers.marking.lines import Run, Way
from nestcut.papers.marking.rules import MarkingRule
from nestcut.tolerances.lengths import EXACT_MM, SAME_FIGURE_MM
from nestcut.units import to_step

Array = NDArray[np.float64]

NEAR_MM = 0.5
"""Whole figures tell no two corners apart that differ by no more. [mm]"""


MIDWAY_SHARE = 0.4
"""A place that is off every figure by so much of their step lies midway between two. [-]"""
MIRRORED_SHARE = 0.7
"""Share of the allowed distance by which a figure may be off to be alike from both ends. [-]"""


def corner_figures(corners: Array, levels: Sequence[int], rule: MarkingRule) -> Array:
    """Print corners: those that are level with each other, or above each other, alike.

    Parameters
    ----------
    corners
        Shape (n, 2). [mm]
    levels
        To which of the rule's steps each is rounded; of equal figures the finest counts.

    Returns
    -------
    ndarray
        Shape (n, 2). [mm]
    """
    found = corners.copy()
    for axis in (0, 1):
        for group in _near(corners[:, axis], NEAR_MM, np.arange(len(corners))):
            is_coarse = all(levels[k] == 0 for k in group)
            alike = [group] if is_coarse else _near(corners[:, axis], SAME_FIGURE_MM, group)
            for same in alike:
                value = float(corners[same, axis].mean())
                level = max(levels[k] for k in same)
                found[same, axis] = rule.rounded_on(axis, value, level)
    return found


def mirrored_figures(corners: Array, levels: Sequence[int], rule: MarkingRule) -> Array:
    """As :func:`corner_figures`; what is the same from both ends is printed so, too.

    Where that would be too far off, a step finer.  For outlines of straight lines alone: the ends
    of arcs lie where a compass takes them.

    Parameters
    ----------
    corners
        Shape (n, 2). [mm]
    levels
        To which of the rule's steps each is rounded at least.
    """
    plain = corner_figures(corners, levels, rule)
    found = plain.copy()
    for axis in (0, 1):
        pairs = _twins(corners, axis)
        for finer in range(len(rule.steps_mm)) if pairs else ():
            tried = [min(level + finer, len(rule.steps_mm) - 1) for level in levels]
            figures = plain if finer == 0 else corner_figures(corners, tried, rule)
            mirrored = _mirrored(figures[:, axis], pairs, tried, rule)
            off = np.abs(mirrored - corners[:, axis]).max()
            if off <= MIRRORED_SHARE * rule.allowed_mm:
                found[:, axis] = mirrored
                break
    return found


def _mirrored(
    figures: Array, pairs: list[tuple[int, int]], levels: Sequence[int], rule: MarkingRule
) -> Array:
    """Figures along one axis, those of each second corner of a pair from those of the first."""
    found = figures.copy()
    total = float(found.min() + found.max())
    step = rule.steps_mm[-1]
    has_middle = any(a == b for a, b in pairs)
    if has_middle and abs(to_step(total / 2.0, step) - total / 2.0) > EXACT_MM:
        return found  # no figure for what is in the middle
    for a, b in pairs:
        own, other = (a, b) if levels[a] >= levels[b] else (b, a)
        found[other] = total / 2.0 if a == b else total - found[own]
    return found


def first_level(run: Run, rule: MarkingRule) -> int:
    """Return at which of a rule's steps a line on a piece is first written.

    A straight one midway between two figures, as a joint's is on its strap, at the next finer one:
    beside the piece's own figures anything else looks like a mistake.

    Parameters
    ----------
    run
        One stretch of the line.
    """
    if run.way is not Way.STRAIGHT or len(rule.steps_mm) < 2:
        return 0
    off, fine = (np.abs(run.points - _stepped(run.points, s)).max() for s in rule.steps_mm[:2])
    return int(off > MIDWAY_SHARE * rule.steps_mm[0] and fine < SAME_FIGURE_MM)


def _stepped(points: Array, step_mm: float) -> Array:
    return np.asarray(np.round(points / step_mm) * step_mm, dtype=np.float64)


def _near(values: Array, apart_mm: float, among: NDArray[np.intp]) -> Iterator[NDArray[np.intp]]:
    """Groups of values that lie together, lowest first."""
    order = among[np.argsort(values[among], kind="stable")]
    start = 0
    for k in range(1, len(order) + 1):
        if k == len(order) or values[order[k]] - values[order[start]] > apart_mm:
            yield order[start:k]
            start = k


def _twins(corners: Array, axis: int) -> list[tuple[int, int]]:
    """Pairs of corners that mirror each other along an axis; none unless all do."""
    along, across = corners[:, axis], corners[:, 1 - axis]
    total = along.min() + along.max()
    pairs: list[tuple[int, int]] = []
    for k in range(len(corners)):
        off = np.maximum(np.abs(along + along[k] - total), np.abs(across - across[k]))
        twin = int(np.argmin(off))
        if off[twin] > SAME_FIGURE_MM:
            return []
        if along[k] <= along[twin]:
            pairs.append((k, twin))
    return pairs
