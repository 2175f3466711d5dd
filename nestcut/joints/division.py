"""A part divided at joint lines, in its own frame: shapes, overlaps, keys. Hands come later.

Here x always runs across the joints: a part divided across its width is turned a quarter before
and back after.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from shapely.geometry import Polygon

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Length
from nestcut.geometry.curves import cover_left, flatten
from nestcut.geometry.offset import grown_mitred
from nestcut.geometry.polygons import bounds_mm, to_polygon, to_shape
from nestcut.geometry.pose import move_points, move_shape
from nestcut.joints.keys import KeyRow, stretches
from nestcut.joints.kinds import KINDS
from nestcut.joints.strip import Edge, Path, Strip, cut_shape, straight_edge
from nestcut.model.curves import Curve, Line, Point
from nestcut.model.joint import JointAxis, JointRule
from nestcut.model.part import SheetPart
from nestcut.model.pose import Pose
from nestcut.model.shape import Mark, MarkUse, Shape
from nestcut.tolerances import SAME_LENGTH_MM, VERIFY_MM

_TO_FRAME = {JointAxis.LENGTH: Pose(), JointAxis.WIDTH: Pose(turn_deg=270.0)}
_FROM_FRAME = {JointAxis.LENGTH: Pose(), JointAxis.WIDTH: Pose(turn_deg=90.0)}


class _End(StrEnum):
    """Which end of a piece a joint is at."""

    NEAR = "near"
    """Towards the reference end."""
    FAR = "far"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One joint of one part, whatever its hand.

    Parameters
    ----------
    at_mm
        Middle of the overlap from the reference end. [mm]
    overlap_mm
        Length of the band that both pieces have. [mm]
    line
        Middle of the overlap across the part, in the drawing's frame.
    keys
        The keys of a keyed joint, else None.
    """

    at_mm: float
    overlap_mm: float
    line: tuple[Point, Point]
    keys: KeyRow | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """One piece of the part in the drawing's frame: as cut, and without the allowance.

    ``grain_deg`` is how far its grain is turned from where the part's rule puts it, and
    ``small_angle_deg`` how far it may be turned from there, None: as far as the part.
    """

    shape: Shape
    net: Shape
    grain_deg: float = 0.0
    small_angle_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Division:
    """A divided part; ``shares`` is empty where a finding forbids the division."""

    shares: tuple[Share, ...]
    cuts: tuple[Cut, ...]
    length_mm: float
    findings: tuple[Finding, ...]


def overlap_mm(rule: JointRule, thickness_mm: float) -> float:
    """Length of the band that both pieces of a joint have. [mm]"""
    return KINDS[rule.kind].overlap_mm(rule, thickness_mm)


def head_depth_mm(rule: JointRule, thickness_mm: float) -> float:
    """How far the keys of a joint reach beyond its line; 0 for joints without. [mm]"""
    return KINDS[rule.kind].heads_mm(rule, thickness_mm)


def with_allowance(part: SheetPart) -> Shape:
    """Return what is cut for a whole part: grown by the allowance, the net line as trim mark.

    Holes are cut to their line; the allowance is on the outside only, its corners sharp: what a
    marking gauge draws.
    """
    if part.allowance_mm <= 0.0:
        return part.shape
    net = Polygon(part.shape.outline.points)
    outline = to_shape(grown_mitred(net, part.allowance_mm)).outline
    return Shape(outline, part.shape.holes, (*part.shape.marks, trim_mark(part.shape)))


def trim_mark(net: Shape) -> Mark:
    """Return the line to trim to after the dry fit."""
    points = net.outline.points
    return Mark((*points, points[0]), net.outline.curves, "trim line", MarkUse.TRIM)


def divide(part: SheetPart, rule: JointRule, at_mm: tuple[float, ...]) -> Division:
    """Divide a part at joint positions, rising, measured from its reference end.

    Parameters
    ----------
    at_mm
        Middles of the joints, rising. [mm]
    """
    into, back = _TO_FRAME[rule.axis], _FROM_FRAME[rule.axis]
    net, whole = move_shape(part.shape, into), move_shape(with_allowance(part), into)
    kind = KINDS[rule.kind]
    overlap = kind.overlap_mm(rule, part.thickness_mm)
    origin, _, end, _ = bounds_mm(net.outline.points)
    length = end - origin
    findings = misplaced(part.name, at_mm, overlap, length, kind.need_mm(rule, part.thickness_mm))
    if findings:
        return Division(shares=(), cuts=(), length_mm=length, findings=findings)
    polygon = to_polygon(net)
    cuts = tuple(_cut(part, rule, polygon, at, origin + at) for at in at_mm)
    found = [f for cut in cuts for f in _remarks(part.name, cut, polygon, origin + cut.at_mm)]
    sides = _sides(cuts, origin, rule.key_clearance_mm / 2.0)
    shares: list[Share] = []
    for strip in sides:
        nets, shapes = cut_shape(net, strip), cut_shape(whole, strip)
        if len(nets) != 1 or len(shapes) != 1:
            found.append(_in_lumps(part.name, len(shares) + 1, len(nets)))
            continue
        marks = _bevel_marks(nets[0], strip, overlap, kind.mark)
        extra = (trim_mark(nets[0]),) if part.allowance_mm > 0.0 else ()
        kept = tuple(m for m in shapes[0].marks if m.use is not MarkUse.TRIM)
        shape = Shape(shapes[0].outline, shapes[0].holes, (*kept, *extra, *marks))
        shares.append(Share(shape=move_shape(shape, back), net=move_shape(nets[0], back)))
    turned = tuple(_turned(cut, back) for cut in cuts)
    if any(f.is_blocking for f in found):
        shares = []
    return Division(shares=tuple(shares), cuts=turned, length_mm=length, findings=tuple(found))


