"""Which rails and boards belong together: a relaxation of the search for joints that counts.

Draw a plan as a graph: rails and strips are nodes, pieces are edges.  A connected part of it, a
*cluster*, with R rails, B strips and P pieces has P >= R + B - 1, so a cluster of B strips needs
at least B - 1 joints; and every joint costs its overlap and a kerf.  What a cluster's strips hold
must be at least what its rails need with that many joints:

    sum over strips (length + kerf) >= sum over rails (whole + kerf + joints (overlap + kerf))

Choosing clusters and boards under these conditions at least cost is a small integer programme
(CP-SAT).  It forgets where joints may lie, so its value is a bound; clusters that turn out to be
impossible (``join/positions``) are forbidden one by one, which keeps it a bound
(logic-based Benders decomposition, Hooker and Ottosson 2003).
"""

from __future__ import annotations

from collections import Counter
from typing import Any

from nestcut.boards.join.draftmodel import DraftModel
from nestcut.boards.join.drafts import Cluster, Draft
from nestcut.errors import SearchError
from nestcut.search.settings import Deadline
from nestcut.search.solver import solver_for


class Master(DraftModel):
    """The integer programme, and what has been forbidden so far."""

    # ------------------------------------------------------------------ what turned out impossible

    def forbid(self, cluster: Cluster) -> None:
        """Forbid a cluster that can't be cut, all that ask more of no more strips, and its likes.

        Rails of one part count alike here, so the cluster must be impossible for any of them.
        """
        wanted = Counter(self.problem.rails[r].alike for r in cluster.rails)
        for c in self.heads:
            if self.problem.rails[c].rail.section != self._section(cluster):
                continue
            ways = [self._at_least("alike", c, alike, n).negated() for alike, n in wanted.items()]
            self.model.add_bool_or([*ways, *self._ways_out(c, cluster)])

    def forbid_together(self, clusters: tuple[Cluster, ...]) -> None:
        """Forbid these clusters of these very rails beside each other."""
        ways: list[Any] = []
        for cluster in clusters:
            head = min(cluster.rails)
            ways += [self.member[head, r].negated() for r in cluster.rails]
            ways += self._ways_out(head, cluster)
        self.model.add_bool_or(ways)

    def _section(self, cluster: Cluster) -> tuple[float, float]:
        return self.problem.rails[cluster.rails[0]].rail.section

    def _ways_out(self, c: int, cluster: Cluster) -> list[Any]:
        """Fewer fixed pieces, more of any strip, or more joints than the cluster has."""
        bins = dict(cluster.bins)
        ways = [self._at_least("fixed", c, i, n).negated() for i, n in cluster.kinds]
        ways += [
            self._at_least("strips", c, b, bins.get(b, 0) + 1)
            for b in self.problem.bins_of[self._section(cluster)]
        ]
        ways.append(self._at_least("joints", c, 0, cluster.joints + 1))
        if cluster.is_tree:
            ways.append(self._at_least("cycles", c, 0, 1))
        return ways

    def _at_least(self, what: str, c: int, index: int, n: int) -> Any:
        """Return the literal that says whether a count reaches ``n``."""
        key = (f"{what} {index}", c, index, n)
        if key not in self._literals:
            if what == "alike":
                count: Any = sum(
                    self.member[c, r]
                    for r in range(c, len(self.problem.rails))
                    if (c, r) in self.member and self.problem.rails[r].alike == index
                )
            elif what == "fixed":
                count = self.fixed[c, index]
            elif what == "strips":
                count = self.strips[c, index]
            elif what == "cycles":
                own = self.problem.bins_of[self.problem.rails[c].rail.section]
                count = self.joints_of[c] + 1 - sum(self.strips[c, b] for b in own)
            else:
                count = self.joints_of[c]
            literal = self.model.new_bool_var("")
            self.model.add(count >= n).only_enforce_if(literal)
            self.model.add(count <= n - 1).only_enforce_if(literal.negated())
            self._literals[key] = literal
        return self._literals[key]

    # ------------------------------------------------------------------ solving

    def limit_joints(self, most: int) -> None:
        """Allow no more joints than this in all."""
        self.model.add(self.joints <= most)

    def solve(self, work: float, seed: int, deadline: Deadline) -> Draft | None:
        """Choose clusters and boards; None if nothing was found within the work limit.

        Nothing is left out unless it must be.  What one call proves holds for the later ones,
        which are asked no less.

        Parameters
        ----------
        work
            Most work of one call of the solver. [deterministic seconds]
        seed
            Of the solver's stream.
        deadline
            Ends the search as well.

        Raises
        ------
        SearchError
            If the solver ends in a way that no model of ours should bring about.
        """
        from ortools.sat.python import cp_model

        while True:
            solver = solver_for(work, deadline, seed)
            solver.parameters.linearization_level = 2
            status = solver.solve(self.model)
            self.work += solver.response_proto.deterministic_time
            if status == cp_model.INFEASIBLE and self._whole is not None:
                self._let_out()
                continue
            if status == cp_model.UNKNOWN:
                return None
            if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
                name = solver.status_name(status)
                raise SearchError(f"choosing boards and joints ended as {name}")
            draft = self._read(solver)
            if draft.is_exact:
                self.model.add(self.objective >= round(draft.value))
            self._hint(solver)
            return draft

    def _let_out(self) -> None:
        """Allow rails and pieces to be left out: it can't be done without."""
        self.model.proto.constraints[self._whole].clear_linear()
        self._whole = None

    def _hint(self, solver: Any) -> None:
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        for v in (*self.member.values(), *self.joint_count.values(), *self.strips.values()):
            self.model.add_hint(v, solver.value(v))

    def _read(self, solver: Any) -> Draft:
        clusters = []
        for c in self.heads:
            if not solver.value(self.member[c, c]):
                continue
            rails = tuple(
                r
                for r in range(c, len(self.problem.rails))
                if (c, r) in self.member and solver.value(self.member[c, r])
            )
            kinds = {i: solver.value(v) for (k, i), v in self.fixed.items() if k == c}
            bins = {b: solver.value(v) for (k, b), v in self.strips.items() if k == c}
            clusters.append(
                Cluster(
                    rails=rails,
                    kinds=tuple((i, n) for i, n in sorted(kinds.items()) if n),
                    bins=tuple((b, n) for b, n in sorted(bins.items()) if n),
                    joints=solver.value(self.joints_of[c]),
                )
            )
        return Draft(
            clusters=tuple(clusters),
            patterns=tuple(
                (column, n)
                for column, y in zip(self.columns, self.uses, strict=True)
                if (n := solver.value(y))
            ),
            rips=tuple((r, n) for r, z in enumerate(self.boards) if (n := solver.value(z))),
            cost=solver.value(self.cost),
            joints=sum(cluster.joints for cluster in clusters),
            left_out=tuple(r for r, out in enumerate(self.out) if solver.value(out)),
            missing=tuple((i, n) for i, m in enumerate(self.missing) if (n := solver.value(m))),
            value=solver.objective_value,
            bound=solver.best_objective_bound,
        )
