"""Distances along an edge from one corner, written so that none overlaps another.

A tape hooked on the corner is read once along the edge: all figures run from the same zero.  Where
figures stand too close they're spread apart and joined to their ticks by short slanting lines.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from nestcut.model.curves import Point
from nestcut.papers.draw.diagram import Anchor, Item, Path, Pen, Text
from nestcut.papers.draw.fonts import text_width_mm

SAME_FIGURE_MM = 0.5
"""Distances nearer than this share one figure: less than a pencil line. [mm at full size]"""
SIZE_MM = 3.2
"""Font size of the figures. [mm on paper]"""
STEP = 1.12
"""Least distance of two figures per font size."""
TICK_MM, SLANT_MM, CLEAR_MM = 1.2, 3.2, 0.5


@dataclass(frozen=True, slots=True)
class Figure:
    """A distance from the corner and the numbers of the pieces that begin or end there."""

    at_mm: float
    numbers: tuple[int, ...]


def merged(figures: Sequence[tuple[float, int]]) -> tuple[Figure, ...]:
    """Gather distances that are the same for a pencil, sorted."""
    found: list[tuple[float, list[int]]] = []
    for at, number in sorted(figures):
        if found and at - found[-1][0] < SAME_FIGURE_MM:
            if number not in found[-1][1]:
                found[-1][1].append(number)
        else:
            found.append((at, [number]))
    return tuple(Figure(at, tuple(sorted(numbers))) for at, numbers in found)


def figure_text(figure: Figure, size: Callable[[float], str]) -> str:
    """Write a figure: the distance, then in brackets whose edge it is."""
    shown = [str(n) for n in figure.numbers[:2]]
    more = " etc" if len(figure.numbers) > 2 else ""
    return f"{size(figure.at_mm)} ({','.join(shown)}{more})" if shown else size(figure.at_mm)


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


def along_bottom(
    figures: Sequence[tuple[Figure, str]],
    x_of: Callable[[float], float],
    edge_y: float,
    span: tuple[float, float],
) -> tuple[Item, ...]:
    """Upright figures below an edge. ``x_of`` turns distances into places on paper."""
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
    """Level figures left of an edge. ``y_of`` turns distances into places on paper."""
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
