"""A plan continued: the least to buy first, then the least to move."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from nestcut.again.boards import Cut, cut_again
from nestcut.again.buying import SINGLY, Buying, least_of
from nestcut.again.events import Events, add_events
from nestcut.again.join_more import more_joints
from nestcut.again.renew import Desk, renew_plan
from nestcut.again.settle import changed, settled
from nestcut.again.shed_of_plan import held_of, own_names
from nestcut.again.sheets import Laid, lay_again, measured
from nestcut.model.digest import plan_digest
from nestcut.model.held import Held, with_held
from nestcut.model.job import Job
from nestcut.model.part import CutFrom
from nestcut.model.plan import Plan, StopReason, VerifiedPlan
from nestcut.planning import plan_job as planning
from nestcut.planning.market import is_plain
from nestcut.planning.plan_job import ignore_proven, prove
from nestcut.planning.totals import number_boards, renumber_sheets, with_purchases
from nestcut.search.settings import Deadline, Effort, Settings, Silent, Watcher


def continue_plan(
    job: Job,
    plan: Plan,
    events: Events,
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
    was: Held | None = None,
    on_proven: Callable[[VerifiedPlan], None] = ignore_proven,
) -> VerifiedPlan:
    """Plan again what isn't cut.

    A first plan is made and proven before any search begins.  Only what has to be made again gets
    new places at first, beside everything else as it lies.  Where that costs money, uncut pieces of
    the same stock may move: those of one sheet or board, and if no such move is enough all of them;
    a change that saves nothing is not made.  A rail's piece that no board is left for gets one
    joint more, where its rule leaves joints free.

    Parameters
    ----------
    job
        What is asked for now.
    plan
        The plan that is being cut by; all of its sheets and boards are in the shed.
    events
        What came off the saw since.
    was
        Of a job that has changed: the stock of the plan's layouts as the job had it then.
    on_proven
        Told each better plan on the way, as the verifier has passed it.

    Raises
    ------
    InputError
        If the changed job can't be planned: its saw, its joints.
    NoRoomError
        If a piece fits no stock at all.
    PlanRejectedError
        If the verifier refuses the result: a fault of ours.
    """
    start = _start(job, plan, events, was, Desk(settings=settings, deadline=deadline))
    told = planning.Desk(settings=settings, deadline=deadline, watcher=watcher, on_proven=on_proven)
    number = plan_digest(plan)
    keeper = Keeper(start.job, told, number)
    first = _searched(start, Search(start.job, hasty(settings), Deadline(0.0), Silent()), None)
    proven = keeper.keep(first)
    reason = deadline.stop_reason()
    if reason is not None:
        return replace(proven, plan=replace(proven.plan, stopped_by=reason))
    search = Search(start.job, settings, deadline, watcher)
    best = settled(start.job, start.plan, min(_searched(start, search, keeper), first, key=_worth))
    more = _more_joints(start, best, settings, deadline)
    if more:
        joined = start.renewed(more)
        other = settled(start.job, joined.plan, _searched(joined, search, keeper))
        best = min(best, other, key=_worth)
    return prove(start.job, replace(best, continues=number))


def hasty(settings: Settings) -> Settings:
    """Return settings for a plan that is made at once."""
    return replace(settings, effort=Effort.QUICK, workers=1)


@dataclass(slots=True)
class Keeper:
    """Proves what is better than all before it, and tells of it."""

    job: Job
    desk: planning.Desk
    continues: str
    """Digest of the plan that is gone on with."""
    least: tuple[int, int, int] | None = None

    def offer(self, plan: Plan) -> None:
        """Take a plan made on the way, if it is better and anyone wants to know."""
        if self.desk.on_proven is ignore_proven:
            return
        if self.least is None or _worth(plan) < self.least:
            self.keep(replace(plan, stopped_by=StopReason.INTERRUPTED))

    def keep(self, plan: Plan) -> VerifiedPlan:
        """Prove a plan and tell of it; PlanRejectedError if the verifier refuses it."""
        proven = prove(self.job, replace(plan, continues=self.continues))
        self.least = _worth(plan)
        self.desk.keep(proven)
        return proven


@dataclass(frozen=True, slots=True, kw_only=True)
class _Start:
    """A plan as it lies before anything is searched, and how it came about."""

    job: Job
    old: Plan
    events: Events
    desk: Desk
    plan: Plan
    lost: frozenset[str]

    def renewed(self, extra: dict[str, tuple[float, ...]]) -> _Start:
        """Return it with more joints in some rails."""
        made = renew_plan(self.job, self.old, self.events, self.desk, extra)
        return replace(self, plan=measured(made.plan, self.old, self.job), lost=made.lost)


def _start(job: Job, plan: Plan, events: Events, was: Held | None, desk: Desk) -> _Start:
    if was is None:
        held = held_of(with_held(job, plan.held), plan)
        job, old = with_held(job, held), replace(plan, held=held)
        lost = frozenset(events.spoilt) | {u.piece for u in plan.unplaced}
        after = measured(add_events(old, events), old, job)
        return _Start(job=job, old=old, events=events, desk=desk, plan=after, lost=lost)
    then = replace(job, sheet_stocks=was.sheets, board_stocks=was.boards)
    held, old = own_names(held_of(then, plan), job, plan)
    job, old = with_held(job, held), replace(old, held=held)
    made = renew_plan(job, old, events, desk)
    after = measured(made.plan, old, job)
    return _Start(job=job, old=old, events=events, desk=desk, plan=after, lost=made.lost)


def _searched(start: _Start, search: Search, keeper: Keeper | None) -> Plan:
    """Find places, and buy what that takes where it is cheapest with packs and deliveries."""
    best = _unreserved(start, search, keeper)
    if is_plain(start.job) or not best.cost_minor or search.deadline.stop_reason() is not None:
        return best
    others = least_of(
        start.job, best, lambda buying: _unreserved(start, replace(search, buying=buying), keeper)
    )
    return min((best, *others), key=_worth)


def _unreserved(start: _Start, search: Search, keeper: Keeper | None) -> Plan:
    """Find places; a rectangle kept free for remaking a part is given up where it costs money."""
    best = _searched_by(search, start, keeper)
    if start.job.cutting.reserve_mm is None or not (best.cost_minor or best.unplaced):
        return best
    rules = replace(start.job.cutting, reserve_mm=None)
    other = _searched_by(replace(search, job=replace(start.job, cutting=rules)), start, keeper)
    return min(best, other, key=_worth)


def _searched_by(search: Search, start: _Start, keeper: Keeper | None) -> Plan:
    best = search.together(start.plan, start.lost)
    for group in _groups(start.plan):
        if keeper is not None:
            keeper.offer(best)
        best = search.cheaper(start.plan, best, group, start.lost & group.pieces)
    return best


def _worth(plan: Plan) -> tuple[int, int, int]:
    return len(plan.unplaced), money_minor(plan), len(plan.joints)


def _more_joints(
    start: _Start, best: Plan, settings: Settings, deadline: Deadline
) -> dict[str, tuple[float, ...]]:
    """Say where to join rails' pieces that no board is left for, by the ids of whole rails."""
    pieces = {p.id: p for p in best.rail_pieces}
    short = [pieces[u.piece] for u in best.unplaced if u.piece in pieces]
    if not short:
        return {}
    return more_joints(start.job, best, short, settings, deadline)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Group:
    """Pieces that share their stock, by id, and the names of the stocks that they come from."""

    pieces: frozenset[str]
    stocks: frozenset[str]


