"""Patterns and rips to boards: where each named piece lies on which board."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from nestcut.boards.cut.rips import Used
from nestcut.boards.wood.at_hand import n_from_hand
from nestcut.boards.wood.problem import CuttingProblem, Supply
from nestcut.model.piece import RailPiece
from nestcut.model.plan import BoardCut, BoardLayout
from nestcut.tolerances import NM_PER_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidOut:
    """Boards with their cuts, numbered from 1; what is left out; what these boards cost.

    A board that a draft has but no piece needs isn't bought, so it isn't in the cost either.
    """

    boards: tuple[BoardLayout, ...]
    left: tuple[RailPiece, ...]
    cost: int


def lay_out_boards(
    problem: CuttingProblem, used: Used, pieces: dict[int, list[RailPiece]]
) -> LaidOut:
    """Put pieces (of each kind, in order) on boards.

    Parameters
    ----------
    used
        How often each pattern and each rip is used.
    pieces
        By kind, its pieces in the order in which they are to be taken.
    """
    waiting = {kind: list(own) for kind, own in pieces.items()}
    filled: dict[tuple[int, int], dict[int, list[list[RailPiece]]]] = defaultdict(dict)
    for column, times in used.patterns:
        place = problem.bins[column.place]
        fillings = filled[place.supply, place.strip_nm].setdefault(place.stretch, [])
        for _ in range(times):
            wanted = [kind for kind, n in column.pattern for _ in range(n)]
            filling = [waiting[kind].pop(0) for kind in wanted if waiting[kind]]
            fillings.append(sorted(filling, key=lambda p: -p.length_mm))
    layouts: list[BoardLayout] = []
    for r, times in used.rips:
        rip = problem.rips[r]
        for _ in range(times):
            cuts = _cut_board(problem, rip.supply, rip.strips, filled)
            if cuts:
                supply = problem.supplies[rip.supply]
                layouts.append(
                    BoardLayout(
                        stock=supply.stock.name,
                        number=len(layouts) + 1,
                        length_mm=supply.offer.length_mm,
                        width_mm=supply.stock.width_mm,
                        thickness_mm=supply.stock.thickness_mm,
                        cuts=cuts,
                    )
                )
    left = tuple(piece for kind in sorted(waiting) for piece in waiting[kind])
    return LaidOut(boards=tuple(layouts), left=left, cost=cost_of(problem, layouts))


def cost_of(problem: CuttingProblem, layouts: Sequence[BoardLayout]) -> int:
    """Return what of these boards must be bought; the shed gives what it can."""
    total = 0
    kinds = dict.fromkeys((s.stock.name, s.offer.length_mm) for s in problem.supplies)
    for name, length in kinds:
        alike = [s for s in problem.supplies if (s.stock.name, s.offer.length_mm) == (name, length)]
        price = max((s.price for s in alike if not _is_free(s)), default=0)
        hand = [(s.offer, s.limit or 0) for s in alike if _is_free(s)]
        own = [x for x in layouts if x.stock == name and x.length_mm == length]
        total += price * (len(own) - n_from_hand(own, hand, length))
    return total


def _is_free(supply: Supply) -> bool:
    return supply.limit is not None and supply.price == 0


def _cut_board(
    problem: CuttingProblem,
    supply: int,
    strips: tuple[tuple[int, int], ...],
    filled: dict[tuple[int, int], dict[int, list[list[RailPiece]]]],
) -> tuple[BoardCut, ...]:
    """Rip one board into its strips and crosscut each, taking fillings from what is left."""
    source: Supply = problem.supplies[supply]
    across = source.stock.edge_trim_mm
    cuts: list[BoardCut] = []
    for strip, n in strips:
        width = strip / NM_PER_MM
        for _ in range(n):
            for stretch, fillings in sorted(filled[supply, strip].items()):
                along = source.stretches[stretch][0]
                for piece in fillings.pop(0) if fillings else ():
                    cuts.append(
                        BoardCut(
                            piece=piece.id,
                            from_mm=along,
                            to_mm=along + piece.length_mm,
                            rip_from_mm=across,
                            rip_to_mm=across + width,
                        )
                    )
                    along += piece.length_mm + problem.kerf_mm
            across += width + problem.kerf_mm
    return tuple(cuts)


def renumber(layouts: tuple[BoardLayout, ...]) -> tuple[BoardLayout, ...]:
    """Number boards of all groups from 1, stock by stock, long ones first."""
    order = sorted(layouts, key=lambda b: (b.stock, -b.length_mm))
    return tuple(replace(board, number=k) for k, board in enumerate(order, start=1))
