"""Frames and transoms: the hull's lines cut by a plane, planking taken off as it really lies.

Planking of thickness t, met aslant by the plane, is t / sqrt(1 - (n.m)^2) wide in it, n the unit
normal of the planking and m that of the plane.  Normals come from the edge in the plane and the
line's own direction along the boat, at each line for itself: a plank that twists from keel to
sheer is taken off by more at one end than at the other.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from nestcut.errors import Finding
from nestcut.facts import Length
from nestcut.geometry.curves import end_point
from nestcut.geometry.pose import MIRROR, move_curve, reverse_curve
from nestcut.model.curves import Curve, Line, Point
from nestcut.model.joint import Face
from nestcut.model.part import Bearings, EdgeBevel, Outside, Towards
from nestcut.shapes.fair.fairing import Manner
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.figures.bulkhead import mirrored_ring, top_edge
from nestcut.shapes.figures.outline import Corner, Treatment
from nestcut.shapes.hull.ring import Edge, RingWish, corners_of, crossing, hollow
from nestcut.shapes.hull.spaceline import SpaceLine, plane_splines, through
from nestcut.shapes.known import Drawn, LineCorner, Strake, note
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.tolerances.lengths import NOISE_MM
from nestcut.tolerances.noise import DUST, NOISE

Floats = NDArray[np.float64]

_SPLAY_DEG = 0.25
"""Edges less off square than this are square. [deg]"""
_REACH = 0.1
"""How far a line is carried on beyond its end to a raked plane, in shares of its length. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """An upright plane across the boat, or one that leans aft.

    At height ``height_mm`` it stands ``forward_mm`` from the after end. [mm], [deg]
    """

    forward_mm: float
    height_mm: float = 0.0
    rake_deg: float = 0.0

    @property
    def normal(self) -> Floats:
        """Unit normal, pointing forward (and up, where it leans aft)."""
        rake = math.radians(self.rake_deg)
        return np.array([math.cos(rake), 0.0, math.sin(rake)])

    @property
    def up(self) -> Floats:
        """Unit vector up in the plane."""
        rake = math.radians(self.rake_deg)
        return np.array([-math.sin(rake), 0.0, math.cos(rake)])

    def off_mm(self, points: Floats) -> Floats:
        """How far points lie before the plane. [mm]"""
        origin = np.array([self.forward_mm, 0.0, self.height_mm])
        return np.asarray((points - origin) @ self.normal)


class Side(Enum):
    """On which side of its plane a section's own thickness lies."""

    SMALLER = "smaller"
    """Where the hull is smaller: the outline is the larger face. Frames."""
    FORWARD = "forward"
    """Before it, as a transom that is measured at its after face."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionWish:
    """What is asked of a section.

    ``planking_mm`` has one thickness for each strake from the centre line out; ``bites`` are the
    numbers of lines whose corners get a limber hole. [mm]
    """

    planking_mm: tuple[float, ...]
    manner: Manner = Manner.STRAIGHT
    camber_mm: float = 0.0
    ring: RingWish | None = None
    """A ring frame; None: a bulkhead."""
    bites: frozenset[int] = frozenset()
    bite_mm: float = 0.0
    keel_bite_mm: float = 0.0
    top_mm: float | None = None
    """Height at which it ends, below its uppermost line; None: at that line. [mm]"""
    names: tuple[str, ...] = ()
    """What its lines are called, where somebody asks for them by name."""


@dataclass(frozen=True, slots=True, eq=False)
class _Spot:
    """Where a line meets the plane: in the plane, and the line's direction there."""

    at: Floats
    along: Floats


