"""Rules that can't all be kept: which ones collide.

Rules are left out one by one for as long as what remains still can't be kept; those that can't be
left out collide (a deletion filter, as for infeasible subsystems: J. Chinneck, E. Dravnieks, ORSA
Journal on Computing 3, 1991).  These are put aside and the rest is looked at again, so that several
collisions at once are all told.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from enum import Enum, auto

from nestcut.facts import Fact, Facts, Length, fact
from nestcut.joints.rules import JoinedPart, possible_numbers
from nestcut.model.joint import JointRule
from nestcut.tolerances.likeness import ANY_RUN_OUT
from nestcut.trade.joints import CLEAR_WOOD_OVERLAPS

MOST_JOINTS = 12
"""More joints than this in one part are not thought of."""

CanBeKept = Callable[[JointRule], bool]
"""Whether some positions keep all of a rule."""


class Grains(Enum):
    """Whether the run-out of the grain is one of the rules."""

    COUNT = auto()
    ARE_FREE = auto()


class _Kind(Enum):
    """Kinds of rules."""

    KEEP = auto()
    STAGGER = auto()
    LEAST = auto()
    MOST = auto()
    GRAIN = auto()


_Ref = tuple[_Kind, int]
"""One rule: its kind, and which stretch it is of those to keep clear of."""


def colliding_rules(part: JoinedPart, longest_mm: float) -> tuple[Fact, ...]:
    """Name the smallest sets of a rail's rules that can't be kept together; empty if all can.

    The stock's longest piece always counts as one of each set.
    """

    def can_be_kept(rule: JointRule) -> bool:
        return bool(possible_numbers(replace(part, rule=rule), longest_mm, MOST_JOINTS))

    # How far twins lie apart is judged with both of them, not here.
    rule = replace(part.rule, stagger_mm=0.0)
    if can_be_kept(rule):
        return ()
    sets = collisions(rule, can_be_kept)
    clear = Length(CLEAR_WOOD_OVERLAPS.value * part.overlap_mm)
    is_near = can_be_kept(replace(rule, at_mm=()))
    wood = (fact("JNT-224", clear=clear),) if is_near else ()
    return (*sets, *wood, fact("JNT-207", length=Length(longest_mm)))


def collisions(
    rule: JointRule, can_be_kept: CanBeKept, grains: Grains = Grains.ARE_FREE
) -> tuple[Fact, ...]:
    """Return one fact for each smallest set of rules that can't be kept together.

    Parameters
    ----------
    rule
        What the builder asks for.
    can_be_kept
        Tells it of any part of the rule.
    grains
        Whether the run-out of the grain is one of the rules.
    """
    left = _refs(rule, grains)
    found: list[Fact] = []
    while left and not can_be_kept(_with_only(rule, left, grains)):
        kept = list(left)
        for ref in left:
            trial = [k for k in kept if k != ref]
            if not can_be_kept(_with_only(rule, trial, grains)):
                kept = trial
        if not kept:
            break
        found.append(fact("JNT-206", rules=Facts(tuple(_said(rule, ref) for ref in kept))))
        left = [ref for ref in left if ref not in kept]
    return tuple(found)


def _refs(rule: JointRule, grains: Grains) -> list[_Ref]:
    """Return every rule that the builder has given, in the order in which they are left out."""
    found: list[_Ref] = [(_Kind.KEEP, k) for k in range(len(rule.keep_clear))]
    found += [(_Kind.STAGGER, 0)] * (rule.stagger_mm > 0.0)
    found += [(_Kind.LEAST, 0)] * (rule.min_piece_mm > 0.0)
    found += [(_Kind.MOST, 0)] * (rule.max_joints is not None)
    return found + [(_Kind.GRAIN, 0)] * (grains is Grains.COUNT)


def _with_only(rule: JointRule, refs: list[_Ref], grains: Grains) -> JointRule:
    kinds = {kind for kind, _ in refs}
    zones = tuple(z for k, z in enumerate(rule.keep_clear) if (_Kind.KEEP, k) in refs)
    return replace(
        rule,
        keep_clear=zones,
        min_piece_mm=rule.min_piece_mm if _Kind.LEAST in kinds else 0.0,
        max_joints=rule.max_joints if _Kind.MOST in kinds else None,
        stagger_mm=rule.stagger_mm if _Kind.STAGGER in kinds else 0.0,
        run_out=rule.run_out if _Kind.GRAIN in kinds or grains is Grains.ARE_FREE else ANY_RUN_OUT,
    )


def _said(rule: JointRule, ref: _Ref) -> Fact:
    match ref:
        case (_Kind.LEAST, _):
            return fact("JNT-201", least=Length(rule.min_piece_mm))
        case (_Kind.MOST, _):
            return fact("JNT-202", most=rule.max_joints or 0)
        case (_Kind.STAGGER, _):
            return fact("JNT-203", least=Length(rule.stagger_mm))
        case (_Kind.GRAIN, _):
            return fact("JNT-204", run=rule.run_out)
        case (_, k):
            zone = rule.keep_clear[k]
            begin, end = Length(zone.from_mm), Length(zone.to_mm)
            return fact("JNT-205", reason=zone.reason, begin=begin, end=end)
