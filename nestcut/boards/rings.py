"""Whether rails come out of strips with one joint more than a tree has: exact, like trees.

Such a plan has one circle of rails and strips.  Saw a strip of the circle in two halves, and the
plan is a tree again, with a half at either end of the circle's path; how large each half must be
depends on the other.  So below every strip and every rail on the path, the least size of the far
half is kept for every length of the piece that leads on: an array where a tree has a number.
"""

from __future__ import annotations

import numpy as np

from nestcut.boards.counts import unpack
from nestcut.boards.family import Claim, Family, Lot
from nestcut.boards.spans import (
    NEVER,
    Spans,
    last_at_most,
    least_before,
    looked_up,
    next_at_least,
)
from nestcut.boards.trees import Trees
from nestcut.search.settings import Deadline

ARRAY_WORK = 25
"""What an array costs in the work of a single combination. [-]"""


class Rings:
    """Answers for some rails and strips of one family, all of which are to be used.

    Arrays are indexed by length or by position in grid units, and hold the least size of the far
    half (with a kerf for each piece in it), or ``NEVER``.
    """

    def __init__(
        self, family: Family, claim: Claim, lot: Lot, work: int, deadline: Deadline
    ) -> None:
        self.deadline = deadline
        self.family = family
        self.claim, self.lot = claim, lot
        self.work = work
        self.waste = -1
        joints = sum(lot)
        needs, fewest = family.needs(claim), family.fewest(claim)
        if 0 <= joints - fewest < len(needs):
            self.waste = family.room(lot) - needs[joints - fewest]

    def can_cut(self) -> bool:
        """Whether these rails come out of these strips with one circle.

        Raises
        ------
        OutOfWorkError
            When the work limit is reached.
        """
        if self.waste < 0:
            return False
        for b, n in enumerate(self.lot):
            if not n:
                continue
            rest = tuple(m - (a == b) for a, m in enumerate(self.lot))
            trees = Trees(self.family, self.claim, rest, self.work, self.deadline, self.waste)
            trees.longest = max(
                room - self.family.kerf
                for m, room in zip(self.lot, self.family.rooms, strict=True)
                if m
            )
            found = _Halves(trees, self.family.rooms[b]).can_close()
            self.work = trees.work
            if found:
                return True
        return False


