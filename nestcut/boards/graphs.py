"""Whether rails come out of strips, by the graph that their pieces make: a tree, or one circle."""

from __future__ import annotations

from nestcut.boards.drafts import OutOfWorkError
from nestcut.boards.family import Claim, Family, Lot
from nestcut.boards.positions import Verdict
from nestcut.boards.rings import Rings
from nestcut.boards.trees import Trees
from nestcut.search.settings import Deadline

WORK = 2_000_000
"""Combinations looked at for one deterministic second of the solver's work."""


def judge_graph(
    family: Family, claim: Claim, lot: Lot, joints: int, work: float, deadline: Deadline
) -> Verdict:
    """Return whether these rails come out of these strips, connected, with so many joints.

    Open where there are more joints than a single circle takes, or work or time is used up.
    ``work`` is measured as the solver's. [deterministic seconds]
    """
    combinations = round(WORK * work)
    circles = joints - (sum(lot) - 1)
    try:
        if circles == 0:
            can = Trees(family, claim, lot, combinations, deadline).can_cut()
        elif circles == 1:
            can = Rings(family, claim, lot, combinations, deadline).can_cut()
        else:
            return Verdict.OPEN
    except OutOfWorkError:
        return Verdict.OPEN
    return Verdict.POSSIBLE if can else Verdict.IMPOSSIBLE
