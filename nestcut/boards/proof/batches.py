"""Batches: rails of one family with the strips and the joints they may have, and what is known.

A batch is a cluster without names.  Of all batches only the *leanest* are looked at first: those
that could not do without any of their strips.  A plan that uses a richer batch costs no less and
has no fewer joints than one that would use the leanest instead.  A batch that turns out to be
impossible gives way to its *successors*: one joint more, or one strip more.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product
from math import prod

import numpy as np

from nestcut.boards.join.drafts import Cluster, OutOfWorkError
from nestcut.boards.join.joining import JoiningProblem
from nestcut.boards.join.positions import Verdict, place_joints
from nestcut.boards.proof.counts import MOST_COUNTED
from nestcut.boards.proof.family import Claim, Family, Lot
from nestcut.boards.proof.trees import judge_tree
from nestcut.search.settings import Deadline

MOST_PAIRS = 100_000_000
"""Sets of rails times sets of strips that are looked through."""


@dataclass(frozen=True, slots=True, order=True)
class Batch:
    """Rails of each kind, strips of each bin, and the joints allowed."""

    family: int
    claim: Claim
    lot: Lot
    joints: int


class Judge:
    """Which batches of one family can be cut; what was asked once is remembered."""

    def __init__(
        self, problem: JoiningProblem, family: Family, number: int, work: float, seed: int
    ) -> None:
        self.problem = problem
        self.family = family
        self.number = number
        self.work = work
        self.seed = seed
        self.verdicts: dict[Batch, Verdict] = {}
        self._needs = {claim: family.needs(claim) for claim in family.claims()}

    def leanest(self, lot: Lot) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return the batches from these strips that could do without none of theirs.

        Together with the other rails they may waste no more than all strips hold too much.  Given
        as arrays: rails of each kind (n, kinds), strips of each bin (n, bins), joints (n,).

        Raises
        ------
        OutOfWorkError
            If the strips can be divided in too many ways.
        """
        if prod(n + 1 for n in lot) * len(self._needs) > MOST_PAIRS or max(lot) >= MOST_COUNTED:
            raise OutOfWorkError
        family = self.family
        spare = self.spare(lot)
        lots = np.array(list(product(*(range(n + 1) for n in lot)))[1:], dtype=np.int64)
        lots = lots.reshape(-1, len(lot))
        sizes = np.array(family.rooms, dtype=np.int64)
        rooms, strips = lots @ sizes, lots.sum(axis=1)
        smallest = np.where(lots > 0, sizes, np.iinfo(np.int64).max).min(axis=1, initial=2**62)
        claims, own, joints = [], [], []
        for claim, needs in self._needs.items() if spare >= 0 else ():
            fewest = family.fewest(claim)
            number = np.maximum(fewest, strips - 1)
            least = np.array(needs, dtype=np.int64)
            need = least[np.minimum(number - fewest, len(needs) - 1)]
            before = least[np.clip(strips - 2 - fewest, 0, len(needs) - 1)]
            is_lean = (strips == 1) | (rooms - smallest < before)
            is_possible = (number - fewest < len(needs)) & (rooms >= need)
            fits = np.flatnonzero(is_possible & is_lean & (rooms <= needs[0] + spare))
            claims.append(np.tile(np.array(claim, dtype=np.int64), (len(fits), 1)))
            own.append(lots[fits])
            joints.append(number[fits])
        if not claims:
            empty = np.zeros(0, dtype=np.int64)
            return empty.reshape(0, len(family.kinds)), empty.reshape(0, len(lot)), empty
        return np.concatenate(claims), np.concatenate(own), np.concatenate(joints)

    def most_joints(self, lot: Lot) -> int:
        """Most joints that these strips have wood for. [-]"""
        everything = self.family.everything
        extra = sum(n <= self.family.room(lot) for n in self._needs[everything]) - 1
        return self.family.fewest(everything) + extra

    def spare(self, lot: Lot) -> int:
        """Return what strips hold beyond what all rails need with fewest joints. [grid units]"""
        return self.family.room(lot) - self._needs[self.family.everything][0]

    def successors(self, batch: Batch) -> list[Batch]:
        """Return what takes the place of an impossible batch."""
        family = self.family
        needs, fewest = self._needs[batch.claim], family.fewest(batch.claim)
        found = []
        k = batch.joints + 1 - fewest
        if k < len(needs) and needs[k] <= family.room(batch.lot):
            found.append(Batch(self.number, batch.claim, batch.lot, batch.joints + 1))
        for b in range(len(batch.lot)):
            lot = tuple(n + (a == b) for a, n in enumerate(batch.lot))
            joints = max(fewest, sum(lot) - 1)
            k = joints - fewest
            if k < len(needs) and needs[k] <= family.room(lot):
                found.append(Batch(self.number, batch.claim, lot, joints))
        return found

    def is_within(self, batch: Batch, lot: Lot) -> bool:
        """Whether a batch takes no strips but these, and leaves enough for the other rails."""
        if any(a > b for a, b in zip(batch.lot, lot, strict=True)):
            return False
        room = self.family.room(batch.lot)
        return room <= self._needs[batch.claim][0] + self.spare(lot)

    def verdict(self, batch: Batch, deadline: Deadline) -> Verdict:
        """Return whether a batch can be cut, joints of other rails aside."""
        if batch not in self.verdicts:
            self.verdicts[batch] = self._judge(batch, self.work, deadline)
        return self.verdicts[batch]

    def _is_rising(self, batch: Batch) -> bool:
        """Whether the same with fewer joints is impossible, as far as it is connected.

        Where it isn't connected it is smaller batches, which are judged by themselves.
        """
        fewer = replace(batch, joints=batch.joints - 1)
        is_least = batch.joints == max(self.family.fewest(batch.claim), sum(batch.lot) - 1)
        if is_least:
            return True
        return self.verdicts.get(fewer) is Verdict.IMPOSSIBLE and self._is_rising(fewer)

    def left_open(self) -> list[Batch]:
        """Return the batches that weren't settled."""
        return [batch for batch, v in self.verdicts.items() if v is Verdict.OPEN]

    def look_again(self, batch: Batch, work: float, deadline: Deadline) -> Verdict:
        """Work longer on what was left open.

        Parameters
        ----------
        batch
            Rails and strips that were judged before.
        work
            Most work to spend on it now. [deterministic seconds]
        """
        self.verdicts[batch] = self._judge(batch, work, deadline)
        return self.verdicts[batch]

    def _judge(self, batch: Batch, work: float, deadline: Deadline) -> Verdict:
        found = judge_tree(self.family, batch.claim, batch.lot, batch.joints, work, deadline)
        if found is not Verdict.OPEN:
            return found
        cluster = self.first_cluster(batch)
        if self._is_rising(batch):
            cluster = replace(cluster, least_joints=batch.joints)
        return place_joints(self.problem, (cluster,), (), work, self.seed, deadline).verdict

    def first_cluster(self, batch: Batch) -> Cluster:
        """Return the batch with the first rails of each kind."""
        rails = [
            r for n, own in zip(batch.claim, self.family.members, strict=True) for r in own[:n]
        ]
        return self.cluster(batch, tuple(sorted(rails)))

    def cluster(self, batch: Batch, rails: tuple[int, ...]) -> Cluster:
        """Give a batch its rails."""
        kinds = zip(self.family.fixed, batch.claim, strict=True)
        return Cluster(
            rails=rails,
            kinds=tuple((i, n) for i, n in kinds if i is not None and n),
            bins=tuple((b, n) for b, n in zip(self.family.bins, batch.lot, strict=True) if n),
            joints=batch.joints,
        )
