"""One call from a job to a verified plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from enum import Enum

from nestcut.boards import (
    BoardsOutcome,
    JointPreference,
    compare_with_equal,
    cut_boards,
    cut_with_more_joints,
)
from nestcut.errors import InputError, PlanRejectedError, blocking
from nestcut.model.job import Job
from nestcut.model.part import CutFrom, RailPart
from nestcut.model.plan import Plan, StopReason, VerifiedPlan
from nestcut.model.progress import Phase, Progress, SoFar
from nestcut.nesting.workers import hired
from nestcut.planning.divide_job import divide_parts, is_free
from nestcut.planning.fit import refuse_joints
from nestcut.planning.joints_told import equal_rails_told, rail_ways_told
from nestcut.planning.judge import judge_joints
from nestcut.planning.market import PlanOf, bounds_that_hold, choose_purchases, is_plain, plain_job
from nestcut.planning.pieces import Pieces
from nestcut.planning.sawn.bounds import bounds_together
from nestcut.planning.sawn.together import FromBoards, SawBench, share_boards, woods_shared
from nestcut.planning.totals import (
    compared_told,
    number_boards,
    renumber_sheets,
    with_purchases,
)
from nestcut.search.settings import Deadline, Effort, Settings, Silent, Watcher
from nestcut.sheets.left.reserves import with_reserves
from nestcut.sheets.outcome import SheetsOutcome
from nestcut.sheets.solve import lay_out_sheets
from nestcut.sheets.timing import Share
from nestcut.verify import verify_plan

_URGENCY = [StopReason.PROVEN, StopReason.WORK_DONE, StopReason.TIME_UP, StopReason.INTERRUPTED]


RAIL_SHARE = 0.4
"""Most of the time that may go into rails where flat parts wait, where time is limited. [-]"""

SAWN_SHARE = 0.2
"""Most of the time that may go into parts sawn from boards that rails could come from too. [-]"""

RAIL_SHARE_LEAST = 0.1
"""And the least, however little of the money they are. [-]"""

CHOICE_SHARE = 0.4
"""Share of the time that may go into choosing yards and packs, where time is limited. [-]"""


class OnTheWay(Enum):
    """What becomes of better layouts while the search goes on."""

    PROVEN = "proven"
    LEFT = "left"
    """Nobody wants them: only the end counts."""


def ignore_proven(verified: VerifiedPlan) -> None:
    """Take no note of proven plans on the way."""
    del verified


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """What a run works with besides the job.

    Parameters
    ----------
    settings, deadline, watcher
        How hard and how long to search, and who is told.
    preference
        Whether joints or money weigh more.
    asked
        The job as it was asked, where the one that is searched buys more plainly: without packs,
        limits and yards that nothing is ordered from.  Plans are drawn up for it and proven by it.
    on_the_way
        What becomes of better layouts while the search goes on.
    executor
        Where searches run side by side; None: in this process, or in processes of their own.
    on_proven
        Told each plan of this run that the verifier has passed.
    proven
        Plans of this run that the verifier has passed, the last one last: what there is when a
        later one fails.
    """

    settings: Settings
    deadline: Deadline
    watcher: Watcher
    preference: JointPreference = JointPreference.CHEAPEST
    asked: Job | None = None
    on_the_way: OnTheWay = OnTheWay.PROVEN
    executor: Executor | None = None
    proven: list[VerifiedPlan] = field(default_factory=list)
    on_proven: Callable[[VerifiedPlan], None] = ignore_proven

    def keep(self, verified: VerifiedPlan) -> None:
        """Take a proven plan down, and tell whoever wants to know."""
        plan = verified.plan
        self.watcher.tell(
            Progress(
                phase=Phase.PROVEN if self.proven else Phase.FIRST_PLAN,
                counts=tuple(SoFar(name, n) for name, n in bought(plan).items()),
                cost_minor=plan.cost_minor,
                plan=plan,
            )
        )
        self.proven.append(verified)
        self.on_proven(verified)


def plan_job(job: Job, desk: Desk) -> VerifiedPlan:
    """Plan a job and prove the plan.

    A first plan is made and proven before any search begins: rails by drafts, joints where they
    come first, sheets by boxes.

    Raises
    ------
    InputError
        If no plan can be made: every reason at once.
    PlanRejectedError
        If the verifier refuses the plan; a fault of ours.
    """
    refused = refuse_joints(job)
    if refused:
        raise InputError(refused)
    if is_plain(job):
        return _plan_plain(job, desk)
    desk.keep(_plan_at_once(plain_job(job, frozenset(), None), replace(desk, asked=job)))
    share = Share(desk.deadline, CHOICE_SHARE * desk.deadline.remaining_s())
    quick = _quick_plan(replace(desk, deadline=share))
    market = choose_purchases(job, quick, share, desk.settings.effort)
    done = _plan_plain(market.job, replace(desk, asked=job))
    if not done.plan.is_complete:
        return done
    bounds = (*done.plan.bounds, market.bound(done.plan.cost_minor))
    return prove(job, replace(done.plan, bounds=bounds))


def _quick_plan(desk: Desk) -> PlanOf:
    """Return what plans a part of a job quickly, for choosing purchases."""
    quick = replace(
        desk,
        settings=replace(desk.settings, effort=Effort.QUICK, workers=1),
        watcher=Silent(),
        executor=None,
        on_proven=ignore_proven,
        on_the_way=OnTheWay.LEFT,
    )

    def plan_of(plain: Job) -> Plan | None:
        try:
            return _searched(plain, replace(quick, proven=[]))
        except InputError:
            return None

    return plan_of


def _plan_plain(job: Job, desk: Desk) -> VerifiedPlan:
    desk.keep(_plan_at_once(job, desk))
    reason = desk.deadline.stop_reason()
    if reason is not None:
        first = desk.proven[-1]
        return replace(first, plan=replace(first.plan, stopped_by=reason))
    if desk.executor is None and desk.settings.workers > 1:
        with hired(desk.settings.workers) as executor:
            return _plan_well(job, replace(desk, executor=executor))
    return _plan_well(job, desk)


def _plan_at_once(job: Job, desk: Desk) -> VerifiedPlan:
    """Plan with no time to search, and prove what comes of it."""
    made = _plan_well(job, _without_time(desk))
    settings = desk.settings
    return replace(
        made,
        plan=replace(
            made.plan,
            effort=settings.effort.value,
            workers=settings.workers,
            seconds_limit=settings.seconds,
        ),
    )


def _without_time(desk: Desk) -> Desk:
    return replace(
        desk,
        settings=replace(desk.settings, effort=Effort.QUICK, workers=1),
        deadline=Deadline(0.0),
        watcher=Silent(),
        executor=None,
        proven=[],
        on_proven=ignore_proven,
        on_the_way=OnTheWay.LEFT,
    )


def _plan_well(job: Job, desk: Desk) -> VerifiedPlan:
    return prove(desk.asked or job, _searched(job, desk))


def _searched(job: Job, desk: Desk) -> Plan:
    """Make a whole plan that nobody has proven yet: rails first, as they are soonest done."""
    share = Share(desk.deadline, _rail_share(job, desk) * desk.deadline.remaining_s())
    cut = _cutter(job, replace(desk, deadline=share))
    cut_rails = cut_with_more_joints(job, cut, desk.preference, share)
    rails = cut_rails.outcome
    compared = compare_with_equal(job, rails, cut) if share.stop_reason() is None else ()
    if desk.proven and desk.on_the_way is not OnTheWay.LEFT and _is_worth_telling(job):
        desk.keep(prove(desk.asked or job, _with_flat_at_once(job, desk, rails)))
    divided = divide_parts(job, desk.settings, desk.deadline, desk.watcher, desk.preference)
    made = divided.made
    if blocking(made.findings):
        raise InputError(blocking(made.findings))
    told = (*cut_rails.notes, *equal_rails_told(compared))
    made = replace(made, notes=(*made.notes, *told))
    plan = assemble(job, desk, made, *_lay_out(job, desk, made, rails, cut))
    stopped_by = max((plan.stopped_by, divided.stopped_by), key=_URGENCY.index)
    return replace(plan, stopped_by=stopped_by)


def _rail_share(job: Job, desk: Desk) -> float:
    """Share of the time for rails: what they are of the money in the plan so far. [-]

    The bit of a sheet that a joint's place decides about is often worth more than all rails.
    """
    if not job.sheet_parts:
        return 1.0
    lines = desk.proven[-1].plan.buy if desk.proven else ()
    boards = {b.name for b in job.board_stocks}
    money = sum(line.count * line.price_minor for line in lines)
    if not money:
        return RAIL_SHARE
    of_rails = sum(line.count * line.price_minor for line in lines if line.stock in boards)
    return min(RAIL_SHARE, max(RAIL_SHARE_LEAST, of_rails / money))


def _is_worth_telling(job: Job) -> bool:
    """Whether rails are searched, and flat joints after them: nothing is kept for long then."""
    rails = any(r.joint is not None and r.joint.at_mm is None for r in job.rail_parts)
    return rails and any(is_free(p) for p in job.sheet_parts)


def _with_flat_at_once(job: Job, desk: Desk, rails: BoardsOutcome) -> Plan:
    """Put rails as they were searched beside flat parts without any search."""
    hasty = _without_time(desk)
    made = divide_parts(job, hasty.settings, hasty.deadline, hasty.watcher, desk.preference).made
    plan = assemble(job, desk, made, *_lay_out(job, hasty, made, rails, _cutter(job, hasty)))
    return replace(plan, stopped_by=StopReason.INTERRUPTED)


def _cutter(job: Job, desk: Desk) -> Callable[[tuple[RailPart, ...]], BoardsOutcome]:
    """Return what cuts rails from the job's boards, in the time of a desk."""

    def cut(parts: tuple[RailPart, ...]) -> BoardsOutcome:
        return cut_boards(
            parts,
            job.board_stocks,
            job.cutting,
            desk.preference,
            desk.settings,
            desk.deadline,
            desk.watcher,
        )

    return cut