def plane_through(ends: list[Floats], rake_deg: float | None) -> tuple[Plane, float]:
    """Plane through the after ends of lines, and how far the worst of them lies off it. [mm]

    Parameters
    ----------
    ends
        Points (forward, half-breadth, height), from the keel up. [mm]
    rake_deg
        How far it leans aft; None: as the points lie.
    """
    points = np.array(ends)
    x, z = points[:, 0], points[:, 2]
    if rake_deg is None:
        spread = z - z.mean()
        size = float(spread @ spread)
        slope = float(spread @ (x - x.mean())) / size if size > SAME_LENGTH_MM else 0.0
        rake = math.degrees(math.atan(-slope))
        plane = Plane(forward_mm=float(x.mean()), height_mm=float(z.mean()), rake_deg=rake)
    else:
        plane = Plane(forward_mm=float(x[0]), height_mm=float(z[0]), rake_deg=rake_deg)
    return plane, float(np.abs(plane.off_mm(points)).max())


def section(
    lines: list[SpaceLine], plane: Plane, wish: SectionWish, thickness: Side = Side.SMALLER
) -> Drawn:
    """Return the outline of a section: centre line at x = 0, height in the plane along y.

    Parameters
    ----------
    thickness
        On which side of the plane the part's own thickness lies.

    Raises
    ------
    ShapeFaultError
        If a line doesn't reach the plane, or the planking leaves nothing.
    """
    spots = [_meet(line, plane) for line in lines]
    is_flat = bool(spots[0].at[0] > SAME_LENGTH_MM)
    if is_flat:  # a flat bottom runs level from the centre line to the lowest line
        first = spots[0]
        level = _Spot(np.array([0.0, first.at[1]]), np.array([first.along[0], 0.0, first.along[2]]))
        spots.insert(0, level)
    if len(spots) < 2:
        raise ShapeFaultError("lines", "SHP-050")
    planking = wish.planking_mm
    if len(planking) == 1:
        planking = planking * (len(spots) - 1)
    if len(planking) != len(spots) - 1:
        raise ShapeFaultError("planking", "SHP-051", number=len(planking), strakes=len(spots) - 1)
    edges = [_edge(a, b, plane, t) for a, b, t in zip(spots, spots[1:], planking, strict=False)]
    top = float(spots[-1].at[1])
    if wish.top_mm is not None:
        top = wish.top_mm
        edges = _cut_off(edges, spots, wish)
    if wish.manner is Manner.STRAIGHT:
        corners = corners_of(edges, top)
        outline, holes = _straight(corners, edges, wish, is_flat=is_flat, top=top)
    else:
        holes = ()
        corners, outline = _fair(spots, edges, wish, is_flat=is_flat)
    half = corners[-1][0]
    if min(c[0] for c in corners[1:]) <= 0.0 or corners[-1][1] <= corners[0][1]:
        raise ShapeFaultError("planking", "SHP-052")
    at_lines = corners[1:] if is_flat else corners
    kept = at_lines if wish.top_mm is None else at_lines[:-1]
    named = [
        LineCorner(name, at, Strake.BELOW_ONLY if at is corners[-1] else Strake.BOTH)
        for name, at in zip(wish.names, kept, strict=False)
    ]
    return Drawn(
        outline=outline,
        holes=holes,
        line_corners=tuple(named),
        edge_bevels=_bevels(edges, corners, thickness),
        bearings=_bearings(edges, thickness),
        findings=(_told(half, corners, plane, thickness),),
    )


def _cut_off(edges: list[Edge], spots: list[_Spot], wish: SectionWish) -> list[Edge]:
    """Edges up to a height; the last one ends there, with its splay in between."""
    top = wish.top_mm or 0.0
    if wish.manner is not Manner.STRAIGHT:
        raise ShapeFaultError("top", "SHP-151")
    low, high = float(spots[0].at[1]), float(spots[-1].at[1])
    for i, (a, b) in enumerate(pairwise(spots)):
        if a.at[1] + SAME_LENGTH_MM < top <= b.at[1] + SAME_LENGTH_MM:
            edge = edges[i]
            share = float((top - a.at[1]) / (b.at[1] - a.at[1]))
            first, last = edge.splay_deg
            splay = first + share * (last - first)
            end = edge.a + share * (edge.b - edge.a)
            return [*edges[:i], Edge(edge.a, end, (first, splay))]
    raise ShapeFaultError("top", "SHP-152", top=Length(top), low=Length(low), high=Length(high))


