"""Rails with free joints: boards, clusters and positions together, to a proven optimum.

The master (``join/master``) proposes boards and clusters; each cluster is tried for
positions (``join/positions``).  What proves impossible is forbidden, and the master
proposes again.  The first proposal that stands is best, because everything cheaper is impossible.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from itertools import combinations_with_replacement

from nestcut.boards.cut.listing import full_patterns
from nestcut.boards.cut.relaxation import Column
from nestcut.boards.join.drafts import Cluster, Draft, Weights
from nestcut.boards.join.joining import JoiningProblem
from nestcut.boards.join.master import Master
from nestcut.boards.join.positions import Placed, Verdict, move_clear, place_joints
from nestcut.boards.join.together import coupled, merged, renumbered
from nestcut.model.plan import StopReason
from nestcut.model.progress import Phase, Progress
from nestcut.search.settings import Deadline, Settings, Watcher
from nestcut.search.work import WORK

MOST_PATTERNS = 4_000
"""Patterns of fixed pieces that the master is given."""

MOST_STRIPS_PROBED = 3
"""Clusters of at most so many strips are probed on other strips, once they fail."""

MOST_WAYS_PROBED = 40
"""Choices of strips that are probed."""

TIMES_LONGER = 6.0
"""How much longer open questions are worked on, where a proof hangs on them. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinedAnswer:
    """Boards, clusters and positions.

    ``bound`` is what no plan can be better than, in the weights that were asked for; ``value`` is
    what this one comes to.
    """

    draft: Draft
    placed: Placed
    value: float
    bound: float
    stopped_by: StopReason

    @property
    def is_proven(self) -> bool:
        """Whether no plan is better."""
        return self.bound >= self.value - 0.5


