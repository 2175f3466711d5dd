"""A first plan without any search: longest pieces first, boards opened one by one.

It is what a builder does with a pencil, and what is there when no time is left for anything else.
"""

from __future__ import annotations

from nestcut.boards.cut.relaxation import Column
from nestcut.boards.cut.rips import Used
from nestcut.boards.wood.problem import Bin, CuttingProblem, strip_nm


def first_fit(problem: CuttingProblem) -> Used | None:
    """Cut pieces from the first open strip with room, else open the board that costs least.

    Pieces that no stock is left for are left out.
    """
    open_bins: list[tuple[int, int, dict[int, int]]] = []
    boards: dict[int, int] = {}
    spent: dict[int, int] = {}
    missing: dict[int, int] = {}
    serving = [
        {b for b, place in enumerate(problem.bins) if _serves(problem, i, place)}
        for i in range(len(problem.kinds))
    ]
    order = sorted(range(len(problem.kinds)), key=lambda i: (-problem.kinds[i].weight, i))
    for i in order:
        for _ in range(problem.kinds[i].demand):
            spot = _spot(problem.kinds[i].weight, serving[i], open_bins)
            if spot is None:
                rip = _cheapest(problem, i, spent)
                if rip is None:
                    missing[i] = missing.get(i, 0) + 1
                    continue
                boards[rip] = boards.get(rip, 0) + 1
                supply = problem.rips[rip].supply
                spent[supply] = spent.get(supply, 0) + 1
                strips = dict(problem.rips[rip].strips)
                open_bins += [
                    (b, place.capacity, {})
                    for b, place in enumerate(problem.bins)
                    if place.supply == supply
                    for _ in range(strips.get(place.strip_nm, 0))
                ]
                spot = _spot(problem.kinds[i].weight, serving[i], open_bins)
            if spot is None:
                return None
            b, room, inside = open_bins[spot]
            inside[i] = inside.get(i, 0) + 1
            open_bins[spot] = (b, room - problem.kinds[i].weight, inside)
    patterns: dict[Column, int] = {}
    for b, _, inside in open_bins:
        if inside:
            column = Column(b, tuple(sorted(inside.items())))
            patterns[column] = patterns.get(column, 0) + 1
    return Used(
        patterns=tuple(sorted(patterns.items(), key=lambda p: (p[0].place, p[0].pattern))),
        rips=tuple(sorted(_needed(problem, boards, patterns).items())),
        missing=tuple(sorted(missing.items())),
    )


def _needed(
    problem: CuttingProblem, boards: dict[int, int], patterns: dict[Column, int]
) -> dict[int, int]:
    """Leave out boards whose strips the others can give: one ripped for a wide piece may have."""
    filled: dict[int, int] = {}
    for column, n in patterns.items():
        filled[column.place] = filled.get(column.place, 0) + n
    wanted: dict[tuple[int, int], int] = {}
    for b, n in filled.items():
        key = (problem.bins[b].supply, problem.bins[b].strip_nm)
        wanted[key] = max(wanted.get(key, 0), n)
    left = dict(boards)
    for rip in sorted(boards, reverse=True):
        while left.get(rip, 0):
            fewer = {**left, rip: left[rip] - 1}
            if any(_given(problem, fewer, key) < n for key, n in wanted.items()):
                break
            left = fewer
    return {rip: n for rip, n in left.items() if n}


def _given(problem: CuttingProblem, boards: dict[int, int], key: tuple[int, int]) -> int:
    """How many strips of a width boards of one supply give."""
    supply, width = key
    return sum(
        n * dict(problem.rips[r].strips).get(width, 0)
        for r, n in boards.items()
        if problem.rips[r].supply == supply
    )


def _serves(problem: CuttingProblem, kind: int, place: Bin) -> bool:
    section = problem.kinds[kind].section
    return strip_nm(section, problem.supplies[place.supply].stock) == place.strip_nm


def _spot(
    weight: int, serving: set[int], open_bins: list[tuple[int, int, dict[int, int]]]
) -> int | None:
    """First open bin that serves a kind and has room for a piece of it."""
    for k, (b, room, _) in enumerate(open_bins):
        if weight <= room and b in serving:
            return k
    return None


def _cheapest(problem: CuttingProblem, kind: int, spent: dict[int, int]) -> int | None:
    """Rip of the cheapest supply that has room for the kind, with most strips for it."""
    best: tuple[int, int, int] | None = None
    for r, rip in enumerate(problem.rips):
        supply = problem.supplies[rip.supply]
        if supply.limit is not None and spent.get(rip.supply, 0) >= supply.limit:
            continue
        strips = dict(rip.strips)
        giving = [
            strips[place.strip_nm]
            for place in problem.bins
            if place.supply == rip.supply
            and place.strip_nm in strips
            and problem.kinds[kind].weight <= place.capacity
            and _serves(problem, kind, place)
        ]
        if giving:
            rank = (supply.price, -max(giving), r)
            best = rank if best is None else min(best, rank)
    return None if best is None else best[2]
