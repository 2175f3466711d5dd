"""How good a plan is for one material, in a sentence."""

from __future__ import annotations

from nestcut.facts import Value, fact
from nestcut.model.plan import Bound, Counted
from nestcut.words.sentences import tell_fact
from nestcut.words.speech import Speech

_AMOUNTS = {Counted.MONEY, Counted.MONEY_IN_ALL, Counted.WOOD}


def bound_line(bound: Bound, speech: Speech) -> str:
    """Say what a plan takes of one material, and what no plan can undercut."""
    name: Value = bound.name if bound.said is None else bound.said
    fewer = fact("PLN-121" if bound.measure in _AMOUNTS else "PLN-122")
    told: dict[str, Value] = {"name": name, "used": bound.used_told, "fewer": fewer}
    if bound.is_proven_optimal and bound.reason is not None:
        return tell_fact(fact("PLN-101", **told, reason=bound.reason), speech)
    if bound.is_proven_optimal:
        return tell_fact(fact("PLN-102", **told), speech)
    if bound.lower <= 0.0 and bound.reason is not None:
        return tell_fact(fact("PLN-106", **told, reason=bound.reason), speech)
    if bound.lower <= 0.0:
        return tell_fact(fact("PLN-103", **told), speech)
    told["least"] = bound.lower_told
    if bound.reason is None:
        return tell_fact(fact("PLN-104", **told), speech)
    return tell_fact(fact("PLN-105", **told, gap=bound.gap_told, reason=bound.reason), speech)
