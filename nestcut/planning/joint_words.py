"""What the choice of joints comes to, in words for the front page."""

from __future__ import annotations

from collections.abc import Iterable

from nestcut.boards.outcome import BoardsOutcome, JointPrice


def rail_price_words(rails: BoardsOutcome, currency: str) -> tuple[str, ...]:
    """Say what joints avoided in rails would cost; nothing where no prices are known."""
    priced = {b.name for b in rails.bounds if b.measure == "money"}
    return price_words((p for p in rails.joint_prices if p.name in priced), currency)


def price_words(prices: Iterable[JointPrice], currency: str) -> tuple[str, ...]:
    """Say what it costs to have fewer joints, in all and for each joint avoided."""
    return tuple(f"{p.name}: {_price(p, currency)}" for p in prices)


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
