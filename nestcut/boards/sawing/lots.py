"""Lots of pieces, and the least length of a board from which each can be sawn.

A lot says how many pieces of each kind.  Whatever is sawn from a rectangle by cuts right through
either is one piece, or the first cut parts it: a crosscut into two lengths, a rip into two breadths
(P. Gilmore, R. Gomory, Operations Research 13:94-120, 1965, who state this recursion for whole
sheets).  Breadths may be taken as sums of strips and kerfs, since strips can be pushed to one side
(N. Christofides, C. Whitlock, Operations Research 25:30-44, 1977: normal patterns).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

NEVER = 2**50
"""A length that no board has. [grid units]"""

Numbers = NDArray[np.int64]


@dataclass(frozen=True)
class Lots:
    """All lots within what is wanted, numbered from 0, the empty one.

    A lot within another has the smaller number, and the number of their difference is the
    difference of their numbers.
    """

    wanted: tuple[int, ...]

    @cached_property
    def steps(self) -> tuple[int, ...]:
        """What one piece of each kind adds to the number."""
        found, step = [], 1
        for n in self.wanted:
            found.append(step)
            step *= n + 1
        return tuple(found)

    @property
    def n_lots(self) -> int:
        """How many lots there are."""
        return math.prod(n + 1 for n in self.wanted)

    @property
    def n_pairs(self) -> int:
        """How many pairs of a lot and one within it there are."""
        return math.prod((n + 1) * (n + 2) // 2 for n in self.wanted)

    def number(self, counts: tuple[int, ...]) -> int:
        """Return a lot's number."""
        return sum(n * step for n, step in zip(counts, self.steps, strict=True))

    def counts(self, number: int) -> tuple[int, ...]:
        """Return how many pieces of each kind a lot has."""
        found = []
        for n in self.wanted:
            number, count = divmod(number, n + 1)
            found.append(count)
        return tuple(found)

    def within(self, number: int) -> Numbers:
        """Return the numbers of all lots within one, itself and the empty one included."""
        found = np.zeros(1, dtype=np.int64)
        for count, step in zip(self.counts(number), self.steps, strict=True):
            own = np.arange(count + 1, dtype=np.int64) * step
            found = (own[:, None] + found[None, :]).ravel()
        return found


@dataclass(frozen=True, slots=True)
class LikeStrips:
    """Pieces alike: breadth of their strip, None where the board gives none; length and kerf."""

    breadth: int | None
    weight: int


@dataclass(frozen=True, slots=True)
class Table:
    """Least lengths.

    Parameters
    ----------
    lots
        The lots that it speaks of.
    kinds
        What they are made of.
    breadths
        Sums of strips and kerfs that go into the widest board, rising. [nm]
    rips
        By breadth the pairs of breadths that a rip makes of it, narrow first; by number.
    least
        Length and kerf of the shortest board, shape (breadths, lots); ``NEVER``: none. [grid]
    kerf
        Between strips. [nm]
    """

    lots: Lots
    kinds: tuple[LikeStrips, ...]
    kerf: int
    breadths: tuple[int, ...]
    rips: tuple[tuple[tuple[int, int], ...], ...]
    least: Numbers

    def row(self, breadth: int) -> Numbers | None:
        """Least lengths for a board of some breadth; None where nothing is so narrow."""
        place = bisect_right(self.breadths, breadth) - 1
        return None if place < 0 else self.least[place]


def normal_breadths(kinds: tuple[LikeStrips, ...], widest: int, kerf: int) -> tuple[int, ...]:
    """Return all sums of strips, a kerf between neighbours, within a board's breadth. [nm]

    Parameters
    ----------
    kinds
        Kinds of pieces; one without a breadth is skipped.
    widest
        Breadth of the board. [nm]
    kerf
        Taken by every rip. [nm]
    """
    own = sorted({k.breadth for k in kinds if k.breadth is not None})
    found: set[int] = set()
    edge = {b for b in own if b <= widest}
    while edge:
        found |= edge
        edge = {a + kerf + b for a in edge for b in own if a + kerf + b <= widest} - found
    return tuple(sorted(found))


