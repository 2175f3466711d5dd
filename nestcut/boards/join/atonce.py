"""Positions at once, without a solver: fewest joints for the longest stock, then evened out.

Enough for a first plan; the search begins from it or from nothing.
"""

from __future__ import annotations

from nestcut.boards.join.joining import FreeRail, JoiningProblem
from nestcut.tolerances.lengths import HAIR_MM

Interval = tuple[int, int]


def places_at_once(rail: FreeRail, problem: JoiningProblem) -> tuple[int, ...] | None:
    """Return where a rail's overlaps begin, in grid units; None where this plain way finds none.

    No piece is as long as the longest stock to the last hair: a second rounding would take that
    away.  Each overlap lies as near as it may to where all pieces would be equally long.
    """
    capacity = max(problem.bins[b].capacity for b in problem.bins_of[rail.rail.section])
    longest = capacity - problem.kerf - problem.grid.up(HAIR_MM)
    reaching = _reaching(rail, longest)
    if reaching is None:
        return None
    return _evened(rail, longest, len(reaching)) or reaching


def _reaching(rail: FreeRail, longest: int) -> tuple[int, ...] | None:
    """Each overlap as far on as the piece before it reaches: no fewer joints will do."""
    begin, end = -rail.allowance, rail.whole - rail.allowance
    starts: list[int] = []
    while end - begin > longest:
        least = starts[-1] + rail.apart if starts else begin + 1
        start = _last_in(rail.starts, max(least, begin + 1), begin + longest - rail.overlap)
        if start is None:
            return None
        starts.append(start)
        begin = start
    return tuple(starts) if len(starts) <= rail.numbers[-1] else None


def _evened(rail: FreeRail, longest: int, n: int) -> tuple[int, ...] | None:
    """So many overlaps, each as near to equal pieces as the rules and the stock let it lie."""
    end = rail.whole - rail.allowance
    step = (rail.whole - rail.overlap) / (n + 1)
    starts: list[int] = []
    for k in range(1, n + 1):
        begin = starts[-1] if starts else -rail.allowance
        # what is left must be within reach of the pieces that are left
        far = end - longest - (n - k) * (longest - rail.overlap)
        least = max(far, starts[-1] + rail.apart if starts else begin + 1)
        most = begin + longest - rail.overlap
        wanted = round(k * step) - rail.allowance
        start = _nearest_in(rail.starts, wanted, least, most)
        if start is None:
            return None
        starts.append(start)
    return tuple(starts)


def _last_in(allowed: tuple[Interval, ...], least: int, most: int) -> int | None:
    return max((min(b, most) for a, b in allowed if max(a, least) <= min(b, most)), default=None)


def _nearest_in(allowed: tuple[Interval, ...], wanted: int, least: int, most: int) -> int | None:
    found = [
        min(max(wanted, a, least), b, most) for a, b in allowed if max(a, least) <= min(b, most)
    ]
    return min(found, key=lambda s: (abs(s - wanted), s), default=None)
