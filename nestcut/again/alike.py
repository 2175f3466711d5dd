"""Whether a piece of a new plan is the very piece that an old plan has cut."""

from __future__ import annotations

import math
from dataclasses import replace

import shapely
from shapely import affinity
from shapely.geometry import Polygon

from nestcut.model.curves import Point
from nestcut.model.joint import JointEnd
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.pose import Placement
from nestcut.tolerances import SAME_LENGTH_MM, VERIFY_MM
from nestcut.tolerances.lengths import DENSIFY_SHARE
from nestcut.verify.truth import region

_STUFF = (
    "material", "thickness_mm", "grain", "turning", "small_angle_deg", "faces", "hole_use",
    "cut_from", "grain_deg",
)  # fmt: skip
"""What a flat piece is besides its outline."""


def shift_between(old: SheetPiece, new: SheetPiece) -> Point | None:
    """Return how far a piece's outline lies from where it was in its own frame; None: another.

    The true outlines decide, holes and joints' slopes included; marks are drawn, not cut.
    """
    if any(getattr(old, key) != getattr(new, key) for key in _STUFF):
        return None
    if not _same_ends(old.ends, new.ends):
        return None
    if old.shape == new.shape:
        return (0.0, 0.0)
    was, now = region(old.shape), region(new.shape)
    shift = (now.bounds[0] - was.bounds[0], now.bounds[1] - was.bounds[1])
    moved = affinity.translate(was, *shift)
    if len(moved.interiors) != len(now.interiors) or not _is_same(moved, now):
        return None
    if max(map(abs, shift)) < SAME_LENGTH_MM:
        return (0.0, 0.0)
    return shift


def _is_same(a: Polygon, b: Polygon) -> bool:
    """Whether two regions' edges run within the verifier's slack of each other."""
    if abs(a.area - b.area) > VERIFY_MM * max(a.length, b.length):
        return False
    return bool(
        shapely.hausdorff_distance(a.boundary, b.boundary, densify=DENSIFY_SHARE) <= VERIFY_MM
    )


def _same_ends(a: tuple[JointEnd, ...], b: tuple[JointEnd, ...]) -> bool:
    """Whether pieces are worked alike at their joints, whatever the joints are called."""
    return len(a) == len(b) and all(
        (x.kind, x.planed) == (y.kind, y.planed)
        and abs(x.overlap_mm - y.overlap_mm) <= VERIFY_MM
        and abs(math.dist(*x.line) - math.dist(*y.line)) <= VERIFY_MM
        for x, y in zip(a, b, strict=True)
    )


def moved_over(placement: Placement, shift: Point) -> Placement:
    """Return where a piece lies whose outline has moved in its own frame."""
    if shift == (0.0, 0.0):
        return placement
    x = shift[0] if placement.is_face_up else -shift[0]
    a = math.radians(placement.turn_deg)
    return replace(
        placement,
        shift_mm=(
            placement.shift_mm[0] - (x * math.cos(a) - shift[1] * math.sin(a)),
            placement.shift_mm[1] - (x * math.sin(a) + shift[1] * math.cos(a)),
        ),
    )


def rail_shift(old: RailPiece, new: RailPiece) -> Point | None:
    """Return no shift if a rail's piece is the same wood with the same ends; None: another."""
    is_same = (
        (old.material, old.thickness_mm, old.width_mm, old.sawn_mm)
        == (new.material, new.thickness_mm, new.width_mm, new.sawn_mm)
        and abs(old.length_mm - new.length_mm) < SAME_LENGTH_MM
        and abs(old.from_mm - new.from_mm) < SAME_LENGTH_MM
        and _same_ends(old.ends, new.ends)
        and all(
            abs(x.line[0][0] - y.line[0][0]) < SAME_LENGTH_MM
            for x, y in zip(old.ends, new.ends, strict=True)
        )
    )
    return (0.0, 0.0) if is_same else None
