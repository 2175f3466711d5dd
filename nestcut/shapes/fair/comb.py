"""A picture of how a curve bends: the curvature comb, as SVG text."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from nestcut.shapes.fair.fairing import fair_slopes, value_at
from nestcut.shapes.fair.fairness import Doubted, curvature
from nestcut.shapes.fair.stations import EdgeReadings
from nestcut.tolerances.noise import DUST

_WIDTH, _HEIGHT, _MARGIN = 900.0, 220.0, 30.0
_TOOTH = 70.0
"""Longest tooth. [px]"""


def comb_svg(edges: Iterable[tuple[str, EdgeReadings]], doubts: Iterable[Doubted] = ()) -> str:
    """Draw each edge with its curvature comb, readings, and doubted ones ringed.

    Teeth stand across the edge, as long as the curve bends there; a fair edge has a comb whose
    tips run smoothly and change side only where the curve is meant to.  Black lines on white.
    """
    named = tuple(edges)
    ringed = {(d.line, d.x_mm) for d in doubts}
    rows = [_row(name, edge, i * _HEIGHT, ringed) for i, (name, edge) in enumerate(named)]
    high = _HEIGHT * len(named)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH:g} {high:g}" '
        f'width="{_WIDTH:g}" height="{high:g}" font-family="sans-serif" font-size="12">'
    )
    ground = f'<rect width="{_WIDTH:g}" height="{high:g}" fill="white"/>'
    return "\n".join([head, ground, *rows, "</svg>"]) + "\n"


def _row(name: str, edge: EdgeReadings, top: float, ringed: set[tuple[str, float]]) -> str:
    x, y = np.array(edge.stations_mm), np.array(edge.offsets_mm)
    places, bend = curvature(edge)
    heights = value_at(x, y, fair_slopes(x, y, edge.manner), places)
    scale = (_WIDTH - 2 * _MARGIN) / (x[-1] - x[0])
    middle = top + _HEIGHT / 2.0
    # The edge itself is drawn at a tenth of its height: only its bending matters here.
    spread = max(float(np.ptp(y)), 1.0)

    def across(values: np.ndarray) -> np.ndarray:
        return np.asarray(middle - (values - y.mean()) / spread * _HEIGHT / 10.0)

    px, py = _MARGIN + (places - x[0]) * scale, across(heights)
    tips = py - bend / max(float(np.max(np.abs(bend))), DUST) * _TOOTH
    teeth = "".join(f"M{a:.1f} {b:.1f}V{c:.1f}" for a, b, c in zip(px, py, tips, strict=True))
    edge_line = " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(px, py, strict=True))
    tip_line = " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(px, tips, strict=True))
    sx, sy = _MARGIN + (x - x[0]) * scale, across(y)
    dots = []
    for a, b, station in zip(sx, sy, edge.stations_mm, strict=True):
        is_ringed = (name, station) in ringed
        dots.append(f'<circle cx="{a:.1f}" cy="{b:.1f}" r="2.5"/>')
        if is_ringed:
            dots.append(
                f'<circle cx="{a:.1f}" cy="{b:.1f}" r="10" fill="none" stroke="black" '
                'stroke-width="2"/>'
                f'<text x="{a:.1f}" y="{top + _HEIGHT - 8:.1f}" text-anchor="middle">'
                "read again</text>"
            )
    return (
        f'<g><title>{_escaped(name)}</title><text x="{_MARGIN:g}" y="{top + 18:.1f}">'
        f"{_escaped(name)}</text>"
        f'<path d="{teeth}" stroke="black" stroke-width="0.6" fill="none"/>'
        f'<polyline points="{tip_line}" stroke="black" stroke-width="0.8" fill="none" '
        'stroke-dasharray="4 2"/>'
        f'<polyline points="{edge_line}" stroke="black" stroke-width="1.8" fill="none"/>'
        f"{''.join(dots)}</g>"
    )


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