def _lay_out(
    job: Job,
    desk: Desk,
    made: Pieces,
    rails: BoardsOutcome,
    cut: Callable[[tuple[RailPart, ...]], BoardsOutcome],
) -> tuple[FromBoards, SheetsOutcome]:
    """Lay out what comes from boards and what comes from sheets.

    Better layouts are made whole and proven on the way, so that Ctrl-C finds the best so far.
    Where one board could carry rails and sawn parts, boards come first: they are soon done.
    """
    flat = tuple(p for p in made.pieces if p.cut_from is CutFrom.SHEET)
    sawn = tuple(p for p in made.pieces if p.cut_from is CutFrom.BOARD)
    is_shared = bool(woods_shared(job, sawn))
    quiet = replace(desk, deadline=Deadline(0.0))
    from_boards = FromBoards(rails=rails, sawn=_saw_bench(job, quiet).apart(sawn, rails))
    if is_shared:
        share = Share(desk.deadline, SAWN_SHARE * desk.deadline.remaining_s())
        bench = _saw_bench(job, replace(desk, deadline=share))
        from_boards = replace(from_boards, sawn=bench.apart(sawn, rails))
        from_boards = share_boards(job, desk.asked or job, sawn, from_boards, bench, cut)

    def take_better(outcome: SheetsOutcome) -> None:
        if desk.on_the_way is OnTheWay.LEFT:
            return
        plan = assemble(job, desk, made, from_boards, outcome)
        plan = replace(plan, stopped_by=StopReason.INTERRUPTED)
        if len(plan.unplaced) <= len(desk.proven[-1].plan.unplaced if desk.proven else ()):
            desk.keep(prove(desk.asked or job, plan))

    from_sheets = lay_out_sheets(
        flat,
        job.sheet_stocks,
        job.cutting,
        desk.settings,
        desk.deadline,
        desk.watcher,
        desk.executor,
        take_better,
    )
    if not is_shared:
        from_boards = replace(from_boards, sawn=_saw_bench(job, desk).apart(sawn, rails))
    return from_boards, from_sheets


