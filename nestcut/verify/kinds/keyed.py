"""Keyed joints: round-headed keys along the line, each five arcs and lines that touch.

Worked out from this description alone, not from `joints/kinds`: heads and fillets of radius R
(the larger of the bit's diameter and 5/4 of the thickness), fillets that take hold of the head
30 degrees beyond its widest point, keys 5 R apart in the middle of their stretch, half an R of
material beside each; half the clearance taken from either piece.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from nestcut.model.joint import JointRule
from nestcut.tolerances.lengths import SAGITTA_MM
from nestcut.verify.kinds.kind import FAR_MM, JointProof, Sides, no_overlap, nothing_planed
from nestcut.verify.truth import stretches

Floats = NDArray[np.float64]

_BEYOND = math.radians(30.0)
_PITCH = 5.0
_BESIDE = 0.5


def _radius_mm(rule: JointRule, thickness_mm: float) -> float:
    return max(rule.key_bit_mm, 1.25 * thickness_mm)


def _centres(part: Polygon, x: float, r: float) -> list[float]:
    """Middles of the keys along the line, those that have material all round them. [mm]"""
    reach = 2.0 * r * math.cos(_BEYOND)
    depth = 2.0 * r * (1.0 + math.sin(_BEYOND))
    found = []
    for low, high in stretches(part, x):
        room = high - low - 2.0 * (reach + _BESIDE * r)
        if room < 0.0:
            continue
        n = int(room // (_PITCH * r)) + 1
        for k in range(n):
            y = (low + high) / 2.0 + _PITCH * r * (k - (n - 1) / 2.0)
            around = shapely.box(
                x - r, y - reach - _BESIDE * r, x + depth + _BESIDE * r, y + reach + _BESIDE * r
            )
            if part.covers(around):
                found.append(y)
    return found


def _arc(centre: tuple[float, float], r: float, start: float, end: float) -> Floats:
    n = max(2, math.ceil(abs(end - start) / (2.0 * math.acos(1.0 - SAGITTA_MM / r))))
    t = np.linspace(start, end, n + 1)
    return np.asarray(centre) + r * np.column_stack([np.cos(t), np.sin(t)])


def _line(x: float, centres: list[float], r: float, out_mm: float) -> Floats:
    """The cut from far below to far above, moved towards the heads by ``out_mm``. [mm]"""
    reach, grip = 2.0 * r * math.cos(_BEYOND), math.pi / 2.0 - _BEYOND
    rows = [np.array([[x + out_mm, -FAR_MM]])]
    for y in centres:
        head = (x + r + 2.0 * r * math.sin(_BEYOND), y)
        rows += [
            _arc((x + r, y - reach), r - out_mm, math.pi, grip),
            _arc(head, r + out_mm, -math.pi + grip, math.pi - grip),
            _arc((x + r, y + reach), r - out_mm, -grip, -math.pi),
        ]
    rows.append(np.array([[x + out_mm, FAR_MM]]))
    return np.concatenate(rows)


def _sides(part: Polygon, x: float, rule: JointRule, thickness_mm: float) -> Sides:
    r = _radius_mm(rule, thickness_mm)
    centres = _centres(part, x, r)
    half = rule.key_clearance_mm / 2.0
    heads, sockets = _line(x, centres, r, -half), _line(x, centres, r, half)
    return Sides(
        before=Polygon([*heads, (-FAR_MM, FAR_MM), (-FAR_MM, -FAR_MM)]),
        after=Polygon([*sockets, (FAR_MM, FAR_MM), (FAR_MM, -FAR_MM)]),
    )


def _reach_mm(rule: JointRule, thickness_mm: float) -> float:
    """Fillets end R beyond the line, heads lie 2 R sin 30 further and are R in radius."""
    return _radius_mm(rule, thickness_mm) * (2.0 + 2.0 * math.sin(_BEYOND))


KIND = JointProof(overlap_mm=no_overlap, reach_mm=_reach_mm, planed=nothing_planed, sides=_sides)
