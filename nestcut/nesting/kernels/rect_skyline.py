"""Upright rectangles into upright bins: a skyline filled gap by gap, and a search over the order.

Best fit by gaps (the lowest gap of the skyline takes the piece that suits its width and its walls
best) goes back to Burke, Kendall and Whitwell 2004 (Operations Research 52:655-671); that the
order among equally suited pieces is what a search should change, to Leung, Zhang and Sim 2011
(European Journal of Operational Research 215:57-69).  Whole numbers throughout, so fits are exact.
"""

from __future__ import annotations

import numba
import numpy as np

from nestcut.nesting.kernels.chance import below, uniform


@numba.njit(cache=True)
def _suits(w: int, h: int, gap: int, left: int, right: int) -> int:
    """How well a piece suits a gap between two walls: 0 (it goes in) to 5 (it closes it flush)."""
    walls = (1 if h == left else 0) + (1 if h == right else 0)
    if w == gap:
        return 3 + walls
    return 1 if walls > 0 else 0


@numba.njit(cache=True)
def _raise_gap(s: int, count: int, sx: np.ndarray, sy: np.ndarray, sw: np.ndarray) -> int:
    """Lift segment s to its lower neighbour and join what is level; return the new count."""
    level = np.int64(2**62)
    if s > 0:
        level = sy[s - 1]
    if s + 1 < count and sy[s + 1] < level:
        level = sy[s + 1]
    sy[s] = level
    return _join(count, sx, sy, sw)


@numba.njit(cache=True)
def _join(count: int, sx: np.ndarray, sy: np.ndarray, sw: np.ndarray) -> int:
    """Join neighbouring segments of one height and drop empty ones; return the new count."""
    m = 0
    for k in range(count):
        if sw[k] == 0:
            continue
        if m > 0 and sy[m - 1] == sy[k]:
            sw[m - 1] += sw[k]
        else:
            sx[m] = sx[k]
            sy[m] = sy[k]
            sw[m] = sw[k]
            m += 1
    return m


@numba.njit(cache=True)
def _choose(
    rest: np.ndarray,
    n_rest: int,
    w: np.ndarray,
    h: np.ndarray,
    can_turn: np.ndarray,
    gap: int,
    room: int,
    left: int,
    right: int,
) -> tuple[int, int]:
    """Return the place in ``rest`` of what suits a gap best, and its turn; -1 for none."""
    best_k, best_suit, best_turn = -1, -1, 0
    for k in range(n_rest):
        i = rest[k]
        for t in range(2 if can_turn[i] else 1):
            a, b = (h[i], w[i]) if t == 1 else (w[i], h[i])
            if a <= gap and b <= room:
                suit = _suits(a, b, gap, left, right)
                if suit > best_suit:
                    best_k, best_suit, best_turn = k, suit, t
        if best_suit == 5:
            break
    return best_k, best_turn


@numba.njit(cache=True)
def _lay(
    s: int,
    count: int,
    a: int,
    b: int,
    left: int,
    right: int,
    sx: np.ndarray,
    sy: np.ndarray,
    sw: np.ndarray,
) -> int:
    """Lay a piece a x b on segment s, beside the wall it suits; return its x.

    The segment is split in two; the caller joins what is level. Of two walls it suits neither of,
    a piece goes beside the higher one.
    """
    at_right = right > left
    if b == left:
        at_right = False
    elif b == right:
        at_right = True
    for k in range(count, s + 1, -1):
        sx[k], sy[k], sw[k] = sx[k - 1], sy[k - 1], sw[k - 1]
    if at_right:
        x = sx[s] + sw[s] - a
        sx[s + 1], sy[s + 1], sw[s + 1] = x, sy[s] + b, a
        sw[s] -= a
        return int(x)
    x = sx[s]
    sx[s + 1], sy[s + 1], sw[s + 1] = x + a, sy[s], sw[s] - a
    sy[s] += b
    sw[s] = a
    return int(x)


@numba.njit(cache=True)
def fill_bin(
    rest: np.ndarray,
    n_rest: int,
    w: np.ndarray,
    h: np.ndarray,
    can_turn: np.ndarray,
    width: int,
    height: int,
    bin_no: int,
    where: np.ndarray,
    x: np.ndarray,
    y: np.ndarray,
    turned: np.ndarray,
    sky: np.ndarray,
) -> tuple[int, int]:
    """Fill one bin from the pieces in ``rest``; those placed leave the list.

    Parameters
    ----------
    rest
        Pieces to place, in order of preference; those placed are taken out, shape (n,).
    n_rest
        How many there are.
    w, h, can_turn
        Sizes and whether a quarter turn is allowed, by piece, shape (n,).
    width, height, bin_no
        Of the bin.
    where, x, y, turned
        Filled in by piece, shape (n,).
    sky
        Work space, shape (3, n + 4).

    Returns
    -------
    tuple of int
        How many pieces are left, and the top of what was placed.
    """
    sx, sy, sw = sky[0], sky[1], sky[2]
    sx[0], sy[0], sw[0] = 0, 0, width
    count = 1
    top = 0
    while n_rest > 0:
        s = 0
        for k in range(1, count):
            if sy[k] < sy[s]:
                s = k
        base = sy[s]
        room = height - base
        if room <= 0:
            break
        left = sy[s - 1] - base if s > 0 else room
        right = sy[s + 1] - base if s + 1 < count else room
        best_k, turn = _choose(rest, n_rest, w, h, can_turn, sw[s], room, left, right)
        if best_k < 0:
            if count == 1:
                break
            count = _raise_gap(s, count, sx, sy, sw)
            continue
        i = rest[best_k]
        a, b = (h[i], w[i]) if turn == 1 else (w[i], h[i])
        n_rest -= 1
        for k in range(best_k, n_rest):
            rest[k] = rest[k + 1]
        where[i] = bin_no
        turned[i] = turn
        y[i] = base
        x[i] = _lay(s, count, a, b, left, right, sx, sy, sw)
        top = max(top, base + b)
        count = _join(count + 1, sx, sy, sw)
    return n_rest, top


