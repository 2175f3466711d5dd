"""Buying and cutting in stages: each gives whole sub-assemblies, in the order of building.

The pieces and joints are those of a whole plan.  Stage by stage they are laid out on what earlier
stages have left and on as few new sheets and boards as possible, so that the boat can be begun
before all of its wood is bought.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from nestcut.again.order import Bought, Stage, StagedPlan
from nestcut.again.plan import Search, hasty, money_minor
from nestcut.errors import InputError, Severity, finding
from nestcut.model.job import Job
from nestcut.model.part import Timing
from nestcut.model.plan import Plan, StopReason, VerifiedPlan
from nestcut.planning.plan_job import Desk, ignore_proven, prove
from nestcut.planning.totals import with_purchases
from nestcut.search.settings import Deadline, Settings, Silent, Watcher

LAST = "the rest"
"""Name of the stage of all parts that no other names."""
DRY_FIT = "after the dry fit"
"""Name of the stage of parts that are only cut when the boat stands."""


def plan_in_stages(
    job: Job,
    plan: Plan,
    order: tuple[Stage, ...],
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
    on_proven: Callable[[VerifiedPlan], None] = ignore_proven,
) -> VerifiedPlan:
    """Lay a plan's pieces out stage by stage: at once first, then as well as the time allows.

    Parameters
    ----------
    plan
        A whole plan of the job: its pieces, joints, and the least that it costs.
    order
        All stages, as of :func:`whole_order`.
    on_proven
        Told the plan that is made at once, as the verifier has passed it.

    Raises
    ------
    PlanRejectedError
        If the verifier refuses the result: a fault of ours.
    """
    first = prove(job, _laid(plan, order, Search(job, hasty(settings), Deadline(0.0), Silent())))
    Desk(settings=settings, deadline=deadline, watcher=watcher, on_proven=on_proven).keep(first)
    reason = deadline.stop_reason()
    if reason is not None:
        return replace(first, plan=replace(first.plan, stopped_by=reason))
    done = prove(job, _laid(plan, order, Search(job, settings, deadline, watcher)))
    return min(done, first, key=lambda v: (len(v.plan.unplaced), money_minor(v.plan)))


def _laid(plan: Plan, order: tuple[Stage, ...], search: Search) -> Plan:
    of_part = _parts(plan)
    now = replace(plan, sheets=(), boards=(), unplaced=(), buy=(), bounds=())
    reasons = [StopReason.WORK_DONE]
    for stage in order:
        ids = frozenset(i for i, part in of_part.items() if part in stage.parts)
        later = search.together(now, ids)
        reasons.append(later.stopped_by)
        now = replace(later, unplaced=(*now.unplaced, *later.unplaced))
    return replace(now, stopped_by=max(reasons, key=list(StopReason).index))


def _parts(plan: Plan) -> dict[str, str]:
    """Names of parts by the ids of their pieces."""
    return {p.id: p.part for p in plan.pieces} | {p.id: p.part for p in plan.rail_pieces}


def told_by_stage(plan: Plan, order: tuple[Stage, ...], verified: VerifiedPlan) -> StagedPlan:
    """Say what each stage comes to: a sheet or board is bought for the first piece cut from it.

    Parameters
    ----------
    plan
        The plan without an order.
    verified
        Its pieces laid out by :func:`plan_in_stages`.
    """
    of_part, done = _parts(verified.plan), verified.plan
    rank = {i: k for k, s in enumerate(order) for i, part in of_part.items() if part in s.parts}
    sheets = {s.number: min(rank[p.piece] for p in s.placements) for s in done.sheets}
    boards: dict[int, int] = {}
    for number, piece in _on_boards(done):
        boards[number] = min(rank[piece], boards.get(number, rank[piece]))
    told, paid = [], 0
    for k, stage in enumerate(order):
        so_far = replace(
            done,
            sheets=tuple(s for s in done.sheets if sheets[s.number] <= k),
            boards=tuple(b for b in done.boards if boards[b.number] <= k),
        )
        cost = money_minor(with_purchases(verified.job, so_far))
        told.append(
            Bought(
                name=stage.name,
                pieces=tuple(sorted(i for i in rank if rank[i] == k)),
                sheets=tuple(
                    s.number for s in done.sheets if sheets[s.number] == k and not s.board
                ),
                boards=tuple(sorted(n for n in boards if boards[n] == k)),
                cost_minor=cost - paid,
            )
        )
        paid = cost
    return StagedPlan(verified=verified, stages=tuple(told), least_minor=money_minor(plan))


def _on_boards(plan: Plan) -> Iterator[tuple[int, str]]:
    """Yield every piece that comes from a board, after the board's number."""
    for board in plan.boards:
        yield from ((board.number, c.piece) for c in board.cuts)
    for sheet in plan.sheets:
        if sheet.board:
            yield from ((sheet.board, p.piece) for p in sheet.placements)


def whole_order(job: Job, plan: Plan, stages: tuple[Stage, ...]) -> tuple[Stage, ...]:
    """Return the stages with those at the end of what none names.

    Parts that no stage names come last, those that are cut after the dry fit after everything else.
    A strap comes with the part that it joins.

    Raises
    ------
    InputError
        If a stage names a part that the plan hasn't, or two stages name the same one.
    """
    parts = frozenset(_parts(plan).values())
    named = [name for s in stages for name in sorted(s.parts)]
    faults = [
        finding("AGN-004", Severity.ERROR, s.name, part=name)
        for s in stages
        for name in sorted(s.parts - parts)
    ]
    faults += [
        finding("AGN-005", Severity.ERROR, name)
        for name in sorted({n for n in named if named.count(n) > 1})
    ]
    if faults:
        raise InputError(faults)
    straps = {p.name: p.strap_of.part for p in plan.added_parts if p.strap_of is not None}
    free = parts - set(named) - straps.keys()
    late = {p.name for p in job.sheet_parts if p.timing is Timing.AFTER_DRY_FIT} & free
    ends = (Stage(name=LAST, parts=free - late), Stage(name=DRY_FIT, parts=frozenset(late)))
    return tuple(
        replace(s, parts=s.parts | {n for n in straps.keys() - named if straps[n] in s.parts})
        for s in (*stages, *ends)
        if s.parts
    )
