"""What an engine does: polygons into containers. Another is a module and a line in `ENGINE`.

All searches of sheets ask ``ENGINE`` and nothing else of this room but the records of
:mod:`nestcut.nesting.problem` and pools of workers (an import contract).
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from nestcut.nesting import rectangles as skylines
from nestcut.nesting.kernels.separate import separate
from nestcut.nesting.problem import (
    Budget,
    Nest,
    NestPlacement,
    Problem,
    Rect,
    RectBin,
    RectPacking,
)
from nestcut.nesting.separating import bins
from nestcut.search.settings import Deadline


class Rectangles(Protocol):
    """Packs upright rectangles into bins, in whole units."""

    def first(self, rects: tuple[Rect, ...], bins: tuple[RectBin, ...]) -> RectPacking:
        """Fill the bins one after the other, at once."""

    def search(
        self,
        rects: tuple[Rect, ...],
        bins: tuple[RectBin, ...],
        *,
        tries: int,
        seed: int,
        name: str,
        deadline: Deadline,
        good_enough: int | None = None,
    ) -> RectPacking:
        """Leave as little over as can be, then keep low in the last bin.

        Parameters
        ----------
        tries
            Work: ways tried.
        seed, name
            Of the stream of chance.
        good_enough
            Stop as soon as all is packed and the last bin's top is no higher; None: only when the
            work is done.
        """


class Engine(Protocol):
    """Places items in containers; whoever asks judges the layouts by eyes of his own."""

    @property
    def rectangles(self) -> Rectangles | None:
        """What packs upright rectangles; None: they are items like all others."""

    def is_ready(self) -> bool:
        """Whether it can begin at once; else the first call takes a while longer."""

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
    """Overlaps are pulled apart under weights (:mod:`nestcut.nesting.separating`)."""

    rectangles: Rectangles | None = skylines

    def is_ready(self) -> bool:
        """Whether an earlier run has left the compiled search in its cache; else a minute goes."""
        folder = separate.stats.cache_path
        return folder is not None and any(Path(folder).glob("separate.separate-*.nbi"))

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
