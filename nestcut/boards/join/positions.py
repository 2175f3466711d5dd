"""Where joints lie: whether a cluster of rails really comes out of its strips, and how best.

An exact model (CP-SAT): each rail is a row of pieces, each piece lies in one strip, each joint's
overlap begins in an allowed stretch.  Positions are whole grid units.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Any

from nestcut.boards.join.drafts import Cluster
from nestcut.boards.join.joining import JoiningProblem
from nestcut.boards.join.rows import Row, keep_apart, order_alike
from nestcut.search.settings import Deadline
from nestcut.search.solver import solver_for


class Verdict(Enum):
    """Whether clusters can be cut."""

    POSSIBLE = "possible"
    IMPOSSIBLE = "impossible"
    OPEN = "not settled within the work limit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Positions: for each rail the starts of its overlaps, and the strip of each of its pieces.

    A strip is (cluster, number within it); ``fixed`` says which kinds of known length lie in it.
    """

    verdict: Verdict
    starts: dict[int, tuple[int, ...]] = field(default_factory=dict)
    strip_of: dict[int, tuple[tuple[int, int], ...]] = field(default_factory=dict)
    fixed: dict[tuple[int, int], tuple[tuple[int, int], ...]] = field(default_factory=dict)
    is_best: bool = False
    """Whether no other positions are further from the keep-clear stretches."""


def strips_of(cluster: Cluster) -> tuple[int, ...]:
    """Bins of a cluster's strips, one entry for each strip."""
    return tuple(b for b, n in cluster.bins for _ in range(n))


def place_joints(
    problem: JoiningProblem,
    clusters: tuple[Cluster, ...],
    stagger: tuple[tuple[int, int, int], ...],
    work: float,
    seed: int,
    deadline: Deadline,
) -> Placed:
    """Find positions for the joints of these clusters, kept apart as ``stagger`` says.

    Parameters
    ----------
    stagger
        Rows (i, j, least): middles of joints of rails i and j are this far apart. [grid units]
    work
        Most work of the solver. [deterministic seconds]
    seed
        Of the solver's stream.
    """
    from ortools.sat.python import cp_model

    model = _Model(problem, clusters)
    keep_apart(model.model, model.rows, stagger)
    if len(clusters) == 1:
        order_alike(model.model, model.rows, stagger)
    solver = solver_for(work, deadline, seed)
    status = solver.solve(model.model)
    if status == cp_model.INFEASIBLE:
        return Placed(verdict=Verdict.IMPOSSIBLE)
    if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return Placed(verdict=Verdict.OPEN)
    return model.read(solver)


def move_clear(
    problem: JoiningProblem,
    clusters: tuple[Cluster, ...],
    stagger: tuple[tuple[int, int, int], ...],
    placed: Placed,
    work: float,
    seed: int,
    deadline: Deadline,
) -> Placed:
    """Move joints as far as possible from keep-clear stretches; pieces stay in their strips.

    Parameters
    ----------
    stagger
        Rows (i, j, least): middles of joints of rails i and j are this far apart. [grid units]
    placed
        Positions to begin from; handed back where nothing better is found in time.
    work
        Most work of the solver. [deterministic seconds]
    seed
        Of the solver's stream.
    """
    from ortools.sat.python import cp_model

    model = _Model(problem, clusters)
    keep_apart(model.model, model.rows, stagger)
    model.keep_pieces(placed)
    model.keep_clear()
    solver = solver_for(work, deadline, seed)
    status = solver.solve(model.model)
    if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return placed
    return replace(model.read(solver), is_best=status == cp_model.OPTIMAL)


