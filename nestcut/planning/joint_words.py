"""What the choice of joints comes to, in words and in the builder's own units."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from nestcut.boards.outcome import BoardsOutcome, JointPrice
from nestcut.joints.candidates import Choice, FromWidth, KeptBack, Offer
from nestcut.model.part import CutFrom, Hand
from nestcut.planning.equal_rails import RailComparison
from nestcut.planning.free_joints import ChosenJoints
from nestcut.planning.trials import Worth
from nestcut.units import LengthStyle, format_length, format_size


@dataclass(frozen=True, slots=True, kw_only=True)
class Speech:
    """How lengths and money are said; ``has_prices`` False: no word of money."""

    style: LengthStyle
    fraction: int
    currency: str = ""
    has_prices: bool = True

    def length(self, length_mm: float) -> str:
        """A length with its unit."""
        return format_length(length_mm, self.style, self.fraction)

    def lengths(self, lengths_mm: Iterable[float]) -> str:
        """Lengths in a row, with the unit once."""
        row = ", ".join(format_size(x, self.style, self.fraction) for x in lengths_mm)
        return f"{row} mm" if self.style is LengthStyle.MM else row

    def area(self, area_mm2: float) -> str:
        """An area with its unit."""
        if self.style is LengthStyle.INCH:
            return f"{area_mm2 / 304.8**2:.1f} ft\u00b2"
        return f"{area_mm2 / 1e6:.2f} m\u00b2"

    def money(self, minor: float) -> str:
        """An amount with its currency, where one is named."""
        return money_words(minor, self.currency)


def only_way_words(offer: Offer, speech: Speech) -> tuple[str, ...]:
    """Say where joints lie that nothing else comes into question for."""
    places = _places(offer.choices[0], speech)
    how = "the cheapest of the fewest pieces" if offer.widths else "no other way keeps the rules"
    return (*width_words(offer, speech), f"{offer.part.name}: {places}; {how}")


def choice_words(chosen: ChosenJoints, label: str, speech: Speech) -> tuple[str, ...]:
    """Say what was chosen, from how much, and what equal stretches would have been."""
    notes = [words for offer in chosen.offers for words in width_words(offer, speech)]
    for offer, (name, choice) in zip(chosen.offers, chosen.choices, strict=True):
        twin = Hand.PORT if offer.part.drawn is Hand.STARBOARD else Hand.STARBOARD
        places = _places(choice, speech)
        if choice.twin_at_mm is not None:
            theirs = _places(Choice(at_mm=choice.twin_at_mm), speech)
            places = f"{offer.part.drawn} {places}, {twin} {theirs}"
        notes.append(f"{name}: {places}; the best for the stock of {len(offer.choices)} tried")
        notes += _most_words(offer)
    how = f"{chosen.n_trials} quick layouts"
    if chosen.equal_worth is None:
        notes.append(f"{label}: joints chosen by {how}; no equal stretches keep the rules")
    else:
        free, equal = (_worth_words(w, speech) for w in (chosen.worth, chosen.equal_worth))
        notes.append(
            f"{label}: with joints where they suit the stock {free}; in equal stretches {equal} "
            f"({how})"
        )
    if speech.has_prices:
        notes += _prices_tried(chosen, label, speech)
    return tuple(notes)


def _prices_tried(chosen: ChosenJoints, label: str, speech: Speech) -> tuple[str, ...]:
    """Say what fewer joints would cost; where nothing, that more of them saved nothing."""
    paid = [p for p in chosen.prices if p.extra_minor > 0]
    if paid:
        return price_words(paid, speech.currency, label)
    if chosen.prices:
        most = max(p.joints_from for p in chosen.prices)
        return (f"{label}: more joints, up to {most} in all, saved nothing",)
    return ()


def _most_words(offer: Offer) -> tuple[str, ...]:
    """Say how many joints were thought of, where the builder named no most."""
    rule = offer.part.joint
    if rule is None or rule.max_joints is not None or offer.widths:
        return ()
    return (f"{offer.part.name}: up to {_count(offer.most_joints)} in one were looked at",)


def width_words(offer: Offer, speech: Speech) -> tuple[str, ...]:
    """Say what a band comes to from boards of each width, and what changes between them."""
    stock = "boards" if offer.part.cut_from is CutFrom.BOARD else "sheets"
    rows = [_width_row(offer, row, stock, speech) for row in offer.widths]
    if len(offer.widths) > 1:
        rows.append(f"{offer.part.name}: {_what_changes(offer.widths, stock, speech)}")
    return tuple(rows)


def _width_row(offer: Offer, row: FromWidth, stock: str, speech: Speech) -> str:
    head = f"{offer.part.name} from {stock} {speech.length(row.width_mm)} wide"
    if not row.pieces_mm:
        return f"{head}: no number of pieces will do"
    told = [f"{_pieces(row)} ({speech.lengths(row.pieces_mm)})"]
    if row.cost_minor is not None and speech.has_prices:
        told.append(f"{speech.money(row.cost_minor)} by the length they take")
    if stock == "boards":
        told.append(f"grain runs out 1 in {row.run_out:.1f} at worst")
    if row.kept_back:
        told.append("fewer are ruled out by " + " and ".join(row.kept_back))
    return f"{head}: " + ", ".join(told)


def _pieces(row: FromWidth) -> str:
    return "1 piece" if len(row.pieces_mm) == 1 else f"{len(row.pieces_mm)} pieces"


def _what_changes(widths: tuple[FromWidth, ...], stock: str, speech: Speech) -> str:
    """Say in plain words what wider stock changes, and why."""
    told = []
    for narrow, wide in pairwise(widths):
        words = _step(narrow, wide, speech)
        if words:
            told.append(f"from {speech.length(wide.width_mm)} on {words}")
    able = [w for w in widths if w.pieces_mm]
    if not able:
        return f"none of these {stock} is wide enough"
    if not told:
        why = " and ".join(able[0].kept_back) or "it is one piece already"
        saves = f"wider {stock} save no piece: {why} is the limit, and wider ones don't change that"
        told.append(saves if able[0].kept_back else f"wider {stock} change nothing: {why}")
    priced = [w for w in able if w.cost_minor is not None]
    if priced and speech.has_prices:
        best = min(priced, key=lambda w: (w.cost_minor or 0.0, w.width_mm))
        told.append(f"{speech.length(best.width_mm)} wide is the cheapest by length")
    return "; ".join(told)


def _step(narrow: FromWidth, wide: FromWidth, speech: Speech) -> str:
    """What the step from one width to the next changes; empty: no number of pieces."""
    if not wide.pieces_mm:
        return ""
    if not narrow.pieces_mm:
        return f"it can be made at all, in {_pieces(wide)}"
    saved = len(narrow.pieces_mm) - len(wide.pieces_mm)
    if saved <= 0:
        return ""
    why = "the piece may bend more within the board"
    if KeptBack.WIDTH not in narrow.kept_back:
        why = "the boards are longer" if KeptBack.LENGTH in narrow.kept_back else "it fits better"
    words = f"{_pieces(wide)} instead of {len(narrow.pieces_mm)}, since {why}"
    if narrow.cost_minor is None or wide.cost_minor is None or not speech.has_prices:
        return words
    extra = wide.cost_minor - narrow.cost_minor
    return f"{words}, for {speech.money(abs(extra))} {'more' if extra > 0 else 'less'}"


def _worth_words(worth: Worth, speech: Speech) -> str:
    told = "1 sheet or board" if worth.n_sheets == 1 else f"{worth.n_sheets} sheets or boards"
    if speech.has_prices:
        told += f", {speech.money(worth.cost_minor)} to buy"
    if worth.n_unplaced:
        told += f", {worth.n_unplaced} pieces without a place"
    return f"{told}, {speech.area(-worth.spare_mm2)} left on the emptiest"


def _places(choice: Choice, speech: Speech) -> str:
    if not choice.at_mm:
        return "in one piece"
    return f"{'joint' if len(choice.at_mm) == 1 else 'joints'} at {speech.lengths(choice.at_mm)}"


def equal_rail_words(compared: Iterable[RailComparison], currency: str) -> tuple[str, ...]:
    """Say what rails come to with free joints, and what in equal lengths."""
    told = []
    for c in compared:
        free, equal = (
            f"{_boards(boards)}, {money_words(cost, currency)}"
            if c.measure == "money"
            else _boards(boards)
            for boards, cost in ((c.boards, c.cost), (c.equal_boards, c.equal_cost))
        )
        told.append(
            f"{c.group}: with joints where they suit the boards {free}; in equal lengths {equal}"
        )
    return tuple(told)


def _boards(number: int) -> str:
    return "1 board" if number == 1 else f"{number} boards"


def rail_price_words(rails: BoardsOutcome, currency: str) -> tuple[str, ...]:
    """Say what joints avoided in rails would cost; nothing where no prices are known."""
    priced = {b.name for b in rails.bounds if b.measure == "money"}
    return price_words((p for p in rails.joint_prices if p.name in priced), currency)


def price_words(
    prices: Iterable[JointPrice], currency: str, label: str | None = None
) -> tuple[str, ...]:
    """Say what it costs to have fewer joints, in all and for each joint avoided."""
    return tuple(f"{label or p.name}: {_price(p, currency)}" for p in prices)


def _price(price: JointPrice, currency: str) -> str:
    avoided = price.joints_from - price.joints_to
    how_many = f"{_count(price.joints_to)} instead of {price.joints_from}"
    if price.extra_minor <= 0:
        return f"{how_many} would cost nothing more"
    told = f"{how_many} would cost {money_words(price.extra_minor, currency)} more"
    if avoided == 1:
        return told
    return f"{told}, {money_words(price.extra_minor / avoided, currency)} for each joint avoided"


def _count(joints: int) -> str:
    if joints == 0:
        return "no joints"
    return "1 joint" if joints == 1 else f"{joints} joints"


def money_words(minor: float, currency: str) -> str:
    """An amount with its currency, where one is named."""
    return f"{minor / 100:.2f} {currency}".rstrip()
