"""Effort as amounts of work: the one table that says how much each search may do.

Amounts are counts and deterministic seconds of solvers, never the clock, so that a run can be
repeated.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from nestcut.search.settings import Effort


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWork:
    """How much a search of one material's sheets may do: passes of the engine, orders tried."""

    cost_passes: int
    offcut_passes: int
    rect_tries: int
    twin_passes: int
    """For bringing port and starboard beside each other."""

    @property
    def opening(self) -> SheetWork:
        """A first, small share, before a proof that there is nothing to be found is tried."""
        return SheetWork(
            cost_passes=self.cost_passes // 5,
            offcut_passes=0,
            rect_tries=self.rect_tries // 5,
            twin_passes=0,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """How much a search may do.

    Parameters
    ----------
    sheets
        For each material.
    proof_s
        To prove that one sheet fewer is impossible. [deterministic seconds]
    joint_trials, joint_passes
        Layouts tried for each group of parts with free joints, and the passes of those by which
        the best few positions are judged again.
    dives, nodes, patterns
        For boards of known pieces: dives with changing luck before an exact choice, nodes of that
        choice, and patterns that it may be asked to look at.
    windows, sawing_s
        For boards sawn in any order: how often a few boards' pieces are sawn anew, and work for
        one choice of boards. [deterministic seconds]
    proposals, master_s, positions_s
        For rails with free joints: proposals before the search gives up, work for one proposal and
        for one trial of positions. [deterministic seconds]
    """

    sheets: SheetWork
    proof_s: float
    joint_trials: int
    joint_passes: int
    dives: int
    nodes: int
    patterns: int
    windows: int
    sawing_s: float
    proposals: int
    master_s: float
    positions_s: float


WORK: Mapping[Effort, Work] = {
    Effort.QUICK: Work(
        sheets=SheetWork(cost_passes=150, offcut_passes=100, rect_tries=6_000, twin_passes=300),
        proof_s=0.3,
        joint_trials=10,
        joint_passes=60,
        dives=3,
        nodes=2_000,
        patterns=3_000,
        windows=40,
        sawing_s=2.0,
        proposals=40,
        master_s=3.0,
        positions_s=1.0,
    ),
    Effort.NORMAL: Work(
        sheets=SheetWork(
            cost_passes=1_200, offcut_passes=600, rect_tries=60_000, twin_passes=1_500
        ),
        proof_s=4.0,
        joint_trials=40,
        joint_passes=300,
        dives=12,
        nodes=20_000,
        patterns=12_000,
        windows=200,
        sawing_s=10.0,
        proposals=200,
        master_s=25.0,
        positions_s=4.0,
    ),
    Effort.THOROUGH: Work(
        sheets=SheetWork(
            cost_passes=80_000, offcut_passes=20_000, rect_tries=600_000, twin_passes=30_000
        ),
        proof_s=60.0,
        joint_trials=240,
        joint_passes=3_000,
        dives=40,
        nodes=400_000,
        patterns=40_000,
        windows=1_000,
        sawing_s=60.0,
        proposals=1_000,
        master_s=60.0,
        positions_s=30.0,
    ),
}
"""Work by effort."""
