"""Distances along an edge from one corner, written so that none overlaps another.

A tape hooked on the corner is read once along the edge: all figures run from the same zero.  Where
figures stand too close they're spread apart and joined to their ticks by short slanting lines.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from nestcut.model.curves import Point
from nestcut.papers.draw.diagram import Anchor, Item, Path, Pen, Text
from nestcut.papers.draw.letters import text_width_mm

SAME_FIGURE_MM = 0.5
"""Distances nearer than this share one figure: less than a pencil line. [mm at full size]"""
SIZE_MM = 3.2
"""Font size of the figures. [mm on paper]"""
STEP = 1.12
"""Least distance of two figures per font size."""
TICK_MM, SLANT_MM, CLEAR_MM = 1.2, 3.2, 0.5
APART_MM = 2.4
"""Room between level figures. [mm on paper]"""


@dataclass(frozen=True, slots=True)
class Figure:
    """A distance from the corner and whose edge is there: numbers of pieces, KEEP."""

    at_mm: float
    whose: tuple[str, ...]


def merged(figures: Sequence[tuple[float, str]]) -> tuple[Figure, ...]:
    """Gather distances that are the same for a pencil, sorted."""
    found: list[tuple[float, list[str]]] = []
    for at, name in sorted(figures, key=lambda f: f[0]):
        if found and at - found[-1][0] < SAME_FIGURE_MM:
            if name not in found[-1][1]:
                found[-1][1].append(name)
        else:
            found.append((at, [name]))
    return tuple(Figure(at, tuple(sorted(names, key=_turn))) for at, names in found)


def _turn(name: str) -> tuple[bool, int, str]:
    """Numbers by their size before words: ``KEEP 2, 1`` reads as KEEP 2 and KEEP 1."""
    return (False, int(name), "") if name.isdigit() else (True, 0, name)


def figure_text(figure: Figure, size: Callable[[float], str]) -> str:
    """Write a figure: the distance, then in brackets whose edge it is."""
    whose = ", ".join(figure.whose)
    return f"{size(figure.at_mm)} ({whose})" if whose else size(figure.at_mm)


def depth_mm(texts: Sequence[str]) -> float:
    """How much room the figures need beside the edge. [mm on paper]"""
    longest = max((text_width_mm(t, SIZE_MM) for t in texts), default=0.0)
    return TICK_MM + SLANT_MM + CLEAR_MM + longest


def capacity(length_mm: float) -> int:
    """How many figures have room along an edge of this length on paper."""
    return max(0, int(length_mm / (SIZE_MM * STEP)) + 1)


def spread(ticks: Sequence[float], low: float, high: float, step: float) -> tuple[float, ...]:
    """Move sorted places as little as needed (least squares): ``step`` apart, in [low, high].

    Pool-adjacent-violators on the places less their rank times ``step``.

    Parameters
    ----------
    ticks
        Where they would like to be, rising. [mm]
    low, high
        Between which they have to be; the second gives way where there are too many. [mm]
    step
        Least distance of neighbours. [mm]
    """
    blocks: list[tuple[float, int]] = []
    for k, tick in enumerate(ticks):
        total, count = tick - k * step, 1
        while blocks and blocks[-1][0] / blocks[-1][1] > total / count:
            before, n = blocks.pop()
            total, count = total + before, count + n
        blocks.append((total, count))
    top = max(low, high - step * (len(ticks) - 1))
    level = [min(max(total / count, low), top) for total, count in blocks for _ in range(count)]
    return tuple(v + k * step for k, v in enumerate(level))


@dataclass(frozen=True, slots=True)
class Row:
    """Figures below an edge: level where they have room beside each other, else upright."""

    depth_mm: float
    is_level: bool


def row_below(texts: Sequence[str], span_mm: float) -> Row:
    """How figures below an edge of this length are written, and the room they take. [mm]"""
    wide = sum(text_width_mm(t, SIZE_MM) + APART_MM for t in texts)
    if wide <= span_mm:
        return Row(TICK_MM + SLANT_MM + CLEAR_MM + 1.2 * SIZE_MM, is_level=True)
    return Row(depth_mm(texts), is_level=False)


def _level_below(
    figures: Sequence[tuple[Figure, str]],
    x_of: Callable[[float], float],
    edge_y: float,
    span: tuple[float, float],
) -> tuple[Item, ...]:
    """Level figures below an edge, each as near under its tick as the others let it."""
    ticks = [x_of(f.at_mm) for f, _ in figures]
    halves = [(text_width_mm(t, SIZE_MM) + APART_MM) / 2.0 for _, t in figures]
    # places less the widths before them are spread as points are
    before = [sum(2 * h for h in halves[:k]) + halves[k] for k in range(len(halves))]
    whole = sum(2 * h for h in halves)
    room = (span[0], max(span[0], span[1] - whole))
    free = spread([t - b for t, b in zip(ticks, before, strict=True)], *room, 0.0)
    items: list[Item] = []
    for (_, text), tick, place, gone in zip(figures, ticks, free, before, strict=True):
        x = place + gone
        low = edge_y - TICK_MM - SLANT_MM
        items.append(_leader((tick, edge_y), (tick, edge_y - TICK_MM), (x, low)))
        at = (x, low - CLEAR_MM - SIZE_MM / 2)
        items.append(Text(text, at, SIZE_MM, anchor=Anchor.MIDDLE))
    return tuple(items)


def along_bottom(
    figures: Sequence[tuple[Figure, str]],
    x_of: Callable[[float], float],
    edge_y: float,
    span: tuple[float, float],
) -> tuple[Item, ...]:
    """Figures below an edge, level or upright. ``x_of`` turns distances into places on paper.

    Parameters
    ----------
    figures
        Each with its text, in the order of their distances.
    x_of
        Turns a distance into a place on paper.
    edge_y
        Height of the edge on paper. [mm]
    span
        Between which places figures may stand. [mm]
    """
    if row_below([t for _, t in figures], span[1] - span[0]).is_level:
        return _level_below(figures, x_of, edge_y, span)
    ticks = [x_of(f.at_mm) for f, _ in figures]
    places = spread(ticks, *span, SIZE_MM * STEP)
    items: list[Item] = []
    for (_, text), tick, place in zip(figures, ticks, places, strict=True):
        low = edge_y - TICK_MM - SLANT_MM
        items.append(_leader((tick, edge_y), (tick, edge_y - TICK_MM), (place, low)))
        at = (place, low - CLEAR_MM)
        items.append(Text(text, at, SIZE_MM, anchor=Anchor.END, angle_deg=90.0))
    return tuple(items)


def along_left(
    figures: Sequence[tuple[Figure, str]],
    y_of: Callable[[float], float],
    edge_x: float,
    span: tuple[float, float],
) -> tuple[Item, ...]:
    """Level figures left of an edge. ``y_of`` turns distances into places on paper.

    Parameters
    ----------
    figures
        Each with its text, in the order of their distances.
    y_of
        Turns a distance into a place on paper.
    edge_x
        Where the edge is on paper. [mm]
    span
        Between which heights figures may stand. [mm]
    """
    ticks = [y_of(f.at_mm) for f, _ in figures]
    places = spread(ticks, *span, SIZE_MM * STEP)
    items: list[Item] = []
    for (_, text), tick, place in zip(figures, ticks, places, strict=True):
        left = edge_x - TICK_MM - SLANT_MM
        items.append(_leader((edge_x, tick), (edge_x - TICK_MM, tick), (left, place)))
        items.append(Text(text, (left - CLEAR_MM, place), SIZE_MM, anchor=Anchor.END))
    return tuple(items)


def _leader(*points: Point) -> Path:
    return Path(points, Pen.THIN)
