"""Rails cut from given strips with fewest joints: choices judged until one stands.

A choice of batches stands when each batch can be cut by itself and the rails that keep their
joints apart can all be cut together.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice, permutations, product

from nestcut.boards.cut.relaxation import Column
from nestcut.boards.join.drafts import Cluster
from nestcut.boards.join.joining import JoiningProblem
from nestcut.boards.join.positions import Placed, Verdict, place_joints
from nestcut.boards.join.together import coupled
from nestcut.boards.proof.apart import place_apart
from nestcut.boards.proof.batches import Batch, Judge
from nestcut.boards.proof.family import Lot
from nestcut.boards.proof.partition import Chosen, Pool
from nestcut.search.settings import Deadline

MOST_CASTS = 24
"""In how many ways rails of one kind are dealt out to batches before that is given up."""

MOST_OPEN = 2
"""Questions that may stay open before one choice of strips is given up."""

FIRST_SHARE = 0.25
"""Share of the work that goes into a trial of all positions at once, before branching. [-]"""

Cast = tuple[tuple[Batch, Cluster], ...]
"""Each batch taken, with the rails that it gets."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """Clusters that can be cut, with positions of those that others depend on.

    ``patterns`` are fillings of strips with nothing but pieces of known length.
    """

    clusters: tuple[Cluster, ...]
    patterns: tuple[tuple[Column, int], ...]
    placed: dict[tuple[Cluster, ...], Placed]

    @property
    def joints(self) -> int:
        """How many joints there are at most."""
        return sum(cluster.joints for cluster in self.clusters)


@dataclass(frozen=True, slots=True, kw_only=True)
class Packing:
    """What came of a search: clusters or None, and whether nothing was passed over unproven."""

    packed: Packed | None
    is_exact: bool


class Packer:
    """Divides rails among strips; remembers which batches are impossible together."""

    def __init__(
        self, problem: JoiningProblem, judges: tuple[Judge, ...], work: float, seed: int
    ) -> None:
        self.problem = problem
        self.judges = judges
        self.work = work
        """Work for one choice, and for one trial of positions. [deterministic seconds]"""
        self.seed = seed
        self.n_batches = 0
        """Batches looked at so far."""
        self.forbidden: list[Chosen] = []
        self.is_unsettled = False
        """Whether a combination was forbidden without proof."""
        self._placed: dict[tuple[Cluster, ...], Placed] = {}

    def pack(
        self, numbers: tuple[int, ...], lots: tuple[Lot, ...], most_joints: int, deadline: Deadline
    ) -> Packing:
        """Cut all rails of some families from these strips, if that can be done.

        Given up after a few questions that can't be settled.

        Parameters
        ----------
        numbers
            Which families, by their places in ``judges``.
        lots
            For each kind of strip, what there is of it.
        most_joints
            More joints than this aren't worth having.
        """
        judges = tuple(self.judges[n] for n in numbers)
        pool = Pool(judges, lots, deadline)
        self.n_batches += len(pool.joints) + 1
        begin = self._n_open()
        packed: Packed | None = None
        while self._n_open() - begin <= MOST_OPEN:
            chosen = pool.choose(self.forbidden, most_joints, self.work, self.seed)
            if chosen is None or deadline.stop_reason() is not None:
                break
            if not self._drop_impossible(pool, chosen, deadline):
                continue
            packed = self.deal(chosen, deadline)
            if packed is not None:
                break
            for batch, _ in chosen:
                pool.succeed(batch)
        is_exact = pool.is_exact and not self.is_unsettled and self._n_open() == begin
        return Packing(packed=packed, is_exact=is_exact and deadline.stop_reason() is None)

    def _n_open(self) -> int:
        """How many questions are open."""
        opened = sum(placed.verdict is Verdict.OPEN for placed in self._placed.values())
        return opened + sum(len(judge.left_open()) for judge in self.judges)

    def settle(self, times_longer: float, deadline: Deadline) -> bool:
        """Work longer on what was left open; True if anything is known better now."""
        is_wiser = False
        work = times_longer * self.work
        for judge in self.judges:
            for batch in judge.left_open():
                is_wiser |= judge.look_again(batch, work, deadline) is not Verdict.OPEN
        for clusters, placed in list(self._placed.items()):
            if placed.verdict is Verdict.OPEN:
                del self._placed[clusters]
                is_wiser |= self._place(clusters, work, deadline).verdict is not Verdict.OPEN
        if is_wiser:
            self.forbidden.clear()
            self.is_unsettled = any(p.verdict is Verdict.OPEN for p in self._placed.values())
        return is_wiser

    def _drop_impossible(self, pool: Pool, chosen: Chosen, deadline: Deadline) -> bool:
        """Judge each batch; False if one had to be dropped."""
        stands = True
        for batch, _ in chosen:
            if self.judges[batch.family].verdict(batch, deadline) is not Verdict.POSSIBLE:
                pool.drop(batch)
                stands = False
        return stands

    def deal(self, chosen: Chosen, deadline: Deadline) -> Packed | None:
        """Give batches their rails so that joints keep apart; what can't be is forbidden."""
        patterns = tuple(self._pattern(batch, n) for batch, n in chosen if self._is_known(batch))
        ways = list(islice(self._casts(chosen), MOST_CASTS + 1))
        failing: tuple[Batch, ...] = ()
        for cast in ways[:MOST_CASTS]:
            clusters = tuple(cluster for _, cluster in cast)
            placed: dict[tuple[Cluster, ...], Placed] = {}
            for together in coupled(self.problem, clusters):
                if not self._keeps_apart(together):
                    continue
                result = self._place(together, self.work, deadline)
                placed[together] = result
                if result.verdict is not Verdict.POSSIBLE:
                    failing = tuple(batch for batch, c in cast if c in together)
                    break
            else:
                return Packed(clusters=clusters, patterns=patterns, placed=placed)
        if len(ways) > 1:
            failing = tuple(batch for batch, n in chosen for _ in range(n))
        if len(ways) > MOST_CASTS:
            self.is_unsettled = True
        self.forbidden.append(tuple(sorted(Counter(failing).items())))
        return None

    def _is_known(self, batch: Batch) -> bool:
        """Whether a batch has nothing but pieces of known length: they fill a single strip."""
        fixed = self.judges[batch.family].family.fixed
        return all(i is not None or not n for i, n in zip(fixed, batch.claim, strict=True))

    def _pattern(self, batch: Batch, times: int) -> tuple[Column, int]:
        family = self.judges[batch.family].family
        place = family.bins[next(b for b, n in enumerate(batch.lot) if n)]
        cut = zip(family.fixed, batch.claim, strict=True)
        return Column(place, tuple((i, n) for i, n in cut if i is not None and n)), times

    def _keeps_apart(self, clusters: tuple[Cluster, ...]) -> bool:
        rails = {r for cluster in clusters for r in cluster.rails}
        return any(i in rails and j in rails for i, j, _ in self.problem.stagger)

    def _place(self, clusters: tuple[Cluster, ...], work: float, deadline: Deadline) -> Placed:
        if clusters not in self._placed:
            placed = place_joints(
                self.problem,
                clusters,
                self.problem.stagger,
                FIRST_SHARE * work,
                self.seed,
                deadline,
            )
            if placed.verdict is Verdict.OPEN:
                placed = place_apart(self.problem, clusters, work, self.seed, deadline)
            self._placed[clusters] = placed
            if placed.verdict is Verdict.OPEN:
                self.is_unsettled = True
        return self._placed[clusters]

    def _casts(self, chosen: Chosen) -> Iterator[Cast]:
        """Every way to give the batches their rails that may make a difference."""
        batches = [b for b, n in chosen for _ in range(n) if not self._is_known(b)]
        deals = []
        for judge in self.judges:
            for k, own in enumerate(judge.family.members):
                slots = [
                    a
                    for a, batch in enumerate(batches)
                    if batch.family == judge.number
                    for _ in range(batch.claim[k])
                ]
                if own and slots:
                    deals.append([(own, way) for way in self._orders(own, slots)])
        for deal in product(*deals):
            rails: list[list[int]] = [[] for _ in batches]
            for own, way in deal:
                for r, a in zip(own, way, strict=True):
                    rails[a].append(r)
            yield tuple(
                (batch, self.judges[batch.family].cluster(batch, tuple(sorted(mine))))
                for batch, mine in zip(batches, rails, strict=True)
            )

    def _orders(self, own: tuple[int, ...], slots: list[int]) -> list[tuple[int, ...]]:
        """Orders in which rails of one kind may be dealt out; one where all come to the same."""
        partners: dict[int, set[tuple[int, int]]] = {r: set() for r in own}
        for i, j, least in self.problem.stagger:
            for a, b in ((i, j), (j, i)):
                if a in partners:
                    partners[a].add((b, least))
        is_alone = not any(partners.values())
        is_pair = len(own) == 2 and all(b in own for others in partners.values() for b, _ in others)
        if is_alone or is_pair:
            return [tuple(slots)]
        return list(dict.fromkeys(islice(permutations(slots), 5 * MOST_CASTS)))
