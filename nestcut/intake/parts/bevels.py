"""The edges that a job's bevels name, found on their part's outline."""

from __future__ import annotations

import math

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Angle, Length
from nestcut.geometry.edges import Side, stretch_near, stretches_facing
from nestcut.geometry.polygons import bounds_mm
from nestcut.jobfile.records import BevelText, PartText
from nestcut.model.curves import Point
from nestcut.model.part import EdgeBevel, Hands
from nestcut.model.shape import Shape
from nestcut.trade.shop import SAW_TILT_DEG

NEAR_MM = 25.0
"""A point further than this from every edge names none. [mm]"""
SAW_LIMIT_DEG = SAW_TILT_DEG.value
"""Most saws tilt no further. [deg]"""


def place_bevels(
    entry: PartText, shape: Shape
) -> tuple[tuple[EdgeBevel, ...], tuple[Finding, ...]]:
    """Find the edge of every bevel; those that match none are findings."""
    placed: list[EdgeBevel] = []
    findings: list[Finding] = []
    for text in entry.edge_bevels:
        found = _lines(text, shape)
        if isinstance(found, Finding):
            findings.append(found)
            continue
        if text.tilt_deg is not None and max(text.tilt_deg) > SAW_LIMIT_DEG:
            findings.append(_steep(text))
        placed.append(
            EdgeBevel(
                name=_name(text, entry.hands),
                lines=found,
                larger=text.larger,
                tilt_deg=text.tilt_deg and (min(text.tilt_deg), max(text.tilt_deg)),
                words=text.words,
                at_ends_deg=tuple(_at_ends(line, text.tilt_deg) for line in found)
                if text.tilt_deg is not None
                else (),
            )
        )
    return tuple(placed), tuple(findings)


def _at_ends(line: tuple[Point, ...], tilt_deg: tuple[float, float]) -> tuple[float, float]:
    """Tilt at a line's first and last point, as written: left then right, or lower then upper."""
    (ax, ay), (bx, by) = line[0], line[-1]
    is_standing = abs(by - ay) > abs(bx - ax)
    is_forth = by > ay if is_standing else bx > ax
    return tilt_deg if is_forth else (tilt_deg[1], tilt_deg[0])


def _lines(text: BevelText, shape: Shape) -> tuple[tuple[Point, ...], ...] | Finding:
    if text.near is not None:
        line, away = stretch_near(shape, text.near)
        return (line,) if away <= NEAR_MM else _too_far(text, shape, away)
    lines: list[tuple[Point, ...]] = []
    for side in text.sides:
        found = stretches_facing(shape, side)
        if not found:
            return _no_edge(text, side)
        lines += found
    return tuple(lines)


def _name(text: BevelText, hands: Hands) -> str:
    """Name an edge as drawn; left and right change places on the other hand."""
    if not text.sides:
        return "edge as marked"
    many = "edges" if len(text.sides) > 1 else "edge"
    words = [side.value for side in text.sides]
    told = f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else words[0]
    is_one_sided = (Side.LEFT in text.sides) != (Side.RIGHT in text.sides)
    return f"{told} {many}{' as drawn' if is_one_sided and hands is not Hands.NONE else ''}"


def _too_far(text: BevelText, shape: Shape, away_mm: float) -> Finding:
    x0, y0, x1, y1 = bounds_mm(shape.outline.points)
    return finding(
        "JOB-071",
        Severity.ERROR,
        f"{text.path}.near",
        away=Length(math.floor(away_mm)),
        left=Length(x0),
        right=Length(x1),
        low=Length(y0),
        high=Length(y1),
    )


def _no_edge(text: BevelText, side: Side) -> Finding:
    return finding("JOB-027", Severity.ERROR, f"{text.path}.edge", towards=_TOWARDS[side])


def _steep(text: BevelText) -> Finding:
    tilt = 0.0 if text.tilt_deg is None else max(text.tilt_deg)
    return finding("JOB-028", Severity.WARNING, f"{text.path}.tilt", tilt=Angle(tilt))


_TOWARDS = {
    Side.BOTTOM: "down",
    Side.RIGHT: "right",
    Side.TOP: "up",
    Side.LEFT: "left",
}
