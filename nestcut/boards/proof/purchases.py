"""Which boards to buy: every purchase that might do, the cheapest first.

Where rails may be joined nearly anywhere, hardly any wood need be wasted.  So the least cost lies
close above what the mere length of all rails asks for, and few purchases lie between: each is
tried in turn (``proof/partition``), and the first that does is the cheapest.
"""

from __future__ import annotations

from dataclasses import dataclass

from nestcut.boards.join.drafts import OutOfWorkError
from nestcut.boards.join.joining import JoiningProblem
from nestcut.boards.proof.family import Family, Lot
from nestcut.search.settings import Deadline
from nestcut.tolerances.noise import SOLVER_SLACK

_LOOK_EVERY = 2000
"""Steps between two looks at the clock. [-]"""
MOST_STEPS = 500_000
"""Counts of boards that are tried for one list of purchases."""


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Purchase:
    """Boards: cost, (rip, how many), and the strips that each family gets."""

    cost: int
    rips: tuple[tuple[int, int], ...]
    lots: tuple[Lot, ...]


class Market:
    """Lists purchases in rising cost, none that holds less wood than the rails need."""

    def __init__(self, problem: JoiningProblem, families: tuple[Family, ...]) -> None:
        self.problem = problem
        self.families = families
        self.prices = [problem.supplies[rip.supply].price for rip in problem.rips]
        self.lots = [
            [self._strips(r, family) for family in families] for r in range(len(self.prices))
        ]
        self.gives = [
            [family.room(lot) for family, lot in zip(families, lots, strict=True)]
            for lots in self.lots
        ]
        self.needs = [family.needs(family.everything)[0] for family in families]
        self._rates = self._best_rates()
        self.is_endless = all(
            any(
                give[f] and problem.supplies[rip.supply].limit is None
                for give, rip in zip(self.gives, problem.rips, strict=True)
            )
            for f in range(len(families))
        ) and all(price > 0 or problem.supplies[rip.supply].limit is not None
                  for price, rip in zip(self.prices, problem.rips, strict=True))  # fmt: skip
        """Whether enough can be bought for every family, and at a price."""

    def _strips(self, rip: int, family: Family) -> Lot:
        """Strips of each of a family's bins that one board ripped this way gives."""
        problem = self.problem
        strips = dict(problem.rips[rip].strips)
        supply = problem.rips[rip].supply
        return tuple(
            strips.get(problem.bins[b].strip_nm, 0) if problem.bins[b].supply == supply else 0
            for b in family.bins
        )

    def _best_rates(self) -> list[float]:
        """Most wood for a unit of money among the rips from each one on; free boards aside."""
        rates = [0.0]
        for give, price in zip(reversed(self.gives), reversed(self.prices), strict=True):
            rates.append(max(rates[-1], sum(give) / price if price else 0.0))
        return rates[::-1]

    def least(self) -> float:
        """Return what no purchase that holds enough wood can cost less than."""
        missing = sum(self.needs) - self._free_from(0)
        return max(0.0, missing / self._rates[0]) if self._rates[0] else 0.0

    def _free_from(self, rip: int) -> int:
        """Wood of the boards to hand that cost nothing, from a rip on."""
        best: dict[int, int] = {}
        for r in range(rip, len(self.prices)):
            supply = self.problem.rips[r].supply
            limit = self.problem.supplies[supply].limit
            if not self.prices[r] and limit is not None:
                best[supply] = max(best.get(supply, 0), limit * sum(self.gives[r]))
        return sum(best.values())

    def between(self, above: float, most: float, deadline: Deadline) -> list[Purchase]:
        """List purchases that cost more than ``above`` and no more than ``most``, cheapest first.

        Boards that cost nothing are all taken.

        Parameters
        ----------
        above, most
            Limits of the cost; the first is itself left out. [as prices are]

        Raises
        ------
        OutOfWorkError
            If there are too many ways, or time is up.
        """
        found: list[Purchase] = []
        rips = self.problem.rips
        steps = 0
        free = [self._free_from(r) for r in range(len(rips) + 1)]

        def go_on(r: int, counts: tuple[int, ...], cost: int, left: list[int]) -> None:
            nonlocal steps
            steps += 1
            if steps > MOST_STEPS or (steps % _LOOK_EVERY == 0 and deadline.stop_reason()):
                raise OutOfWorkError
            missing = sum(n for n in left if n > 0)
            if r == len(rips):
                if missing == 0 and cost > above and self._takes_what_is_free(counts):
                    found.append(self._purchase(cost, counts))
                return
            short = missing - free[r]
            if short > 0 and (
                not self._rates[r] or cost + short / self._rates[r] > most + SOLVER_SLACK
            ):
                return
            limit = self.problem.supplies[rips[r].supply].limit
            room = None
            if limit is not None:
                room = limit - sum(
                    n for n, rip in zip(counts, rips, strict=False) if rip.supply == rips[r].supply
                )
            n = 0
            while True:
                go_on(r + 1, (*counts, n), cost, left)
                n += 1
                cost += self.prices[r]
                if cost > most or (room is not None and n > room):
                    return
                left = [a - g for a, g in zip(left, self.gives[r], strict=True)]

        go_on(0, (), 0, list(self.needs))
        return sorted(found)

    def _takes_what_is_free(self, counts: tuple[int, ...]) -> bool:
        taken: dict[int, int] = {}
        for n, rip, price in zip(counts, self.problem.rips, self.prices, strict=True):
            if not price:
                taken[rip.supply] = taken.get(rip.supply, 0) + n
        return all(n == self.problem.supplies[s].limit for s, n in taken.items())

    def _purchase(self, cost: int, counts: tuple[int, ...]) -> Purchase:
        lots = []
        for f, family in enumerate(self.families):
            lot = [0] * len(family.bins)
            for n, own in zip(counts, self.lots, strict=True):
                lot = [a + n * b for a, b in zip(lot, own[f], strict=True)]
            lots.append(tuple(lot))
        rips = tuple((r, n) for r, n in enumerate(counts) if n)
        return Purchase(cost=cost, rips=rips, lots=tuple(lots))
