"""Clusters of rails and strips, and drafts of them: what is proposed before positions are tried.

Draw a plan as a graph: rails and strips are nodes, pieces are edges.  A connected part of it, a
*cluster*, with R rails, B strips and P pieces has P >= R + B - 1, so a cluster of B strips needs
at least B - 1 joints.
"""

from __future__ import annotations

from dataclasses import dataclass

from nestcut.boards.cut.relaxation import Column


class OutOfWorkError(Exception):
    """A work limit was reached: nothing is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cluster:
    """Rails, fixed pieces and strips that belong together, and how many joints they may have.

    ``least_joints`` is how many they must have, where fewer are known to be impossible.
    """

    rails: tuple[int, ...]
    kinds: tuple[tuple[int, int], ...]
    bins: tuple[tuple[int, int], ...]
    joints: int
    least_joints: int = 0

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