class _Model:
    """The whole model of some clusters."""

    def __init__(self, problem: JoiningProblem, clusters: tuple[Cluster, ...]) -> None:
        from ortools.sat.python import cp_model

        self.problem = problem
        self.clusters = clusters
        self.model = cp_model.CpModel()
        self.rows: dict[int, Row] = {}
        self.lies: dict[tuple[int, int, int, int], Any] = {}
        self.fixed: dict[tuple[int, int, int], Any] = {}
        for number, cluster in enumerate(clusters):
            self._add_cluster(number, cluster)

    def _add_cluster(self, number: int, cluster: Cluster) -> None:
        model, problem = self.model, self.problem
        fewest = {r: problem.rails[r].numbers[0] for r in cluster.rails}
        spare = cluster.joints - sum(fewest.values())
        for r in cluster.rails:
            rail = problem.rails[r]
            self.rows[r] = Row(model, rail, min(rail.numbers[-1], fewest[r] + spare))
        joints = sum(e for r in cluster.rails for e in self.rows[r].exists)
        model.add(joints <= cluster.joints)
        model.add(joints >= cluster.least_joints)
        strips = strips_of(cluster)
        loads: list[list[Any]] = [[] for _ in strips]
        for r in cluster.rails:
            row = self.rows[r]
            for k, length in enumerate(row.length):
                choice = []
                for s, b in enumerate(strips):
                    lies = model.new_bool_var("")
                    room = problem.bins[b].capacity
                    load = model.new_int_var(0, room, "")
                    model.add(load == length + problem.kerf).only_enforce_if(lies)
                    model.add(load == 0).only_enforce_if(lies.negated())
                    loads[s].append(load)
                    choice.append(lies)
                    self.lies[r, k, number, s] = lies
                exists = row.has_piece(k)
                if exists is None:
                    model.add_exactly_one(choice)
                else:
                    model.add(sum(choice) == exists)
        for i, n in cluster.kinds:
            weight = problem.kinds[i].weight
            parts = []
            for s, b in enumerate(strips):
                v = model.new_int_var(0, min(n, problem.bins[b].capacity // weight), "")
                loads[s].append(weight * v)
                parts.append(v)
                self.fixed[i, number, s] = v
            model.add(sum(parts) == n)
        for s, b in enumerate(strips):
            model.add(sum(loads[s]) <= problem.bins[b].capacity)
        self._weigh(cluster, loads)
        if cluster.is_tree:
            self._forbid_circles(number, cluster, len(strips))
        for s in range(1, len(strips)):
            if strips[s] == strips[s - 1]:
                model.add(sum(loads[s - 1]) >= sum(loads[s]))

    def _weigh(self, cluster: Cluster, loads: list[list[Any]]) -> None:
        """Say what all strips hold together: it follows, but the solver sees waste by it."""
        kerf, rails = self.problem.kerf, self.problem.rails
        need = sum(rails[r].whole + kerf for r in cluster.rails)
        need += sum(self.problem.kinds[i].weight * n for i, n in cluster.kinds)
        joints = sum(
            (rails[r].overlap + kerf) * e for r in cluster.rails for e in self.rows[r].exists
        )
        self.model.add(sum(load for own in loads for load in own) == need + joints)

    def _forbid_circles(self, number: int, cluster: Cluster, n_strips: int) -> None:
        """Let a strip hold one piece of a rail at most, and two strips share one rail at most."""
        model = self.model
        holds: dict[tuple[int, int], Any] = {}
        for r in cluster.rails:
            for s in range(n_strips):
                own = [self.lies[r, k, number, s] for k in range(len(self.rows[r].length))]
                holds[r, s] = model.new_bool_var("")
                model.add(sum(own) == holds[r, s])
        for s in range(n_strips):
            for t in range(s + 1, n_strips):
                both = []
                for r in cluster.rails:
                    shared = model.new_bool_var("")
                    model.add_bool_or([holds[r, s].negated(), holds[r, t].negated(), shared])
                    both.append(shared)
                model.add_at_most_one(both)

    def keep_pieces(self, placed: Placed) -> None:
        """Keep every piece, and every piece of known length, in the strip where it lies."""
        for (r, k, c, s), lies in self.lies.items():
            places = placed.strip_of[r]
            self.model.add(lies == int(k < len(places) and places[k] == (c, s)))
        for (i, c, s), v in self.fixed.items():
            self.model.add(v == dict(placed.fixed.get((c, s), ())).get(i, 0))

    def keep_clear(self) -> None:
        """Maximise the least distance to keep-clear stretches, then the sum of distances."""
        terms: list[Any] = []
        top = max((row.rail.whole for row in self.rows.values()), default=0)
        least = self.model.new_int_var(0, top, "")
        for row in self.rows.values():
            rail = row.rail
            ends = rail.span
            for e, s in zip(row.exists, row.start, strict=True):
                gap = self.model.new_int_var(0, top, "")
                inside = []
                for a, b in rail.starts:
                    here = self.model.new_bool_var("")
                    self.model.add(s >= a).only_enforce_if(here)
                    self.model.add(s <= b).only_enforce_if(here)
                    if a > ends[0]:
                        self.model.add(gap <= s - a).only_enforce_if(here)
                    if b < ends[1]:
                        self.model.add(gap <= b - s).only_enforce_if(here)
                    inside.append(here)
                self.model.add_exactly_one(inside)
                self.model.add(gap == 0).only_enforce_if(e.negated())
                self.model.add(least <= gap).only_enforce_if(e)
                terms.append(gap)
        self.model.maximize((len(terms) + 1) * least + sum(terms))

    def read(self, solver: Any) -> Placed:
        """Read the positions."""
        starts, strip_of = {}, {}
        for r, row in self.rows.items():
            n = sum(solver.value(e) for e in row.exists)
            starts[r] = tuple(solver.value(s) for s in row.start[:n])
            places = []
            for k in range(n + 1):
                places += [
                    (c, s)
                    for (rr, kk, c, s), lies in self.lies.items()
                    if rr == r and kk == k and solver.value(lies)
                ]
            strip_of[r] = tuple(places)
        fixed: dict[tuple[int, int], tuple[tuple[int, int], ...]] = {}
        for (i, c, s), v in self.fixed.items():
            n = solver.value(v)
            if n:
                fixed[c, s] = (*fixed.get((c, s), ()), (i, n))
        return Placed(
            verdict=Verdict.POSSIBLE,
            starts=starts,
            strip_of=strip_of,
            fixed=fixed,
        )
