"""Lay out all flat pieces on sheets: the one call of this room."""

from __future__ import annotations

from concurrent.futures import Executor
from dataclasses import replace

from nestcut.errors import Finding, NoRoomError
from nestcut.geometry.usable import usable_area
from nestcut.model.job import CuttingRules
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Bound, SheetLayout, StopReason, Unplaced
from nestcut.model.progress import Named, Phase, Progress, SoFar
from nestcut.model.stock import SheetStock
from nestcut.nesting.engine import ENGINE
from nestcut.search.settings import Deadline, Settings, Silent, Watcher
from nestcut.search.work import WORK
from nestcut.sheets.boxes import lay_out_boxes
from nestcut.sheets.least.bounds import LeastBuy, least_buy
from nestcut.sheets.least.facts import facts_of
from nestcut.sheets.least.proof import (
    CHEAPER_REASON,
    PROOF_REASON,
    cannot_do_with,
    nothing_costs_less,
)
from nestcut.sheets.outcome import Better, SheetsOutcome, ignore_better
from nestcut.sheets.prepare import Group, for_bounds, prepare_group
from nestcut.sheets.rectangles.rect_search import RectSearch, is_rectangular
from nestcut.sheets.room import no_room_findings, no_stock_findings
from nestcut.sheets.search import PolygonSearch
from nestcut.sheets.standing import Standing
from nestcut.sheets.tasks import (
    Task,
    bounds_of,
    compared_of,
    layouts_of,
    to_buy,
    unplaced_of,
)
from nestcut.sheets.timing import Share
from nestcut.sheets.twins.together import bring_together
from nestcut.tolerances.noise import NOISE

_COST_SHARE = 0.75
"""Share of the time that goes into cheaper sheets. [-]"""
_OFFCUT_SHARE = 0.9
"""Share of what is left then that makes the offcut larger; the rest brings twins together. [-]"""
SHOW_AFTER_S = 1.0
"""Outcomes with as many sheets as before are made whole no more often than this. [s]"""


def lay_out_sheets(
    pieces: tuple[SheetPiece, ...],
    stocks: tuple[SheetStock, ...],
    cutting: CuttingRules,
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
    executor: Executor | None = None,
    better: Better = ignore_better,
) -> SheetsOutcome:
    """Place all pieces on sheets at least cost, then leave the largest offcut.

    Parameters
    ----------
    pieces
        What to cut, any materials and thicknesses.
    stocks
        Sheets on sale and to hand.
    cutting
        Kerf, gap, and the rectangle to keep free, if any. It is kept free in every material.
    settings
        Seed, effort (an amount of work), workers.
    deadline
        When to stop at the latest, and the way to interrupt: the best so far is handed back.
    watcher
        Told how it goes.
    executor
        Somebody else's pool of workers to run independent searches in; None: none.
    better
        Called with every better outcome, the first as soon as every material has a valid layout.

    Returns
    -------
    SheetsOutcome
        Layouts in the order of materials, bounds with their proofs in words.

    Raises
    ------
    NoRoomError
        If pieces fit no sheet at all, or no sheet of their material exists; all are named.
    """
    groups, findings = _grouped(pieces, stocks, cutting)
    run = _Run(groups, settings, deadline, watcher, better, executor)
    if not findings:
        run.at_once()
    findings += run.first()
    if findings:
        raise NoRoomError(findings)
    return run.run()


def lay_out_at_once(
    pieces: tuple[SheetPiece, ...],
    stocks: tuple[SheetStock, ...],
    cutting: CuttingRules,
    settings: Settings,
) -> SheetsOutcome:
    """Place all pieces without any search: as boxes, or in one pass where boxes find no room.

    Parameters, results and errors are those of :func:`lay_out_sheets`.
    """
    groups, findings = _grouped(pieces, stocks, cutting)
    run = _Run(groups, settings, Deadline(), Silent(), ignore_better, None)
    if findings or not run.at_once():
        findings += run.first()
    if findings:
        raise NoRoomError(findings)
    return run.outcome(StopReason.WORK_DONE)


