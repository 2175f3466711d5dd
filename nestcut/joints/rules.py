"""The builder's rules about joints: what is allowed, what is broken, and why that matters.

Pure evaluation: positions come in, allowed stretches and findings come out.  A position is the
middle of a joint's overlap (``at_mm``) from the part's reference end, and a joint takes the whole
of its overlap, so all of that keeps clear of a keep-clear stretch.  Distances between joints are
measured from middle to middle.

Sources: no splice under a fitting, and fittings overlap no part of a splice, FAA AC 43.13-1B para
1-40; butts of adjacent planks three frame spaces or 5 ft apart, US Army TB 55-1900-201-45/1 para
2-13; three splice lengths of clear wood between splices of a spar, the same AC; port and starboard
not abreast, Lloyd's composite rules of 1891, section 7; a shortest plank
of 5 ft, the same TB.  Least pieces and most joints of small rails: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Length, Value
from nestcut.joints.arithmetic import clear_distance_mm
from nestcut.model.joint import JointRule
from nestcut.tolerances import SAME_LENGTH_MM, VERIFY_MM
from nestcut.trade.joints import CLEAR_WOOD_OVERLAPS

Interval = tuple[float, float]
"""Least and greatest position. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinedPart:
    """What the rules need to know of a part.

    Parameters
    ----------
    name
        As the builder calls it.
    length_mm
        Finished length along the part. [mm]
    overlap_mm
        What two pieces share at a joint. [mm]
    rule
        The builder's rule.
    allowance_mm
        Left long at each end; belongs to the end pieces. [mm]
    reach_mm
        How far a strap or keys reach to either side of the joint's line. [mm]
    """

    name: str
    length_mm: float
    overlap_mm: float
    rule: JointRule
    allowance_mm: float = 0.0
    reach_mm: float = 0.0

    @property
    def taken_mm(self) -> float:
        """What a joint takes of the part, its strap or keys included. [mm]"""
        return max(self.overlap_mm, 2.0 * self.reach_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbour:
    """A part whose joints must not lie abreast, with the positions of its joints. [mm]"""

    name: str
    at_mm: tuple[float, ...]


def allowed_positions(part: JoinedPart) -> tuple[Interval, ...]:
    """Stretches in which the middle of a joint may lie, rising.

    The overlap lies wholly on the part and clear of every keep-clear stretch, and the end pieces
    are no shorter than the least piece.
    """
    half = part.overlap_mm / 2.0
    least = part.rule.min_piece_mm
    low = max(half, least - half - part.allowance_mm)
    free: list[Interval] = [(low, part.length_mm - low)]
    for zone in part.rule.keep_clear:
        begin, end = zone.from_mm - half, zone.to_mm + half
        cut: list[Interval] = []
        for a, b in free:
            if b <= begin or a >= end:
                cut.append((a, b))
                continue
            cut += [(a, begin)] * (a <= begin) + [(end, b)] * (end <= b)
        free = cut
    return tuple(sorted((a, b) for a, b in free if a <= b))


def least_inner_piece_mm(part: JoinedPart) -> float:
    """Return the least length of a piece between two joints, both overlaps included. [mm]

    Places that the builder gives are theirs; between joints that the search chooses lies as much
    clear wood as between the splices of a spar.
    """
    clear = CLEAR_WOOD_OVERLAPS.value if part.rule.at_mm is None else 0.0
    return max(part.rule.min_piece_mm, (2.0 + clear) * part.overlap_mm)


def check_positions(
    part: JoinedPart, at_mm: Sequence[float], neighbours: Sequence[Neighbour] = ()
) -> tuple[Finding, ...]:
    """Hold positions against the part's rules; every rule broken is a finding that says why.

    Parameters
    ----------
    part
        The part and its rule.
    at_mm
        Positions of its joints, rising. [mm]
    neighbours
        Its twin, and the parts it is to be staggered with.
    """
    found = [*_on_the_part(part, at_mm), *_clear(part, at_mm), *_pieces(part, at_mm)]
    most = part.rule.max_joints
    if most is not None and len(at_mm) > most:
        found.append(_broken("JNT-004", part, has=len(at_mm), most=most))
    return (*found, *spacing(part, at_mm), *_stagger(part, at_mm, neighbours))


def _broken(code: str, part: JoinedPart, **values: Value) -> Finding:
    return _about(part, finding(code, Severity.WARNING, part.name, **values))


def _about(part: JoinedPart, found: Finding) -> Finding:
    return replace(found, about=part.name)


def _on_the_part(part: JoinedPart, at_mm: Sequence[float]) -> list[Finding]:
    half = part.overlap_mm / 2.0
    return [
        _broken(
            "JNT-001",
            part,
            at=Length(at),
            half=Length(half),
            least=Length(half),
            most=Length(part.length_mm - half),
        )
        for at in at_mm
        if at < half - VERIFY_MM or at > part.length_mm - half + VERIFY_MM
    ]


def _clear(part: JoinedPart, at_mm: Sequence[float]) -> list[Finding]:
    found = []
    for at in at_mm:
        for zone in part.rule.keep_clear:
            gap = clear_distance_mm(at, part.taken_mm, zone.from_mm, zone.to_mm)
            if gap < -VERIFY_MM:
                found.append(
                    _broken(
                        "JNT-002",
                        part,
                        at=Length(at),
                        by=Length(-gap),
                        zone=zone.reason,
                        begin=Length(zone.from_mm),
                        end=Length(zone.to_mm),
                    )
                )
    return found


def _pieces(part: JoinedPart, at_mm: Sequence[float]) -> list[Finding]:
    half = part.overlap_mm / 2.0
    starts = [-part.allowance_mm, *(at - half for at in at_mm)]
    stops = [*(at + half for at in at_mm), part.length_mm + part.allowance_mm]
    found = []
    if at_mm:
        found += [
            _broken(
                "JNT-003",
                part,
                number=k,
                length=Length(b - a),
                least=Length(part.rule.min_piece_mm),
            )
            for k, (a, b) in enumerate(zip(starts, stops, strict=True), start=1)
            if b - a < part.rule.min_piece_mm - VERIFY_MM
        ]
    found += [
        _broken("JNT-005", part, one=Length(a), other=Length(b), need=Length(part.taken_mm))
        for a, b in pairwise(at_mm)
        if b - a < part.taken_mm - VERIFY_MM
    ]
    return found


def spacing(part: JoinedPart, at_mm: Sequence[float]) -> list[Finding]:
    """Note joints with less clear wood between them than spars are asked to have."""
    wanted = CLEAR_WOOD_OVERLAPS.value * part.taken_mm
    return [
        _about(
            part,
            finding(
                "JNT-007",
                Severity.NOTE,
                part.name,
                one=Length(a),
                other=Length(b),
                gap=Length(max(gap, 0.0)),
                wanted=Length(wanted),
            ),
        )
        for a, b in pairwise(at_mm)
        if -VERIFY_MM <= (gap := b - a - part.taken_mm) < wanted - VERIFY_MM
    ]


def _stagger(
    part: JoinedPart, at_mm: Sequence[float], neighbours: Sequence[Neighbour]
) -> list[Finding]:
    least = part.rule.stagger_mm
    return [
        _broken(
            "JNT-006",
            part,
            at=Length(at),
            apart=Length(abs(at - other)),
            other=near.name,
            least=Length(least),
        )
        for at in at_mm
        for near in neighbours
        for other in near.at_mm
        if abs(at - other) < least - VERIFY_MM
    ]


def distances(
    part: JoinedPart, at_mm: float, neighbours: Sequence[Neighbour] = ()
) -> tuple[tuple[str, float], ...]:
    """Distances from a joint to every keep-clear stretch and staggered neighbour. [mm]

    To a stretch: from the overlap's nearer end, negative by how much it reaches in. To a
    neighbour: from middle to middle of the nearest joint.

    Parameters
    ----------
    at_mm
        Middle of the joint, along the part. [mm]
    """
    found = [
        (z.reason, clear_distance_mm(at_mm, part.taken_mm, z.from_mm, z.to_mm))
        for z in part.rule.keep_clear
    ]
    if part.rule.stagger_mm > 0.0:
        found += [(n.name, min(abs(at_mm - x) for x in n.at_mm)) for n in neighbours if n.at_mm]
    return tuple(found)


def possible_numbers(part: JoinedPart, longest_mm: float, most: int) -> tuple[int, ...]:
    """Numbers of joints, up to ``most``, for which some positions obey all rules of this part.

    Positions that ``k`` joints can reach are unions of intervals, so this is exact.

    Parameters
    ----------
    longest_mm
        Longest piece that the stock gives. [mm]
    most
        Largest number of joints of interest.
    """
    half = part.overlap_mm / 2.0
    least = least_inner_piece_mm(part)
    allowed = allowed_positions(part)
    whole = part.length_mm + 2.0 * part.allowance_mm
    found = [0] if whole <= longest_mm + SAME_LENGTH_MM else []
    reach = _meet(allowed, ((-part.allowance_mm, longest_mm - half - part.allowance_mm),))
    last = part.length_mm + part.allowance_mm + half - longest_mm
    if part.rule.max_joints is not None:
        most = min(most, part.rule.max_joints)
    for k in range(1, most + 1):
        if not reach:
            break
        if any(b >= last - SAME_LENGTH_MM for _, b in reach):
            found.append(k)
        step = (least - part.overlap_mm, longest_mm - part.overlap_mm)
        if step[1] < step[0] - SAME_LENGTH_MM:
            break
        reach = _meet(allowed, _union(tuple((a + step[0], b + step[1]) for a, b in reach)))
    return tuple(found)


def _meet(some: Sequence[Interval], others: Sequence[Interval]) -> tuple[Interval, ...]:
    """Intersection of two unions of intervals; touching within float noise counts."""
    found = []
    for a, b in some:
        for c, d in others:
            low, high = max(a, c), min(b, d)
            if low <= high + SAME_LENGTH_MM:
                found.append((low, max(low, high)))
    return _union(tuple(found))


def _union(intervals: Sequence[Interval]) -> tuple[Interval, ...]:
    """Intervals put together where they touch, rising."""
    found: list[Interval] = []
    for a, b in sorted(intervals):
        if found and a <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], b))
        else:
            found.append((a, b))
    return tuple(found)
