"""What the choice of joints comes to, as facts; :mod:`nestcut.words.codes.planning` says them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import Enum, auto
from itertools import pairwise

from nestcut.boards import BoardsOutcome, JointWay, RailComparison
from nestcut.facts import Area, Fact, Facts, Length, Lengths, Money, fact
from nestcut.joints.offers import Choice, FromWidth, KeptBack, Offer
from nestcut.model.part import CutFrom, Hand
from nestcut.model.plan import Counted
from nestcut.planning.free_joints import ChosenJoints
from nestcut.planning.trials import Worth


class Prices(Enum):
    """Whether all stock on sale has a price; where some hasn't, no money is spoken of."""

    KNOWN = auto()
    UNKNOWN = auto()


Label = str | Fact
"""Whose joints: a part, boards by name, or a material with its thickness."""


def only_way(offer: Offer, prices: Prices) -> tuple[Fact, ...]:
    """Say where joints lie that nothing else comes into question for."""
    code = "JNT-303" if offer.widths else "JNT-302"
    places = fact(code, part=offer.part.name, places=_places(offer.choices[0]))
    return (*widths_told(offer, prices), places)


def choice_told(
    chosen: ChosenJoints,
    label: Fact,
    prices: Prices,
) -> tuple[Fact, ...]:
    """Say what was chosen, from how much, and what equal stretches would have been."""
    notes = [told for offer in chosen.offers for told in widths_told(offer, prices)]
    for offer, (name, choice) in zip(chosen.offers, chosen.choices, strict=True):
        twin = Hand.PORT if offer.part.drawn is Hand.STARBOARD else Hand.STARBOARD
        places = _places(choice)
        if choice.twin_at_mm is not None:
            places = fact(
                "JNT-307",
                hand=offer.part.drawn.value,
                own=places,
                twin=twin.value,
                theirs=_places(Choice(at_mm=choice.twin_at_mm)),
            )
        if chosen.n_trials <= 1:
            notes.append(fact("JNT-313", part=name, places=places))
            continue
        notes.append(fact("JNT-301", part=name, places=places, tried=len(offer.choices)))
        notes += _most_looked_at(offer)
    if chosen.n_trials <= 1:
        return tuple(notes)
    if chosen.equal_worth is None:
        notes.append(_of(label, fact("JNT-321", trials=chosen.n_trials)))
    else:
        free, equal = (_worth(w, prices) for w in (chosen.worth, chosen.equal_worth))
        compared = fact("JNT-322", free=free, equal=equal, trials=chosen.n_trials)
        notes.append(_of(label, compared))
    return (*notes, *_ways_tried(chosen, label)) if prices is Prices.KNOWN else tuple(notes)


def _of(label: Label, what: Fact) -> Fact:
    return fact("JNT-311", whose=label, what=what)


def _ways_tried(chosen: ChosenJoints, label: Fact) -> tuple[Fact, ...]:
    """Say what other numbers of joints would cost; where nothing, that more saved nothing."""
    if len(chosen.ways) > 1:
        return (_of(label, _in_all(chosen.ways)),)
    if chosen.most_joints > chosen.ways[0].joints:
        return (_of(label, fact("JNT-341", most=chosen.most_joints)),)
    return ()


def _most_looked_at(offer: Offer) -> tuple[Fact, ...]:
    """Say how many joints were thought of, where the builder named no most."""
    rule = offer.part.joint
    if rule is None or rule.max_joints is not None or offer.widths or not offer.most_joints:
        return ()
    return (_of(offer.part.name, fact("JNT-308", most=offer.most_joints)),)


def widths_told(offer: Offer, prices: Prices) -> tuple[Fact, ...]:
    """Say what a band comes to from boards of each width, and what changes between them."""
    stock = fact("JNT-362" if offer.part.cut_from is CutFrom.BOARD else "JNT-363")
    rows = [_width_row(offer, row, stock, prices) for row in offer.widths]
    if len(offer.widths) > 1:
        rows.append(_of(offer.part.name, _what_changes(offer.widths, stock, prices)))
    return tuple(rows)


def _width_row(offer: Offer, row: FromWidth, stock: Fact, prices: Prices) -> Fact:
    told = [fact("JNT-364")]
    if row.pieces_mm:
        n, lengths = len(row.pieces_mm), Lengths(row.pieces_mm)
        told = [fact("JNT-365", n=n, lengths=lengths)]
        if row.cost_minor is not None and prices is Prices.KNOWN:
            told.append(fact("JNT-366", cost=Money(row.cost_minor)))
        if offer.part.cut_from is CutFrom.BOARD:
            told.append(fact("JNT-367", run=round(row.run_out, 1)))
        if row.kept_back:
            told.append(fact("JNT-368", limits=_limits(row)))
    width = Length(row.width_mm)
    return fact("JNT-361", part=offer.part.name, stock=stock, width=width, told=Facts(tuple(told)))