def rips_of(breadths: tuple[int, ...], kerf: int) -> tuple[tuple[tuple[int, int], ...], ...]:
    """Return by breadth what a rip makes of it: numbers of two breadths, the narrow one first."""
    made = []
    for breadth in breadths:
        pairs = []
        for a, narrow in enumerate(breadths):
            b = bisect_right(breadths, breadth - narrow - kerf) - 1
            if b < a:
                break
            pairs.append((a, b))
        made.append(tuple(pairs))
    return tuple(made)


def work_of(lots: Lots, breadths: tuple[int, ...], kerf: int) -> int:
    """Return how many sums a table takes.

    Parameters
    ----------
    breadths
        Breadths that the table knows. [nm]
    kerf
        Taken by every rip. [nm]
    """
    return lots.n_pairs * (len(breadths) + sum(map(len, rips_of(breadths, kerf))))


def make_table(lots: Lots, kinds: tuple[LikeStrips, ...], widest: int, kerf: int) -> Table:
    """Work out from how short a board every lot comes.

    Parameters
    ----------
    widest
        Breadth of the widest board. [nm]
    kerf
        Between strips. [nm]
    """
    breadths = normal_breadths(kinds, widest, kerf)
    rips = rips_of(breadths, kerf)
    least: Numbers = np.full((len(breadths), lots.n_lots), NEVER, dtype=np.int64)
    least[:, 0] = 0
    singles = dict(zip(lots.steps, kinds, strict=True))
    for number in range(1, lots.n_lots):
        kind = singles.get(number)
        if kind is not None:
            for b, breadth in enumerate(breadths):
                if kind.breadth is not None and kind.breadth <= breadth:
                    least[b, number] = kind.weight
            continue
        one = lots.within(number)[1:-1]
        other = number - one
        # A lot and the rest of it come twice in a sum, once each way round.
        half = (len(one) + 1) // 2
        own = (least[:, one[:half]] + least[:, other[:half]]).min(axis=1)
        for b, pairs in enumerate(rips):
            for narrow, wide in pairs:
                side = np.maximum(least[narrow, one], least[wide, other]).min()
                own[b] = min(own[b], side)
        least[:, number] = np.minimum(own, NEVER)
    return Table(lots=lots, kinds=kinds, kerf=kerf, breadths=breadths, rips=rips, least=least)


@dataclass(frozen=True, slots=True)
class Spot:
    """A piece of a kind: units along from the start, nanometres across, and what lies before it.

    ``behind`` are the spots along whose ends it begins, by their place in the list; a piece at the
    start of its stretch has none.
    """

    kind: int
    across: int
    behind: tuple[int, ...]


def spots_of(table: Table, breadth: int, number: int) -> list[Spot]:
    """Return one way to saw a lot from the shortest board of a breadth; rips come first.

    Parameters
    ----------
    breadth
        Breadth of the board; the next smaller one of the table is used. [nm]
    number
        Number of the lot, as :meth:`Lots.number` gives it.
    """
    place = bisect_right(table.breadths, breadth) - 1
    return list(_spots(table, place, number, 0, (), 0))


def _spots(
    table: Table, place: int, number: int, across: int, behind: tuple[int, ...], first: int
) -> Iterator[Spot]:
    """``first`` is the place in the list of the first spot that comes out of here."""
    lots, least = table.lots, table.least
    if number in lots.steps:
        yield Spot(lots.steps.index(number), across, behind)
        return
    goal = int(least[place, number])
    one = lots.within(number)[1:-1]
    other = number - one
    for narrow, wide in table.rips[place]:
        found = np.flatnonzero(np.maximum(least[narrow, one], least[wide, other]) == goal)
        if len(found):
            a, b = int(one[found[0]]), int(other[found[0]])
            n = sum(lots.counts(a))
            # The rip leaves the narrow side at the marked edge.
            step = table.breadths[narrow] + table.kerf
            yield from _spots(table, narrow, a, across, behind, first)
            yield from _spots(table, wide, b, across + step, behind, first + n)
            return
    found = np.flatnonzero(least[place, one] + least[place, other] == goal)
    a, b = int(one[found[-1]]), int(other[found[-1]])
    n = sum(lots.counts(a))
    yield from _spots(table, place, a, across, behind, first)
    yield from _spots(table, place, b, across, tuple(range(first, first + n)), first + n)