def _told(half: float, corners: list[Point], plane: Plane, thickness: Side) -> Finding:
    name = "transom" if thickness is Side.FORWARD else "frame"
    high = corners[-1][1] - corners[0][1]
    if plane.rake_deg:
        return note(
            "SHP-055", name, half=Length(half), high=Length(high), rake=round(plane.rake_deg, 1)
        )
    return note("SHP-054", name, half=Length(half), high=Length(high))


def _meet(line: SpaceLine, plane: Plane) -> _Spot:
    """Where a line meets the plane, carried on straight beyond its ends a little way."""
    t = np.linspace(0.0, line.end, 16 * len(line.t))
    off = plane.off_mm(line.at(t))
    change = np.flatnonzero(off[:-1] * off[1:] <= 0.0)
    if len(change):
        low, high = float(t[change[0]]), float(t[change[0] + 1])
        sign = float(off[change[0]])
        for _ in range(70):
            middle = (low + high) / 2.0
            here = float(plane.off_mm(line.at(np.array([middle])))[0])
            low, high = (middle, high) if here * sign > 0.0 else (low, middle)
        at = np.array([(low + high) / 2.0])
        point, along = line.at(at)[0], line.direction(at)[0]
    else:
        end = np.array([0.0 if abs(off[0]) <= abs(off[-1]) else line.end])
        along = line.direction(end)[0]
        speed = float(along @ plane.normal)
        step = -float(plane.off_mm(line.at(end))[0]) / speed if abs(speed) > NOISE else math.inf
        if abs(step) > _REACH * line.end:
            raise ShapeFaultError("lines", "SHP-053", at=Length(plane.forward_mm))
        point = line.at(end)[0] + step * along
    origin = np.array([plane.forward_mm, 0.0, plane.height_mm])
    up = float((point - origin) @ plane.up) + plane.height_mm
    return _Spot(np.array([float(point[1]), up]), along)


def _edge(a: _Spot, b: _Spot, plane: Plane, thickness_mm: float) -> Edge:
    run = b.at - a.at
    size = float(np.hypot(*run))
    if size <= SAME_LENGTH_MM:
        raise ShapeFaultError("lines", "SHP-056")
    run = run / size
    inward = np.array([-run[1], run[0]])
    space = run[0] * np.array([0.0, 1.0, 0.0]) + run[1] * plane.up
    ends, splays = [], []
    for spot in (a, b):
        normal = np.cross(space, spot.along)
        length = float(np.linalg.norm(normal))
        if length <= NOISE_MM:
            raise ShapeFaultError("lines", "SHP-056")
        sine = float(normal @ plane.normal) / length
        ends.append(spot.at + inward * thickness_mm / math.sqrt(max(DUST, 1.0 - sine * sine)))
        out = np.array([run[1], -run[0]])
        outward = out[0] * np.array([0.0, 1.0, 0.0]) + out[1] * plane.up
        sign = 1.0 if float(normal @ outward) > 0.0 else -1.0
        splays.append(math.degrees(math.asin(max(-1.0, min(1.0, sign * sine)))))
    return Edge(ends[0], ends[1], (splays[0], splays[1]))


def _straight(
    corners: list[Point], edges: list[Edge], wish: SectionWish, *, is_flat: bool, top: float
) -> tuple[tuple[Curve, ...], tuple[tuple[Curve, ...], ...]]:
    """Ring of straight edges and holes in it; an open frame is hollow above its bottom."""
    bottom = corners[0]
    keel: Corner | None = None
    if wish.keel_bite_mm > 0.0:
        keel = Corner(bottom, Treatment.BITE, wish.keel_bite_mm)
    elif not is_flat:
        keel = Corner(bottom)
    side = [
        Corner(p, Treatment.BITE, wish.bite_mm)
        if i in wish.bites and wish.bite_mm > 0.0
        else Corner(p)
        for i, p in enumerate(corners[1:], start=0 if is_flat else 1)
    ]
    if wish.ring is None:
        return mirrored_ring(side, keel, None, wish.camber_mm), ()
    inner, hole = hollow(edges, corners, wish.ring, top=top, camber_mm=wish.camber_mm)
    if hole:
        return mirrored_ring(side, keel, None, wish.camber_mm), (hole,)
    low = None if is_flat else Corner(inner[0])
    return mirrored_ring([*side, *(Corner(p) for p in reversed(inner[1:]))], keel, low, 0.0), ()


