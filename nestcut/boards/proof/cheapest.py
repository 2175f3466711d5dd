"""The cheapest boards for rails with free joints: purchases tried in rising cost.

For each purchase (``proof/purchases``) all rails are divided among its strips with
fewest joints (``proof/packing``), or that is proven impossible.  So the first purchase
that does is the cheapest, and among those of its cost the fewest joints win.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from nestcut.boards.join.drafts import Cluster, Draft, OutOfWorkError
from nestcut.boards.join.joined import JoinedAnswer
from nestcut.boards.join.joining import JoiningProblem
from nestcut.boards.join.positions import Placed, Verdict, move_clear, place_joints
from nestcut.boards.join.together import coupled, merged, renumbered
from nestcut.boards.proof.batches import Judge
from nestcut.boards.proof.family import Lot, make_families
from nestcut.boards.proof.packing import Packed, Packer, Packing
from nestcut.boards.proof.purchases import Market, Purchase
from nestcut.model.plan import StopReason
from nestcut.model.progress import Phase, Progress
from nestcut.search.settings import Deadline, Settings, Watcher
from nestcut.search.work import WORK
from nestcut.tolerances.search import PURCHASE_STEP

MOST_CLAIMS = 5_000
"""Different sets of rails up to which purchases are tried one by one."""

TIMES_DEARER = 3.0
"""Purchases are given up at so many times the cost of the wood that is needed. [-]"""


SHARE_OF_WORK = 0.25
"""Share of the usual work that goes into a question when it is asked first. [-]"""

TIMES_LONGER = (6.0, 30.0)
"""How much longer open questions are worked on, once there is a plan. [-]"""


class PurchaseSearch:
    """The search of one joining problem; each further run goes on where the last one ended."""

    def __init__(
        self, problem: JoiningProblem, settings: Settings, deadline: Deadline, watcher: Watcher
    ) -> None:
        self.problem = problem
        self.settings = settings
        self.deadline = deadline
        self.watcher = watcher
        self.families = make_families(problem)
        self.market = Market(problem, self.families)
        self.work = SHARE_OF_WORK * WORK[settings.effort].positions_s
        # Judges list every set of rails that they may be asked about: too many are no use.
        judges = tuple(
            Judge(problem, family, k, self.work, settings.seed)
            for k, family in enumerate(self.families)
            if self.is_suited
        )
        self.packer = Packer(problem, judges, self.work, settings.seed)
        self._known: dict[tuple[int, Lot], tuple[int, Packing]] = {}
        self._weight = 1 + sum(r.numbers[-1] for r in problem.rails if r.numbers)
        self._above = -1
        self._open_at: int | None = None
        """Least cost at which something was passed over without proof."""

    @property
    def is_suited(self) -> bool:
        """Whether this search can do the problem: boards enough on sale, not too many rails."""
        return (
            self.market.is_endless
            and sum(family.n_claims for family in self.families) <= MOST_CLAIMS
        )

    def run(self, most_joints: int, most_batches: int | None = None) -> JoinedAnswer | None:
        """Find the cheapest plan of so many joints that costs more than the last one.

        None if there is none, or if time or work ran out.

        Parameters
        ----------
        most_batches
            Batches that may be looked at; None: as many as it takes.
        """
        if most_joints < sum(family.fewest(family.everything) for family in self.families):
            return None
        try:
            return self._run(most_joints, most_batches)
        except OutOfWorkError:
            return None

    def _run(self, most_joints: int, most_batches: int | None) -> JoinedAnswer | None:
        above = self._above
        best = self._look(most_joints, most_batches)
        answer = None if best is None else self._answer(*best)
        for times in TIMES_LONGER:
            if self._open_at is None or not self.packer.settle(times, self.deadline):
                continue
            # what was passed over is known now: the same again takes little time
            self._known.clear()
            self._above, self._open_at = above, None
            again = self._look(most_joints, most_batches)
            if again is not None and (best is None or _rank(again) < _rank(best)):
                best, answer = again, self._answer(*again) or answer
        if best is None or answer is None:
            return None
        self._above = best[0].cost
        bound = answer.value if self._open_at is None else float(self._weight * self._open_at)
        stopped = self.deadline.stop_reason() or StopReason.WORK_DONE
        return replace(
            answer,
            draft=replace(answer.draft, bound=bound),
            bound=bound,
            stopped_by=StopReason.PROVEN if self._open_at is None else stopped,
        )

    def _look(self, most_joints: int, most_batches: int | None) -> tuple[Purchase, Packed] | None:
        """Try purchases until the cheapest of them that do have been tried."""
        best: tuple[Purchase, Packed] | None = None
        begin = self.packer.n_batches
        for purchase in self._purchases():
            if best is not None and purchase.cost > best[0].cost:
                break
            if self.deadline.stop_reason() is not None:
                self._open_at = purchase.cost if self._open_at is None else self._open_at
                break
            if most_batches is not None and self.packer.n_batches - begin > most_batches:
                return None
            self._tell(purchase, best)
            limit = most_joints if best is None else best[1].joints - 1
            packing = self._divide(purchase, limit)
            if not packing.is_exact and self._open_at is None:
                self._open_at = purchase.cost
            if packing.packed is not None:
                best = purchase, packing.packed
        return best

    def _tell(self, purchase: Purchase, best: tuple[Purchase, Packed] | None) -> None:
        """Say which boards are tried: all that cost less are ruled out, or were left open."""
        bound = purchase.cost if self._open_at is None else self._open_at
        self.watcher.tell(
            Progress(
                phase=Phase.JOINED_RAILS,
                subject=(self.problem.name,),
                cost_minor=None if best is None else best[0].cost,
                bound_minor=bound,
            )
        )

    def _purchases(self) -> Iterator[Purchase]:
        """Purchases that cost more than those tried before, cheapest first."""
        least = self.market.least()
        above: float = self._above
        while above < TIMES_DEARER * least + 1.0:
            most = max(above, least) * (1.0 + PURCHASE_STEP) + 1.0
            yield from self.market.between(above, most, self.deadline)
            above = most

    def _divide(self, purchase: Purchase, most_joints: int) -> Packing:
        """Cut every family from its strips, each by itself if they leave each other alone."""
        fewest = [family.fewest(family.everything) for family in self.families]
        packings = []
        for number, lot in enumerate(purchase.lots):
            limit = most_joints - sum(fewest) + fewest[number]
            packing = self._divide_one(number, lot, limit)
            packings.append(packing)
            if packing.packed is None:
                return packing
            fewest[number] = packing.packed.joints
        is_exact = all(packing.is_exact for packing in packings)
        parts = [packing.packed for packing in packings if packing.packed is not None]
        packed = Packed(
            clusters=tuple(c for part in parts for c in part.clusters),
            patterns=tuple(p for part in parts for p in part.patterns),
            placed={k: v for part in parts for k, v in part.placed.items()},
        )
        if sum(fewest) > most_joints:
            return Packing(packed=None, is_exact=is_exact)
        if self._are_apart():
            return Packing(packed=packed, is_exact=is_exact)
        return self.packer.pack(
            tuple(range(len(self.families))), purchase.lots, most_joints, self.deadline
        )

    def _divide_one(self, number: int, lot: Lot, most_joints: int) -> Packing:
        limit, known = self._known.get((number, lot), (-1, Packing(packed=None, is_exact=True)))
        if known.packed is not None or most_joints <= limit:
            if known.packed is not None and known.packed.joints > most_joints:
                return Packing(packed=None, is_exact=known.is_exact)
            return known
        packing = self.packer.pack((number,), (lot,), most_joints, self.deadline)
        self._known[number, lot] = most_joints, packing
        return packing

    def _are_apart(self) -> bool:
        """Whether no joint has to keep its distance from one of another family."""
        family = {r: f for f, own in enumerate(self.families) for k in own.members for r in k}
        return all(family[i] == family[j] for i, j, _ in self.problem.stagger)

    def _answer(self, purchase: Purchase, packed: Packed) -> JoinedAnswer | None:
        """Place every joint, and move it clear."""
        parts = []
        for clusters in coupled(self.problem, packed.clusters):
            placed = packed.placed.get(clusters) or self._place(clusters)
            if placed.verdict is not Verdict.POSSIBLE:
                return None
            placed = move_clear(
                self.problem,
                clusters,
                self.problem.stagger,
                placed,
                self.work,
                self.settings.seed,
                self.deadline,
            )
            parts.append(renumbered(placed, clusters, packed.clusters))
        placed = merged(parts)
        joints = sum(len(starts) for starts in placed.starts.values())
        value = float(self._weight * purchase.cost + joints)
        draft = Draft(
            clusters=packed.clusters,
            patterns=packed.patterns,
            rips=purchase.rips,
            cost=purchase.cost,
            joints=joints,
            left_out=(),
            missing=(),
            value=value,
            bound=0.0,
        )
        return JoinedAnswer(
            draft=draft, placed=placed, value=value, bound=0.0, stopped_by=StopReason.WORK_DONE
        )

    def _place(self, clusters: tuple[Cluster, ...]) -> Placed:
        return place_joints(
            self.problem,
            clusters,
            self.problem.stagger,
            TIMES_LONGER[-1] * self.work,
            self.settings.seed,
            self.deadline,
        )


def _rank(plan: tuple[Purchase, Packed]) -> tuple[int, int]:
    return plan[0].cost, plan[1].joints