def _groups(plan: Plan) -> tuple[_Group, ...]:
    """Gather pieces by what they're cut from; what comes from boards of one material may share."""
    kinds: dict[tuple[str, ...], set[str]] = {}
    for piece in plan.pieces:
        key = (piece.cut_from.value, piece.material, str(piece.thickness_mm))
        is_sawn = piece.cut_from is CutFrom.BOARD
        kinds.setdefault(key[:2] if is_sawn else key, set()).add(piece.id)
    for rail in plan.rail_pieces:
        kinds.setdefault((CutFrom.BOARD.value, rail.material), set()).add(rail.id)
    lies = {p.piece: s.stock for s in plan.sheets for p in s.placements}
    lies |= {c.piece: b.stock for b in plan.boards for c in b.cuts}
    return tuple(
        _Group(pieces=frozenset(ids), stocks=frozenset(lies[i] for i in ids if i in lies))
        for _, ids in sorted(kinds.items())
    )


@dataclass(frozen=True, slots=True)
class Search:
    """Finds places for pieces of a plan, again and again, under one deadline."""

    job: Job
    settings: Settings
    deadline: Deadline
    watcher: Watcher
    buying: Buying = SINGLY

    def together(self, plan: Plan, moving: frozenset[str]) -> Plan:
        """Find places for the pieces that move, and make one plan of all."""
        job = self.job
        spend = (self.settings, self.deadline, self.watcher, self.buying)
        cut: Cut = cut_again(job, plan, moving, *spend)
        there, with_rails = number_boards(job, plan.sheets, cut.boards)
        sawn = replace(plan, sheets=there, boards=with_rails)
        laid: Laid = lay_again(job, sawn, moving, *spend)
        sheets, boards = number_boards(job, renumber_sheets(laid.sheets), laid.boards)
        reasons = (laid.stopped_by, cut.stopped_by, StopReason.WORK_DONE)
        placed = replace(
            plan,
            sheets=sheets,
            boards=boards,
            unplaced=(*laid.unplaced, *cut.unplaced),
            bounds=(),
            notes=(),
            stopped_by=max(reasons, key=list(StopReason).index),
        )
        return with_purchases(job, placed)

    def cheaper(self, old: Plan, best: Plan, group: _Group, lost: frozenset[str]) -> Plan:
        """Let uncut pieces of a group move where it has to buy: one sheet's first, then all.

        Parameters
        ----------
        lost
            Ids of the pieces that have to move.
        """
        if not lost:
            return best
        missing = {u.piece for u in best.unplaced}
        if money_minor(best, group) == 0 and not missing & group.pieces:
            return best
        base = _without_bought(old, best, group)
        uncut = group.pieces - frozenset(best.already_cut) - lost
        all_moved = None
        for moving in (*_by_place(base, uncut), uncut):
            if self.deadline.stop_reason() is not None:
                break
            other = self.together(base, lost | moving)
            if _price(other) < _price(best):
                best, all_moved = other, moving == uncut
            if money_minor(best, group) == 0 and not best.unplaced:
                break
        return self.calmer(base, best, uncut, lost) if all_moved else best

    def calmer(self, base: Plan, best: Plan, uncut: frozenset[str], lost: frozenset[str]) -> Plan:
        """Let fewer sheets and boards change than in a plan that moved all, for the same price.

        One after the other of those that changed is held as it was, those with most pieces first.

        Parameters
        ----------
        base
            The plan without what was bought for the group.
        uncut
            Ids of the pieces that may move.
        lost
            Ids of the pieces that have to.
        """
        best = settled(self.job, base, best)
        held: list[frozenset[str]] = []
        for _ in range(MOST_HELD):
            moved = changed(base, best, uncut)
            open_ones = [ids for ids in moved if ids not in held]
            if len(moved) < 2 or not open_ones or self.deadline.stop_reason() is not None:
                break
            place = max(open_ones, key=lambda ids: (len(ids), sorted(ids)))
            held.append(place)
            others = frozenset(i for ids in moved if ids != place for i in ids)
            other = settled(self.job, base, self.together(base, lost | others))
            if _price(other) <= _price(best):
                best = other
        return best