def _grouped(
    pieces: tuple[SheetPiece, ...], stocks: tuple[SheetStock, ...], cutting: CuttingRules
) -> tuple[list[Group], list[Finding]]:
    """Sort pieces and sheets by material; say which pieces no sheet is of."""
    stocks = tuple(s for s in stocks if s.count != 0 and not usable_area(s.usable).is_empty)
    sold = {(s.material, s.thickness_mm) for s in stocks}
    keys = sorted({(p.material, p.thickness_mm) for p in pieces} & sold)
    groups = [
        prepare_group(
            tuple(p for p in pieces if (p.material, p.thickness_mm) == key),
            tuple(s for s in stocks if (s.material, s.thickness_mm) == key),
            cutting,
        )
        for key in keys
    ]
    return groups, list(no_stock_findings(pieces, stocks))


class _Run:
    """One call: all materials, stage by stage, so that an interruption finds all of them ready."""

    def __init__(
        self,
        groups: list[Group],
        settings: Settings,
        deadline: Deadline,
        watcher: Watcher,
        better: Better,
        executor: Executor | None,
    ) -> None:
        self.executor = executor
        self.settings = settings
        self.deadline = deadline
        self.watcher = watcher
        self.better = better
        self.is_ready = False
        self.was_cut_short = False
        self.now = Progress(phase=Phase.SHEETS)
        """What is being worked on."""
        self._shown_s = deadline.clock()
        self._shown_counts: tuple[SoFar, ...] = ()
        self.tasks = [self._task(g) for g in groups]

    def _task(self, group: Group) -> Task:
        standing = Standing(group)
        search: PolygonSearch | RectSearch
        if ENGINE.rectangles is not None and is_rectangular(group):
            search = RectSearch(ENGINE.rectangles, group, standing, self.settings.seed, self._told)
        else:
            search = PolygonSearch(
                group,
                standing,
                self.settings.seed,
                self.settings.workers,
                self._told,
                self.executor,
            )
        return Task(group, standing, search)

    def at_once(self) -> bool:
        """Lay every material out as boxes; say whether everything has its place so."""
        for task in self.tasks:
            task.standing.offer(lay_out_boxes(task.group))
        self.is_ready = all(
            t.standing.best is not None and not t.standing.best.unplaced for t in self.tasks
        )
        self._told()
        return self.is_ready

    def first(self) -> list[Finding]:
        """Make a first layout of every material; return what fits no sheet at all."""
        findings: list[Finding] = []
        for task in self.tasks:
            if self.is_ready and self.deadline.stop_reason() is not None:
                break
            task.search.first(Deadline())
            best = task.plain = task.standing.best
            placed = {i for s in best.sheets for i in s.ids} if best is not None else set()
            doubtful = tuple(p.id for p in task.group.pieces if p.id not in placed)
            findings += no_room_findings(task.group, doubtful)
        return findings

    def run(self) -> SheetsOutcome:
        """Go through the stages."""
        work = WORK[self.settings.effort].sheets
        self.is_ready = True
        self._told()
        for task in self.tasks:
            if self.deadline.stop_reason() is not None:
                break
            task.facts = facts_of(for_bounds(task.group))
            task.least = least_buy(task.facts, self.deadline)
        if self.deadline.stop_reason() is not None:
            self.was_cut_short = True
            return self.outcome(self._stopped_by())
        for k, task in enumerate(self.tasks):
            self._turn_to(Phase.SHEETS, k)
            share = Share(self.deadline, self._seconds(k, _COST_SHARE))
            task.search.cheaper(work.opening, share, task.least)
            self._prove(task, share)
            task.search.cheaper(work, share, task.least)
            self._note_cut(share)
        for k, task in enumerate(self.tasks):
            self._turn_to(Phase.OFFCUTS, k)
            share = Share(self.deadline, self._seconds(k, _OFFCUT_SHARE))
            task.search.larger_offcut(work, share)
            self._note_cut(share)
        for k, task in enumerate(self.tasks):
            share = Share(self.deadline, self._seconds(k, 1.0))
            bring_together(task.standing, work.twin_passes, self.settings.seed, share)
            self._note_cut(share)
        return self.outcome(self._stopped_by())

    def _prove(self, task: Task, share: Share) -> None:
        """Where little is missing between plan and bound, try to close the gap exactly."""
        best, least, facts = task.standing.sure(), task.least, task.facts
        if best.unplaced or least is None or facts is None or share.stop_reason() is not None:
            return
        work = WORK[self.settings.effort].proof_s
        stocks = task.group.stocks
        if len(stocks) > 1:
            if best.cost > least.cost + NOISE and nothing_costs_less(facts, best.cost, work, share):
                # where all that is sold costs the same, fewer sheets would cost less
                is_one_price = len({s.cost for s in stocks if s.cost > 0.0}) == 1
                sheets = best.score[3] if is_one_price else least.sheets
                task.least = LeastBuy(cost=best.cost, sheets=sheets, reason=CHEAPER_REASON)
                self._told()
            return
        if best.score[3] != least.sheets + 1:
            return
        if cannot_do_with(facts, least.sheets, work, share):
            cost = task.group.stocks[0].cost * best.score[3]
            task.least = LeastBuy(cost=cost, sheets=best.score[3], reason=PROOF_REASON)
            self._told()

    def _seconds(self, k: int, share: float) -> float | None:
        """Time for task k: its part, by number of pieces, of what is left for those to come."""
        left = self.deadline.remaining_s()
        if left == float("inf"):
            return None
        weights = [len(t.group.pieces) for t in self.tasks[k:]]
        return left * share * weights[0] / sum(weights)

    def _note_cut(self, share: Share) -> None:
        self.was_cut_short = self.was_cut_short or share.is_cut_short()

    def _stopped_by(self) -> StopReason:
        reason = self.deadline.stop_reason()
        if reason is StopReason.INTERRUPTED:
            return reason
        if self.was_cut_short:
            return StopReason.TIME_UP
        return StopReason.WORK_DONE

    def _told(self) -> None:
        """Tell the watcher; a better outcome is made whole where it saves a sheet, or now and then.

        Making it whole takes a while: it isn't done for every offcut that grows a little.
        """
        if not self.is_ready or not self.tasks:
            return
        counts = tuple(
            SoFar(_named(t.group), to_buy(t), t.least.sheets if t.least else 0) for t in self.tasks
        )
        on_sale = [s.stock for t in self.tasks for s in t.group.stocks if s.stock.is_to_buy]
        is_money = all(s.price_minor > 0 for s in on_sale)
        leasts = [t.least for t in self.tasks if t.least]
        self.watcher.tell(
            replace(
                self.now,
                counts=counts,
                cost_minor=sum(t.standing.sure().cost for t in self.tasks) if is_money else None,
                bound_minor=sum(x.cost for x in leasts) if leasts and is_money else None,
            )
        )
        if self.better is ignore_better or self.deadline.stop_reason() is not None:
            return
        now_s = self.deadline.clock()
        number = tuple(SoFar(c.name, c.count) for c in counts)
        if number != self._shown_counts or now_s - self._shown_s >= SHOW_AFTER_S:
            self.better(self.outcome(StopReason.WORK_DONE))
            self._shown_counts, self._shown_s = number, self.deadline.clock()

    def _turn_to(self, phase: Phase, k: int) -> None:
        """Take note of what is being worked on, and tell."""
        weights = [len(t.group.pieces) for t in self.tasks]
        share = sum(weights[:k]) / sum(weights)
        self.now = Progress(phase=phase, subject=(_named(self.tasks[k].group),), share=share)
        self._told()

    def outcome(self, stopped_by: StopReason) -> SheetsOutcome:
        """Put the best layouts of all materials together."""
        layouts: list[SheetLayout] = []
        unplaced: list[Unplaced] = []
        bounds: list[Bound] = []
        for task in self.tasks:
            layouts += layouts_of(task)
            unplaced += unplaced_of(task)
            bounds += bounds_of(task)
        return SheetsOutcome(
            layouts=tuple(layouts),
            unplaced=tuple(unplaced),
            bounds=tuple(bounds),
            stopped_by=stopped_by,
            compared=tuple(compared_of(t) for t in self.tasks if t.plain is not None),
        )


def _named(group: Group) -> Named:
    return group.name if group.said is None else group.said
