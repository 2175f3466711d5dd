"""Keyed joints: a row of round-headed keys along a joint line, for cutting with a router.

Geometry of our own.  Every key is five tangent pieces: joint line, fillet, head, fillet, joint
line.  Fillets and head have the same radius, and the fillets meet the head 30 degrees beyond its
widest point, so the neck is 0.73 of the head's width and the key can't be drawn out in the plane.
The piece nearer the reference end carries the heads, the other the sockets.

A clearance is half taken from each piece.  All curves are arcs and lines, so the shifted outline
is exact: shifting by d changes a head's radius to R + d and a fillet's to R - d about the same
centres, and the points where they touch stay in line with the centres.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon

from nestcut.geometry.pose import reverse_curve
from nestcut.model.curves import Arc, Curve, Line
from nestcut.tolerances import SAME_LENGTH_MM

_BEYOND_DEG = 30.0
"""How far behind its widest point the fillets take hold of the head. [deg]"""
_PITCH_RADII = 5.0
"""Distance between keys in head radii. [-] Leaves a land as wide as the neck between fillets."""
_EDGE_RADII = 0.5
"""Least material beside a key in head radii. [-]"""
_RADII_PER_BIT = 1.0
"""Head radius in bit diameters: twice what the bit needs, so that it can run freely. [-]"""
_RADII_PER_THICKNESS = 1.25
"""Head radius in panel thicknesses, so that necks aren't slimmer than the panel is thick. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyRow:
    """The keys of one joint.

    Parameters
    ----------
    line_mm
        x of the joint line. [mm]
    centres_mm
        y of the keys' middles, rising. [mm]
    radius_mm
        Radius of heads and fillets. [mm]
    """

    line_mm: float
    centres_mm: tuple[float, ...]
    radius_mm: float

    @property
    def depth_mm(self) -> float:
        """How far the heads reach beyond the joint line. [mm]"""
        return self.radius_mm * (2.0 + 2.0 * math.sin(math.radians(_BEYOND_DEG)))

    def path(self, y_from: float, y_to: float, shift_mm: float = 0.0) -> tuple[Curve, ...]:
        """Return the line from one y to another along the keys, shifted towards +x.

        Parameters
        ----------
        y_from, y_to
            Where it begins and ends; it may run either way. [mm]
        shift_mm
            How far the line is shifted. [mm]

        Raises
        ------
        ValueError
            If an end lies within a key.
        """
        if y_to < y_from:
            return tuple(reverse_curve(c) for c in reversed(self.path(y_to, y_from, shift_mm)))
        reach = _reach_mm(self.radius_mm)
        x = self.line_mm + shift_mm
        curves: list[Curve] = []
        y = y_from
        for centre in self.centres_mm:
            if not y_from < centre < y_to:
                continue
            if centre - reach < y - SAME_LENGTH_MM:
                raise ValueError(f"a key at {centre} mm lies across the end of its joint")
            _add_line(curves, x, y, centre - reach)
            curves.extend(self._key(centre, shift_mm))
            y = centre + reach
        if y > y_to + SAME_LENGTH_MM:
            raise ValueError(f"a key lies across the end of its joint at {y_to} mm")
        _add_line(curves, x, y, y_to)
        return tuple(curves)

    def _key(self, y: float, shift_mm: float) -> tuple[Curve, ...]:
        r, reach = self.radius_mm, _reach_mm(self.radius_mm)
        towards = 90.0 - _BEYOND_DEG
        turn = 180.0 - towards
        fillet_x = self.line_mm + r
        head = (fillet_x + 2.0 * r * math.sin(math.radians(_BEYOND_DEG)), y)
        return (
            Arc((fillet_x, y - reach), r - shift_mm, 180.0, -turn),
            Arc(head, r + shift_mm, 180.0 + towards, 2.0 * turn),
            Arc((fillet_x, y + reach), r - shift_mm, 360.0 - towards, -turn),
        )


def key_radius_mm(thickness_mm: float, bit_mm: float) -> float:
    """Radius of heads and fillets for a panel and a router bit. [mm]"""
    return max(_RADII_PER_BIT * bit_mm, _RADII_PER_THICKNESS * thickness_mm)


def place_keys(part: Polygon, line_mm: float, radius_mm: float) -> KeyRow:
    """Spread as many keys as have room along the line x = ``line_mm`` of a part.

    A key has room where its box, with half a head radius round it, lies inside the part; the
    same room is asked for on the near side of the line.  ``centres_mm`` is empty where there is
    no room for any.

    Parameters
    ----------
    part
        With the joint's line upright. [mm]
    line_mm
        The line's x. [mm]
    radius_mm
        Of the keys' heads. [mm]
    """
    reach = _reach_mm(radius_mm)
    pitch = _PITCH_RADII * radius_mm
    edge = _EDGE_RADII * radius_mm
    row = KeyRow(line_mm=line_mm, centres_mm=(), radius_mm=radius_mm)
    centres: list[float] = []
    for low, high in stretches(part, line_mm):
        room = high - low - 2.0 * (reach + edge)
        if room < 0.0:
            continue
        n = math.floor(room / pitch) + 1
        first = (low + high) / 2.0 - pitch * (n - 1) / 2.0
        for k in range(n):
            y = first + k * pitch
            box = shapely.box(
                line_mm - radius_mm,
                y - reach - edge,
                line_mm + row.depth_mm + edge,
                y + reach + edge,
            )
            if part.covers(box):
                centres.append(y)
    return KeyRow(line_mm=line_mm, centres_mm=tuple(centres), radius_mm=radius_mm)


def stretches(part: Polygon, line_mm: float) -> tuple[tuple[float, float], ...]:
    """Return the stretches (low y, high y) of the line x = ``line_mm`` inside a part. [mm]"""
    _, low, _, high = part.bounds
    cut = part.intersection(shapely.LineString([(line_mm, low - 1.0), (line_mm, high + 1.0)]))
    found = [
        (g.bounds[1], g.bounds[3])
        for g in shapely.get_parts(cut).tolist()
        if g.length > SAME_LENGTH_MM
    ]
    return tuple(sorted(found))


def _reach_mm(radius_mm: float) -> float:
    """Half the length of joint line that a key takes: from its middle to its fillet's start."""
    return 2.0 * radius_mm * math.cos(math.radians(_BEYOND_DEG))


def _add_line(curves: list[Curve], x: float, y_from: float, y_to: float) -> None:
    if y_to - y_from > SAME_LENGTH_MM:
        curves.append(Line((x, y_from), (x, y_to)))
