"""The pieces of one copy of a flat part: each as the job draws it, joined as it asks."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import shapely
from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.joint import Joint, JointAxis, JointRule
from nestcut.model.part import SheetPart
from nestcut.model.piece import SheetPiece
from nestcut.model.shape import MarkUse
from nestcut.tolerances import FLATNESS_MM, VERIFY_MM
from nestcut.tolerances.lengths import ROUND_MM
from nestcut.tolerances.likeness import ROUND_CORNER_SHARE
from nestcut.verify.findings import objection
from nestcut.verify.flat.bands import band_share, check_band_line
from nestcut.verify.flat.shapes import (
    Image,
    Named,
    check_marks,
    check_points,
    check_region,
    check_sound,
    check_whole,
    gap_of,
    image_of,
    marks_within,
    ring_mark,
)
from nestcut.verify.kinds import FAR_MM, KINDS, Sides
from nestcut.verify.truth import covered, mirrored, region, rough, stretches

_INTO = {JointAxis.LENGTH: (1, 0, 0, 1, 0, 0), JointAxis.WIDTH: (0, 1, -1, 0, 0, 0)}
"""From the drawing's frame to one whose x runs across the joints."""
_BACK = {JointAxis.LENGTH: (1, 0, 0, 1, 0, 0), JointAxis.WIDTH: (0, -1, 1, 0, 0, 0)}
_MITRE = 2.0
"""Corners of an allowance are sharp, up to so many allowances from the net. [-]"""
_TRIM = ("trim line", MarkUse.TRIM)


@dataclass(frozen=True, slots=True)
class Share:
    """What one piece of a part must be, in the drawing's frame.

    Parameters
    ----------
    strip
        What its joints leave to it of the plane; None: all.
    net
        The part within the strip.
    slopes
        Lines at which its slopes begin.
    """

    strip: BaseGeometry | None
    net: BaseGeometry
    slopes: tuple[LineString, ...] = ()


def check_flat(
    job: Job, part: SheetPart, pieces: list[SheetPiece], joints: list[Joint]
) -> list[Finding]:
    """Check the true shape of every piece of one copy.

    ``joints`` are that copy's, rising, one fewer than its pieces: who counts them comes first.
    """
    flatness = max(job.cutting.flatness_mm, FLATNESS_MM)
    return list(_found(part, tuple(pieces), tuple(joints), flatness))


@lru_cache(maxsize=2_000)
def _found(
    part: SheetPart, pieces: tuple[SheetPiece, ...], joints: tuple[Joint, ...], flatness: float
) -> tuple[Finding, ...]:
    """What is found of the very same pieces, looked at once: one plan after another has them."""
    return tuple(_look(part, list(pieces), list(joints), flatness))


def _look(
    part: SheetPart, pieces: list[SheetPiece], joints: list[Joint], flatness: float
) -> list[Finding]:
    gap = gap_of(part.shape)
    found = [f for p in pieces for s in {p.net: 0, p.shape: 0} for f in check_sound(s, p.id, gap)]
    if found:
        return found
    rule = part.joint
    if rule is None or not joints:
        return _check_single(part, pieces[0], flatness)
    for piece, share in zip(pieces, _shares(part, rule, pieces, joints), strict=True):
        found += _check_share(part, piece, share, flatness)
    if part.width_along_mm is not None:
        found += [f for p in pieces for f in check_band_line(part, p, joints)]
    return found


def _check_single(part: SheetPart, piece: SheetPiece, flatness: float) -> list[Finding]:
    image = image_of(part, piece.hand)
    found = check_whole(piece.net, part.shape, piece.id, image)
    wanted = marks_within(part.shape.marks, None, image)
    if found:
        return found
    found += check_marks(piece.net.marks, wanted, piece.id, flatness)
    if part.allowance_mm <= 0.0:
        if piece.shape != piece.net:
            found += check_whole(piece.shape, part.shape, piece.id, image)
            found += check_marks(piece.shape.marks, wanted, piece.id, flatness)
        return found
    share = Share(strip=None, net=region(part.shape))
    return found + _check_grown(part, piece, share, wanted, flatness)


def _check_share(
    part: SheetPart, piece: SheetPiece, share: Share, flatness: float
) -> list[Finding]:
    image = image_of(part, piece.hand)
    net = mirrored(share.net) if image is Image.MIRRORED else share.net
    found = check_region(piece.net, net, piece.id)
    if found:
        return found
    found += check_points(piece.net, piece.id, flatness)
    wanted = marks_within(part.shape.marks, share.strip, image)
    found += check_marks(piece.net.marks, wanted, piece.id, flatness)
    if share.slopes:
        label = KINDS[part.joint.kind].mark if part.joint else ""
        slopes = [mirrored(s) if image is Image.MIRRORED else s for s in share.slopes]
        wanted = {**wanted, (label, MarkUse.JOINT): slopes}
    if part.allowance_mm > 0.0:
        return found + _check_grown(part, piece, share, wanted, flatness)
    found += check_region(piece.shape, net, piece.id)
    found += check_points(piece.shape, piece.id, flatness)
    return found + check_marks(piece.shape.marks, wanted, piece.id, flatness)