class _Halves:
    """The search with one strip in two halves."""

    def __init__(self, trees: Trees, whole: int) -> None:
        self.trees = trees
        self.family = trees.family
        self.kerf = trees.family.kerf
        self.whole = whole
        """What both halves hold together, one kerf included. [grid units]"""
        self.size = trees.longest + 1
        self._rooms: dict[tuple[int, int], np.ndarray] = {}
        self._missing: dict[tuple[int, int], np.ndarray] = {}
        self._sides: dict[tuple[int, int, int, int, int], np.ndarray | None] = {}
        self._candidates: dict[tuple[int, ...], list[int]] = {}
        self._starts: dict[tuple[int, int], np.ndarray] = {}

    def can_close(self) -> bool:
        """Whether both halves find room in the strip that they make."""
        trees = self.trees
        lengths = np.arange(self.size)
        for own in trees.parts(trees.claim)[1:]:
            for strips in self._but_one(own):
                below = trees.hanging(trees.claim - own, trees.lot - strips)
                if below >= self.whole:
                    continue
                least = (self.missing(own, strips) + lengths).min()
                if least + self.kerf + below <= self.whole:
                    return True
        return False

    # ------------------------------------------------------------------ strips worth trying

    def _with_room(self, claim: int) -> list[int]:
        """Lots that may hang, with these rails, below a strip on the path."""
        key = (0, claim)
        if key not in self._candidates:
            trees = self.trees
            self._candidates[key] = [
                code
                for code, room, n in trees.lots
                if trees.may_have(claim, n)
                and -self.whole < room - trees.need(claim, n) - self.kerf
                and room - trees.need(claim, n) - self.kerf < trees.longest + trees.waste
            ]
        return self._candidates[key]

    def _but_one(self, claim: int) -> list[int]:
        """Lots that may hang, with these rails, below a rail on the path."""
        key = (1, claim)
        if key not in self._candidates:
            trees = self.trees
            self._candidates[key] = [
                code
                for code, room, n in trees.lots
                if trees.may_have(claim, n + 1)
                and -trees.waste < trees.need(claim, n + 1) - self.kerf - room
                and trees.need(claim, n + 1) - self.kerf - room <= trees.longest + self.whole
            ]
        return self._candidates[key]

    def _beside(self, k: int, claim: int, n: int) -> list[int]:
        """Lots that may hang, with these rails, below ``n`` pieces from an end of a rail."""
        key = (2, k, claim, n)
        if key not in self._candidates:
            trees, rail = self.trees, self.family.kinds[k]
            own = rail.allowance + n * (self.kerf + rail.overlap)
            self._candidates[key] = [
                code
                for code, room, strips in (trees.lots if rail.starts else [])
                if trees.may_have(claim, strips + 1 - n)
                and -self.whole <= room - trees.need(claim, strips + 1 - n) - own
                and room - trees.need(claim, strips + 1 - n) - own <= rail.whole + trees.waste
            ]
        return self._candidates[key]

    # ------------------------------------------------------------------ below strips

    def room(self, claim: int, lot: int) -> np.ndarray:
        """Least far half by the length of the piece that a strip above all this takes."""
        key = (claim, lot)
        if key in self._rooms:
            return self._rooms[key]
        trees = self.trees
        found = np.full(self.size, NEVER)
        if lot in self._with_room(claim):
            trees.count(ARRAY_WORK)
            below = trees.hanging(claim, lot)
            if below < self.whole:
                n = min(self.size, self.whole - self.kerf - below + 1)
                if n > 0:
                    found[:n] = below + self.kerf + np.arange(n)
            for b, n in enumerate(unpack(lot, trees.n_bins)):
                if n:
                    self._through(claim, lot - trees.one_strip[b], self.family.rooms[b], found)
        self._rooms[key] = found
        return found

    def _through(self, claim: int, lot: int, room: int, found: np.ndarray) -> None:
        """Lower the far half where the path goes on through a rail below this strip."""
        trees = self.trees
        for own in trees.parts(claim)[1:]:
            for strips in self._but_one(own):
                trees.count()
                if not trees.has_strips(lot, strips):
                    continue
                left = room - 2 * self.kerf - trees.hanging(claim - own, lot - strips)
                if left < 0:
                    continue
                # a piece of length p leaves left - p for the piece of the rail below
                trees.count(ARRAY_WORK)
                below = self.missing(own, strips)
                n = min(self.size, left + 1)
                shortest = np.minimum(left - np.arange(n), self.size - 1)
                found[:n] = np.minimum(found[:n], below[shortest])

    # ------------------------------------------------------------------ below rails

    def missing(self, claim: int, lot: int) -> np.ndarray:
        """Least far half by the greatest length of the piece missing of a rail above all this."""
        key = (claim, lot)
        if key in self._missing:
            return self._missing[key]
        trees = self.trees
        found = np.full(self.size, NEVER)
        if lot in self._but_one(claim):
            for k in trees.kinds_in(claim):
                others = claim - trees.one_rail[k]
                for joints in self.family.kinds[k].numbers:
                    for near in range(1, joints + 1):
                        for end in (0, 1):
                            self._miss(end, k, others, lot, near, joints - near, found)
            found = np.minimum.accumulate(found)
        self._missing[key] = found
        return found

    def _miss(
        self, end: int, k: int, others: int, lot: int, near: int, far: int, found: np.ndarray
    ) -> None:
        """Lower the far half for a rail with the path through one of the pieces near one end."""
        trees, rail = self.trees, self.family.kinds[k]
        for first in trees.parts(others):
            for ahead in self._beside(k, first, near):
                trees.count()
                rest = others - first
                if not trees.has_strips(lot, ahead) or (not far and (rest or ahead != lot)):
                    continue
                begins = self.side(end, k, first, ahead, near)
                if begins is None:
                    continue
                trees.count(ARRAY_WORK)
                at = np.flatnonzero(begins < NEVER)
                if far:
                    spans = self._plain(1 - end, end, k, rest, lot - ahead, far)
                    ends = next_at_least(spans, at + trees.apart[k])
                    length = ends - at + rail.overlap
                else:
                    length = rail.whole - rail.allowance - at
                good = (length >= 0) & (length < self.size)
                np.minimum.at(found, length[good], begins[at[good]])

    def _plain(self, end: int, seen: int, k: int, others: int, lot: int, n: int) -> Spans:
        """Where overlaps may begin beside pieces without the far half, seen from one end."""
        spans = self.trees.side(end, k, others, lot, n)
        if not seen:
            return spans
        rail = self.family.kinds[k]
        top = rail.whole - 2 * rail.allowance - rail.overlap
        return tuple((top - b, top - a) for a, b in reversed(spans))

    def _allowed(self, end: int, k: int) -> np.ndarray:
        """Whether an overlap may begin at each position, seen from one end."""
        key = (end, k)
        if key not in self._starts:
            rail = self.family.kinds[k]
            top = rail.whole - 2 * rail.allowance - rail.overlap
            allowed = np.zeros(rail.whole + 1, dtype=bool)
            for a, b in rail.starts:
                low, high = (a, b) if not end else (top - b, top - a)
                allowed[max(0, low) : high + 1] = True
            self._starts[key] = allowed
        return self._starts[key]

    def side(self, end: int, k: int, others: int, lot: int, n: int) -> np.ndarray | None:
        """Least far half by where the overlap beside ``n`` pieces begins; None if nowhere."""
        key = (end, k, others, lot, n)
        if key in self._sides:
            return self._sides[key]
        found = np.full(self.family.kinds[k].whole + 1, NEVER)
        if lot in self._beside(k, others, n):
            if n == 1:
                if lot in self._with_room(others):
                    rail = self.family.kinds[k]
                    length = np.arange(len(found)) + rail.overlap + rail.allowance
                    found = looked_up(self.room(others, lot), length)
            else:
                self._one_more(end, k, others, lot, n, found)
            found[~self._allowed(end, k)] = NEVER
        result = found if (found < NEVER).any() else None
        self._sides[key] = result
        return result

    def _one_more(self, end: int, k: int, others: int, lot: int, n: int, found: np.ndarray) -> None:
        """Go one piece on: out of the path, or out of another strip behind it."""
        trees, rail, apart = self.trees, self.family.kinds[k], self.trees.apart[k]
        at = np.arange(len(found))
        for own in trees.parts(others):
            rest = others - own
            for strips in self._with_room(own):
                trees.count()
                if not trees.has_strips(lot, strips):
                    continue
                spans = self._plain(end, end, k, rest, lot - strips, n - 1)
                if spans:
                    trees.count(ARRAY_WORK)
                    before = last_at_most(spans, at - apart)
                    room = self.room(own, strips)
                    np.minimum(found, looked_up(room, at - before + rail.overlap), out=found)
            for strips in trees.strips_with_room(own):
                trees.count()
                if not trees.has_strips(lot, strips):
                    continue
                begins = self.side(end, k, rest, lot - strips, n - 1)
                reach = trees.room(own, strips) - rail.overlap
                if begins is not None and reach >= apart:
                    trees.count(ARRAY_WORK)
                    np.minimum(found, least_before(begins, apart, reach), out=found)
