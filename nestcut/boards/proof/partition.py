"""Rails divided among given strips: batches that together take every rail, with fewest joints.

A linear programme bounds the joints (``proof/leastjoints``) and says which batches are
worth looking at; CP-SAT chooses among them for so many joints, then for one more, and so on.  What
it chooses is judged, and what is impossible gives way to its successors.  So the first choice that
stands has the fewest joints.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from nestcut.boards.join.positions import Verdict
from nestcut.boards.proof.batches import Batch, Judge
from nestcut.boards.proof.family import Lot
from nestcut.boards.proof.leastjoints import FewestJoints, bound_joints
from nestcut.search.settings import Deadline
from nestcut.search.solver import solver_for
from nestcut.tolerances.noise import SOLVER_SLACK

Chosen = tuple[tuple[Batch, int], ...]
"""Batches, and how often each is taken."""


class Pool:
    """Batches that may be possible, for given strips of some families.

    ``is_exact`` says whether nothing was passed over without proof.
    """

    def __init__(
        self, judges: tuple[Judge, ...], lots: tuple[Lot, ...], deadline: Deadline
    ) -> None:
        self.deadline = deadline
        self.judges = judges
        self.lots = lots
        self.is_exact = True
        self.n_rails = sum(len(judge.family.everything) for judge in judges)
        self.wanted = np.array(
            [n for judge in judges for n in judge.family.everything]
            + [n for lot in lots for n in lot],
            dtype=np.int64,
        )
        self._at: dict[int, tuple[int, int]] = {}
        """Where each family's rails and strips begin among the rows."""
        rail, strip = 0, self.n_rails
        for judge, lot in zip(judges, lots, strict=True):
            self._at[judge.number] = rail, strip
            rail += len(judge.family.everything)
            strip += len(lot)
        self._gone: set[Batch] = set()
        self._bound: FewestJoints | None = None
        parts = [judge.leanest(lot) for judge, lot in zip(judges, lots, strict=True)]
        self.joints = np.concatenate([joints for _, _, joints in parts])
        self.rows = np.zeros((len(self.joints), len(self.wanted)), dtype=np.int64)
        self.owner = np.concatenate(
            [np.full(len(p[2]), judge.number) for judge, p in zip(judges, parts, strict=True)]
        )
        begin = 0
        for judge, (claims, own, joints) in zip(judges, parts, strict=True):
            rail, strip = self._at[judge.number]
            end = begin + len(joints)
            self.rows[begin:end, rail : rail + claims.shape[1]] = claims
            self.rows[begin:end, strip : strip + own.shape[1]] = own
            begin = end
        for judge in judges:
            for batch, verdict in list(judge.verdicts.items()):
                if verdict is not Verdict.POSSIBLE:
                    self.drop(batch)

    def batch(self, column: int) -> Batch:
        """Return a column as a batch."""
        number = int(self.owner[column])
        rail, strip = self._at[number]
        (judge,) = (j for j in self.judges if j.number == number)
        own = [int(n) for n in self.rows[column]]
        return Batch(
            number,
            tuple(own[rail : rail + len(judge.family.everything)]),
            tuple(own[strip : strip + len(judge.family.bins)]),
            int(self.joints[column]),
        )

    def _row(self, batch: Batch) -> np.ndarray:
        rail, strip = self._at[batch.family]
        row = np.zeros(len(self.wanted), dtype=np.int64)
        row[rail : rail + len(batch.claim)] = batch.claim
        row[strip : strip + len(batch.lot)] = batch.lot
        return row

    def _judge_of(self, batch: Batch) -> Judge:
        (judge,) = (j for j in self.judges if j.number == batch.family)
        return judge

    def drop(self, batch: Batch) -> None:
        """Take a batch that was judged impossible, or left open, out; its successors come in."""
        same = (self.rows == self._row(batch)).all(axis=1) & (self.joints == batch.joints)
        if not same.any():
            return
        judge = self._judge_of(batch)
        keep = ~same
        self.rows, self.joints, self.owner = self.rows[keep], self.joints[keep], self.owner[keep]
        self._gone.add(batch)
        self.is_exact = self.is_exact and judge.verdicts[batch] is Verdict.IMPOSSIBLE
        self.succeed(batch)

    def succeed(self, batch: Batch) -> None:
        """Let the successors of a batch in, and theirs where they are known to be impossible."""
        waiting = self._judge_of(batch).successors(batch)
        fresh: dict[Batch, None] = {}
        while waiting:
            own = waiting.pop()
            judge = self._judge_of(own)
            lot = self.lots[self.judges.index(judge)]
            if own in self._gone or own in fresh or not judge.is_within(own, lot):
                continue
            verdict = judge.verdicts.get(own, Verdict.POSSIBLE)
            if verdict is Verdict.POSSIBLE:
                fresh[own] = None
                continue
            self._gone.add(own)
            self.is_exact = self.is_exact and verdict is Verdict.IMPOSSIBLE
            waiting += judge.successors(own)
        for own in fresh:
            row = self._row(own)
            if not ((self.rows == row).all(axis=1) & (self.joints == own.joints)).any():
                self.rows = np.vstack([self.rows, row])
                self.joints = np.append(self.joints, own.joints)
                self.owner = np.append(self.owner, own.family)
        self._bound = None

    @property
    def bound(self) -> FewestJoints:
        """What the linear programme says of the batches there are now."""
        if self._bound is None:
            self._bound = bound_joints(
                self.rows, self.joints, self.wanted, self.n_rails, self.deadline
            )
        return self._bound

    def choose(
        self,
        forbidden: list[Chosen],
        most_joints: int,
        work: float,
        seed: int,
    ) -> Chosen | None:
        """Choose batches with fewest joints, no more than a limit; None if there are none.

        ``is_exact`` falls where that is not settled within the work limit.

        Parameters
        ----------
        forbidden
            Choices that turned out impossible as wholes.
        most_joints
            Most joints in all.
        work
            Most work of one call of the solver. [deterministic seconds]
        seed
            Of the solver's stream.
        """
        most_joints = min(most_joints, self._most_joints())
        for joints in range(max(0, math.ceil(self.bound.bound - SOLVER_SLACK)), most_joints + 1):
            is_settled, chosen = self._choose_within(
                self.bound.worth_keeping(joints),
                forbidden,
                joints,
                solver_for(work, self.deadline, seed),
            )
            if chosen is not None:
                return chosen
            if not is_settled:
                self.is_exact = False
                return None
        return None

    def _most_joints(self) -> int:
        """Most joints that the strips have wood for."""
        return sum(
            judge.most_joints(lot) for judge, lot in zip(self.judges, self.lots, strict=True)
        )

    def _choose_within(
        self, columns: np.ndarray, forbidden: list[Chosen], most_joints: int, solver: Any
    ) -> tuple[bool, Chosen | None]:
        """Choose among these columns; whether that is settled, and the choice or None."""
        from ortools.sat.python import cp_model

        model = cp_model.CpModel()
        rows = self.rows[columns]
        uses = []
        for row in rows:
            own = np.flatnonzero(row)
            uses.append(model.new_int_var(0, int((self.wanted[own] // row[own]).min()), ""))
        for r, n in enumerate(self.wanted):
            taken = [int(rows[c, r]) * uses[c] for c in np.flatnonzero(rows[:, r])]
            if r < self.n_rails:
                model.add(sum(taken) == int(n))
            elif taken:
                model.add(sum(taken) <= int(n))
        model.add(
            sum(int(self.joints[c]) * x for c, x in zip(columns, uses, strict=True)) <= most_joints
        )
        batches = [self.batch(int(c)) for c in columns]
        use_of = dict(zip(batches, uses, strict=True))
        for combination in forbidden:
            if all(batch in use_of for batch, _ in combination):
                model.add_bool_or([_is_fewer(model, use_of[b], n) for b, n in combination])
        solver.parameters.linearization_level = 2
        solver.parameters.cp_model_probing_level = 0  # takes longer than the search here
        status = solver.solve(model)
        if status == cp_model.INFEASIBLE:
            return True, None
        if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            return False, None
        chosen = sorted((b, n) for b, x in use_of.items() if (n := solver.value(x)))
        return True, tuple(chosen)


def _is_fewer(model: Any, use: Any, n: int) -> Any:
    """Return a literal that says that a batch is taken less often than ``n`` times."""
    fewer = model.new_bool_var("")
    model.add(use <= n - 1).only_enforce_if(fewer)
    return fewer