def _saw_bench(job: Job, desk: Desk) -> SawBench:
    spend = (desk.settings, desk.deadline, desk.watcher, desk.executor)
    return SawBench(job, *spend)


def assemble(
    job: Job, desk: Desk, made: Pieces, from_boards: FromBoards, from_sheets: SheetsOutcome
) -> Plan:
    """Put the outcomes together into one plan."""
    rails, sawn = from_boards.rails, from_boards.sawn
    sheets, boards = number_boards(
        job, renumber_sheets((*from_sheets.layouts, *sawn.layouts)), rails.layouts
    )
    outcomes = (rails, from_sheets, sawn)
    of_boards = bounds_together(job, rails.bounds, sawn.bounds, (sawn.layouts, boards))
    findings = (*job.findings, *made.findings, *rails.findings)
    joints, more = judge_joints(job, (*made.joints, *rails.joints), findings)
    plan = Plan(
        seed=desk.settings.seed,
        effort=desk.settings.effort.value,
        workers=desk.settings.workers,
        seconds_limit=desk.settings.seconds,
        stopped_by=max((o.stopped_by for o in outcomes), key=_URGENCY.index),
        pieces=made.pieces,
        rail_pieces=rails.pieces,
        sheets=sheets,
        boards=boards,
        joints=joints,
        unplaced=tuple(u for o in outcomes for u in o.unplaced),
        bounds=(*of_boards, *from_sheets.bounds),
        buy=(),
        findings=(*findings, *more),
        added_parts=made.added_parts,
        notes=(
            *made.notes,
            *rail_ways_told(rails),
            *from_boards.notes,
            *(n for o in (from_sheets, sawn) for n in compared_told(o)),
        ),
    )
    if desk.asked is None:
        return with_purchases(job, plan)
    bought = with_purchases(desk.asked, plan)
    return replace(bought, bounds=bounds_that_hold(desk.asked, bought))


def bought(plan: Plan) -> dict[str, int]:
    """How many of each stock are bought, by name."""
    counts: Counter[str] = Counter()
    for line in plan.buy:
        counts[line.stock] += line.count
    return dict(counts)


def prove(job: Job, plan: Plan) -> VerifiedPlan:
    """Say where a plan keeps what its job wants in reserve, and have the verifier look at it.

    Raises
    ------
    PlanRejectedError
        If it objects to anything.
    """
    plan = with_reserves(job, plan)
    verification = verify_plan(job, plan)
    if not verification.is_proven:
        raise PlanRejectedError(verification.findings)
    return VerifiedPlan(job=job, plan=plan, checks=verification.checks)
