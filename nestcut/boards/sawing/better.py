"""A plan of boards made cheaper by sawing in any order.

Of few pieces every way of sawing is weighed, so the answer is the least.  Of many, the pieces of
one board, two or three are taken together and sawn anew, again and again, while that saves money.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from nestcut.boards.given import kinds_of
from nestcut.boards.layout import cost_of
from nestcut.boards.outcome import BoardsOutcome
from nestcut.boards.remarks import unplaced_because
from nestcut.boards.sawing.choose import (
    Chosen,
    Sawmill,
    Sawn,
    breadth_of,
    choose_boards,
    price_of_missing,
)
from nestcut.boards.sawing.lots import spots_of
from nestcut.boards.wood.grid import nm
from nestcut.boards.wood.groups import Group
from nestcut.boards.wood.problem import CuttingProblem, make_problem, priced, strip_nm
from nestcut.facts import fact
from nestcut.model.piece import RailPiece
from nestcut.model.plan import BoardCut, BoardLayout, Bound
from nestcut.search.settings import Deadline, Settings
from nestcut.search.work import WORK
from nestcut.tolerances import NM_PER_MM

NO_BOARD_LEFT = "BRD-103"
"""Why a piece is unplaced that would fit, were there more boards."""

IN_ANY_ORDER = fact("BRD-119")

MOST_TOGETHER = 3
"""Boards whose pieces are sawn anew together."""
LOOKS_PER_WINDOW = 20
"""So many more sets of boards are looked at and passed over, by their area alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Resawn:
    """An outcome, and what no sawing of its pieces can cost less than."""

    outcome: BoardsOutcome
    lower: float


def sawn_better(
    group: Group, outcome: BoardsOutcome, kerf_mm: float, settings: Settings, deadline: Deadline
) -> Resawn:
    """Saw the pieces of a group anew where that costs less or leaves fewer of them over.

    Parameters
    ----------
    kerf_mm
        Taken by every cut. [mm]
    """
    left = {u.piece for u in outcome.unplaced if u.reason.code == NO_BOARD_LEFT}
    lying = {c.piece for b in outcome.layouts for c in b.cuts}
    pieces = tuple(p for p in outcome.pieces if p.id in lying | left)
    money = [b for b in outcome.bounds if b.measure != "joints"]
    is_best = bool(money) and all(b.used <= b.lower for b in money)
    if not pieces or is_best or group.gives_one_width or deadline.stop_reason() is not None:
        return Resawn(outcome=outcome, lower=0.0)
    bench = _Bench.of(group, pieces, kerf_mm, WORK[settings.effort].sawing_s, deadline)
    whole = bench.whole(outcome.layouts)
    if whole is not None:
        layouts, lower = whole
    else:
        layouts, lower = bench.by_windows(outcome.layouts, WORK[settings.effort].windows), 0.0
    if layouts == outcome.layouts:
        return Resawn(outcome=outcome, lower=lower)
    return Resawn(outcome=_with(outcome, layouts, group, bench, left), lower=lower)


