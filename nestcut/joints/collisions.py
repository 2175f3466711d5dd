"""Rules that can't all be kept: which ones collide, in the builder's words.

Rules are left out one by one for as long as what remains still can't be kept; those that can't be
left out collide (a deletion filter, as for infeasible subsystems: J. Chinneck, E. Dravnieks, ORSA
Journal on Computing 3, 1991).  These are put aside and the rest is looked at again, so that several
collisions at once are all told.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from nestcut.joints.rules import JoinedPart, possible_numbers
from nestcut.model.joint import JointRule

MOST_JOINTS = 12
"""More joints than this in one part are not thought of."""

CanBeKept = Callable[[JointRule], bool]
"""Whether some positions keep all of a rule."""

_LEAST, _MOST, _STAGGER, _GRAIN = "least", "most", "stagger", "grain"


def colliding_rules(part: JoinedPart, longest_mm: float) -> tuple[str, ...]:
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
    return (*sets, f"the longest piece that the stock gives is {longest_mm:.0f} mm")


def collisions(
    rule: JointRule, can_be_kept: CanBeKept, *, grain_counts: bool = False
) -> tuple[str, ...]:
    """Return one line for each smallest set of rules that can't be kept together.

    Parameters
    ----------
    rule
        What the builder asks for.
    can_be_kept
        Tells it of any part of the rule.
    grain_counts
        Whether the run-out of the grain is one of the rules.
    """
    left = _names(rule, grain_counts=grain_counts)
    found: list[str] = []
    while left and not can_be_kept(_with_only(rule, left, grain_counts=grain_counts)):
        kept = list(left)
        for name in left:
            trial = [k for k in kept if k != name]
            if not can_be_kept(_with_only(rule, trial, grain_counts=grain_counts)):
                kept = trial
        if not kept:
            break
        found.append(" together with ".join(_words(rule, name) for name in kept))
        left = [name for name in left if name not in kept]
    return tuple(found)


def _names(rule: JointRule, *, grain_counts: bool) -> list[str]:
    """Short names of the rules: "keep 0", "keep 1", "least", "most", "stagger", "grain"."""
    found = [f"keep {k}" for k in range(len(rule.keep_clear))]
    found += [_STAGGER] * (rule.stagger_mm > 0.0)
    found += [_LEAST] * (rule.min_piece_mm > 0.0)
    found += [_MOST] * (rule.max_joints is not None)
    return found + [_GRAIN] * grain_counts


def _with_only(rule: JointRule, names: list[str], *, grain_counts: bool) -> JointRule:
    zones = tuple(z for k, z in enumerate(rule.keep_clear) if f"keep {k}" in names)
    return replace(
        rule,
        keep_clear=zones,
        min_piece_mm=rule.min_piece_mm if _LEAST in names else 0.0,
        max_joints=rule.max_joints if _MOST in names else None,
        stagger_mm=rule.stagger_mm if _STAGGER in names else 0.0,
        run_out=rule.run_out if _GRAIN in names or not grain_counts else _ANY_RUN_OUT,
    )


_ANY_RUN_OUT = 1e-3
"""Grain that may run out as it likes. [-]"""


def _words(rule: JointRule, name: str) -> str:
    if name == _LEAST:
        return f"no piece is shorter than {rule.min_piece_mm:.0f} mm"
    if name == _MOST:
        return "at most 1 joint" if rule.max_joints == 1 else f"at most {rule.max_joints} joints"
    if name == _STAGGER:
        return f"joints {rule.stagger_mm:.0f} mm from those of the twin"
    if name == _GRAIN:
        return f"grain runs out 1 in {rule.run_out:g} at most"
    zone = rule.keep_clear[int(name.split()[1])]
    return f"no joint in '{zone.reason}', {zone.from_mm:.0f} to {zone.to_mm:.0f} mm"
