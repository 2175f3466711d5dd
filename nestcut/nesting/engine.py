"""What an engine does: polygons into containers. Another is a module and a line in `ENGINE`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from nestcut.nesting import bins
from nestcut.nesting.problem import Budget, Nest, NestPlacement, Problem


class Engine(Protocol):
    """Places items in containers; whoever asks judges the layouts by eyes of his own."""

    def first(self, problem: Problem, budget: Budget) -> Nest:
        """Place by one pass, at once; items that no container has room for are unplaced."""

    def pack(self, problem: Problem, budget: Budget, start: Nest | None = None) -> Nest:
        """Place all items at least cost of containers, within the budget.

        Parameters
        ----------
        start
            A valid layout to improve on; None: that of :meth:`first`.
        """

    def settle(
        self,
        problem: Problem,
        containers: tuple[tuple[str, int], ...],
        budget: Budget,
        start: tuple[NestPlacement, ...] = (),
    ) -> Nest | None:
        """Place all items in exactly these containers (kind, number); None: not within the budget.

        Parameters
        ----------
        containers
            The id and number of each sheet that is to be used.
        start
            Places to begin from; they may overlap and may be incomplete.
        """


@dataclass(frozen=True, slots=True)
class Separating:
    """Overlaps are pulled apart under weights, sheet by sheet (:mod:`nestcut.nesting.bins`)."""

    def first(self, problem: Problem, budget: Budget) -> Nest:
        """Bottom-left, by falling area."""
        return bins.first_layout(problem, budget)

    def pack(self, problem: Problem, budget: Budget, start: Nest | None = None) -> Nest:
        """Empty the cheapest sheet to lose, time and again."""
        return bins.pack_bins(problem, budget, start)

    def settle(
        self,
        problem: Problem,
        containers: tuple[tuple[str, int], ...],
        budget: Budget,
        start: tuple[NestPlacement, ...] = (),
    ) -> Nest | None:
        """Pull apart what lies in these sheets.

        Parameters
        ----------
        containers
            The id and number of each sheet that is to be used.
        start
            Where items lie to begin with; they may overlap, and may be fewer than all.
        """
        return bins.settle(problem, containers, budget, start)


ENGINE: Engine = Separating()
"""The one that sheets are searched with."""
