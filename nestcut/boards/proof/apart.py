"""Joints that keep their distance from those of other rails: branching on stretches of rails.

Two joints in a stretch shorter than the distance would be too close, so of two rails that keep
apart, one at most has joints in any such stretch.  Where positions found without the distance
break it, a stretch around the two joints is closed to the one rail, or to the other; what
remains is asked again.  Branches in which a cluster is impossible even so
(``proof/trees``) are cut off, and so nothing is forgotten.
"""

from __future__ import annotations

from dataclasses import replace

from nestcut.boards.join.drafts import Cluster
from nestcut.boards.join.joining import JoiningProblem
from nestcut.boards.join.positions import Placed, Verdict, place_joints
from nestcut.boards.join.together import merged, renumbered
from nestcut.boards.proof.family import Family, kind_of, kind_of_known
from nestcut.boards.proof.spans import Spans, without
from nestcut.boards.proof.trees import judge_tree
from nestcut.search.settings import Deadline

MOST_BRANCHES = 400
"""Branches that one question may take."""

Starts = dict[int, Spans]
"""Where the overlaps of each rail may begin."""


def place_apart(
    problem: JoiningProblem,
    clusters: tuple[Cluster, ...],
    work: float,
    seed: int,
    deadline: Deadline,
) -> Placed:
    """Find positions for clusters whose joints keep apart, or prove that there are none.

    Clusters are taken to be connected, with as many joints as they may have: with fewer, or in
    parts, they are other clusters.
    ``work`` is for one trial of positions. [deterministic seconds]

    Parameters
    ----------
    work
        Most work of one trial of positions. [deterministic seconds]
    seed
        Of the solver's stream.
    deadline
        Ends the search; the verdict is open then.
    """
    rails = sorted(r for cluster in clusters for r in cluster.rails)
    pairs = [p for p in problem.stagger if p[0] in rails and p[1] in rails]
    waiting: list[Starts] = [{r: problem.rails[r].starts for r in rails}]
    is_exact = True
    for _ in range(MOST_BRANCHES):
        if not waiting or deadline.stop_reason() is not None:
            break
        starts = waiting.pop()
        narrowed = _narrowed(problem, starts)
        if any(_is_out(narrowed, cluster, work, deadline) for cluster in clusters):
            continue
        parts = [place_joints(narrowed, (c,), (), work, seed, deadline) for c in clusters]
        if any(part.verdict is Verdict.IMPOSSIBLE for part in parts):
            continue
        if any(part.verdict is Verdict.OPEN for part in parts):
            is_exact = False
            continue
        placed = merged(
            [renumbered(p, (c,), clusters) for p, c in zip(parts, clusters, strict=True)]
        )
        branches = _branches(problem, pairs, placed, starts)
        if not branches:
            return placed
        waiting += branches
    return Placed(verdict=Verdict.OPEN if waiting or not is_exact else Verdict.IMPOSSIBLE)


def _narrowed(problem: JoiningProblem, starts: Starts) -> JoiningProblem:
    """Return the problem with overlaps in these places only; no two rails count as alike."""
    rails = tuple(
        replace(rail, starts=starts.get(r, rail.starts), alike=r)
        for r, rail in enumerate(problem.rails)
    )
    return replace(problem, rails=rails)


def _is_out(problem: JoiningProblem, cluster: Cluster, work: float, deadline: Deadline) -> bool:
    """Whether a cluster is impossible by the graph of its pieces, each rail a kind by itself."""
    family = Family(
        section=problem.rails[cluster.rails[0]].rail.section,
        kerf=problem.kerf,
        kinds=(
            *(kind_of(problem.rails[r]) for r in cluster.rails),
            *(kind_of_known(problem.kinds[i], problem.kerf) for i, _ in cluster.kinds),
        ),
        members=(*((r,) for r in cluster.rails), *(() for _ in cluster.kinds)),
        fixed=(*(None for _ in cluster.rails), *(i for i, _ in cluster.kinds)),
        everything=(*(1 for _ in cluster.rails), *(n for _, n in cluster.kinds)),
        bins=tuple(b for b, _ in cluster.bins),
        rooms=tuple(problem.bins[b].capacity for b, _ in cluster.bins),
    )
    lot = tuple(n for _, n in cluster.bins)
    verdict = judge_tree(family, family.everything, lot, cluster.joints, work, deadline)
    return verdict is Verdict.IMPOSSIBLE


def _branches(
    problem: JoiningProblem,
    pairs: list[tuple[int, int, int]],
    placed: Placed,
    starts: Starts,
) -> list[Starts]:
    """Two ways out of the first two joints that are too close; none where all keep apart."""
    for i, j, least in pairs:
        first, second = problem.rails[i].overlap, problem.rails[j].overlap
        for s in placed.starts[i]:
            for t in placed.starts[j]:
                # twice the middles of the overlaps, so that they are whole numbers
                low, high = sorted((2 * s + first, 2 * t + second))
                if high - low >= 2 * least:
                    continue
                low -= (2 * least - 1 - (high - low)) // 2
                high = low + 2 * least - 1
                return [
                    starts | {r: _closed(starts[r], low, high, overlap)}
                    for r, overlap in ((i, first), (j, second))
                ]
    return []


def _closed(spans: Spans, low: int, high: int, overlap: int) -> Spans:
    """Return the spans without overlaps whose doubled middles lie from ``low`` to ``high``."""
    return without(spans, -((overlap - low) // 2), (high - overlap) // 2)
