"""Joints, slopes and worked faces that go together, and are untrue."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from nestcut.model.job import Job
from nestcut.model.joint import JointRule, Word
from nestcut.model.plan import Plan
from tests.damage.changes import G, damage, rule_changed, turned_faces


@damage
def slope_halved_with_lengths(job: Job, plan: Plan) -> Iterator[Plan]:
    yield from rule_changed(job, plan, lambda r: replace(r, slope=r.slope / 2.0))


@damage
def slope_a_tenth_less_with_lengths(job: Job, plan: Plan) -> Iterator[Plan]:
    yield from rule_changed(job, plan, lambda r: replace(r, slope=r.slope * 0.9))


@damage
def given_joints_moved_60_mm(job: Job, plan: Plan) -> Iterator[Plan]:
    def moved(rule: JointRule) -> JointRule:
        return replace(rule, at_mm=None if rule.at_mm is None else
                       tuple(x + 60.0 for x in rule.at_mm))  # fmt: skip

    yield from rule_changed(job, plan, moved)


@damage
def other_faces_planed(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    turned = turned_faces(plan)
    if turned != plan:
        yield turned


@damage
def both_pieces_planed_alike(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, joint in enumerate(plan.joints):
        if joint.planed[0] is None:
            continue
        second = joint.pieces[1]

        def same(piece: G, joint: str = joint.id, face: object = joint.planed[0]) -> G:
            ends = tuple(
                replace(e, planed=face) if e.joint == joint else e  # type: ignore[arg-type]
                for e in piece.ends
            )
            return replace(piece, ends=ends)

        joints = list(plan.joints)
        joints[k] = replace(joint, planed=(joint.planed[0], joint.planed[0]))
        yield replace(
            plan,
            joints=tuple(joints),
            pieces=tuple(same(p) if p.id == second else p for p in plan.pieces),
            rail_pieces=tuple(same(p) if p.id == second else p for p in plan.rail_pieces),
        )
        return


@damage
def the_other_word(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    other = {Word.GIVEN: Word.CHOSEN, Word.CHOSEN: Word.GIVEN}
    if plan.joints:
        yield replace(plan, joints=tuple(replace(j, word=other[j.word]) for j in plan.joints))


@damage
def weak_joint_hidden_or_made_up(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    if plan.joints:
        yield replace(plan, joints=tuple(replace(j, is_weak=not j.is_weak) for j in plan.joints))


@damage
def the_standing_of_another(job: Job, plan: Plan) -> Iterator[Plan]:
    """What one joint says of the rules and of its ends is said of another."""
    del job
    for k, joint in enumerate(plan.joints):
        other = plan.joints[k - 1]
        told = replace(joint, standings=other.standings, distances=other.distances)
        if told != joint:
            yield replace(plan, joints=(*plan.joints[:k], told, *plan.joints[k + 1 :]))
            return


@damage
def one_rule_fewer_told(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, joint in enumerate(plan.joints):
        if joint.standings:
            told = replace(joint, standings=joint.standings[1:])
            yield replace(plan, joints=(*plan.joints[:k], told, *plan.joints[k + 1 :]))
            return