@numba.njit(cache=True)
def fill_bins(
    order: np.ndarray,
    w: np.ndarray,
    h: np.ndarray,
    can_turn: np.ndarray,
    widths: np.ndarray,
    heights: np.ndarray,
    where: np.ndarray,
    x: np.ndarray,
    y: np.ndarray,
    turned: np.ndarray,
    sky: np.ndarray,
    rest: np.ndarray,
) -> tuple[int, int]:
    """Fill the bins one after the other; return the area left over and the top in the last one.

    Parameters
    ----------
    order
        Numbers of the pieces in order of preference, shape (n,).
    w, h, can_turn
        Sizes and whether a quarter turn is allowed, by piece, shape (n,).
    widths, heights
        Of the bins, in the order in which they are filled, shape (bins,).
    where, x, y, turned
        Filled in by piece, shape (n,); ``where`` is -1 for one that is left over.
    sky
        Work space, shape (3, n + 4).
    rest
        Work space, shape (n,).
    """
    n = order.shape[0]
    for k in range(n):
        rest[k] = order[k]
        where[k] = -1
    n_rest, top = n, 0
    for b in range(widths.shape[0]):
        if n_rest == 0:
            return 0, 0
        n_rest, top = fill_bin(
            rest, n_rest, w, h, can_turn, widths[b], heights[b], b, where, x, y, turned, sky
        )
    left = 0
    for k in range(n_rest):
        left += w[rest[k]] * h[rest[k]]
    return left, top


@numba.njit(cache=True)
def search_order(
    order: np.ndarray,
    w: np.ndarray,
    h: np.ndarray,
    can_turn: np.ndarray,
    widths: np.ndarray,
    heights: np.ndarray,
    iterations: int,
    warmth: float,
    state: np.ndarray,
    best_order: np.ndarray,
) -> tuple[float, int]:
    """Anneal the order of the pieces so that as little area as possible is left over.

    Ties are broken by the top of what lies in the last bin.  ``warmth`` is the starting
    temperature as a share of the mean piece area; it falls linearly to nothing.

    Parameters
    ----------
    order
        Numbers of the pieces to begin with, shape (n,); changed in place.
    w, h, can_turn
        Sizes and whether a quarter turn is allowed, by piece, shape (n,).
    widths, heights
        Of the bins, in the order in which they are filled, shape (bins,).
    iterations
        How many changes to try.
    warmth
        Temperature at first, as a share of the mean piece area. [-]
    state
        State of the random stream, shape (1,), uint64; moves on.
    best_order
        Takes the best order, shape (n,).

    Returns
    -------
    tuple
        The least cost (area left over plus the last top's share below 1), iterations done.
    """
    n = order.shape[0]
    where = np.empty(n, np.int64)
    x = np.empty(n, np.int64)
    y = np.empty(n, np.int64)
    turned = np.empty(n, np.int64)
    rest = np.empty(n + 1, np.int64)
    sky = np.empty((3, n + 4), np.int64)
    mean = 0.0
    for i in range(n):
        mean += w[i] * h[i] / n
    last = float(heights[-1]) + 1.0
    left, top = fill_bins(order, w, h, can_turn, widths, heights, where, x, y, turned, sky, rest)
    now = float(left) + top / last
    best = now
    best_order[:] = order
    for it in range(iterations):
        if best <= 0.0:
            return best, it
        i, j = below(state, n), below(state, n)
        if i == j:
            continue
        kind = uniform(state)
        if kind < 0.6:
            order[i], order[j] = order[j], order[i]
        else:
            _shift(order, i, j)
        left, top = fill_bins(
            order, w, h, can_turn, widths, heights, where, x, y, turned, sky, rest
        )
        cost = float(left) + top / last
        heat = warmth * mean * (1.0 - it / iterations)
        if cost <= now or (heat > 0.0 and uniform(state) < np.exp((now - cost) / heat)):
            now = cost
            if cost < best:
                best = cost
                best_order[:] = order
        elif kind < 0.6:
            order[i], order[j] = order[j], order[i]
        else:
            _shift(order, j, i)
    return best, iterations


@numba.njit(cache=True)
def _shift(order: np.ndarray, i: int, j: int) -> None:
    """Take the piece at place i out and put it back in at place j."""
    piece = order[i]
    if i < j:
        for k in range(i, j):
            order[k] = order[k + 1]
    else:
        for k in range(i, j, -1):
            order[k] = order[k - 1]
    order[j] = piece
