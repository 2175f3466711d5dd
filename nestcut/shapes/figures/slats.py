"""Slats and planks over an outline: floor boards, ceilings, decks.

Slats of one width lie side by side with a gap.  Each is as long as its full width fits inside the
outline less the clearance; its ends are cut along the outline, as straight as a saw cuts.  Where
an opening crosses a slat, it becomes two.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum

from shapely import affinity
from shapely.geometry import LineString, Polygon, box

from nestcut.geometry.offset import polygons_of, shrunk
from nestcut.shapes.faults import ShapeFaultError
from nestcut.tolerances import SAME_LENGTH_MM, SAME_POINT_MM

_CUTS = 16
"""Heights between the edges of a slat at which its ends are held against the outline."""
_SLANTED_MOST_DEG = 60.0
"""A cut more slanted than this off square is no end cut: the slat ends square instead. [deg]"""
_MOST_ROWS = 1000
"""More slats side by side are a slip of the unit."""


class Ends(StrEnum):
    """How slats end."""

    ALONG_OUTLINE = "along outline"
    SQUARE = "square"


class Middle(StrEnum):
    """What lies on the line that slats are set out from."""

    EVEN = "even"
    """As much is left at both edges; a slat or a gap lies in the middle, whichever leaves less."""
    SLAT = "slat"
    GAP = "gap"
    EDGE = "edge"
    """The lower edge of the first slat."""


class Edges(StrEnum):
    """What becomes of slats along which the outline's side runs."""

    LEFT_OUT = "left out"
    """Slats lie where their full width does."""
    TRIMMED = "trimmed"
    """They are cut whole, as long as the outline is there, and trimmed to it in place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SlatRule:
    """How slats are laid.

    Parameters
    ----------
    width_mm, gap_mm
        Width of a slat, and the room between two. [mm]
    direction_deg
        Which way they run, counter-clockwise from the outline's x axis. [deg]
    through_mm
        Where they are set out from, across their direction, in the outline's frame turned so that
        slats run along x. [mm]
    clearance_mm
        Room kept from the outline and from openings. [mm]
    least_mm
        Shorter pieces are left out. [mm]
    """

    width_mm: float
    gap_mm: float = 0.0
    direction_deg: float = 0.0
    through_mm: float = 0.0
    middle: Middle = Middle.SLAT
    clearance_mm: float = 0.0
    ends: Ends = Ends.ALONG_OUTLINE
    edges: Edges = Edges.LEFT_OUT
    least_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Slat:
    """One slat, in the frame where slats run along x.

    ``lower_mm`` is its lower edge; ``corners`` run counter-clockwise from the lower left.
    ``end_angles_deg`` lie between the lower edge and the cut, inside the slat, start end first:
    90 is square. [deg]
    """

    lower_mm: float
    corners: tuple[tuple[float, float], ...]
    length_mm: float
    end_angles_deg: tuple[float, float]
    is_trimmed: bool = False
    """Whether it is trimmed to the outline along its length, in place."""

    @property
    def polygon(self) -> Polygon:
        """Outline of the slat."""
        return Polygon(self.corners)


def lay_slats(outline: Polygon, rule: SlatRule) -> tuple[Slat, ...]:
    """Lay slats over an outline (openings are holes of it), lowest first, then left to right.

    Raises
    ------
    ShapeFaultError
        If the outline has no room for a single slat.
    """
    turned = affinity.rotate(outline, -rule.direction_deg, origin=(0.0, 0.0))
    clear = shrunk(turned, rule.clearance_mm) if rule.clearance_mm > 0.0 else (turned,)
    slats = [s for room in clear for s in _in_room(room, rule)]
    if not slats:
        raise ShapeFaultError("width", "SHP-143")
    return tuple(sorted(slats, key=lambda s: (round(s.lower_mm, 6), s.corners[0][0])))


def stubs_of(outline: Polygon, rule: SlatRule, slats: tuple[Slat, ...]) -> tuple[Slat, ...]:
    """Return those slats that end more than their width before the outline does.

    They lie along a side that leans, as far as their full width is inside it.

    Parameters
    ----------
    outline
        That the slats lie over; openings are holes of it. [mm]
    """
    trimmed = lay_slats(outline, replace(rule, edges=Edges.TRIMMED))
    whole: dict[float, float] = {}
    for slat in trimmed:
        row = round(slat.lower_mm, 3)
        whole[row] = max(whole.get(row, 0.0), slat.length_mm)
    return tuple(
        s for s in slats if s.length_mm < whole.get(round(s.lower_mm, 3), 0.0) - rule.width_mm
    )


def _in_room(room: Polygon, rule: SlatRule) -> list[Slat]:
    left, bottom, right, top = room.bounds
    pitch = rule.width_mm + rule.gap_mm
    if (top - bottom) / pitch > _MOST_ROWS:
        raise ShapeFaultError("section", "SHP-144")
    first = _first_mm(rule, bottom, top)
    start = math.ceil((bottom - first - SAME_LENGTH_MM) / pitch)
    stop = math.floor((top - rule.width_mm - first + SAME_LENGTH_MM) / pitch)
    slats: list[Slat] = []
    for k in range(start, stop + 1):
        lower = first + k * pitch
        found = [
            slat
            for core in _cores(room, lower, lower + rule.width_mm, (left, right))
            if (slat := _slat(room, lower, core, rule)) is not None
        ]
        if rule.edges is Edges.TRIMMED:
            found = _with_trimmed(room, lower, found, rule.width_mm)
        slats += [s for s in found if s.length_mm >= rule.least_mm]
    return slats


def _with_trimmed(room: Polygon, lower: float, found: list[Slat], width: float) -> list[Slat]:
    """Slats of a row; where the room is longer than a whole one, one to be trimmed to it."""
    left, _, right, _ = room.bounds
    strip = box(left - 1.0, lower, right + 1.0, lower + width)
    made = []
    for piece in polygons_of(strip.intersection(room)):
        start, _, end, _ = piece.bounds
        whole = [s for s in found if start < (s.corners[0][0] + s.corners[1][0]) / 2.0 < end]
        if any(s.length_mm >= end - start - 2.0 * width for s in whole):
            made += whole
        elif piece.area > SAME_LENGTH_MM * (end - start):
            high = lower + width
            corners = ((start, lower), (end, lower), (end, high), (start, high))
            made.append(
                Slat(
                    lower_mm=lower,
                    corners=corners,
                    length_mm=end - start,
                    end_angles_deg=(90.0, 90.0),
                    is_trimmed=True,
                )
            )
    return made


def _first_mm(rule: SlatRule, bottom: float, top: float) -> float:
    """Lower edge of a slat that the others are set out from. [mm]"""
    match rule.middle:
        case Middle.EVEN:
            pitch = rule.width_mm + rule.gap_mm
            number = math.floor((top - bottom + rule.gap_mm + SAME_LENGTH_MM) / pitch)
            return (bottom + top - number * pitch + rule.gap_mm) / 2.0
        case Middle.SLAT:
            return rule.through_mm - rule.width_mm / 2.0
        case Middle.GAP:
            return rule.through_mm + rule.gap_mm / 2.0
        case Middle.EDGE:
            return rule.through_mm


def _cores(
    room: Polygon, lower: float, upper: float, span: tuple[float, float]
) -> list[tuple[float, float]]:
    """Stretches of x in which the slat's full width lies inside the room."""
    strip = box(span[0] - 1.0, lower, span[1] + 1.0, upper)
    missing = sorted(
        (p.bounds[0], p.bounds[2])
        for p in polygons_of(strip.difference(room))
        if p.area > SAME_POINT_MM
    )
    cores: list[tuple[float, float]] = []
    reached = span[0]
    for begin, end in missing:
        if begin > reached + SAME_LENGTH_MM:
            cores.append((reached, begin))
        reached = max(reached, end)
    return cores