MOST_HELD = 8
"""Sheets and boards that are tried to be held as they were, where everything had moved. [-]"""


def _price(plan: Plan) -> tuple[int, int]:
    return len(plan.unplaced), money_minor(plan)


def _by_place(plan: Plan, uncut: frozenset[str]) -> tuple[frozenset[str], ...]:
    """What may move of each sheet or board by itself, the least first."""
    places = [
        *({p.piece for p in s.placements} for s in plan.sheets),
        *({c.piece for c in b.cuts} for b in plan.boards),
    ]
    found = {frozenset(ids & uncut) for ids in places if ids & uncut}
    return tuple(sorted(found - {uncut}, key=lambda ids: (len(ids), sorted(ids))))


def _without_bought(old: Plan, best: Plan, group: _Group) -> Plan:
    """The plan less the sheets and boards that were bought for a group after the old one."""
    last = max(
        (x for x in (*(b.number for b in old.boards), *(s.board for s in old.sheets))), default=0
    )

    def stays(number: int, had: int, stock: str) -> bool:
        return number <= had or stock not in group.stocks

    return replace(
        best,
        sheets=tuple(
            s
            for s in best.sheets
            if stays(s.board or s.number, last if s.board else len(old.sheets), s.stock)
        ),
        boards=tuple(b for b in best.boards if stays(b.number, last, b.stock)),
    )


def money_minor(plan: Plan, group: _Group | None = None) -> int:
    """What a plan costs with its deliveries, or what one group of it does. [minor units]"""
    if group is None:
        return plan.cost_minor
    return sum(b.price_minor * b.count for b in plan.buy if b.stock in group.stocks)
