"""One call from a job to a verified plan."""

from __future__ import annotations

from collections import Counter
from concurrent.futures import Executor
from dataclasses import dataclass, replace

from nestcut.boards.outcome import BoardsOutcome, JointPreference
from nestcut.boards.solve import cut_boards
from nestcut.errors import InputError, PlanRejectedError, blocking
from nestcut.model.job import Job
from nestcut.model.part import CutFrom
from nestcut.model.plan import BoardLayout, Plan, StopReason, VerifiedPlan
from nestcut.model.stock import BoardStock
from nestcut.planning.board_sheets import boards_as_sheets, name_board
from nestcut.planning.divide_job import divide_parts
from nestcut.planning.pieces import Pieces
from nestcut.planning.totals import draw_up_buying_list, renumber_sheets
from nestcut.search.settings import Deadline, Settings, Watcher
from nestcut.sheets.outcome import SheetsOutcome
from nestcut.sheets.solve import lay_out_sheets
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
    """

    settings: Settings
    deadline: Deadline
    watcher: Watcher
    preference: JointPreference = JointPreference.CHEAPEST
    executor: Executor | None = None


def plan_job(job: Job, desk: Desk) -> VerifiedPlan:
    """Plan a job and prove the plan.

    Raises
    ------
    InputError
        If no plan can be made: every reason at once.
    PlanRejectedError
        If the verifier refuses the plan; a fault of ours.
    """
    divided = divide_parts(job, desk.settings, desk.deadline, desk.watcher, desk.preference)
    made = divided.made
    if blocking(made.findings):
        raise InputError(blocking(made.findings))
    rails = cut_boards(
        job.rail_parts,
        job.board_stocks,
        job.cutting,
        desk.preference,
        desk.settings,
        desk.deadline,
        desk.watcher,
    )
    plan = assemble(job, desk, made, rails, lay_out(job, desk, made, rails.layouts))
    stopped_by = max((plan.stopped_by, divided.stopped_by), key=_URGENCY.index)
    return prove(job, replace(plan, stopped_by=stopped_by))


def lay_out(
    job: Job, desk: Desk, made: Pieces, rail_boards: tuple[BoardLayout, ...]
) -> tuple[SheetsOutcome, SheetsOutcome]:
    """Lay out what comes from sheets and what comes from boards; boards cut for rails are gone."""
    flat = tuple(p for p in made.pieces if p.cut_from is CutFrom.SHEET)
    curved = tuple(p for p in made.pieces if p.cut_from is CutFrom.BOARD)
    boards = boards_as_sheets(boards_left(job.board_stocks, rail_boards))
    no_reserve = replace(job.cutting, reserve_mm=None)
    from_boards = lay_out_sheets(
        curved, boards, no_reserve, desk.settings, desk.deadline, desk.watcher, desk.executor
    )
    from_sheets = lay_out_sheets(
        flat,
        job.sheet_stocks,
        job.cutting,
        desk.settings,
        desk.deadline,
        desk.watcher,
        desk.executor,
    )
    return from_sheets, from_boards


def boards_left(
    boards: tuple[BoardStock, ...], layouts: tuple[BoardLayout, ...]
) -> tuple[BoardStock, ...]:
    """Return the boards less those to hand that rails are cut from."""
    used = Counter((b.stock, round(b.length_mm, 6)) for b in layouts)
    left: list[BoardStock] = []
    for board in boards:
        offers = []
        for offer in board.lengths:
            key = (board.name, round(offer.length_mm, 6))
            if offer.count is not None:
                taken = min(offer.count, used[key])
                used[key] -= taken
                offers.append(replace(offer, count=offer.count - taken))
            else:
                offers.append(offer)
        left.append(replace(board, lengths=tuple(o for o in offers if o.count != 0)))
    return tuple(left)


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
        joints=(*made.joints, *rails.joints),
        unplaced=tuple(u for o in outcomes for u in o.unplaced),
        bounds=tuple(b for o in outcomes for b in o.bounds),
        buy=draw_up_buying_list(job, sheets, rails.layouts),
        findings=(*job.findings, *made.findings, *(f for o in outcomes for f in o.findings)),
        added_parts=made.added_parts,
        notes=made.notes,
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
