"""Buying: what is used is bought or to hand, at the job's prices, and adds up."""

from __future__ import annotations

from collections import Counter

from tests.second.asked import JobAsked
from tests.second.copies import LISTED_MM
from tests.second.lengths import minor
from tests.second.written import Row, Written, number

Kind = tuple[str, float]
"""A stock and its length."""


def check_money(
    job: JobAsked, written: Written, used: Counter[Kind], from_hand: Counter[Kind]
) -> list[str]:
    """Compare the buying list with what sheets and boards are cut up.

    Parameters
    ----------
    used
        How many sheets or boards of each stock and length are cut.
    from_hand
        How many of these could be cut from one to hand, its knots considered.
    """
    found: list[str] = []
    left = Counter(used)
    total = 0
    for row in written.buy:
        name, length = row["stock"], number(row["length mm"])
        stocks = [
            s for s in job.stocks
            if s.name == name and abs(s.length_mm - length) <= LISTED_MM and s.kind == row["kind"]
        ]  # fmt: skip
        if not stocks:
            found.append(f"buying list: {name} of {length} is no stock of the job")
            continue
        bought, taken = int(row["to buy"]), int(row["to hand"])
        key = (name, stocks[0].length_mm)
        if left.pop(key, 0) != bought + taken:
            found.append(f"buying list: {bought} + {taken} of {name}, {used[key]} are cut")
        to_hand = sum(s.count for s in stocks if s.count is not None)
        if taken > min(to_hand, from_hand[key]):
            found.append(f"buying list: {taken} of {name} to hand, there are {to_hand} that serve")
        if bought and all(s.count is not None for s in stocks):
            found.append(f"buying list: {name} isn't for sale")
        prices = [s.price_minor for s in stocks if s.count is None]
        each = prices[0] if prices and bought else 0
        total += each * bought
        found += _check_row(row, stocks[0].width_mm, stocks[0].thickness_mm, each, bought)
        if row["material"] != stocks[0].material:
            found.append(f"buying list: {name} of {row['material']}")
    found += [f"buying list: {key} is missing, {n} are cut" for key, n in left.items() if n]
    if minor(written.total["together"] or 0) != total:
        found.append(f"buying list: together {written.total['together']}, by price {total / 100}")
    return found


def _check_row(row: Row, width: float, thickness: float, each: int, bought: int) -> list[str]:
    found = []
    if abs(number(row["width mm"]) - width) > LISTED_MM:
        found.append(f"buying list: {row['stock']} is {row['width mm']} wide")
    if abs(number(row["thickness mm"]) - thickness) > LISTED_MM:
        found.append(f"buying list: {row['stock']} is {row['thickness mm']} thick")
    if minor(row["each"] or 0) != each:
        found.append(f"buying list: {row['stock']} at {row['each']}, the job says {each / 100}")
    if minor(row["together"] or 0) != each * bought:
        found.append(f"buying list: {row['stock']} together {row['together']}")
    return found
