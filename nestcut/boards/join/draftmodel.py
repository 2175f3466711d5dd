"""The integer programme that proposes clusters and boards: its variables and conditions.

A cluster has the number of its first rail (asymmetric representatives, Campelo et al. 2008).  See
``join/master`` for what it means and how it is used.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

from nestcut.boards.cut.relaxation import Column
from nestcut.boards.join.drafts import Weights
from nestcut.boards.join.joining import JoiningProblem


class DraftModel:
    """The integer programme: variables, conditions and what is minimised."""

    def __init__(
        self, problem: JoiningProblem, columns: tuple[Column, ...], weights: Weights
    ) -> None:
        from ortools.sat.python import cp_model

        self.problem = problem
        self.columns = columns
        self.weights = weights
        self.model = cp_model.CpModel()
        self.work = 0.0
        """Deterministic seconds spent."""
        self._literals: dict[tuple[str, int, int, int], Any] = {}
        self._alike = Counter(r.alike for r in problem.rails)
        self._add_rails()
        self._add_strips()
        self._add_supply()
        self._add_total()
        self._add_objective()

    # ------------------------------------------------------------------ variables and conditions

    def _add_rails(self) -> None:
        """Put every rail into one cluster of its section, or leave it out."""
        model, rails = self.model, self.problem.rails
        self.member: dict[tuple[int, int], Any] = {}
        self.joint_count: dict[tuple[int, int], Any] = {}
        for c, head in enumerate(rails):
            for r in range(c, len(rails)):
                if rails[r].rail.section == head.rail.section and rails[r].numbers:
                    self.member[c, r] = model.new_bool_var("")
        self.out = [model.new_bool_var("") for _ in rails]
        for r, rail in enumerate(rails):
            own = [c for c in range(r + 1) if (c, r) in self.member]
            model.add(sum(self.member[c, r] for c in own) + self.out[r] == 1)
            for c in own:
                if c != r:
                    model.add_implication(self.member[c, r], self.member[c, c])
                n = model.new_int_var(0, rail.numbers[-1], "")
                model.add(n >= rail.numbers[0] * self.member[c, r])
                model.add(n <= rail.numbers[-1] * self.member[c, r])
                self.joint_count[c, r] = n
        self.heads = [c for c in range(len(rails)) if (c, c) in self.member]
        self._order_alike()

    def _order_alike(self) -> None:
        """Let rails that are alike in everything join clusters in order."""
        partners: dict[int, set[int]] = {r: set() for r in range(len(self.problem.rails))}
        for i, j, _ in self.problem.stagger:
            partners[i].add(j)
            partners[j].add(i)
        rails = self.problem.rails
        for r in range(1, len(rails)):
            if rails[r].alike != rails[r - 1].alike or not rails[r].numbers:
                continue
            if (partners[r] | partners[r - 1]) - {r, r - 1}:
                continue
            index = [
                sum(c * self.member[c, k] for c in range(k + 1) if (c, k) in self.member)
                + len(rails) * self.out[k]
                for k in (r - 1, r)
            ]
            self.model.add(index[0] <= index[1])

    def _add_strips(self) -> None:
        """Give every cluster strips enough, and joints for as many strips as it has."""
        model, problem = self.model, self.problem
        self.strips: dict[tuple[int, int], Any] = {}
        self.fixed: dict[tuple[int, int], Any] = {}
        self.joints_of: dict[int, Any] = {}
        for c in self.heads:
            head = problem.rails[c]
            section = head.rail.section
            own = [r for r in range(c, len(problem.rails)) if (c, r) in self.member]
            most = sum(problem.rails[r].numbers[-1] for r in own)
            joints = model.new_int_var(0, most, "")
            model.add(joints == sum(self.joint_count[c, r] for r in own))
            self.joints_of[c] = joints
            for b in problem.bins_of[section]:
                self.strips[c, b] = model.new_int_var(0, most + 1, "")
            for i, kind in enumerate(problem.kinds):
                if kind.section == section:
                    self.fixed[c, i] = model.new_int_var(0, kind.demand, "")
                    model.add(self.fixed[c, i] <= kind.demand * self.member[c, c])
            strips = [self.strips[c, b] for b in problem.bins_of[section]]
            model.add(sum(strips) <= joints + 1)
            model.add(sum(strips) <= (most + 1) * self.member[c, c])
            model.add(
                sum(problem.bins[b].capacity * self.strips[c, b] for b in problem.bins_of[section])
                >= sum(
                    (problem.rails[r].whole + problem.kerf) * self.member[c, r]
                    + (problem.rails[r].overlap + problem.kerf) * self.joint_count[c, r]
                    for r in own
                )
                + sum(
                    kind.weight * self.fixed[c, i]
                    for i, kind in enumerate(problem.kinds)
                    if (c, i) in self.fixed
                )
            )

    def _add_supply(self) -> None:
        """Let boards give the strips that clusters and patterns of fixed pieces fill."""
        model, problem = self.model, self.problem
        total = sum(r.numbers[-1] + 1 for r in problem.rails if r.numbers) + sum(
            k.demand for k in problem.kinds
        )
        self.uses = []
        for column in self.columns:
            most = max(-(-problem.kinds[i].demand // n) for i, n in column.pattern)
            self.uses.append(model.new_int_var(0, most, ""))
        self.missing = [model.new_int_var(0, k.demand, "") for k in problem.kinds]
        for i, kind in enumerate(problem.kinds):
            cut = [n * y for col, y in zip(self.columns, self.uses, strict=True)
                   for k, n in col.pattern if k == i]  # fmt: skip
            inside = [self.fixed[c, i] for c in self.heads if (c, i) in self.fixed]
            model.add(sum(cut) + sum(inside) + self.missing[i] >= kind.demand)
        self.boards = [model.new_int_var(0, total, "") for _ in problem.rips]
        for b, place in enumerate(problem.bins):
            given = [
                dict(rip.strips).get(place.strip_nm, 0) * self.boards[r]
                for r, rip in enumerate(problem.rips)
                if rip.supply == place.supply
            ]
            taken = [self.strips[c, b] for c in self.heads if (c, b) in self.strips]
            taken += [y for col, y in zip(self.columns, self.uses, strict=True) if col.place == b]
            model.add(sum(taken) <= sum(given))
        for s, supply in enumerate(problem.supplies):
            if supply.limit is not None:
                own = [self.boards[r] for r, rip in enumerate(problem.rips) if rip.supply == s]
                model.add(sum(own) <= supply.limit)

    def _add_total(self) -> None:
        """Say of all boards together what is said of every cluster: whole boards are seen by it."""
        problem = self.problem
        given = []
        for rip, z in zip(problem.rips, self.boards, strict=True):
            strips = dict(rip.strips)
            room = sum(
                strips.get(place.strip_nm, 0) * place.capacity
                for place in problem.bins
                if place.supply == rip.supply
            )
            given.append(room * z)
        rails = sum(
            (problem.rails[r].whole + problem.kerf) * member
            for (_, r), member in self.member.items()
        )
        joints = sum(
            (problem.rails[r].overlap + problem.kerf) * n for (_, r), n in self.joint_count.items()
        )
        kinds = sum(
            kind.weight * (kind.demand - left)
            for kind, left in zip(problem.kinds, self.missing, strict=True)
        )
        self.model.add(sum(given) >= rails + joints + kinds)

    def _add_objective(self) -> None:
        problem = self.problem
        self.cost = sum(
            problem.supplies[rip.supply].price * z
            for rip, z in zip(problem.rips, self.boards, strict=True)
        )
        self.joints = sum(self.joints_of.values())
        dearest = max((s.price for s in problem.supplies), default=0) + 1
        most_joints = sum(r.numbers[-1] for r in problem.rails if r.numbers) + 1
        per_piece = 4 * (dearest * self.weights.cost + self.weights.joint) * (most_joints + 1)
        self.left = sum(self.out) + sum(self.missing)
        self.objective = (
            self.weights.cost * self.cost + self.weights.joint * self.joints + per_piece * self.left
        )
        self.model.minimize(self.objective)
        self._whole: int | None = self.model.add(self.left == 0).index