def _with(
    outcome: BoardsOutcome,
    layouts: tuple[BoardLayout, ...],
    group: Group,
    bench: _Bench,
    left: set[str],
) -> BoardsOutcome:
    """Put other boards into an outcome; bounds and what is said of pieces follow."""
    lying = {c.piece for b in layouts for c in b.cuts}
    used = float(cost_of(bench.problem, layouts))
    unplaced = tuple(u for u in outcome.unplaced if u.piece not in lying)
    gone = left - {u.piece for u in unplaced}
    bounds = tuple(
        b if b.measure == "joints" else replace(b, lower=min(b.lower, used), used=used)
        for b in outcome.bounds
    )
    if outcome.unplaced and not unplaced:
        _, measure = priced(group.supplies)
        bounds = (Bound(name=group.name, measure=measure, lower=0.0, used=used), *bounds)
    more = [unplaced_because(p, group) for i, p in bench.pieces.items()
            if i not in lying and i not in {u.piece for u in unplaced}]  # fmt: skip
    return replace(
        outcome,
        layouts=layouts,
        unplaced=(*unplaced, *more),
        bounds=() if unplaced or more else bounds,
        findings=tuple(f for f in outcome.findings if f.where not in gone),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bench:
    """The pieces of a group, the boards there are, and how hard to look."""

    problem: CuttingProblem
    pieces: dict[str, RailPiece]
    kind_of: dict[str, int]
    work: float
    deadline: Deadline

    @classmethod
    def of(
        cls,
        group: Group,
        pieces: tuple[RailPiece, ...],
        kerf_mm: float,
        work: float,
        deadline: Deadline,
    ) -> _Bench:
        """Put pieces and boards into whole numbers."""
        kinds = kinds_of(pieces)
        supplies, _ = priced(group.supplies)
        wanted = tuple((section, length, len(own)) for (section, length), own in kinds.items())
        return cls(
            problem=make_problem(group.name, wanted, supplies, kerf_mm),
            pieces={p.id: p for p in pieces},
            kind_of={p.id: k for k, own in enumerate(kinds.values()) for p in own},
            work=work,
            deadline=deadline,
        )

    def whole(
        self, layouts: tuple[BoardLayout, ...]
    ) -> tuple[tuple[BoardLayout, ...], float] | None:
        """Saw all pieces at least cost, and say what that is; None where they are too many."""
        mill = Sawmill(self.problem, tuple(k.demand for k in self.problem.kinds))
        if not mill.is_small:
            return None
        limits = tuple(s.limit for s in self.problem.supplies)
        ceiling = self._worth(layouts) - 1
        chosen = choose_boards(mill, limits, ceiling, self.work, self.deadline)
        if chosen.boards is None:
            return layouts, chosen.bound
        made = self.laid_out(mill, chosen, tuple(self.pieces))
        return min(layouts, made, key=self._worth), chosen.bound

    def by_windows(self, layouts: tuple[BoardLayout, ...], most: int) -> tuple[BoardLayout, ...]:
        """Saw the pieces of a few boards anew, as often as that saves something."""
        best, tried, looked = layouts, 0, 0
        seen: set[frozenset[str]] = set()
        is_going_on = True
        while is_going_on:
            is_going_on = False
            for window in _windows(best):
                ids = frozenset(c.piece for b in window for c in b.cuts)
                if ids in seen:
                    continue
                seen.add(ids)
                looked += 1
                if (
                    max(tried, looked // LOOKS_PER_WINDOW) >= most
                    or self.deadline.stop_reason() is not None
                ):
                    return best
                other = self._resawn(best, window)
                if other is None:
                    continue
                tried += 1
                if self._worth(other) < self._worth(best):
                    best, is_going_on = other, True
                    break
        return best

    def _resawn(
        self, layouts: tuple[BoardLayout, ...], window: tuple[BoardLayout, ...]
    ) -> tuple[BoardLayout, ...] | None:
        """Saw some boards' pieces anew; None where that isn't worth a look or is too much."""
        others = tuple(b for b in layouts if b not in window)
        ids = [c.piece for b in window for c in b.cuts]
        kinds = sorted({self.kind_of[i] for i in ids})
        counts = tuple(sum(self.kind_of[i] == k for i in ids) for k in kinds)
        small = replace(self.problem, kinds=tuple(self.problem.kinds[k] for k in kinds))
        ceiling = cost_of(self.problem, layouts) - cost_of(self.problem, others) - 1
        mill = Sawmill(small, counts)
        if ceiling < _least_by_area(small, counts) or not mill.is_small:
            return None
        limits = tuple(
            None if s.limit is None else max(0, s.limit - sum(
                b.stock == s.stock.name and b.length_mm == s.offer.length_mm for b in others))
            for s in small.supplies
        )  # fmt: skip
        chosen = choose_boards(mill, limits, ceiling, self.work, self.deadline)
        if chosen.boards is None:
            return layouts
        own = {k: place for place, k in enumerate(kinds)}
        part = replace(self, problem=small, kind_of={i: own[self.kind_of[i]] for i in ids})
        return (*others, *part.laid_out(mill, chosen, tuple(ids)))

    def _worth(self, layouts: tuple[BoardLayout, ...]) -> int:
        missing = len(self.pieces) - sum(len(b.cuts) for b in layouts)
        return cost_of(self.problem, layouts) + missing * price_of_missing(self.problem)

    def laid_out(
        self, mill: Sawmill, chosen: Chosen, ids: tuple[str, ...]
    ) -> tuple[BoardLayout, ...]:
        """Put pieces on the boards chosen; one that no piece is left for isn't taken."""
        waiting: dict[int, list[str]] = {}
        for i in ids:
            waiting.setdefault(self.kind_of[i], []).append(i)
        layouts = []
        for sawn, n in chosen.boards or ():
            for _ in range(n):
                counts = mill.lots.counts(sawn.lot)
                own = {k: [waiting[k].pop(0) for _ in range(min(c, len(waiting[k])))]
                       for k, c in enumerate(counts) if c}  # fmt: skip
                if any(own.values()):
                    layouts.append(self._board(mill, sawn, own))
        return tuple(layouts)

    def _board(self, mill: Sawmill, sawn: Sawn, own: dict[int, list[str]]) -> BoardLayout:
        supply = self.problem.supplies[sawn.supply]
        stock, kerf = supply.stock, self.problem.kerf_mm
        counts = tuple(len(own.get(k, ())) for k in range(len(self.problem.kinds)))
        table = mill.table(stock)
        cuts: list[BoardCut] = []
        dealt = mill.shared_out(supply, mill.lots.number(counts))
        for (start, _), number in zip(supply.stretches, dealt, strict=True):
            ends: list[float] = []
            for spot in spots_of(table, breadth_of(stock), number) if number else ():
                piece = self.pieces[own[spot.kind].pop(0)]
                along = max((ends[b] + kerf for b in spot.behind), default=start)
                across = stock.edge_trim_mm + spot.across / NM_PER_MM
                strip = strip_nm(piece.sawn_mm, stock)
                if strip is None:
                    raise ValueError(f"{piece.id} can't be ripped from {stock.name}")
                ends.append(along + piece.length_mm)
                cuts.append(
                    BoardCut(
                        piece=piece.id,
                        from_mm=along,
                        to_mm=ends[-1],
                        rip_from_mm=across,
                        rip_to_mm=across + strip / NM_PER_MM,
                    )
                )
        return BoardLayout(
            stock=stock.name,
            number=1,
            length_mm=supply.offer.length_mm,
            width_mm=stock.width_mm,
            thickness_mm=stock.thickness_mm,
            cuts=tuple(sorted(cuts, key=lambda c: (c.rip_from_mm, c.from_mm))),
        )


def _windows(layouts: Sequence[BoardLayout]) -> Iterator[tuple[BoardLayout, ...]]:
    """Every board, every two and three, those with most waste first."""
    wasteful = sorted(layouts, key=_waste, reverse=True)
    for n in range(1, min(MOST_TOGETHER, len(wasteful)) + 1):
        yield from combinations(wasteful, n)


def _waste(layout: BoardLayout) -> float:
    used = sum((c.to_mm - c.from_mm) * (c.rip_to_mm - c.rip_from_mm) for c in layout.cuts)
    return layout.length_mm * layout.width_mm - used


def _least_by_area(problem: CuttingProblem, counts: tuple[int, ...]) -> float:
    """Return what wood for some pieces costs at least, by its area alone."""
    kerf = nm(problem.kerf_mm)
    rates: list[float] = []
    for supply in problem.supplies:
        held = sum(problem.grid.down(n + problem.kerf_mm) for _, n in supply.stretches)
        area = held * (breadth_of(supply.stock) + kerf)
        rates.append(supply.price / area if area > 0 else 0.0)
    need = 0.0
    for kind, n in zip(problem.kinds, counts, strict=True):
        strips = [strip_nm(kind.section, s.stock) for s in problem.supplies]
        need += n * kind.weight * (min((b for b in strips if b is not None), default=0) + kerf)
    return need * min(rates, default=0.0)
