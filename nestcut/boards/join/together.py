"""Clusters whose joints keep their distance from each other belong together."""

from __future__ import annotations

from dataclasses import replace

from nestcut.boards.join.drafts import Cluster
from nestcut.boards.join.joining import JoiningProblem
from nestcut.boards.join.positions import Placed, Verdict


def coupled(
    problem: JoiningProblem, clusters: tuple[Cluster, ...]
) -> tuple[tuple[Cluster, ...], ...]:
    """Put clusters together whose rails keep their joints apart."""
    owner = {r: k for k, cluster in enumerate(clusters) for r in cluster.rails}
    family = list(range(len(clusters)))
    for i, j, _ in problem.stagger:
        if i in owner and j in owner:
            a, b = sorted((family[owner[i]], family[owner[j]]))
            family = [a if f == b else f for f in family]
    return tuple(
        tuple(c for c, f in zip(clusters, family, strict=True) if f == head)
        for head in sorted(set(family))
    )


def renumbered(
    placed: Placed, clusters: tuple[Cluster, ...], everything: tuple[Cluster, ...]
) -> Placed:
    """Return the positions with clusters numbered as in the whole draft."""
    number = {k: everything.index(c) for k, c in enumerate(clusters)}
    return replace(
        placed,
        strip_of={r: tuple((number[c], s) for c, s in own) for r, own in placed.strip_of.items()},
        fixed={(number[c], s): kinds for (c, s), kinds in placed.fixed.items()},
    )


def merged(parts: list[Placed]) -> Placed:
    """Return the positions of several sets of clusters as one."""
    return Placed(
        verdict=Verdict.POSSIBLE,
        starts={r: s for p in parts for r, s in p.starts.items()},
        strip_of={r: s for p in parts for r, s in p.strip_of.items()},
        fixed={k: v for p in parts for k, v in p.fixed.items()},
        is_best=all(p.is_best for p in parts),
    )
