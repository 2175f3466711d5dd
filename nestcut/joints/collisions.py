"""Rules that can't all be kept: which ones collide, in the builder's words."""

from __future__ import annotations

from dataclasses import replace

from nestcut.joints.rules import JoinedPart, possible_numbers

MOST_JOINTS = 12
"""More joints than this in one part are not thought of."""


def colliding_rules(part: JoinedPart, longest_mm: float) -> tuple[str, ...]:
    """Name a smallest set of rules that can't be kept together; empty if they can.

    Rules are left out one by one for as long as what remains still can't be kept; those that can't
    be left out collide (a deletion filter).  The stock's longest piece always counts as one.
    """
    if possible_numbers(part, longest_mm, MOST_JOINTS):
        return ()
    kept = _rules(part)
    for name in tuple(kept):
        trial = [k for k in kept if k != name]
        if not possible_numbers(_with_only(part, trial), longest_mm, MOST_JOINTS):
            kept = trial
    words = [_words(part, name) for name in kept]
    return (*words, f"the longest piece that the stock gives is {longest_mm:.0f} mm")


def _rules(part: JoinedPart) -> list[str]:
    """Short names of the part's rules: "keep 0", "keep 1", "least", "most"."""
    rule = part.rule
    found = [f"keep {k}" for k in range(len(rule.keep_clear))]
    if rule.min_piece_mm > 0.0:
        found.append("least")
    if rule.max_joints is not None:
        found.append("most")
    return found


def _with_only(part: JoinedPart, names: list[str]) -> JoinedPart:
    rule = part.rule
    zones = tuple(z for k, z in enumerate(rule.keep_clear) if f"keep {k}" in names)
    least = rule.min_piece_mm if "least" in names else 0.0
    most = rule.max_joints if "most" in names else None
    return replace(part, rule=replace(rule, keep_clear=zones, min_piece_mm=least, max_joints=most))


def _words(part: JoinedPart, name: str) -> str:
    rule = part.rule
    if name == "least":
        return f"no piece is shorter than {rule.min_piece_mm:.0f} mm"
    if name == "most":
        return f"at most {rule.max_joints} joints"
    zone = rule.keep_clear[int(name.split()[1])]
    return f"no joint in '{zone.reason}', {zone.from_mm:.0f} to {zone.to_mm:.0f} mm"
