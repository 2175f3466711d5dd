"""Whether rails come out of strips that are joined up like a tree: exact, by dynamic programming.

Take rails and strips as nodes and pieces as edges, as ``join/drafts`` does.  Where
there are as few joints as it takes to connect the strips, the graph is a tree, and a tree falls
apart wherever a piece is taken out:

- what hangs below a strip leaves *room* in it for one more piece, the more the better;
- what hangs below a rail covers all of it but one *missing* piece, the shorter the better;
- what hangs below the first pieces of a rail says where the overlap behind them may begin.

So the best of each is computed once for every set of rails and strips, from smaller sets, and
nothing is forgotten.  Sets that would waste more than the whole does are passed over.  Joints
that keep their distance from those of other rails aren't looked at here
(``proof/apart``).
"""

from __future__ import annotations

from nestcut.boards.join.drafts import OutOfWorkError
from nestcut.boards.join.positions import Verdict
from nestcut.boards.proof.counts import BITS, guards, pack, parts_of, unpack
from nestcut.boards.proof.family import Claim, Family, Lot
from nestcut.boards.proof.spans import NEVER, Spans, meet, merge, nearest
from nestcut.search.settings import Deadline

WORK = 2_000_000
"""Combinations looked at for one deterministic second of the solver's work."""

_LOOK_EVERY = 5_000
"""Combinations between two looks at the clock. [-]"""