_LIMITS = {
    KeptBack.GRAIN: fact("JNT-369"),
    KeptBack.WIDTH: fact("JNT-370"),
    KeptBack.LENGTH: fact("JNT-371"),
}


def _limits(row: FromWidth) -> Facts:
    return Facts(tuple(_LIMITS[k] for k in row.kept_back))


def _what_changes(widths: tuple[FromWidth, ...], stock: Fact, prices: Prices) -> Fact:
    """Say in plain words what wider stock changes, and why."""
    told: list[Fact] = []
    for narrow, wide in pairwise(widths):
        step = _step(narrow, wide, prices)
        if step is not None:
            told.append(fact("JNT-373", width=Length(wide.width_mm), step=step))
    able = [w for w in widths if w.pieces_mm]
    if not told and able[0].kept_back:
        told.append(fact("JNT-375", stock=stock, limits=_limits(able[0])))
    elif not told:
        told.append(fact("JNT-376", stock=stock))
    costs = [w for w in able if w.cost_minor is not None]
    if costs and prices is Prices.KNOWN:
        best = min(costs, key=lambda w: (w.cost_minor or 0.0, w.width_mm))
        told.append(fact("JNT-377", width=Length(best.width_mm)))
    return fact("JNT-372", changes=Facts(tuple(told)))


def _step(narrow: FromWidth, wide: FromWidth, prices: Prices) -> Fact | None:
    """What the step from one width to the next changes; None: no number of pieces."""
    if not wide.pieces_mm:
        return None
    if not narrow.pieces_mm:
        return fact("JNT-378", n=len(wide.pieces_mm))
    if len(narrow.pieces_mm) <= len(wide.pieces_mm):
        return None
    why = fact("JNT-382")
    if KeptBack.WIDTH not in narrow.kept_back:
        why = fact("JNT-383" if KeptBack.LENGTH in narrow.kept_back else "JNT-384")
    step = fact("JNT-379", n=len(wide.pieces_mm), before=len(narrow.pieces_mm), why=why)
    if narrow.cost_minor is None or wide.cost_minor is None or prices is Prices.UNKNOWN:
        return step
    extra = wide.cost_minor - narrow.cost_minor
    if extra > 0:
        return fact("JNT-380", step=step, extra=Money(extra))
    return fact("JNT-381", step=step, saved=Money(-extra))


def _worth(worth: Worth, prices: Prices) -> Facts:
    told = [fact("JNT-323", n=worth.n_sheets)]
    if prices is Prices.KNOWN:
        told.append(fact("JNT-324", cost=Money(worth.cost_minor)))
    if worth.n_unplaced:
        told.append(fact("JNT-325", n=worth.n_unplaced))
    return Facts((*told, fact("JNT-326", area=Area(-worth.spare_mm2))))


def _places(choice: Choice) -> Fact:
    if not choice.at_mm:
        return fact("JNT-304")
    return fact("JNT-305" if len(choice.at_mm) == 1 else "JNT-306", at=Lengths(choice.at_mm))


def equal_rails_told(compared: Iterable[RailComparison]) -> tuple[Fact, ...]:
    """Say what rails come to with free joints, and what in equal lengths."""
    return tuple(
        _of(
            c.group,
            fact(
                "JNT-328",
                free=_boards(c, c.boards, c.cost),
                equal=_boards(c, c.equal_boards, c.equal_cost),
            ),
        )
        for c in compared
    )


def _boards(compared: RailComparison, number: int, cost: float) -> Fact:
    if compared.measure is Counted.MONEY:
        return fact("JNT-330", n=number, cost=Money(cost))
    return fact("JNT-329", n=number)


def rail_ways_told(rails: BoardsOutcome) -> tuple[Fact, ...]:
    """Say what rails cost with how many joints; nothing where no prices are known.

    Only where there was a choice: the plan as it is, and the others that were found.  Where the
    plan costs something else by now (packs), old prices stand beside nothing and are left out.
    """
    paid = {b.name: b.used for b in rails.bounds if b.measure is Counted.MONEY}
    ways = {name: [w for w in rails.joint_ways if w.name == name] for name in paid}
    return tuple(
        _of(name, _in_all(own))
        for name, own in ways.items()
        if len(own) > 1 and any(w.is_chosen and w.cost_minor == paid[name] for w in own)
    )


def _in_all(ways: Sequence[JointWay]) -> Fact:
    (kept,) = (w for w in ways if w.is_chosen)
    others = tuple(_way(w) for w in ways if not w.is_chosen)
    return fact("JNT-346", kept=_way(kept), others=Facts(others))


def _way(way: JointWay) -> Fact:
    return fact("JNT-347", cost=Money(way.cost_minor), joints=_joints(way.joints))


def _joints(number: int) -> Fact:
    return fact("JNT-310", n=number) if number else fact("JNT-309")
