"""What one way to plan a boat comes to, and what the ways say together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nestcut.papers.view import Figures


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceRow:
    """One way; ``name`` says what is different.

    Parameters
    ----------
    cost_minor
        What has to be paid; None: there is no plan, and ``fault`` says so and why. [minor units]
    offcut_mm
        Longer and shorter side of the largest rectangle to keep. [mm]
    unplaced
        Pieces without a place. [-]
    folder
        Where the plan lies, from the page; empty: nowhere.
    is_cut_short
        Whether time was up before the search's work was done.
    """

    name: str
    cost_minor: int | None = None
    sheets: int = 0
    boards: int = 0
    joints: int = 0
    offcut_mm: tuple[float, float] = (0.0, 0.0)
    unplaced: int = 0
    fault: str = ""
    folder: str = ""
    is_cut_short: bool = False

    @property
    def is_whole(self) -> bool:
        """Whether there is a plan with a place for everything."""
        return self.cost_minor is not None and not self.unplaced

    @property
    def paid_minor(self) -> int:
        """What has to be paid; 0 where there is no plan. [minor units]"""
        return self.cost_minor or 0


def best_rows(rows: Sequence[ChoiceRow]) -> frozenset[int]:
    """Return the places of rows that no other beats: none costs less with as few joints.

    Among those that cost the same with as many joints, the one with the largest offcut.
    """
    whole = [k for k, r in enumerate(rows) if r.is_whole]
    ranks = {k: (rows[k].paid_minor, rows[k].joints, -_area(rows[k]), k) for k in whole}
    best, fewest = set(), float("inf")
    for k in sorted(whole, key=lambda k: ranks[k]):
        if rows[k].joints < fewest:
            best.add(k)
            fewest = rows[k].joints
    return frozenset(best)


def least_money(rows: Sequence[ChoiceRow]) -> ChoiceRow | None:
    """Return the cheapest whole plan, of several the one with fewest joints."""
    return min(
        (r for r in rows if r.is_whole), key=lambda r: (r.paid_minor, r.joints), default=None
    )


def _area(row: ChoiceRow) -> float:
    return row.offcut_mm[0] * row.offcut_mm[1]


def words_of(rows: Sequence[ChoiceRow], figures: Figures) -> tuple[str, ...]:
    """Say what is cheapest, and what fewer joints or sheets cost beside it."""
    best = least_money(rows)
    if best is None:
        return ("No way gives every piece a place.",)
    told = [f"Least money: {best.name}, {figures.money(best.paid_minor)}."]
    seen: set[int] = {best.joints}
    for row in sorted((r for r in rows if r.is_whole), key=lambda r: (r.paid_minor, r.joints)):
        if row.joints >= min(seen):
            continue
        seen.add(row.joints)
        more = figures.money(row.paid_minor - best.paid_minor)
        told.append(
            f"{_count(best.joints - row.joints, 'joint')} fewer: {row.name}, {more} more"
            f"{_sheets(row.sheets - best.sheets)}."
        )
    if any(r.is_cut_short for r in rows):
        told.append(
            "Cut short: the time was up before the search's work was done; more may be had."
        )
    return tuple(told)


def _sheets(more: int) -> str:
    if more == 0:
        return ""
    return f", {_count(abs(more), 'sheet')} {'more' if more > 0 else 'fewer'}"


def _count(n: int, what: str) -> str:
    return f"{n} {what}{'' if n == 1 else 's'}"
