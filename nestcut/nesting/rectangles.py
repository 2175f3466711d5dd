"""Upright rectangles into upright bins, in whole units: orders of filling skylines.

The module answers as :class:`nestcut.nesting.engine.Rectangles`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nestcut.nesting.kernels.chance import chance_state
from nestcut.nesting.kernels.rect_skyline import fill_bins, search_order
from nestcut.nesting.problem import IntArray, Rect, RectBin, RectPacking, RectPlace
from nestcut.search.settings import Deadline
from nestcut.search.streams import stream
from nestcut.tolerances.noise import NOISE
from nestcut.tolerances.search import WARMTH_LEAST

_CHUNK = 2000
"""Orders tried between two looks at the clock."""


def first(rects: tuple[Rect, ...], bins: tuple[RectBin, ...]) -> RectPacking:
    """Fill the bins one after the other, trying a few plain orders; the best of them."""
    arrays = _Arrays.of(rects, bins)
    packed = [arrays.decode(order) for order in _plain_orders(arrays)]
    return min(packed, key=lambda p: (p.left, p.top))


def search(
    rects: tuple[Rect, ...],
    bins: tuple[RectBin, ...],
    *,
    tries: int,
    seed: int,
    name: str,
    deadline: Deadline,
    good_enough: int | None = None,
) -> RectPacking:
    """Search for a packing into these bins, in this order, that leaves as little over as it can.

    Complete packings are compared by the top of what lies in the last bin.

    Parameters
    ----------
    tries
        Orders to try in all.
    seed, name
        Of the stream of chance.
    good_enough
        Stop as soon as all is packed and the last bin's top is no higher; None: only when the
        work is done.
    """
    arrays = _Arrays.of(rects, bins)
    state = chance_state(stream(seed, "rects", name))
    orders = _plain_orders(arrays)
    starts = sorted(orders, key=arrays.cost)
    best = starts[0].copy()
    best_cost = arrays.cost(best)
    work = 0
    rounds = max(1, round(tries / _CHUNK))
    current = best.copy()
    for r in range(rounds):
        if _is_enough(arrays, best, best_cost, good_enough) or deadline.stop_reason() is not None:
            break
        found = current.copy()
        warmth = _WARMTH[r % len(_WARMTH)]
        cost, done = search_order(
            current,
            arrays.w,
            arrays.h,
            arrays.can_turn,
            arrays.widths,
            arrays.heights,
            _CHUNK,
            warmth,
            state,
            found,
        )
        work += done
        if cost < best_cost:
            best, best_cost = found.copy(), cost
        current = found.copy() if cost <= best_cost * 1.05 + NOISE else best.copy()
        if r % 7 == 6:
            current = starts[(r // 7) % len(starts)].copy()
    packed = arrays.decode(best)
    return RectPacking(places=packed.places, left=packed.left, top=packed.top, work=work)


_WARMTH = (0.3, 0.1, WARMTH_LEAST, 0.3, 0.1, 0.6, WARMTH_LEAST)
"""Starting temperatures of the rounds, as a share of the mean area."""


@dataclass(frozen=True, slots=True, eq=False)
class _Arrays:
    w: IntArray
    h: IntArray
    can_turn: IntArray
    widths: IntArray
    heights: IntArray

    @staticmethod
    def of(rects: tuple[Rect, ...], bins: tuple[RectBin, ...]) -> _Arrays:
        return _Arrays(
            np.array([r.width for r in rects], dtype=np.int64),
            np.array([r.height for r in rects], dtype=np.int64),
            np.array([int(r.can_turn) for r in rects], dtype=np.int64),
            np.array([b.width for b in bins], dtype=np.int64),
            np.array([b.height for b in bins], dtype=np.int64),
        )

    def decode(self, order: IntArray) -> RectPacking:
        n = len(order)
        where, x, y, turned = (np.zeros(n, dtype=np.int64) for _ in range(4))
        left, top = fill_bins(
            order,
            self.w,
            self.h,
            self.can_turn,
            self.widths,
            self.heights,
            where,
            x,
            y,
            turned,
            np.zeros((3, n + 4), dtype=np.int64),
            np.zeros(n + 1, dtype=np.int64),
        )
        places = tuple(
            RectPlace(bin=int(where[i]), x=int(x[i]), y=int(y[i]), turned=bool(turned[i]))
            if where[i] >= 0
            else None
            for i in range(n)
        )
        return RectPacking(places=places, left=int(left), top=int(top), work=1)

    def cost(self, order: IntArray) -> float:
        packed = self.decode(order)
        return packed.left + packed.top / (float(self.heights[-1]) + 1.0)


def _plain_orders(arrays: _Arrays) -> list[IntArray]:
    longer = np.maximum(arrays.w, arrays.h)
    keys = (
        arrays.w * arrays.h,
        longer,
        arrays.h,
        arrays.w,
        arrays.w + arrays.h,
    )
    return [np.argsort(-k, kind="stable").astype(np.int64) for k in keys]


def _is_enough(arrays: _Arrays, order: IntArray, cost: float, good_enough: int | None) -> bool:
    if cost >= 1.0:
        return False
    if cost <= 0.0:
        return True
    return good_enough is not None and arrays.decode(order).top <= good_enough


def pack_strip(
    rects: tuple[Rect, ...], width: int, *, tries: int, seed: int, deadline: Deadline
) -> tuple[int, RectPacking]:
    """Pack all rectangles into a strip of this width, as low as the work allows.

    The height is taken back step by step from a plain packing; each step is a search for a
    complete packing below that height.

    Parameters
    ----------
    rects
        Sides in whole units.
    width
        Of the strip, whole units.
    tries
        Orders to try in all.
    seed
        Of the stream of chance.

    Returns
    -------
    tuple
        The height reached and the packing.

    Raises
    ------
    ValueError
        If a rectangle is wider than the strip in every turn.
    """
    for r in rects:
        if (min(r.width, r.height) if r.can_turn else r.width) > width:
            raise ValueError(f"a rectangle of {r.width} x {r.height} is wider than {width}")
    area = sum(r.width * r.height for r in rects)
    least = strip_bound(rects, width, area)
    tall = sum(max(r.width, r.height) for r in rects)
    best = first(rects, (RectBin(width=width, height=tall),))
    work = 0
    patience = 0
    while best.top > least and work < tries and deadline.stop_reason() is None:
        step = max(1, (best.top - least) // (2 if patience == 0 else 2 ** (patience + 2)))
        target = max(least, best.top - step)
        share = min(tries - work, max(_CHUNK, tries // 20) * (1 + patience))
        found = search(
            rects,
            (RectBin(width=width, height=target),),
            tries=share,
            seed=seed,
            name=f"strip {target} {work}",
            deadline=deadline,
            good_enough=target,
        )
        work += max(found.work, 1)
        if found.is_complete:
            best = found
        else:
            patience += 1
    return best.top, RectPacking(places=best.places, left=0, top=best.top, work=work)


def strip_bound(rects: tuple[Rect, ...], width: int, area: int) -> int:
    """Least height: by area, and the tallest piece however it's turned (or must be turned).

    Parameters
    ----------
    rects
        Sides in whole units; each fits the width in some turn.
    width
        Of the strip, whole units.
    area
        Of all rectangles, square units.
    """
    tallest = 0
    for r in rects:
        heights = [r.height] if r.width <= width else []
        if r.can_turn and r.height <= width:
            heights.append(r.width)
        tallest = max(tallest, min(heights))
    return max(-(-area // width), tallest)
