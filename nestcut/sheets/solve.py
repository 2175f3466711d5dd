"""Lay out all flat pieces on sheets: the one call of this room."""

from __future__ import annotations

from concurrent.futures import Executor
from dataclasses import dataclass

from nestcut.errors import Finding, NoRoomError, Severity
from nestcut.model.job import CuttingRules
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Bound, SheetLayout, StopReason, Unplaced
from nestcut.model.stock import SheetStock
from nestcut.search.settings import Deadline, Settings, Watcher
from nestcut.sheets.bounds import LeastBuy, least_buy
from nestcut.sheets.facts import Facts, facts_of
from nestcut.sheets.layouts import to_placement
from nestcut.sheets.outcome import Better, Comparison, SheetsOutcome, ignore_better
from nestcut.sheets.prepare import RESERVE_ID, Group, prepare_group, usable_polygon
from nestcut.sheets.proof import PROOF_REASON, PROOF_WORK, cannot_do_with
from nestcut.sheets.rect_search import RectSearch, is_rectangular
from nestcut.sheets.room import no_room_findings, no_stock_findings
from nestcut.sheets.search import WORK, PolygonSearch
from nestcut.sheets.standing import Candidate, Standing
from nestcut.sheets.timing import Share

_COST_SHARE = 0.75
"""Share of the time that goes into cheaper sheets; the rest makes the offcut larger."""


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
        Told how it goes, in words.
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
    stocks = tuple(s for s in stocks if s.count != 0 and not usable_polygon(s).is_empty)
    findings = list(no_stock_findings(pieces, stocks))
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
    run = _Run(groups, settings, deadline, watcher, better, executor)
    findings += run.first()
    if findings:
        raise NoRoomError(findings)
    return run.run()


@dataclass(slots=True)
class _Task:
    """One material under way."""

    group: Group
    standing: Standing
    search: PolygonSearch | RectSearch
    plain: Candidate | None = None
    facts: Facts | None = None
    least: LeastBuy | None = None


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
        self.tasks = [self._task(g) for g in groups]

    def _task(self, group: Group) -> _Task:
        standing = Standing(group)
        search: PolygonSearch | RectSearch
        if is_rectangular(group):
            search = RectSearch(group, standing, self.settings.seed, self._told)
        else:
            search = PolygonSearch(
                group,
                standing,
                self.settings.seed,
                self.settings.workers,
                self._told,
                self.executor,
            )
        return _Task(group, standing, search)

    def first(self) -> list[Finding]:
        """Make a first layout of every material; return what fits no sheet at all."""
        findings: list[Finding] = []
        for task in self.tasks:
            task.search.first(Deadline())
            best = task.plain = task.standing.best
            placed = {i for s in best.sheets for i in s.ids} if best is not None else set()
            doubtful = tuple(p.id for p in task.group.pieces if p.id not in placed)
            findings += no_room_findings(task.group, doubtful)
        return findings

    def run(self) -> SheetsOutcome:
        """Go through the stages."""
        work = WORK[self.settings.effort]
        self.is_ready = True
        self._told()
        for task in self.tasks:
            if self.deadline.stop_reason() is not None:
                break
            task.facts = facts_of(task.group)
            task.least = least_buy(task.facts)
        if self.deadline.stop_reason() is not None:
            self.was_cut_short = True
            return self._outcome(self._stopped_by())
        for k, task in enumerate(self.tasks):
            share = Share(self.deadline, self._seconds(k, _COST_SHARE))
            task.search.cheaper(work.opening, share, task.least)
            self._prove(task, share)
            task.search.cheaper(work, share, task.least)
            self._note_cut(share)
        for k, task in enumerate(self.tasks):
            share = Share(self.deadline, self._seconds(k, 1.0))
            task.search.larger_offcut(work, share)
            self._note_cut(share)
        return self._outcome(self._stopped_by())

    def _prove(self, task: _Task, share: Share) -> None:
        """Where one sheet is missing between plan and bound, try to close the gap exactly."""
        best, least, facts = task.standing.sure(), task.least, task.facts
        if best.unplaced or least is None or facts is None or share.stop_reason() is not None:
            return
        if best.score[3] != least.sheets + 1:
            return
        if cannot_do_with(facts, least.sheets, PROOF_WORK[self.settings.effort], share):
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
        if not self.is_ready or not self.tasks:
            return
        used = ", ".join(f"{_to_buy(t)} x {t.group.name}" for t in self.tasks)
        least = ", ".join(str(t.least.sheets) for t in self.tasks if t.least)
        self.watcher.tell("sheets", used, f"at least {least}" if least else "")
        if self.better is not ignore_better:
            self.better(self._outcome(StopReason.WORK_DONE))

    def _outcome(self, stopped_by: StopReason) -> SheetsOutcome:
        layouts: list[SheetLayout] = []
        unplaced: list[Unplaced] = []
        bounds: list[Bound] = []
        findings: list[Finding] = []
        for task in self.tasks:
            best = task.standing.sure()
            layouts += _layouts(task.standing, best)
            unplaced += _unplaced(task.group, best)
            bounds += _bounds(task, best)
            findings += _findings(task, best)
        return SheetsOutcome(
            layouts=tuple(layouts),
            unplaced=tuple(unplaced),
            bounds=tuple(bounds),
            stopped_by=stopped_by,
            findings=tuple(findings),
            compared=tuple(_compared(t) for t in self.tasks if t.plain is not None),
        )