class Trees:
    """Answers for some rails and strips of one family, all of which are to be used.

    Sets of rails and of strips are packed numbers (``proof/counts``).

    Parameters
    ----------
    work
        Combinations that may be looked at.
    deadline
        Ends the work as well.
    """

    def __init__(
        self,
        family: Family,
        claim: Claim,
        lot: Lot,
        work: int,
        deadline: Deadline,
    ) -> None:
        self.family = family
        self.work = work
        self.deadline = deadline
        self._next_look = work - _LOOK_EVERY
        self.n_kinds, self.n_bins = len(claim), len(lot)
        self.claim, self.lot = pack(claim), pack(lot)
        self.one_rail = [1 << BITS * k for k in range(self.n_kinds)]
        self.one_strip = [1 << BITS * b for b in range(self.n_bins)]
        self._rail_guards, self._strip_guards = guards(self.n_kinds), guards(self.n_bins)
        self.apart = [k.apart for k in family.kinds]
        self.longest = max(room for n, room in zip(lot, family.rooms, strict=True) if n)
        self.longest -= family.kerf
        self.lots = [(pack(own), family.room(own), sum(own)) for own in parts_of(lot)]
        self._needs = {pack(c): family.needs(c) for c in parts_of(claim)}
        self._fewest = {pack(c): family.fewest(c) for c in parts_of(claim)}
        self.is_possible = self.may_have(self.claim, sum(lot) - 1)
        self.waste = -1
        """What the strips hold too much. [grid units]"""
        if self.is_possible:
            self.waste = family.room(lot) - self.need(self.claim, sum(lot) - 1)
        self.is_possible = self.is_possible and self.waste >= 0
        self._splits: dict[int, list[int]] = {}
        self._candidates: dict[tuple[int, ...], list[int]] = {}
        self._rooms: dict[tuple[int, int], int] = {}
        self._sums: dict[tuple[int, int], int] = {}
        self._missing: dict[tuple[int, int], int] = {}
        self._sides: dict[tuple[int, int, int, int, int], Spans] = {}

    def can_cut(self) -> bool:
        """Whether these rails come out of these strips as one tree.

        Raises
        ------
        OutOfWorkError
            When the work limit is reached.
        """
        if not self.is_possible:
            return False
        root = next(b for b, n in enumerate(unpack(self.lot, self.n_bins)) if n)
        rest = self.lot - self.one_strip[root]
        return self.hanging(self.claim, rest) <= self.family.rooms[root]

    # ------------------------------------------------------------------ sets

    def parts(self, claim: int) -> list[int]:
        """Return every set of rails within a set."""
        if claim not in self._splits:
            self._splits[claim] = [pack(own) for own in parts_of(unpack(claim, self.n_kinds))]
        return self._splits[claim]

    def has_strips(self, lot: int, part: int) -> bool:
        """Whether strips are among others."""
        return ((lot | self._strip_guards) - part) & self._strip_guards == self._strip_guards

    def kinds_in(self, claim: int) -> list[int]:
        """Return the kinds of rails in a set."""
        return [k for k, n in enumerate(unpack(claim, self.n_kinds)) if n]

    def may_have(self, claim: int, joints: int) -> bool:
        """Whether these rails may have so many joints."""
        return 0 <= joints - self._fewest[claim] < len(self._needs[claim])

    def need(self, claim: int, joints: int) -> int:
        """Least wood of these rails with so many joints. [grid units]"""
        return self._needs[claim][joints - self._fewest[claim]]

    def count(self, n: int = 1) -> None:
        """Take note of work done; raises OutOfWorkError where it, or the time, is used up."""
        self.work -= n
        if self.work < 0:
            raise OutOfWorkError
        if self.work < self._next_look:
            self._next_look = self.work - _LOOK_EVERY
            if self.deadline.stop_reason() is not None:
                raise OutOfWorkError

    # ------------------------------------------------------------------ strips worth trying

    def strips_with_room(self, claim: int) -> list[int]:
        """Lots below one of whose strips these rails may hang, with room for another piece."""
        key = (0, claim)
        if key not in self._candidates:
            self._candidates[key] = [
                code
                for code, room, n in self.lots
                if self.may_have(claim, n - 1)
                and 0
                < room - self.need(claim, n - 1) - self.family.kerf
                <= self.longest + self.waste
            ]
        return self._candidates[key]

    def strips_but_one(self, claim: int) -> list[int]:
        """Lots that may give all pieces of these rails but one."""
        key = (1, claim)
        if key not in self._candidates:
            self._candidates[key] = [
                code
                for code, room, n in self.lots
                if self.may_have(claim, n)
                and -self.waste < self.need(claim, n) - self.family.kerf - room <= self.longest
            ]
        return self._candidates[key]

    def _strips_beside(self, end: int, k: int, claim: int, n: int) -> list[int]:
        """Lots that may give ``n`` pieces from one end of a rail, and all of these rails."""
        key = (2, end, k, claim, n)
        if key not in self._candidates:
            rail, kerf = self.family.kinds[k], self.family.kerf
            least, greatest = rail.starts[0][0], rail.starts[-1][1]
            found = []
            for code, room, strips in self.lots if rail.starts else []:
                if not self.may_have(claim, strips - n):
                    continue
                top = room - self.need(claim, strips - n) - n * kerf
                if end:
                    first = rail.whole - rail.allowance - (top - (n - 1) * rail.overlap)
                    fits = first <= greatest and first + self.waste >= least
                else:
                    last = top - n * rail.overlap - rail.allowance
                    fits = last >= least and last - self.waste <= greatest
                if fits:
                    found.append(code)
            self._candidates[key] = found
        return self._candidates[key]

    # ------------------------------------------------------------------ what hangs below a strip

    def room(self, claim: int, lot: int) -> int:
        """Longest piece that a strip of the lot still takes when all this hangs below it."""
        key = (claim, lot)
        if key not in self._rooms:
            best = 0
            for b, n in enumerate(unpack(lot, self.n_bins)):
                if n:
                    used = self.hanging(claim, lot - self.one_strip[b])
                    best = max(best, self.family.rooms[b] - self.family.kerf - used)
            self._rooms[key] = best
        return self._rooms[key]

    def hanging(self, claim: int, lot: int) -> int:
        """Least of a strip that pieces of rails below it take, kerfs included."""
        if not claim:
            return NEVER if lot else 0
        key = (claim, lot)
        if key in self._sums:
            return self._sums[key]
        best = NEVER
        for own, strips in self.hangers(claim, lot):
            piece = self.missing(own, strips)
            if piece < best:
                below = self.hanging(claim - own, lot - strips)
                best = min(best, piece + self.family.kerf + below)
        self._sums[key] = best
        return best

    def hangers(self, claim: int, lot: int) -> list[tuple[int, int]]:
        """Rails and strips that may hang below a strip by one piece; the first rail among them."""
        mask = self.one_rail[self.kinds_in(claim)[0]] * ((1 << BITS) - 1)
        found = []
        for own in self.parts(claim):
            if own & mask:
                for strips in self.strips_but_one(own):
                    self.count()
                    if strips == lot if own == claim else self.has_strips(lot, strips):
                        found.append((own, strips))
        return found

    # ------------------------------------------------------------------ what hangs below a rail

    def missing(self, claim: int, lot: int) -> int:
        """Shortest piece missing of one of these rails, when all else hangs below that rail."""
        key = (claim, lot)
        if key not in self._missing:
            best = min(
                self._missing_of(k, claim - self.one_rail[k], lot) for k in self.kinds_in(claim)
            )
            self._missing[key] = best if best <= self.longest else NEVER
        return self._missing[key]

    def _missing_of(self, k: int, others: int, lot: int) -> int:
        """Shortest piece missing of a rail of kind ``k``, others and strips hanging below it."""
        rail = self.family.kinds[k]
        if not lot:
            return rail.whole if 0 in rail.numbers and not others else NEVER
        best = NEVER
        for joints in rail.numbers:
            for before in range(joints + 1 if joints else 0):
                best = min(best, self._missing_at(k, others, lot, before, joints - before))
        return best

    def _missing_at(self, k: int, others: int, lot: int, before: int, behind: int) -> int:
        """Shortest piece missing of a rail that has so many pieces before and behind it."""
        rail = self.family.kinds[k]
        if not before:
            spans = self.side(1, k, others, lot, behind)
            return spans[0][0] + rail.overlap + rail.allowance if spans else NEVER
        if not behind:
            spans = self.side(0, k, others, lot, before)
            return rail.whole - rail.allowance - spans[-1][1] if spans else NEVER
        best = NEVER
        for first, ahead in self._divisions(k, others, lot, before):
            begins = self.side(0, k, first, ahead, before)
            if begins:
                ends = self.side(1, k, others - first, lot - ahead, behind)
                best = min(best, nearest(begins, ends, self.apart[k]))
        return best + rail.overlap

    def _divisions(self, k: int, others: int, lot: int, before: int) -> list[tuple[int, int]]:
        """Rails and strips that may hang below the pieces before the missing one."""
        found = []
        for first in self.parts(others):
            for ahead in self._strips_beside(0, k, first, before):
                self.count()
                if self.has_strips(lot, ahead):
                    found.append((first, ahead))
        return found

    def side(self, end: int, k: int, others: int, lot: int, n: int) -> Spans:
        """Where the overlap beside the first ``n`` pieces from one end may begin.

        Seen from the reference end (0) or from the other one (1); all others and strips given
        hang below these pieces.

        Parameters
        ----------
        end
            From which end pieces are counted: 0 the reference end, 1 the other.
        k
            Kind of the rail.
        others
            Rails that hang below these pieces, a packed set.
        lot
            Strips that hang below these pieces, a packed set.
        n
            How many pieces, one or more.
        """
        key = (end, k, others, lot, n)
        if key not in self._sides:
            rail = self.family.kinds[k]
            found: list[tuple[int, int]] = []
            if lot in self._strips_beside(end, k, others, n):
                if n == 1:
                    room = self.room(others, lot)
                    if room and not end:
                        found.append((-NEVER, room - rail.overlap - rail.allowance))
                    elif room:
                        found.append((rail.whole - rail.allowance - room, NEVER))
                else:
                    for own, strips in self._last_pieces(end, k, others, lot, n):
                        spans = self.side(end, k, others - own, lot - strips, n - 1)
                        found += self._go_on(end, k, spans, own, strips)
            self._sides[key] = meet(merge(found), rail.starts)
        return self._sides[key]

    def _last_pieces(
        self, end: int, k: int, others: int, lot: int, n: int
    ) -> list[tuple[int, int]]:
        """Rails and strips that may hang below the last of ``n`` pieces."""
        found = []
        for own in self.parts(others):
            for strips in self.strips_with_room(own):
                self.count()
                if self.has_strips(lot, strips) and self.side(
                    end, k, others - own, lot - strips, n - 1
                ):
                    found.append((own, strips))
        return found

    def _go_on(
        self, end: int, k: int, spans: Spans, own: int, strips: int
    ) -> list[tuple[int, int]]:
        """Where a further piece may end, out of a strip below which all this hangs."""
        apart = self.apart[k]
        reach = self.room(own, strips) - self.family.kinds[k].overlap
        if reach < apart:
            return []
        if end:
            return [(a - reach, b - apart) for a, b in spans]
        return [(a + apart, b + reach) for a, b in spans]


def judge_tree(
    family: Family, claim: Claim, lot: Lot, joints: int, work: float, deadline: Deadline
) -> Verdict:
    """Return whether these rails come out of these strips, connected, with so many joints.

    Open where there are more joints than a tree takes, or work or time is used up.
    ``work`` is measured as the solver's. [deterministic seconds]

    Parameters
    ----------
    claim
        How many rails of each kind of the family.
    lot
        How many strips of each kind.
    joints
        How many joints there are to be in all.
    work
        Most work, measured as the solver's. [deterministic seconds]
    """
    if joints != sum(lot) - 1:
        return Verdict.OPEN
    try:
        can = Trees(family, claim, lot, round(WORK * work), deadline).can_cut()
    except OutOfWorkError:
        return Verdict.OPEN
    return Verdict.POSSIBLE if can else Verdict.IMPOSSIBLE
