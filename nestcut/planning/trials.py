"""Quick layouts by which joint positions are judged."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from nestcut.model.job import CuttingRules
from nestcut.model.piece import SheetPiece
from nestcut.model.stock import SheetStock
from nestcut.nesting.engine import ENGINE
from nestcut.nesting.problem import Budget, Nest
from nestcut.search.settings import Deadline
from nestcut.sheets.boxes import lay_out_boxes
from nestcut.sheets.prepare import Group, prepare_group


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Worth:
    """How good a layout is, smaller is better in this order.

    ``spare_mm2`` is what is left of the emptiest sheet of each material, negative so that more is
    better. [mm2]
    """

    n_unplaced: int
    cost_minor: float
    n_sheets: int
    spare_mm2: float


Trial = Callable[[tuple[SheetPiece, ...]], Worth]
"""Lays out all pieces and says how good that is."""


def nest_trial(
    stocks: tuple[SheetStock, ...],
    cutting: CuttingRules,
    seed: int,
    passes: int,
    deadline: Deadline | None = None,
) -> Trial:
    """Return a trial that lays out pieces, material by material, with a little work.

    Parameters
    ----------
    seed
        Of the stream of chance.
    passes
        Work for each material; 0 keeps to one pass of placing, the quickest.
    deadline
        Once it is over, pieces are laid out as boxes, which needs no compiled code.
    """
    halt = deadline or Deadline()

    def trial(pieces: tuple[SheetPiece, ...]) -> Worth:
        unplaced, sheets, cost, spare = 0, 0, 0.0, 0.0
        for key in sorted({(p.material, p.thickness_mm) for p in pieces}):
            own = tuple(s for s in stocks if (s.material, s.thickness_mm) == key)
            group_pieces = tuple(p for p in pieces if (p.material, p.thickness_mm) == key)
            if not own:
                unplaced += len(group_pieces)
                continue
            group = prepare_group(group_pieces, own, cutting)
            costs = {s.container.id: s.cost for s in group.stocks}
            if halt.stop_reason() is not None:
                laid = lay_out_boxes(group)
                unplaced += len(group_pieces) - sum(len(s.lying) for s in laid)
                sheets += len(laid)
                cost += sum(costs[s.stock] for s in laid)
                continue
            problem = group.problem()
            budget = Budget(passes=passes, deadline=halt, seed=seed, stream=f"joints {group.name}")
            nest = (ENGINE.pack if passes else ENGINE.first)(problem, budget)
            unplaced += len(nest.unplaced)
            sheets += len(nest.used)
            cost += nest.cost
            spare += _most_free_mm2(group, nest)
        return Worth(n_unplaced=unplaced, cost_minor=cost, n_sheets=sheets, spare_mm2=-spare)

    return trial


def _most_free_mm2(group: Group, nest: Nest) -> float:
    """What is left of the emptiest sheet. [mm2]"""
    area = {p.id: p.net.area for p in group.pieces}
    free = {used: group.stock_of(used[0]).container.area for used in nest.used}
    for placement in nest.placements:
        free[placement.container, placement.number] -= area[placement.item]
    return max(free.values(), default=0.0)