def _layouts(standing: Standing, best: Candidate) -> list[SheetLayout]:
    """Number the sheets of each kind from 1, the fullest first."""
    group = standing.group
    order = {s.container.id: k for k, s in enumerate(group.stocks)}
    area = {p.id: p.net.area for p in group.pieces}
    sheets = sorted(
        best.sheets, key=lambda s: (order[s.stock], -sum(area[i] for i in s.ids), s.ids)
    )
    numbers: dict[str, int] = {}
    found = []
    for sheet in sheets:
        stock = group.stock_of(sheet.stock).stock
        numbers[stock.name] = numbers.get(stock.name, 0) + 1
        found.append(
            SheetLayout(
                stock=stock.name,
                number=numbers[stock.name],
                length_mm=stock.length_mm,
                width_mm=stock.width_mm,
                thickness_mm=stock.thickness_mm,
                outline=stock.outline,
                edge_trim_mm=stock.edge_trim_mm,
                keep_outs=stock.keep_outs,
                placements=tuple(to_placement(lie) for lie in sheet.lying if lie.id != RESERVE_ID),
                offcuts=standing.offcuts(sheet),
            )
        )
    return [layout for layout in found if layout.placements]


def _unplaced(group: Group, best: Candidate) -> list[Unplaced]:
    hand = sum(s.stock.count or 0 for s in group.stocks)
    reason = f"no {group.name} sheet is left for it: all {hand} to hand are in use"
    return [Unplaced(piece=i, reason=reason) for i in best.unplaced if i != RESERVE_ID]


def _bounds(task: _Task, best: Candidate) -> list[Bound]:
    """Bound of one material: in sheets where only one kind is paid for, else in money."""
    paid = [s for s in task.group.stocks if s.cost > 0.0]
    # a bound counts the reserve; where none is kept it would claim too much
    if best.unplaced or task.least is None:
        return []
    if len({s.cost for s in paid}) <= 1:
        return [
            Bound(
                name=task.group.name,
                measure="sheets to buy" if len(paid) < len(task.group.stocks) else "sheets",
                lower=task.least.sheets,
                used=best.score[3],
                reason=task.least.reason,
            )
        ]
    return [
        Bound(
            name=task.group.name,
            measure="money",
            lower=task.least.cost,
            used=best.cost,
            reason=task.least.reason,
        )
    ]


def _to_buy(task: _Task) -> int:
    """Sheets bought, the number that the bound is told beside; all of them if none costs money."""
    best = task.standing.sure()
    return best.score[3] if any(s.cost > 0.0 for s in task.group.stocks) else len(best.sheets)


def _compared(task: _Task) -> Comparison:
    best = task.standing.sure()
    plain = task.plain or best
    return Comparison(
        name=task.group.name,
        plain_sheets=len(plain.sheets),
        plain_offcut_mm2=plain.offcut_mm2,
        sheets=len(best.sheets),
        offcut_mm2=best.offcut_mm2,
    )


def _findings(task: _Task, best: Candidate) -> list[Finding]:
    if RESERVE_ID not in best.unplaced:
        return []
    return [
        Finding(
            code="SHT-003",
            severity=Severity.WARNING,
            where=task.group.name,
            message=(
                "the rectangle to keep in reserve found no place beside the pieces, and no sheet "
                "is bought for it alone."
            ),
            remedy="Buy a spare sheet, or ask for a smaller reserve.",
        )
    ]
