"""One call from a job to a verified plan."""

from __future__ import annotations

from concurrent.futures import Executor
from dataclasses import dataclass, field, replace

from nestcut.boards.outcome import BoardsOutcome, JointPreference
from nestcut.boards.solve import cut_boards
from nestcut.errors import InputError, PlanRejectedError, blocking
from nestcut.model.job import Job
from nestcut.model.part import CutFrom, RailPart
from nestcut.model.plan import Plan, StopReason, VerifiedPlan
from nestcut.nesting.workers import hired
from nestcut.planning.board_sheets import boards_as_sheets, boards_left, name_board
from nestcut.planning.divide_job import divide_parts
from nestcut.planning.equal_rails import compare_with_equal
from nestcut.planning.fit import refuse_joints
from nestcut.planning.joint_words import equal_rail_words, rail_price_words
from nestcut.planning.judge import judge_joints
from nestcut.planning.pieces import Pieces
from nestcut.planning.rail_joints import cut_with_more_joints
from nestcut.planning.totals import compared_words, draw_up_buying_list, renumber_sheets
from nestcut.search.settings import Deadline, Settings, Watcher
from nestcut.sheets.outcome import SheetsOutcome
from nestcut.sheets.solve import lay_out_at_once, lay_out_sheets
from nestcut.verify import verify_plan

_URGENCY = [StopReason.PROVEN, StopReason.WORK_DONE, StopReason.TIME_UP, StopReason.INTERRUPTED]


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """What a run works with besides the job.

    Parameters
    ----------
    settings, deadline, watcher
        How hard and how long to search, and who is told.
    preference
        Whether joints or money weigh more.
    executor
        Where searches run side by side; None: in this process, or in processes of their own.
    proven
        Plans of this run that the verifier has passed, the last one last: what there is when a
        later one fails.
    """

    settings: Settings
    deadline: Deadline
    watcher: Watcher
    preference: JointPreference = JointPreference.CHEAPEST
    executor: Executor | None = None
    proven: list[VerifiedPlan] = field(default_factory=list)


def plan_job(job: Job, desk: Desk) -> VerifiedPlan:
    """Plan a job and prove the plan.

    Raises
    ------
    InputError
        If no plan can be made: every reason at once.
    PlanRejectedError
        If the verifier refuses the plan; a fault of ours.
    """
    if desk.executor is None and desk.settings.workers > 1:
        with hired(desk.settings.workers) as executor:
            return plan_job(job, replace(desk, executor=executor))
    refused = refuse_joints(job)
    if refused:
        raise InputError(refused)
    divided = divide_parts(job, desk.settings, desk.deadline, desk.watcher, desk.preference)
    made = divided.made
    if blocking(made.findings):
        raise InputError(blocking(made.findings))

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

    cut_rails = cut_with_more_joints(job, cut, desk.preference)
    rails = cut_rails.outcome
    compared = compare_with_equal(job, rails, cut) if desk.deadline.stop_reason() is None else ()
    told = (*cut_rails.notes, *equal_rail_words(compared, job.currency))
    made = replace(made, notes=(*made.notes, *told))
    laid_out = _lay_out(job, desk, made, rails)
    plan = assemble(job, desk, made, rails, laid_out)
    stopped_by = max((plan.stopped_by, divided.stopped_by), key=_URGENCY.index)
    return prove(job, replace(plan, stopped_by=stopped_by))


def _lay_out(
    job: Job, desk: Desk, made: Pieces, rails: BoardsOutcome
) -> tuple[SheetsOutcome, SheetsOutcome]:
    """Lay out what comes from sheets and what comes from boards.

    A first layout of everything is proven before any search, so that an early Ctrl-C finds a whole
    plan.
    """
    flat = tuple(p for p in made.pieces if p.cut_from is CutFrom.SHEET)
    curved = tuple(p for p in made.pieces if p.cut_from is CutFrom.BOARD)
    boards = boards_as_sheets(boards_left(job.board_stocks, rails.layouts))
    no_reserve = replace(job.cutting, reserve_mm=None)

    first_curved = lay_out_at_once(curved, boards, no_reserve, desk.settings)
    is_first = True

    def take_first(outcome: SheetsOutcome) -> None:
        nonlocal is_first
        if is_first:
            is_first = False
            plan = assemble(job, desk, made, rails, (outcome, first_curved))
            desk.proven.append(prove(job, plan))
            sheets = "1 sheet" if len(plan.sheets) == 1 else f"{len(plan.sheets)} sheets"
            desk.watcher.tell("first plan", f"{sheets}, proven", "")

    from_sheets = lay_out_sheets(
        flat,
        job.sheet_stocks,
        job.cutting,
        desk.settings,
        desk.deadline,
        desk.watcher,
        desk.executor,
        take_first,
    )
    from_boards = lay_out_sheets(
        curved,
        boards,
        no_reserve,
        desk.settings,
        desk.deadline,
        desk.watcher,
        desk.executor,
    )
    return from_sheets, from_boards


def assemble(
    job: Job,
    desk: Desk,
    made: Pieces,
    rails: BoardsOutcome,
    laid_out: tuple[SheetsOutcome, SheetsOutcome],
) -> Plan:
    """Put the outcomes together into one plan."""
    from_sheets, from_boards = laid_out
    curved = tuple(name_board(s, job.board_stocks) for s in from_boards.layouts)
    sheets = renumber_sheets((*from_sheets.layouts, *curved))
    outcomes = (rails, from_sheets, from_boards)
    findings = (*job.findings, *made.findings, *(f for o in outcomes for f in o.findings))
    joints, more = judge_joints(job, (*made.joints, *rails.joints), findings)
    return Plan(
        seed=desk.settings.seed,
        effort=desk.settings.effort.value,
        workers=desk.settings.workers,
        seconds_limit=desk.settings.seconds,
        stopped_by=max((o.stopped_by for o in outcomes), key=_URGENCY.index),
        pieces=made.pieces,
        rail_pieces=rails.pieces,
        sheets=sheets,
        boards=rails.layouts,
        joints=joints,
        unplaced=tuple(u for o in outcomes for u in o.unplaced),
        bounds=tuple(b for o in outcomes for b in o.bounds),
        buy=draw_up_buying_list(job, sheets, rails.layouts),
        findings=(*findings, *more),
        added_parts=made.added_parts,
        notes=(
            *made.notes,
            *rail_price_words(rails, job.currency),
            *(n for o in (from_sheets, from_boards) for n in compared_words(o, job.style)),
        ),
    )


def prove(job: Job, plan: Plan) -> VerifiedPlan:
    """Have the verifier look at a plan.

    Raises
    ------
    PlanRejectedError
        If it objects to anything.
    """
    verification = verify_plan(job, plan)
    if not verification.is_proven:
        raise PlanRejectedError(verification.findings)
    return VerifiedPlan(job=job, plan=plan, checks=verification.checks)
