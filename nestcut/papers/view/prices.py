"""What every sheet and board of a plan cost, by its buying list."""

from __future__ import annotations

from nestcut.model.plan import VerifiedPlan
from nestcut.model.stock import BoardStock, SheetStock


class Prices:
    """Hands out prices in the plan's order: first those to hand (nothing), then those bought."""

    def __init__(self, verified: VerifiedPlan) -> None:
        stocks: tuple[SheetStock | BoardStock, ...] = (
            *verified.job.sheet_stocks,
            *verified.job.board_stocks,
        )
        self._stocks = {s.name: s for s in stocks}
        self._lines = {(b.stock, round(b.length_mm, 3)): b for b in verified.plan.buy}
        self._free = {key: line.to_hand for key, line in self._lines.items()}

    def stock(self, name: str) -> SheetStock | BoardStock:
        """Return stock by its name, without taking any."""
        return self._stocks[name]

    def next(self, name: str, length_mm: float) -> tuple[SheetStock | BoardStock, int]:
        """Stock and price of the next one taken."""
        key = (name, round(length_mm, 3))
        line = self._lines.get(key)
        if line is None or self._free[key] > 0:
            self._free[key] = self._free.get(key, 0) - 1
            return self._stocks[name], 0
        return self._stocks[name], line.price_minor