def _slat(room: Polygon, lower: float, core: tuple[float, float], rule: SlatRule) -> Slat | None:
    upper = lower + rule.width_mm
    middle = (core[0] + core[1]) / 2.0
    heights = {lower + rule.width_mm * i / _CUTS for i in range(_CUTS + 1)}
    for ring in (room.exterior, *room.interiors):
        heights |= {y for _, y in ring.coords if lower < y < upper}
    reach = [(y, *_reach(room, y, middle)) for y in sorted(heights)]
    if any(math.isnan(r[1]) for r in reach):
        return None
    starts = _end_line([(y, a) for y, a, _ in reach], 1.0, rule.ends)
    stops = _end_line([(y, b) for y, _, b in reach], -1.0, rule.ends)
    corners = ((starts[0], lower), (stops[0], lower), (stops[1], upper), (starts[1], upper))
    if stops[0] - starts[0] <= SAME_LENGTH_MM or stops[1] - starts[1] <= SAME_LENGTH_MM:
        return None
    angles = (
        math.degrees(math.atan2(rule.width_mm, starts[1] - starts[0])),
        180.0 - math.degrees(math.atan2(rule.width_mm, stops[1] - stops[0])),
    )
    return Slat(
        lower_mm=lower,
        corners=corners,
        length_mm=max(stops) - min(starts),
        end_angles_deg=angles,
    )


def _reach(room: Polygon, y: float, middle: float) -> tuple[float, float]:
    """How far the room reaches left and right of ``middle`` at height ``y``."""
    left, _, right, _ = room.bounds
    cut = room.intersection(LineString([(left - 1.0, y), (right + 1.0, y)]))
    parts = [cut] if cut.geom_type == "LineString" else list(getattr(cut, "geoms", []))
    for part in parts:
        x0, _, x1, _ = part.bounds
        if x0 - SAME_LENGTH_MM <= middle <= x1 + SAME_LENGTH_MM:
            return x0, x1
    return math.nan, math.nan


def _end_line(reach: list[tuple[float, float]], inward: float, ends: Ends) -> tuple[float, float]:
    """Where a straight end cut meets the slat's lower and upper edge.

    The cut follows the chord of the outline, moved inward until no height lies beyond it.
    """
    (y0, x0), (y1, x1) = reach[0], reach[-1]
    slope = (x1 - x0) / (y1 - y0)
    too_slanted = abs(slope) > math.tan(math.radians(_SLANTED_MOST_DEG))
    if ends is Ends.SQUARE or too_slanted:
        slope = 0.0
    offsets = [x - x0 - slope * (y - y0) for y, x in reach]
    shift = max(offsets) if inward > 0 else min(offsets)
    start = x0 + shift
    return start, start + slope * (y1 - y0)
