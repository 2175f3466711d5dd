"""Ways of damaging a plan, by name, and the small changes that they are made of.

Every figure that the file derives (outlines in the sheet's frame, areas, totals, the seal) is made
anew, so that nothing contradicts itself: only the job says otherwise.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import TypeVar

from nestcut.boards import Rail, divide_rail
from nestcut.joints.split import split_part
from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Point, Spline
from nestcut.model.job import Job
from nestcut.model.joint import Joint, JointRule
from nestcut.model.part import Hand, RailPart, SheetPart
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.plan import BoardLayout, Plan
from nestcut.model.shape import Ring, Shape

Damage = Callable[[Job, Plan], Iterator[Plan]]
DAMAGES: dict[str, Damage] = {}
G = TypeVar("G", SheetPiece, RailPiece)
_Rows = dict[tuple[str | None, int], list[float]]
"""Places of joints, copy by copy. [mm]"""


def damage(made: Damage) -> Damage:
    """Register a way of damaging a plan."""
    DAMAGES[made.__name__.replace("_", " ")] = made
    return made


def moved_curve(curve: Curve, by: Point) -> Curve:
    def at(p: Point) -> Point:
        return (p[0] + by[0], p[1] + by[1])

    match curve:
        case Line(start, end):
            return Line(at(start), at(end))
        case Arc(centre, radius, start_deg, sweep_deg):
            return Arc(at(centre), radius, start_deg, sweep_deg)
        case EllipticArc():
            return replace(curve, centre=at(curve.centre))
        case Spline():
            return replace(curve, control=tuple(map(at, curve.control)))


def moved_points(points: tuple[Point, ...], by: Point) -> tuple[Point, ...]:
    return tuple((x + by[0], y + by[1]) for x, y in points)


def moved_ring(ring: Ring, by: Point) -> Ring:
    curves = tuple(moved_curve(c, by) for c in ring.curves)
    return Ring(moved_points(ring.points, by), curves)


def with_shape(plan: Plan, piece: SheetPiece, change: Callable[[Shape], Shape]) -> Plan:
    """Change what is cut and its net alike."""
    changed = replace(piece, shape=change(piece.shape), net=change(piece.net))
    return with_pieces(plan, {piece.id: changed})


def with_pieces(plan: Plan, changed: dict[str, SheetPiece]) -> Plan:
    return replace(plan, pieces=tuple(changed.get(p.id, p) for p in plan.pieces))


def with_rails(plan: Plan, changed: dict[str, RailPiece]) -> Plan:
    """Change rail pieces, and cut them as long and as wide as they have become."""
    before = {p.id: p for p in plan.rail_pieces}

    def recut(board: BoardLayout) -> BoardLayout:
        cuts = []
        for cut in board.cuts:
            new, old = changed.get(cut.piece), before[cut.piece]
            if new is not None:
                is_flat = abs(cut.rip_to_mm - cut.rip_from_mm - old.width_mm) < 1e-6
                wide = new.width_mm if is_flat else new.thickness_mm
                cut = replace(  # noqa: PLW2901
                    cut, to_mm=cut.from_mm + new.length_mm, rip_to_mm=cut.rip_from_mm + wide
                )
            cuts.append(cut)
        return replace(board, cuts=tuple(cuts))

    return replace(
        plan,
        rail_pieces=tuple(changed.get(p.id, p) for p in plan.rail_pieces),
        boards=tuple(map(recut, plan.boards)),
    )


def rule_changed(job: Job, plan: Plan, change: Callable[[JointRule], JointRule]) -> Iterator[Plan]:
    """Divide every joined part anew by another rule, and put its pieces where they were."""
    parts: tuple[SheetPart | RailPart, ...] = (*job.sheet_parts, *job.rail_parts)
    for part in parts:
        own = [j for j in plan.joints if j.part == part.name]
        if part.joint is None or not own or getattr(part, "width_along_mm", None) is not None:
            continue
        other = replace(part, joint=change(part.joint))
        if other == part:
            continue
        rows: _Rows = {}
        for joint in own:
            rows.setdefault((joint.hand, joint.copy), []).append(joint.at_mm)
        if isinstance(other, RailPart):
            yield _rails_divided(plan, other, rows)
        else:
            yield _panel_divided(plan, other, rows)


def _rails_divided(plan: Plan, part: RailPart, rows: _Rows) -> Plan:
    pieces: dict[str, RailPiece] = {}
    joints: list[Joint] = []
    for (hand, copy), at in rows.items():
        given = part.joint.at_mm if part.joint else None
        rail = Rail(part=part, hand=None if hand is None else Hand(hand), copy=copy)
        made, new = divide_rail(rail, given or tuple(at))
        pieces |= {p.id: p for p in made}
        joints += new
    return _with_joints(with_rails(plan, pieces), joints)


def _panel_divided(plan: Plan, part: SheetPart, rows: _Rows) -> Plan:
    given = part.joint.at_mm if part.joint else None
    split = split_part(part, given or tuple(next(iter(rows.values()))))
    return _with_joints(with_pieces(plan, {p.id: p for p in split.pieces}), split.joints)


def _with_joints(plan: Plan, joints: Iterable[Joint]) -> Plan:
    """Put joints in place of those of the same names; how they stand to rules stays."""
    made = {j.id: j for j in joints}

    def changed(old: Joint) -> Joint:
        new = made.get(old.id, old)
        return replace(new, standings=old.standings, distances=old.distances)

    return replace(plan, joints=tuple(map(changed, plan.joints)))


def turned_faces(plan: Plan) -> Plan:
    joints = {j.id: j for j in plan.joints}

    def turned(piece: G) -> G:
        ends = tuple(
            replace(e, planed=joints[e.joint].planed[1 - joints[e.joint].pieces.index(piece.id)])
            for e in piece.ends
        )
        return replace(piece, ends=ends)

    return replace(
        plan,
        pieces=tuple(map(turned, plan.pieces)),
        rail_pieces=tuple(map(turned, plan.rail_pieces)),
        joints=tuple(replace(j, planed=(j.planed[1], j.planed[0])) for j in plan.joints),
    )
