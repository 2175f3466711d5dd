"""The one call of this room: rails and boards in, pieces, boards, joints and a proof out."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from nestcut.boards.anycut import however_cut
from nestcut.boards.free import cut_free
from nestcut.boards.given import cut_given
from nestcut.boards.layout import renumber
from nestcut.boards.outcome import BoardsOutcome, JointPreference
from nestcut.boards.sawing import IN_ANY_ORDER, sawn_better
from nestcut.boards.wood.groups import Group, group_rails
from nestcut.boards.wood.problem import make_supplies
from nestcut.boards.wood.rails import Rail, single_rails
from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Length, Lengths
from nestcut.model.job import CuttingRules
from nestcut.model.part import RailPart
from nestcut.model.plan import Bound, Counted, StopReason
from nestcut.model.stock import BoardStock
from nestcut.search.settings import Deadline, Settings, Stretch, Watcher

_URGENCY = [StopReason.PROVEN, StopReason.WORK_DONE, StopReason.TIME_UP, StopReason.INTERRUPTED]


def cut_boards(
    rails: tuple[RailPart, ...],
    stocks: tuple[BoardStock, ...],
    cutting: CuttingRules,
    preference: JointPreference,
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
) -> BoardsOutcome:
    """Cut rails from boards at least cost, choosing the joints that are left free.

    Parameters
    ----------
    rails
        Rails by section and finished length. A joint rule with positions is kept to; one without
        leaves positions to the search; without a rule a rail comes out of one board.
    stocks
        Boards on sale and to hand.
    cutting
        The kerf is what is kept between pieces.
    preference
        Whether money or joints weigh more.
    settings, deadline, watcher
        Work, time, and who is told.

    Returns
    -------
    BoardsOutcome
        Pieces that no stock is left for are named in ``unplaced``, with the reason.
    """
    widest = cutting.on(*stocks).kerf_mm
    groups = group_rails(single_rails(rails), make_supplies(stocks, widest))
    outcomes = [
        _cut_group(group, cutting, preference, settings, deadline, Stretch(watcher, k, len(groups)))
        for k, group in enumerate(groups)
    ]
    return BoardsOutcome(
        pieces=tuple(p for o in outcomes for p in o.pieces),
        layouts=renumber(tuple(b for o in outcomes for b in o.layouts)),
        joints=tuple(j for o in outcomes for j in o.joints),
        unplaced=tuple(u for o in outcomes for u in o.unplaced),
        bounds=tuple(b for o in outcomes for b in o.bounds),
        findings=tuple(f for o in outcomes for f in o.findings),
        stopped_by=max(
            (o.stopped_by for o in outcomes), key=_URGENCY.index, default=StopReason.PROVEN
        ),
        joint_ways=tuple(w for o in outcomes for w in o.joint_ways),
    )


def _cut_group(
    group: Group,
    cutting: CuttingRules,
    preference: JointPreference,
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
) -> BoardsOutcome:
    """Cut the rails of one group, those with joints beyond the rail's ends aside."""
    kerf = cutting.on(*(s.stock for s in group.supplies)).kerf_mm
    faults = tuple(f for rail in group.rails if (f := _misplaced(rail)) is not None)
    given = {
        rail: () if rail.part.joint is None else rail.part.joint.at_mm or ()
        for rail in group.rails
        if not rail.is_free or not group.supplies
    }
    given.update({rail: () for rail in group.rails if _misplaced(rail) is not None})
    if len(given) == len(group.rails):
        outcome = cut_given(group, given, kerf, settings, deadline, watcher)
    else:
        outcome = cut_free(group, given, kerf, preference, settings, deadline, watcher)
    bounds = however_cut(group, given, outcome.bounds, cutting, deadline)
    resawn = sawn_better(group, replace(outcome, bounds=bounds), kerf, settings, deadline)
    outcome = resawn.outcome
    saws = {cutting.on(s.stock).kerf_mm for s in group.supplies}
    if len(given) == len(group.rails) and len(saws) == 1:
        outcome = replace(outcome, bounds=_raised(outcome.bounds, resawn.lower))
    return replace(outcome, findings=(*faults, *outcome.findings))


def _raised(bounds: tuple[Bound, ...], lower: float) -> tuple[Bound, ...]:
    """Take note of what no sawing costs less than, where that says more."""
    return tuple(
        replace(b, lower=min(lower, b.used), reason=IN_ANY_ORDER)
        if b.measure is not Counted.JOINTS and lower > b.lower
        else b
        for b in bounds
    )


def _misplaced(rail: Rail) -> Finding | None:
    """Say that given joints don't lie on the rail, one after the other."""
    rule = rail.part.joint
    if rule is None or not rule.at_mm:
        return None
    half = rail.overlap_mm / 2.0
    ends = (half, rail.part.length_mm - half)
    rising = all(a < b for a, b in pairwise(rule.at_mm))
    if rising and ends[0] <= rule.at_mm[0] and rule.at_mm[-1] <= ends[1]:
        return None
    return finding(
        "BRD-006",
        Severity.ERROR,
        rail.id,
        given=Lengths(rule.at_mm),
        length=Length(rail.part.length_mm),
        least=Length(ends[0]),
        most=Length(ends[1]),
    )