def _check_grown(
    part: SheetPart,
    piece: SheetPiece,
    share: Share,
    marks: dict[Named, list[LineString]],
    flatness: float,
) -> list[Finding]:
    """What is cut is the net and its allowance: no less, and hardly more round the corners."""
    image = image_of(part, piece.hand)
    solid = Polygon(rough(part.shape).exterior)
    holes = shapely.union_all([Polygon(h) for h in region(part.shape).interiors])
    least = solid.buffer(part.allowance_mm - VERIFY_MM, quad_segs=64)
    wide_mm = part.allowance_mm * (1.0 + ROUND_CORNER_SHARE) + flatness + ROUND_MM
    sharp = solid.buffer(wide_mm, join_style="mitre", mitre_limit=_MITRE)
    most = solid.buffer(wide_mm, quad_segs=64).union(sharp)
    whole: tuple[BaseGeometry, BaseGeometry]
    whole = Polygon(least.exterior), Polygon(shapely.get_exterior_ring(most))
    if share.strip is not None:
        whole = (whole[0].intersection(share.strip), whole[1].intersection(share.strip))
        holes = holes.intersection(share.strip)
    low, high = (a.difference(holes) for a in whole)
    if image is Image.MIRRORED:
        low, high = mirrored(low), mirrored(high)
    made = region(piece.shape)
    found: list[Finding] = []
    if not covered(low, made, VERIFY_MM) or not covered(made, high, VERIFY_MM):
        short = float(low.difference(made).area)
        over = float(made.difference(high).area)
        found.append(objection("VER-008", piece.id, short=f"{short:.1f}", over=f"{over:.1f}"))
    found += check_points(piece.shape, piece.id, flatness)
    marks = {**marks, _TRIM: [*marks.get(_TRIM, []), ring_mark(region(piece.net))]}
    return found + check_marks(piece.shape.marks, marks, piece.id, flatness)


def _shares(
    part: SheetPart, rule: JointRule, pieces: list[SheetPiece], joints: list[Joint]
) -> list[Share]:
    if part.width_along_mm is not None:
        return [
            Share(*band_share(part, rule, piece, joints, image_of(part, piece.hand)))
            for piece in pieces
        ]
    kind = KINDS[rule.kind]
    flat = affinity.affine_transform(rough(part.shape), _INTO[rule.axis])
    true = affinity.affine_transform(region(part.shape), _INTO[rule.axis])
    origin = flat.bounds[0]
    cuts = [kind.sides(flat, origin + j.at_mm, rule, part.thickness_mm) for j in joints]
    overlap = kind.overlap_mm(rule, part.thickness_mm)
    found = []
    for number in range(len(pieces)):
        strip = _strip(cuts, number)
        net = true.intersection(strip)
        slopes: list[LineString] = []
        if kind.mark:
            middles = [(j.at_mm, s) for j, s in _around(joints, number)]
            slopes = [
                LineString([(x, low), (x, high)])
                for at, side in middles
                for x in (origin + at + side * overlap / 2.0,)
                for low, high in stretches(flat.intersection(strip), x)
            ]
        back = _BACK[rule.axis]
        found.append(
            Share(
                strip=affinity.affine_transform(strip, back),
                net=affinity.affine_transform(net, back),
                slopes=tuple(affinity.affine_transform(s, back) for s in slopes),
            )
        )
    return found


def _strip(cuts: list[Sides], number: int) -> BaseGeometry:
    strip: BaseGeometry = shapely.box(-FAR_MM, -FAR_MM, FAR_MM, FAR_MM)
    if number > 0:
        strip = strip.intersection(cuts[number - 1].after)
    if number < len(cuts):
        strip = strip.intersection(cuts[number].before)
    return strip


def _around(joints: list[Joint], number: int) -> list[tuple[Joint, float]]:
    """A piece's joints, each with the side on which its slope begins."""
    near = [(joints[number - 1], 1.0)] if number > 0 else []
    far = [(joints[number], -1.0)] if number < len(joints) else []
    return near + far


def expected_line(
    part: SheetPart, rule: JointRule, at_mm: float
) -> tuple[tuple[float, float], ...]:
    """Return the ends of a joint's line across the part, in the drawing's frame. [mm]

    Parameters
    ----------
    at_mm
        Middle of the joint, along the part. [mm]
    """
    flat = affinity.affine_transform(rough(part.shape), _INTO[rule.axis])
    x = flat.bounds[0] + at_mm
    spans = stretches(flat, x)
    low, high = (spans[0][0], spans[-1][1]) if spans else (flat.bounds[1], flat.bounds[3])
    line = affinity.affine_transform(LineString([(x, low), (x, high)]), _BACK[rule.axis])
    return tuple((float(a), float(b)) for a, b in line.coords)
