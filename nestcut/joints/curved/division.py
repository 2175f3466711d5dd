"""A band along a curve divided square to the curve: caps, covering boards.

Both edges of an overlap are straight and square to the middle line at the joint, since the slope
between them is planed flat.  Positions are measured along the middle line.  Each piece has its own
grain: along the mean of the directions its edges take, which is where it runs out least.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapelyPoint

from nestcut.errors import Finding, Severity, finding
from nestcut.geometry.polygons import to_polygon
from nestcut.joints.curved.line import BandLine, band_line
from nestcut.joints.division import (
    Cut,
    Division,
    Share,
    misplaced,
    overlap_mm,
    trim_mark,
    with_allowance,
)
from nestcut.joints.kinds import KINDS, LAPPED
from nestcut.joints.strip import Strip, cut_shape, straight_edge
from nestcut.model.curves import Line, Point
from nestcut.model.joint import JointRule
from nestcut.model.part import CutFrom, SheetPart, Turning
from nestcut.model.shape import Mark, MarkUse, Shape
from nestcut.tolerances import ANGLE_DEG, SAME_LENGTH_MM
from nestcut.tolerances.likeness import STRAIGHT_DEG


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """How a stretch of a band is bent.

    Parameters
    ----------
    from_mm, to_mm
        Along the middle line, overlaps included. [mm]
    chord_mm, sagitta_mm
        Of the middle line. [mm]
    least_deg, most_deg
        Directions that its edges take. [deg]
    """

    from_mm: float
    to_mm: float
    chord_mm: float
    sagitta_mm: float
    least_deg: float
    most_deg: float

    @property
    def middle_deg(self) -> float:
        """Direction of grain that runs out least. [deg]"""
        return (self.least_deg + self.most_deg) / 2.0

    @property
    def run_out(self) -> float:
        """Grain running out at an edge, as the run in "1 in run", with the best grain. [-]"""
        half = math.radians(self.most_deg - self.least_deg) / 2.0
        return math.inf if half <= 0.0 else 1.0 / math.tan(half)

    def slack_deg(self, run_out: float) -> float:
        """How far the grain may be turned from the best within a limit; negative: not met. [deg]"""
        limit = math.degrees(math.atan(1.0 / run_out)) if run_out > 0.0 else 90.0
        return limit - (self.most_deg - self.least_deg) / 2.0


def bend_of(
    band: BandLine, from_mm: float, to_mm: float, edges_mm: tuple[float, float] | None = None
) -> Bend:
    """Return how a stretch of a band is bent.

    ``edges_mm``: what its edges cover, where that is more than the middle line does. [mm]

    Parameters
    ----------
    from_mm, to_mm
        Ends of the stretch, along the middle line. [mm]
    edges_mm
        What its edges cover, where that is more than the middle line does. [mm]
    """
    start, end = max(0.0, from_mm), min(band.length_mm, to_mm)
    inside = (band.along_mm > start) & (band.along_mm < end)
    least, most = band.lean_rad(*(edges_mm or (start, end)))
    a, b = band.point(start), band.point(end)
    chord = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / chord, (b[1] - a[1]) / chord
    off = (band.middle[inside, 1] - a[1]) * ux - (band.middle[inside, 0] - a[0]) * uy
    return Bend(
        from_mm=start,
        to_mm=end,
        chord_mm=chord,
        sagitta_mm=float(abs(off).max()) if len(off) else 0.0,
        least_deg=math.degrees(least),
        most_deg=math.degrees(most),
    )


def bend_between(band: BandLine, before: float | None, after: float | None, overlap: float) -> Bend:
    """Return how the piece between two joints is bent, overlaps and both edges included.

    Parameters
    ----------
    before, after
        Middles of the joints at its ends, along the middle line; None: the band ends. [mm]
    overlap
        Length of the overlaps. [mm]
    """
    half = overlap / 2.0
    start = 0.0 if before is None else before - half
    end = band.length_mm if after is None else after + half
    low = 0.0 if before is None else max(0.0, band.reach_mm(before, -half))
    high = band.length_mm if after is None else min(band.length_mm, band.reach_mm(after, half))
    return bend_of(band, start, end, (low, high))


def run_outs(part: SheetPart, at_mm: tuple[float, ...]) -> tuple[float, ...]:
    """Return how far the grain of each piece runs out, as the run in "1 in run". [-]

    With every piece lying along the direction that its division gives it; as far as it may be
    turned from there it still keeps the limit.
    """
    rule, band = part.joint, band_line(part)
    if rule is None or isinstance(band, Finding):
        return ()
    overlap = overlap_mm(rule, part.thickness_mm)
    grains = [s.grain_deg for s in divide_band(part, rule, at_mm).shares]
    found = []
    for (before, after), grain in zip(pairwise((None, *at_mm, None)), grains, strict=False):
        bend = bend_between(band, before, after, overlap)
        lean = max(grain - bend.least_deg, bend.most_deg - grain)
        found.append(math.inf if lean <= STRAIGHT_DEG else 1.0 / math.tan(math.radians(lean)))
    return tuple(found)


@lru_cache(maxsize=256)
def divide_band(part: SheetPart, rule: JointRule, at_mm: tuple[float, ...]) -> Division:
    """Divide a band at positions along its middle line, rising.

    Parameters
    ----------
    at_mm
        Middles of the joints, rising. [mm]
    """
    band = band_line(part)
    if isinstance(band, Finding):
        return Division(shares=(), cuts=(), length_mm=0.0, findings=(band,))
    if not KINDS[rule.kind].laps:
        found = (_only_scarfs(part, rule),)
        return Division(shares=(), cuts=(), length_mm=band.length_mm, findings=found)
    overlap = overlap_mm(rule, part.thickness_mm)
    findings = misplaced(part.name, at_mm, overlap, band.length_mm, overlap)
    if findings:
        return Division(shares=(), cuts=(), length_mm=band.length_mm, findings=findings)
    whole = with_allowance(part)
    shares: list[Share] = []
    found_more: list[Finding] = []
    for before, after in pairwise((None, *at_mm, None)):
        start = 0.0 if before is None else before - overlap / 2.0
        end = band.length_mm if after is None else after + overlap / 2.0
        strip = _strip(band, before, after, overlap)
        middle = band.point((start + end) / 2.0)
        net, shape = _lump(part.shape, strip, middle), _lump(whole, strip, middle)
        marks = _bevel_marks(band, net, (before, after), overlap, KINDS[rule.kind].mark)
        extra = (trim_mark(net),) if part.allowance_mm > 0.0 else ()
        kept = tuple(m for m in shape.marks if m.use is not MarkUse.TRIM)
        bend = bend_between(band, before, after, overlap)
        if part.cut_from is CutFrom.BOARD and bend.slack_deg(rule.run_out) < -ANGLE_DEG:
            found_more.append(_runs_out(part, rule, bend, len(shares) + 1))
        grain, slack = _grain(part, rule, bend, shape)
        shares.append(
            Share(
                shape=Shape(shape.outline, shape.holes, (*kept, *extra, *marks)),
                net=net,
                grain_deg=grain,
                small_angle_deg=slack,
            )
        )
    cuts = tuple(Cut(at_mm=at, overlap_mm=overlap, line=_across(band, at)) for at in at_mm)
    return Division(
        shares=tuple(shares), cuts=cuts, length_mm=band.length_mm, findings=tuple(found_more)
    )


def _grain(
    part: SheetPart, rule: JointRule, bend: Bend, shape: Shape
) -> tuple[float, float | None]:
    """Return the direction of a piece's grain, and how far it may be turned from there. [deg]

    Where the grain has room to turn, the direction that takes the narrowest board is taken: among
    those along a side of the convex hull and those at the limits (the least width of a polygon
    lies along one of its sides: H. Freeman, R. Shapira, CACM 18, 1975).
    """
    if part.cut_from is not CutFrom.BOARD:
        return 0.0, None
    middle = bend.middle_deg
    if part.turning is not Turning.SMALL:
        return middle, None
    # Where given positions break the limit anyhow (a warning tells), fitting a board counts.
    room = bend.slack_deg(rule.run_out)
    slack = part.small_angle_deg if room < 0.0 else min(part.small_angle_deg, room)
    hull = shapely.get_coordinates(Polygon(shape.outline.points).convex_hull)
    sides = np.degrees(np.arctan2(*np.diff(hull, axis=0).T[::-1]))
    sides = (sides - middle + 90.0) % 180.0 - 90.0
    turns = np.concatenate([[0.0, -slack, slack], sides[np.abs(sides) < slack]])
    angles = np.radians(middle + turns)
    widths = np.ptp(np.outer(np.cos(angles), hull[:, 1]) - np.outer(np.sin(angles), hull[:, 0]), 1)
    best = float(turns[int(np.argmin(np.round(widths, 6)))])
    return middle + best, slack - abs(best)


def _frame(band: BandLine, at: float) -> tuple[Point, Point, Point]:
    """Return the point of the middle line, the direction along it and the one across."""
    angle = band.angle(at)
    c, s = math.cos(angle), math.sin(angle)
    return band.point(at), (c, s), (-s, c)


def _across(band: BandLine, at: float) -> tuple[Point, Point]:
    (x, y), _, (nx, ny) = _frame(band, at)
    half = band.width_mm / 2.0
    return (x - nx * half, y - ny * half), (x + nx * half, y + ny * half)


def _strip(band: BandLine, before: float | None, after: float | None, overlap: float) -> Strip:
    edges = []
    if before is not None:
        (x, y), (tx, ty), (nx, ny) = _frame(band, before)
        point = (x - tx * overlap / 2.0, y - ty * overlap / 2.0)
        edges.append(straight_edge(point, (-nx, -ny)))
    if after is not None:
        (x, y), (tx, ty), across = _frame(band, after)
        point = (x + tx * overlap / 2.0, y + ty * overlap / 2.0)
        edges.append(straight_edge(point, across))
    return Strip(edges=tuple(edges))


def _lump(shape: Shape, strip: Strip, middle: Point) -> Shape:
    """Return the lump of a strip that holds, or is nearest to, a point of the middle line.

    The lines of a strip are endless, so on a strongly bent band they may cut off others.
    """
    lumps = cut_shape(shape, strip)
    gaps = [Polygon(s.outline.points).distance(ShapelyPoint(middle)) for s in lumps]
    return lumps[gaps.index(min(gaps))]


def _bevel_marks(
    band: BandLine,
    net: Shape,
    joints: tuple[float | None, float | None],
    overlap: float,
    label: str,
) -> tuple[Mark, ...]:
    """Return the lines at which the overlaps of a piece begin."""
    polygon = to_polygon(net)
    marks = []
    for at, sign in zip(joints, (1.0, -1.0), strict=True):
        if at is None:
            continue
        (x, y), (tx, ty), (nx, ny) = _frame(band, at)
        x, y = x + sign * tx * overlap / 2.0, y + sign * ty * overlap / 2.0
        reach = band.width_mm
        line = polygon.intersection(
            LineString([(x - nx * reach, y - ny * reach), (x + nx * reach, y + ny * reach)])
        )
        if line.length > SAME_LENGTH_MM:
            (ax, ay), (bx, by) = shapely.get_coordinates(line)[[0, -1]].tolist()
            ends = ((ax, ay), (bx, by))
            marks.append(Mark(ends, (Line(*ends),), label, MarkUse.JOINT))
    return tuple(marks)


def _runs_out(part: SheetPart, rule: JointRule, bend: Bend, share: int) -> Finding:
    found = finding(
        "JNT-111",
        Severity.WARNING,
        f"{part.name}, share {share}",
        has=round(bend.run_out, 1),
        asked=rule.run_out,
    )
    return replace(found, about=part.name)


def _only_scarfs(part: SheetPart, rule: JointRule) -> Finding:
    return finding(
        "JNT-108",
        Severity.ERROR,
        part.name,
        kind=rule.kind.value,
        able=" or ".join(f'"{kind}"' for kind in LAPPED),
    )