class JointSearch:
    """The search for one joining problem under one weighting of money and joints."""

    def __init__(
        self,
        problem: JoiningProblem,
        weights: Weights,
        settings: Settings,
        deadline: Deadline,
        watcher: Watcher,
    ) -> None:
        self.problem = problem
        self.settings = settings
        self.deadline = deadline
        self.watcher = watcher
        self.columns = fixed_columns(problem)
        self.master = Master(problem, self.columns, weights)
        self.is_exact = True
        self._tried: dict[Cluster, Placed] = {}
        self._open: list[tuple[tuple[Cluster, ...], tuple[tuple[int, int, int], ...]]] = []

    def run(self) -> JoinedAnswer | None:
        """Propose and try until a proposal stands; None if the work or the time ran out."""
        work = WORK[self.settings.effort]
        bound = 0.0
        for _ in range(work.proposals):
            if self.deadline.stop_reason() is not None:
                return None
            draft = self.master.solve(work.master_s, self.settings.seed, self.deadline)
            if draft is None:
                return None
            if self.is_exact:
                bound = max(bound, draft.bound)
            self.watcher.tell(Progress(phase=Phase.JOINED_RAILS, subject=(self.problem.name,)))
            placed = self._try(draft)
            if placed is not None:
                if not self.is_exact and self._settle():
                    bound = max(bound, draft.bound)
                return JoinedAnswer(
                    draft=draft,
                    placed=placed,
                    value=draft.value,
                    bound=bound,
                    stopped_by=self._stopped(draft, bound),
                )
        return None

    def _probe_like(self, cluster: Cluster) -> None:
        """Try the same rails on other strips of the same number: what fails, fails together.

        One proposal more costs far more than a dozen small questions.
        """
        n_strips = sum(n for _, n in cluster.bins)
        if not cluster.is_tree or cluster.kinds or n_strips > MOST_STRIPS_PROBED:
            return
        rails = [self.problem.rails[r] for r in cluster.rails]
        least = min(rail.overlap for rail in rails) + self.problem.kerf
        need = sum(rail.whole + self.problem.kerf for rail in rails) + cluster.joints * least
        own = self.problem.bins_of[rails[0].rail.section]
        ways = [
            tuple(sorted(Counter(chosen).items()))
            for chosen in combinations_with_replacement(own, n_strips)
            if sum(self.problem.bins[b].capacity for b in chosen) >= need
        ]
        for bins in ways[:MOST_WAYS_PROBED]:
            other = replace(cluster, bins=bins)
            if other not in self._tried:
                self._tried[other] = self._place((other,), ())
                if self._tried[other].verdict is Verdict.IMPOSSIBLE:
                    self.master.forbid(other)

    def _settle(self) -> bool:
        """Work longer on clusters left open; True if all of them are impossible after all."""
        effort = self.settings.effort
        for clusters, stagger in self._open:
            placed = place_joints(
                self.problem,
                clusters,
                stagger,
                TIMES_LONGER * WORK[effort].positions_s,
                self.settings.seed,
                self.deadline,
            )
            if placed.verdict is not Verdict.IMPOSSIBLE:
                return False
        self._open.clear()
        self.is_exact = True
        return True

    def _stopped(self, draft: Draft, bound: float) -> StopReason:
        if bound >= draft.value - 0.5:
            return StopReason.PROVEN
        return self.deadline.stop_reason() or StopReason.WORK_DONE

    def _try(self, draft: Draft) -> Placed | None:
        """Find positions for a proposal, or forbid what stands in the way."""
        stands = True
        for cluster in draft.clusters:
            alike = self._as_first_of_its_kind(cluster)
            if alike not in self._tried:
                self._tried[alike] = self._place((alike,), ())
            verdict = self._tried[alike].verdict
            if verdict is not Verdict.POSSIBLE:
                if verdict is Verdict.OPEN:
                    self._leave_open((alike,), ())
                self.master.forbid(cluster)
                if verdict is Verdict.IMPOSSIBLE:
                    self._probe_like(alike)
                stands = False
        if not stands:
            return None
        whole: list[Placed] = []
        for clusters in coupled(self.problem, draft.clusters):
            placed = self._place(clusters, self.problem.stagger)
            if placed.verdict is Verdict.POSSIBLE:
                placed = self._clear(clusters, placed)
                whole.append(renumbered(placed, clusters, draft.clusters))
                continue
            if placed.verdict is Verdict.OPEN:
                self._leave_open(clusters, self.problem.stagger)
            self.master.forbid_together(clusters)
            stands = False
        return merged(whole) if stands else None

    def _leave_open(
        self, clusters: tuple[Cluster, ...], stagger: tuple[tuple[int, int, int], ...]
    ) -> None:
        """Remember what was passed over without proof."""
        self.is_exact = False
        self._open.append((clusters, stagger))

    def _place(
        self, clusters: tuple[Cluster, ...], stagger: tuple[tuple[int, int, int], ...]
    ) -> Placed:
        return place_joints(
            self.problem,
            clusters,
            stagger,
            WORK[self.settings.effort].positions_s,
            self.settings.seed,
            self.deadline,
        )

    def _clear(self, clusters: tuple[Cluster, ...], placed: Placed) -> Placed:
        return move_clear(
            self.problem,
            clusters,
            self.problem.stagger,
            placed,
            WORK[self.settings.effort].positions_s,
            self.settings.seed,
            self.deadline,
        )

    def _as_first_of_its_kind(self, cluster: Cluster) -> Cluster:
        """Return the cluster with the first rails of the same parts: the same question."""
        seen: dict[int, int] = {}
        rails = []
        for r in cluster.rails:
            alike = self.problem.rails[r].alike
            own = [k for k, rail in enumerate(self.problem.rails) if rail.alike == alike]
            rails.append(own[seen.get(alike, 0)])
            seen[alike] = seen.get(alike, 0) + 1
        return replace(cluster, rails=tuple(sorted(rails)))


def fixed_columns(problem: JoiningProblem) -> tuple[Column, ...]:
    """Patterns for strips that hold nothing but pieces of known length."""
    columns: list[Column] = []
    for b, place in enumerate(problem.bins):
        kinds = [
            i
            for i, kind in enumerate(problem.kinds)
            if b in problem.bins_of[kind.section] and kind.weight <= place.capacity
        ]
        if not kinds:
            continue
        patterns = full_patterns(
            place.capacity,
            [problem.kinds[i].weight for i in kinds],
            [problem.kinds[i].demand for i in kinds],
            MOST_PATTERNS,
        )
        columns += [Column(b, tuple((kinds[k], n) for k, n in p)) for p in patterns or []]
    return tuple(columns)