def _fair(
    spots: list[_Spot], edges: list[Edge], wish: SectionWish, *, is_flat: bool
) -> tuple[list[Point], tuple[Curve, ...]]:
    """Outline with a fair side through all lines; each point goes in by its own thickness."""
    if wish.ring is not None or wish.bites or wish.keel_bite_mm > 0.0:
        raise ShapeFaultError("curve", "SHP-058")
    inside = [
        edges[0].a,
        *((one.b + two.a) / 2.0 for one, two in pairwise(edges)),
        edges[-1].b,
    ]
    corner = np.array(crossing(edges[0], edges[1])) if is_flat else inside[0]
    if is_flat:
        inside = [np.array([0.0, float(edges[0].a[1])]), corner, *inside[2:]]
    run = inside[1:] if is_flat else inside
    points = np.array(run)
    if not is_flat:
        points[0, 0] = 0.0 if spots[0].at[0] <= SAME_LENGTH_MM else points[0, 0]
    side: list[Curve] = list(plane_splines(through(points)))
    if is_flat:
        side.insert(0, Line((0.0, float(inside[0][1])), (float(corner[0]), float(corner[1]))))
    last = end_point(side[-1])
    other = tuple(reverse_curve(move_curve(c, MIRROR)) for c in reversed(side))
    corners = [(float(p[0]), float(p[1])) for p in ([inside[0], *run] if is_flat else points)]
    return corners, (*side, *top_edge(last, wish.camber_mm), *other)


def _bearings(edges: list[Edge], thickness: Side) -> Bearings:
    """A transom's good face looks aft; a frame's is the larger one, away from the narrow end."""
    if thickness is Side.FORWARD:
        return Bearings(forward=Towards.BACK, up=Towards.TOP, outside=Outside.GOOD)
    narrows = {
        sum(e.splay_deg) > 0.0 for e in edges if max(abs(s) for s in e.splay_deg) >= _SPLAY_DEG
    }
    if len(narrows) != 1:
        return Bearings(up=Towards.TOP)
    return Bearings(forward=Towards.BACK if narrows == {True} else Towards.GOOD, up=Towards.TOP)


def _bevels(edges: list[Edge], corners: list[Point], thickness: Side) -> tuple[EdgeBevel, ...]:
    """Splay of each strake's edge, and which face is the larger there."""
    found = []
    for i, (edge, (a, b)) in enumerate(zip(edges, pairwise(corners), strict=True)):
        here, there = (abs(s) for s in edge.splay_deg)
        low, high = sorted((here, there))
        if high < _SPLAY_DEG:
            continue
        is_bottom = i == 0 and len(edges) > 1
        # A bottom edge is one line through the centre line where it runs level.
        mirrored: tuple[Point, Point] = ((-b[0], b[1]), (-a[0], a[1]))
        is_level = is_bottom and abs(a[1] - b[1]) <= SAME_LENGTH_MM
        lines = ((mirrored[0], b),) if is_level else ((a, b), mirrored)
        narrows_forward = sum(edge.splay_deg) > 0.0
        larger, words = (
            Face.GOOD,
            f"the smaller face lies {'forward' if narrows_forward else 'aft'}",
        )
        if thickness is Side.FORWARD:
            larger = Face.GOOD if narrows_forward else Face.BACK
            words = "the good face lies aft"
        found.append(
            EdgeBevel(
                name="bottom edge" if is_bottom else "side edges",
                lines=lines,
                larger=larger,
                tilt_deg=(round(low, 2), round(high, 2)),
                words=words,
                at_ends_deg=tuple(
                    (round(first, 2), round(last, 2))
                    for first, last in (
                        ((there, there),) if is_level else ((here, there), (there, here))
                    )
                ),
            )
        )
    return tuple(found)
