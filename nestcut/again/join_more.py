"""Joints added to rails' pieces that no board is left for: all joints that there are stay."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from nestcut.again.shed_of_plan import boards_left, offers_of
from nestcut.boards import JointPreference, Rail, cut_boards, rests_of, single_rails
from nestcut.model.job import Job
from nestcut.model.joint import Joint, JointRule, KeepClear
from nestcut.model.part import RailPart
from nestcut.model.piece import RailPiece, piece_id
from nestcut.model.plan import Plan
from nestcut.search.settings import Deadline, Settings, Silent
from nestcut.trade.joints import CLEAR_WOOD_OVERLAPS


def more_joints(
    job: Job, plan: Plan, short: Iterable[RailPiece], settings: Settings, deadline: Deadline
) -> dict[str, tuple[float, ...]]:
    """Say where to divide pieces further, by the ids of the whole rails. [mm]

    Each piece is a rail of its own here, with its part's rule: stretches to keep clear moved
    along, the twin's and neighbours' joints kept at their distance, and so many joints as are left.
    Pieces whose rule gives the places, or allows no joint, are left out.
    """
    rails = {r.id: r for r in single_rails(job.rail_parts)}
    asked: dict[str, tuple[str, float]] = {}
    parts: list[RailPart] = []
    for piece in short:
        whole = piece_id(piece.part, piece.hand, piece.copy, 1, 1)
        rail = rails[whole]
        rule = rail.part.joint
        if rule is None or rule.at_mm is not None:
            continue
        before = rail.part.allowance_mm if piece.share == 1 else 0.0
        start = piece.from_mm - before
        asked[piece.id] = (whole, start)
        parts.append(
            RailPart(
                name=piece.id,
                material=piece.material,
                thickness_mm=piece.thickness_mm,
                width_mm=piece.width_mm,
                length_mm=piece.length_mm,
                planed_from_mm=piece.planed_from_mm,
                joint=_moved(rule, rail, plan, piece, start),
            )
        )
    if not parts:
        return {}
    outcome = cut_boards(
        tuple(parts),
        (
            *(r.stock for r in rests_of(job, plan.boards, offers_of(job, plan))),
            *boards_left(job, (*plan.boards, *plan.sheets)),
        ),
        job.cutting,
        JointPreference.CHEAPEST,
        settings,
        deadline,
        Silent(),
    )
    found: dict[str, tuple[float, ...]] = {}
    for joint in outcome.joints:
        whole, start = asked[joint.part]
        found[whole] = (*found.get(whole, ()), joint.at_mm + start)
    return found


def _moved(rule: JointRule, rail: Rail, plan: Plan, piece: RailPiece, start_mm: float) -> JointRule:
    """A part's rule for one of its pieces, with everything measured from the piece's start.

    Beside the joints that there are, clear wood is kept as between all joints of a rail.
    """
    half = rail.overlap_mm / 2.0
    mine = [j for j in plan.joints if _is_of(j, rail)]
    wood = (1.0 + CLEAR_WOOD_OVERLAPS.value) * rail.overlap_mm - half
    zones = [
        *(KeepClear(from_mm=j.at_mm - wood, to_mm=j.at_mm + wood, reason="joint") for j in mine),
        *rule.keep_clear,
        *(
            KeepClear(from_mm=at - reach, to_mm=at + reach, reason="joint abreast")
            for at, least in _abreast(rule, rail, plan)
            if (reach := max(0.0, least - half)) > 0.0
        ),
    ]
    return replace(
        rule,
        keep_clear=tuple(
            replace(z, from_mm=z.from_mm - start_mm, to_mm=z.to_mm - start_mm)
            for z in zones
            if z.to_mm > start_mm and z.from_mm < start_mm + piece.length_mm
        ),
        max_joints=None if rule.max_joints is None else max(0, rule.max_joints - len(mine)),
        stagger_mm=0.0,
        stagger_with=(),
    )


def _is_of(joint: Joint, rail: Rail) -> bool:
    hand = None if rail.hand is None else rail.hand.value
    return (joint.part, joint.hand, joint.copy) == (rail.part.name, hand, rail.copy)


def _abreast(rule: JointRule, rail: Rail, plan: Plan) -> list[tuple[float, float]]:
    """Places of joints that must be kept away from, and how far. [mm]"""
    hand = None if rail.hand is None else rail.hand.value
    near = []
    for joint in plan.joints:
        is_twin = joint.part == rail.part.name and joint.copy == rail.copy and joint.hand != hand
        is_neighbour = joint.part in rule.stagger_with and joint.hand in {hand, None}
        if (is_twin or is_neighbour) and rule.stagger_mm > 0.0:
            near.append((joint.at_mm, rule.stagger_mm))
    return near
