"""Which rails and boards belong together: a relaxation of the search for joints that counts.

Draw a plan as a graph: rails and strips are nodes, pieces are edges.  A connected part of it, a
*cluster*, with R rails, B strips and P pieces has P >= R + B - 1, so a cluster of B strips needs
at least B - 1 joints; and every joint costs its overlap and a kerf.  What a cluster's strips hold
must be at least what its rails need with that many joints:

    sum over strips (length + kerf) >= sum over rails (whole + kerf + joints (overlap + kerf))

Choosing clusters and boards under these conditions at least cost is a small integer programme
(CP-SAT).  It forgets where joints may lie, so its value is a bound; clusters that turn out to be
impossible (:mod:`nestcut.boards.positions`) are forbidden one by one, which keeps it a bound
(logic-based Benders decomposition, Hooker and Ottosson 2003).

A cluster has the number of its first rail (asymmetric representatives, Campelo et al. 2008).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Any

from nestcut.boards.joining import JoiningProblem
from nestcut.boards.relaxation import Column
from nestcut.errors import SearchError
from nestcut.search.settings import Deadline


@dataclass(frozen=True, slots=True, kw_only=True)
class Cluster:
    """Rails, fixed pieces and strips that belong together, and how many joints they may have."""

    rails: tuple[int, ...]
    kinds: tuple[tuple[int, int], ...]
    bins: tuple[tuple[int, int], ...]
    joints: int

    @property
    def is_tree(self) -> bool:
        """Whether it has no more joints than it takes to connect its strips.

        Then no two of its pieces close a circle of rails and strips: where they do, the cluster
        falls apart into smaller ones with as many joints in all, which are clusters themselves.
        """
        return self.joints == sum(n for _, n in self.bins) - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A choice of clusters and boards; positions are still open."""

    clusters: tuple[Cluster, ...]
    patterns: tuple[tuple[Column, int], ...]
    rips: tuple[tuple[int, int], ...]
    cost: int
    joints: int
    left_out: tuple[int, ...]
    missing: tuple[tuple[int, int], ...]
    value: float
    bound: float

    @property
    def is_exact(self) -> bool:
        """Whether nothing better obeys the conditions known so far."""
        return self.bound >= self.value - 0.5


@dataclass(frozen=True, slots=True)
class Weights:
    """What is minimised: money times ``cost`` plus joints times ``joint``."""

    cost: int
    joint: int


def new_solver(work: float, seed: int, deadline: Deadline) -> Any:
    """Return a solver whose result depends on nothing but the work limit, unless time runs out."""
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.catch_sigint_signal = False  # Ctrl-C is the command line's to handle
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    solver.parameters.max_deterministic_time = work
    seconds = deadline.remaining_s()
    if seconds < 1e6:
        solver.parameters.max_time_in_seconds = max(0.05, seconds)
    return solver


class Master:
    """The integer programme, and what has been forbidden so far."""

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
        """
        from ortools.sat.python import cp_model

        while True:
            solver = new_solver(work, seed, deadline)
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
