"""What is left of begun boards: strips and ends that can be sawn from them, and places for rails.

What is left of a board is seldom a rectangle.  It comes apart in more than one way: an L is a long
narrow strip and a short wide end, or a shorter strip and a longer end.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from nestcut.boards.sawing.order import sawing_of
from nestcut.boards.wood.problem import strip_nm, usable_stretches
from nestcut.model.job import Job
from nestcut.model.piece import RailPiece
from nestcut.model.plan import BoardCut, BoardLayout
from nestcut.model.stock import BoardLength, BoardStock, Defect
from nestcut.tolerances import NM_PER_MM, SAME_LENGTH_MM
from nestcut.trade.boards import KEPT_END_MM, REST_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """A rectangle of a board, trim and kerfs taken off, as stock by a name of its own.

    ``from_mm`` and ``rip_from_mm`` are its corner on the board.
    """

    number: int
    from_mm: float
    rip_from_mm: float
    stock: BoardStock


class RestsBy(Enum):
    """Which rectangle is sawn off first where a rest is none."""

    AREA = "area"
    LENGTH = "length"
    BREADTH = "breadth"


def rests_of(
    job: Job,
    layouts: Sequence[BoardLayout],
    offers: dict[int, BoardLength],
    by: RestsBy = RestsBy.AREA,
) -> tuple[Rest, ...]:
    """Return everything that can be cut from boards of a plan besides what is cut from them.

    Parameters
    ----------
    layouts
        Boards with the cuts that stay, and those that are spent.
    offers
        By a board's number what it was sold as: its defects.
    by
        What counts where a rest comes apart in several ways.
    """
    stocks = {b.name: b for b in job.board_stocks}
    found: list[Rest] = []
    for layout in layouts:
        stock = stocks[layout.stock]
        kerf_mm = job.cutting.on(stock).kerf_mm
        boxes = free_boxes(_whole(layout, stock), layout.taken, kerf_mm, by)
        found += rests_at(stock, layout.number, boxes, offers.get(layout.number))
    return tuple(found)


def rests_at(
    stock: BoardStock, number: int, boxes: Sequence[Box], offer: BoardLength | None
) -> tuple[Rest, ...]:
    """Return rectangles of one board as stock: without trim, and with the defects that they have.

    Parameters
    ----------
    stock, number
        What the board is, and its number in the plan.
    boxes
        Where on the board they lie. [mm]
    offer
        What the board was sold as: its defects; None: it has none.
    """
    defects = offer.defects if offer is not None else ()
    return tuple(
        Rest(
            number=number,
            from_mm=box[0],
            rip_from_mm=box[2],
            stock=_as_stock(f"board {number} of the plan, rest {k}", stock, box, defects),
        )
        for k, box in enumerate(boxes, start=1)
    )


def kept_end_mm(last_mm: float, ends_mm: float, kerf_mm: float) -> Stretch | None:
    """Where a clear end that is worth keeping begins, behind the blade, and where it ends. [mm]

    It comes off before all else, over the board's whole width; None: too little is left.

    Parameters
    ----------
    last_mm
        Where the last piece ends. [mm]
    ends_mm
        Where what can be used of the board ends. [mm]
    kerf_mm
        What the blade takes. [mm]
    """
    begins = last_mm + kerf_mm
    return (begins, ends_mm) if ends_mm - begins >= KEPT_END_MM.value else None


def clear_of_defects(rests: Sequence[Rest], job: Job) -> tuple[Rest, ...]:
    """Return rests cut across where they have defects: what is without any."""
    found: list[Rest] = []
    for rest in rests:
        (offer,) = rest.stock.lengths
        if not offer.defects:
            found.append(rest)
            continue
        kerf = job.cutting.on(rest.stock).kerf_mm
        for k, (start, length) in enumerate(usable_stretches(rest.stock, offer, kerf), start=1):
            clear = BoardLength(length_mm=length, count=1)
            stock = replace(rest.stock, name=f"{rest.stock.name}, {k}", lengths=(clear,))
            found.append(replace(rest, from_mm=rest.from_mm + start, stock=stock))
    return tuple(found)


Box = tuple[float, float, float, float]
"""From, to, rip from, rip to. [mm]"""
Stretch = tuple[float, float]
"""From, to. [mm]"""
_Measure = Callable[[Box], float | tuple[float, float]]
"""How large a rectangle counts."""


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


def _whole(layout: BoardLayout, stock: BoardStock) -> Box:
    return (
        stock.end_trim_mm,
        layout.length_mm - stock.end_trim_mm,
        stock.edge_trim_mm,
        layout.width_mm - stock.edge_trim_mm,
    )


def free_boxes(
    whole: Box, taken: Sequence[BoardCut], kerf_mm: float, by: RestsBy = RestsBy.AREA
) -> list[Box]:
    """Return the rectangles that are left beside what is taken, the largest first.

    Parameters
    ----------
    whole
        What they are parted from. [mm]
    taken
        What lies there already.
    kerf_mm
        Taken by every cut. [mm]
    """
    cuts = list(taken)
    found: list[Box] = []
    while (box := _largest(whole, cuts, kerf_mm, _MEASURES[by])) is not None:
        found.append(box)
        cuts.append(_as_cut(box))
    return found


def _as_cut(box: Box, piece: str = "") -> BoardCut:
    return BoardCut(piece=piece, from_mm=box[0], to_mm=box[1], rip_from_mm=box[2], rip_to_mm=box[3])


def _largest(whole: Box, cuts: list[BoardCut], k: float, measure: _Measure) -> Box | None:
    """Return the largest rectangle of a board between cuts that saws can part it from, if any.

    Where the cuts themselves can't be parted any rectangle will do.
    """
    taken = _taken(cuts, k)
    is_sawn = sawing_of(cuts, k).comes_apart
    xs = _lines(whole[0], whole[1], [x for t in taken for x in t[:2]])
    ys = _lines(whole[2], whole[3], [y for t in taken for y in t[2:]])
    best: Box | None = None
    for y0, y1 in combinations(ys, 2):
        if y1 - y0 < REST_MM.low:
            continue
        blocks = [t for t in taken if t[2] < y1 - SAME_LENGTH_MM and t[3] > y0 + SAME_LENGTH_MM]
        for x0, x1 in combinations(xs, 2):
            box = (x0, x1, y0, y1)
            if x1 - x0 < REST_MM.high or (best is not None and measure(box) <= measure(best)):  # type: ignore[operator]
                continue
            is_free = all(
                t[0] >= x1 - SAME_LENGTH_MM or t[1] <= x0 + SAME_LENGTH_MM for t in blocks
            )
            if is_free and (not is_sawn or sawing_of([*cuts, _as_cut(box)], k).comes_apart):
                best = box
    return best


def _taken(cuts: Sequence[BoardCut], k: float) -> list[Box]:
    return [(c.from_mm - k, c.to_mm + k, c.rip_from_mm - k, c.rip_to_mm + k) for c in cuts]


def _lines(low: float, high: float, others: list[float]) -> list[float]:
    inside: NDArray[np.float64] = np.unique(np.array([x for x in others if low < x < high]))
    return [low, *(float(x) for x in inside), high]


def _area(box: Box) -> float:
    return (box[1] - box[0]) * (box[3] - box[2])


def _by_length(box: Box) -> tuple[float, float]:
    return (box[1] - box[0], box[3] - box[2])


def _by_breadth(box: Box) -> tuple[float, float]:
    return (box[3] - box[2], box[1] - box[0])


_MEASURES: dict[RestsBy, _Measure] = {
    RestsBy.AREA: _area,
    RestsBy.LENGTH: _by_length,
    RestsBy.BREADTH: _by_breadth,
}


def place_in_rests(
    job: Job,
    layouts: Sequence[BoardLayout],
    offers: dict[int, BoardLength],
    pieces: Sequence[RailPiece],
) -> tuple[BoardLayout, ...] | None:
    """Find a place in begun boards for every one of some rails' pieces, the largest first.

    Each goes where it leaves least beside it, and where saws can part it from all others.

    Parameters
    ----------
    layouts
        The boards as they are cut so far.
    offers
        What was bought for each board, by its number; a board without is free of defects.

    Returns
    -------
    tuple of BoardLayout or None
        The boards with the pieces; None: one of them found no place this way.
    """
    now = list(layouts)
    stocks = {b.name: b for b in job.board_stocks}
    for piece in sorted(pieces, key=lambda p: (-p.length_mm * p.width_mm, p.id)):
        best: tuple[float, int, BoardCut] | None = None
        for at, layout in enumerate(now):
            stock = stocks[layout.stock]
            strip = strip_nm(piece.sawn_mm, stock)
            if strip is None or stock.material != piece.material:
                continue
            offer = offers.get(layout.number)
            bad = () if offer is None else offer.defects
            size = (piece.length_mm, strip / NM_PER_MM)
            kerf = job.cutting.on(stock).kerf_mm
            for waste, box in _spots(_whole(layout, stock), layout, bad, kerf, size):
                if best is None or (waste, at) < best[:2]:
                    best = (waste, at, _as_cut(box, piece.id))
        if best is None:
            return None
        _, at, cut = best
        now[at] = replace(now[at], cuts=(*now[at].cuts, cut))
    return tuple(now)


def _spots(
    whole: Box,
    layout: BoardLayout,
    bad: Sequence[Defect],
    kerf_mm: float,
    size: tuple[float, float],
) -> Iterator[tuple[float, Box]]:
    """Yield places for a piece against an edge, a cut or a defect, with what they leave beside."""
    cuts = list(layout.taken)
    taken = [*_taken(cuts, kerf_mm), *((d.from_mm, d.to_mm, whole[2], whole[3]) for d in bad)]
    is_sawn = sawing_of(cuts, kerf_mm).comes_apart
    length, breadth = size
    xs = _lines(whole[0], whole[1], [x for t in taken for x in t[:2]])
    ys = _lines(whole[2], whole[3], [y for t in taken for y in t[2:]])
    starts = sorted({*xs, *(x - length for x in xs)})
    edges = sorted({*ys, *(y - breadth for y in ys)})
    for x, y in product(starts, edges):
        box = (x, x + length, y, y + breadth)
        if not _is_within(box, whole) or any(_share(box, t) for t in taken):
            continue
        if is_sawn and not sawing_of([*cuts, _as_cut(box)], kerf_mm).comes_apart:
            continue
        along = [t[:2] for t in taken if _abreast(t, box)]
        across = [t[2:] for t in taken if _in_line(t, box)]
        yield _room(along, box[:2], whole[:2]) * _room(across, box[2:], whole[2:]), box


def _room(taken: list[Stretch], own: Stretch, whole: Stretch) -> float:
    """How long the free stretch is in which a piece lies. [mm]"""
    low = max((b for _, b in taken if b <= own[0] + SAME_LENGTH_MM), default=whole[0])
    high = min((a for a, _ in taken if a >= own[1] - SAME_LENGTH_MM), default=whole[1])
    return high - low


def _is_within(box: Box, whole: Box) -> bool:
    return (
        box[0] >= whole[0] - SAME_LENGTH_MM
        and box[1] <= whole[1] + SAME_LENGTH_MM
        and box[2] >= whole[2] - SAME_LENGTH_MM
        and box[3] <= whole[3] + SAME_LENGTH_MM
    )


def _abreast(one: Box, other: Box) -> bool:
    return one[2] < other[3] - SAME_LENGTH_MM and one[3] > other[2] + SAME_LENGTH_MM


def _in_line(one: Box, other: Box) -> bool:
    return one[0] < other[1] - SAME_LENGTH_MM and one[1] > other[0] + SAME_LENGTH_MM


def _share(one: Box, other: Box) -> bool:
    return _abreast(one, other) and _in_line(one, other)