def _cut(part: SheetPart, rule: JointRule, net: Polygon, at: float, x: float) -> Cut:
    spans = stretches(net, x)
    low, high = (spans[0][0], spans[-1][1]) if spans else (net.bounds[1], net.bounds[3])
    keys = KINDS[rule.kind].keys(net, x, rule, part.thickness_mm)
    overlap = overlap_mm(rule, part.thickness_mm)
    return Cut(at_mm=at, overlap_mm=overlap, line=((x, low), (x, high)), keys=keys)


def _turned(cut: Cut, back: Pose) -> Cut:
    first, last = move_points(cut.line, back)
    return Cut(at_mm=cut.at_mm, overlap_mm=cut.overlap_mm, line=(first, last), keys=cut.keys)


def _sides(cuts: tuple[Cut, ...], origin: float, half_clearance_mm: float) -> list[Strip]:
    """Return the strip of every piece, the one at the reference end first."""
    strips = []
    for before, after in pairwise((None, *cuts, None)):
        near = () if before is None else (_edge(before, origin, _End.NEAR, half_clearance_mm),)
        far = () if after is None else (_edge(after, origin, _End.FAR, half_clearance_mm),)
        strips.append(Strip(edges=(*near, *far)))
    return strips


def _edge(cut: Cut, origin: float, end: _End, half_clearance_mm: float) -> Edge:
    """Return the side of a piece at a joint, which is at that end of the piece."""
    x = origin + cut.at_mm
    out = 1.0 if end is _End.FAR else -1.0
    if cut.keys is None:
        return straight_edge((x + out * cut.overlap_mm / 2.0, 0.0), (0.0, out))
    keys, shift = cut.keys, -out * half_clearance_mm

    def path(measure_from: float, measure_to: float) -> tuple[Curve, ...]:
        return keys.path(out * measure_from, out * measure_to, shift)

    flat = _flattened(path, half_clearance_mm)
    return Edge(point=(x + shift, 0.0), along=(0.0, out), path=path, flat=flat)


def _flattened(path: Path, half_clearance_mm: float) -> Path:
    """Return a path in straight lines.

    With clearance to spare it covers the piece; without, both pieces follow the same corners, so
    that they still meet without gap or overlap.
    """
    fine = VERIFY_MM / 4.0

    def flat(measure_from: float, measure_to: float) -> tuple[Curve, ...]:
        points: list[Point] = []
        for curve in path(measure_from, measure_to):
            row = (cover_left if half_clearance_mm > fine else flatten)(curve, fine)
            points += row[1:] if points else row
        return tuple(Line(a, b) for a, b in pairwise(points))

    return flat


def _bevel_marks(net: Shape, strip: Strip, overlap: float, label: str) -> tuple[Mark, ...]:
    """Return the lines at which the overlaps of a piece begin."""
    if overlap <= 0.0:
        return ()
    polygon = to_polygon(net)
    marks = []
    for edge in strip.edges:
        x = edge.point[0] - edge.along[1] * overlap
        for low, high in stretches(polygon, x):
            line = ((x, low), (x, high))
            marks.append(Mark(line, (Line(*line),), label, MarkUse.JOINT))
    return tuple(marks)


def misplaced(
    name: str, at_mm: tuple[float, ...], overlap: float, length: float, need: float
) -> tuple[Finding, ...]:
    """Say which joints don't lie on the part or run into each other.

    Parameters
    ----------
    name
        Of the part.
    at_mm
        Middles of the joints, rising. [mm]
    overlap
        Length of each one's overlap. [mm]
    length
        Of the part. [mm]
    need
        Least distance between the middles of neighbours. [mm]
    """
    found = []
    for at in at_mm:
        inside = overlap / 2.0 + SAME_LENGTH_MM < at < length - overlap / 2.0 - SAME_LENGTH_MM
        if not math.isfinite(at) or not inside:
            found.append(
                finding(
                    "JNT-101",
                    Severity.ERROR,
                    name,
                    at=Length(at),
                    overlap=Length(overlap),
                    length=Length(length),
                )
            )
    found += [
        finding("JNT-102", Severity.ERROR, name, one=Length(a), other=Length(b), need=Length(need))
        for a, b in pairwise(at_mm)
        if b - a < max(need, SAME_LENGTH_MM)
    ]
    return tuple(found)


def _remarks(name: str, cut: Cut, net: Polygon, x: float) -> list[Finding]:
    """Report what a joint runs through, and keys that find no room."""
    found = []
    half = cut.overlap_mm / 2.0
    if any(ring.bounds[0] < x + half and ring.bounds[2] > x - half for ring in net.interiors):
        found.append(finding("JNT-103", Severity.WARNING, name, at=Length(cut.at_mm)))
    if cut.keys is not None and not cut.keys.centres_mm:
        found.append(
            finding(
                "JNT-104",
                Severity.ERROR,
                name,
                at=Length(cut.at_mm),
                head=Length(2.0 * cut.keys.radius_mm),
            )
        )
    return found


def _in_lumps(name: str, share: int, n_lumps: int) -> Finding:
    return finding("JNT-105", Severity.ERROR, name, share=share, lumps=n_lumps)
