"""What is left of begun boards: upright rectangles, the largest first, that share no wood."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from nestcut.boards import sawing_of
from nestcut.model.job import Job
from nestcut.model.plan import BoardCut, BoardLayout
from nestcut.model.stock import BoardLength, BoardStock, Defect
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.trade.boards import REST_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """A rectangle of a board, trim and kerfs taken off, as stock by a name of its own.

    ``from_mm`` and ``rip_from_mm`` are its corner on the board.
    """

    number: int
    from_mm: float
    rip_from_mm: float
    stock: BoardStock


def rests_of(
    job: Job, layouts: tuple[BoardLayout, ...], offers: dict[int, BoardLength]
) -> tuple[Rest, ...]:
    """Return everything that can be cut from boards of a plan besides what is cut from them.

    Parameters
    ----------
    layouts
        Boards with the cuts that stay, and those that are spent.
    offers
        By a board's number what it was sold as: its defects.
    """
    stocks = {b.name: b for b in job.board_stocks}
    found: list[Rest] = []
    for layout in layouts:
        stock = stocks[layout.stock]
        offer = offers.get(layout.number)
        defects = offer.defects if offer is not None else ()
        boxes = _boxes(layout, stock, job.cutting.on(stock).kerf_mm)
        for k, box in enumerate(boxes, start=1):
            name = f"board {layout.number} of the plan, rest {k}"
            found.append(
                Rest(
                    number=layout.number,
                    from_mm=box[0],
                    rip_from_mm=box[2],
                    stock=_as_stock(name, stock, box, defects),
                )
            )
    return tuple(found)


Box = tuple[float, float, float, float]
"""From, to, rip from, rip to. [mm]"""


def _as_stock(name: str, stock: BoardStock, box: Box, defects: tuple[Defect, ...]) -> BoardStock:
    length = box[1] - box[0]
    offer = BoardLength(
        length_mm=length,
        count=1,
        defects=tuple(
            replace(d, from_mm=max(0.0, d.from_mm - box[0]), to_mm=min(length, d.to_mm - box[0]))
            for d in defects
            if d.to_mm > box[0] and d.from_mm < box[1]
        ),
    )
    return replace(
        stock,
        name=name,
        width_mm=box[3] - box[2],
        lengths=(offer,),
        end_trim_mm=0.0,
        edge_trim_mm=0.0,
    )


def _boxes(layout: BoardLayout, stock: BoardStock, kerf_mm: float) -> list[Box]:
    whole = (
        stock.end_trim_mm,
        layout.length_mm - stock.end_trim_mm,
        stock.edge_trim_mm,
        layout.width_mm - stock.edge_trim_mm,
    )
    k = kerf_mm
    cuts = [*layout.cuts, *layout.spent]
    found: list[Box] = []
    while (box := _largest(whole, cuts, k)) is not None:
        found.append(box)
        cuts.append(_as_cut(box))
    return found


def _as_cut(box: Box) -> BoardCut:
    return BoardCut(piece="", from_mm=box[0], to_mm=box[1], rip_from_mm=box[2], rip_to_mm=box[3])


def _largest(whole: Box, cuts: list[BoardCut], k: float) -> Box | None:
    """Return the largest rectangle of a board between cuts that saws can part it from, if any.

    Where the cuts themselves can't be parted any rectangle will do.
    """
    taken = [(c.from_mm - k, c.to_mm + k, c.rip_from_mm - k, c.rip_to_mm + k) for c in cuts]
    is_sawn = sawing_of(cuts, k).comes_apart
    xs = _lines(whole[0], whole[1], [x for t in taken for x in t[:2]])
    ys = _lines(whole[2], whole[3], [y for t in taken for y in t[2:]])
    best: Box | None = None
    for y0, y1 in combinations(ys, 2):
        if y1 - y0 < REST_MM.low:
            continue
        blocks = [t for t in taken if t[2] < y1 - SAME_LENGTH_MM and t[3] > y0 + SAME_LENGTH_MM]
        for x0, x1 in combinations(xs, 2):
            if x1 - x0 < REST_MM.high or (
                best is not None and _area((x0, x1, y0, y1)) <= _area(best)
            ):
                continue
            box = (x0, x1, y0, y1)
            is_free = all(
                t[0] >= x1 - SAME_LENGTH_MM or t[1] <= x0 + SAME_LENGTH_MM for t in blocks
            )
            if is_free and (not is_sawn or sawing_of([*cuts, _as_cut(box)], k).comes_apart):
                best = box
    return best


def _lines(low: float, high: float, others: list[float]) -> list[float]:
    inside: NDArray[np.float64] = np.unique(np.array([x for x in others if low < x < high]))
    return [low, *(float(x) for x in inside), high]


def _area(box: Box) -> float:
    return (box[1] - box[0]) * (box[3] - box[2])
