"""Can more joints than were tried pay?  A bound that holds for any joints and any layout.

Whatever the joints, all parts have to come out of the sheets, so their areas without any overlap
are needed at least.  Where the cheapest sheets that have so much area cost what was found, no
joint more can save anything, and none is looked for.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from nestcut.joints.split import whole_pieces
from nestcut.model.job import CuttingRules
from nestcut.model.part import SheetPart
from nestcut.model.piece import SheetPiece
from nestcut.model.stock import SheetStock
from nestcut.sheets.prepare import PreparedStock, prepare_group
from nestcut.tolerances.noise import NOISE


def least_cost_of_area(
    parts: Iterable[SheetPart],
    others: tuple[SheetPiece, ...],
    stocks: tuple[SheetStock, ...],
    cutting: CuttingRules,
) -> float:
    """Return what any plan of these parts and pieces costs at least, in the search's own measure.

    Parameters
    ----------
    parts
        Parts whose joints are free, of one material and thickness.
    others
        All other pieces of that material and thickness.
    stocks
        Sheets (or boards) that they may be cut from.
    """
    pieces = (*others, *(p for part in parts for p in whole_pieces(part)))
    group = prepare_group(pieces, stocks, cutting)
    return cheapest_cover(sum(p.net.area for p in group.pieces), group.stocks)


def cheapest_cover(need_mm2: float, stocks: tuple[PreparedStock, ...]) -> float:
    """Return a lower bound on the cost of sheets that have an area together.

    What is to hand counts at its own cost; the last kind taken is bought whole if no other kind is
    on sale, and in part otherwise, so the bound never lies above the least cost.
    """
    on_sale = [s for s in stocks if s.stock.count is None]
    cost = 0.0
    for stock in sorted(stocks, key=lambda s: (s.cost / max(s.free.area, 1.0), s.stock.name)):
        if need_mm2 <= 0.0 or stock.free.area <= 0.0:
            continue
        number = need_mm2 / stock.free.area
        if stock.stock.count is not None:
            number = min(number, float(stock.stock.count))
        elif len(on_sale) == 1:
            number = float(math.ceil(number - NOISE))
        cost += number * stock.cost
        need_mm2 -= number * stock.free.area
    return cost
