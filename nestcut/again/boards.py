"""New places on boards for some rail pieces of a plan: their lengths and joints stay."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nestcut.boards.outcome import JointPreference
from nestcut.boards.solve import cut_boards
from nestcut.model.job import Job
from nestcut.model.part import RailPart
from nestcut.model.plan import BoardCut, BoardLayout, Plan, StopReason, Unplaced
from nestcut.model.stock import BoardLength, BoardStock, Defect
from nestcut.search.settings import Deadline, Settings, Watcher


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Boards after a search, those that were there before first and under their numbers."""

    boards: tuple[BoardLayout, ...]
    unplaced: tuple[Unplaced, ...]
    stopped_by: StopReason


@dataclass(frozen=True, slots=True)
class _End:
    """What is left of a board beyond its last cut."""

    layout: BoardLayout
    begins_mm: float


def cut_again(
    job: Job,
    plan: Plan,
    moving: frozenset[str],
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
) -> Cut:
    """Find places for the rail pieces that move; all others stay where they are cut.

    A board that is begun offers the full-width end beyond its last cut; one on which nothing stays
    is offered whole.
    """
    pieces = {p.id: p for p in plan.rail_pieces}
    free = [pieces[i] for i in sorted(moving & pieces.keys())]
    stay = tuple(
        replace(b, cuts=tuple(c for c in b.cuts if c.piece not in moving)) for b in plan.boards
    )
    if not free:
        return Cut(boards=stay, unplaced=(), stopped_by=StopReason.PROVEN)
    stocks = {b.name: b for b in job.board_stocks}
    ends = {f"board {b.number} of the plan": _end_of(b, stocks[b.stock], job) for b in stay}
    rails = tuple(
        RailPart(
            name=p.id,
            material=p.material,
            thickness_mm=p.thickness_mm,
            width_mm=p.width_mm,
            length_mm=p.length_mm,
        )
        for p in free
    )
    outcome = cut_boards(
        rails,
        (
            *(_end_stock(name, e, stocks[e.layout.stock]) for name, e in ends.items()),
            *_for_sale(job, plan),
        ),
        job.cutting,
        JointPreference.CHEAPEST,
        settings,
        deadline,
        watcher,
    )
    names = {p.id: p.part for p in outcome.pieces}
    more: dict[str, tuple[BoardCut, ...]] = {}
    bought: list[BoardLayout] = []
    for layout in outcome.layouts:
        cuts = tuple(replace(c, piece=names[c.piece]) for c in layout.cuts)
        if layout.stock in ends:
            shift = ends[layout.stock].begins_mm
            more[layout.stock] = tuple(
                replace(c, from_mm=c.from_mm + shift, to_mm=c.to_mm + shift) for c in cuts
            )
        else:
            bought.append(replace(layout, cuts=cuts))
    kept = tuple(
        replace(b, cuts=(*b.cuts, *more.get(f"board {b.number} of the plan", ()))) for b in stay
    )
    return Cut(
        boards=(*kept, *bought),
        unplaced=tuple(replace(u, piece=names.get(u.piece, u.piece)) for u in outcome.unplaced),
        stopped_by=outcome.stopped_by,
    )


def _end_of(layout: BoardLayout, stock: BoardStock, job: Job) -> _End:
    cuts = (*layout.cuts, *layout.spent)
    if not cuts:
        return _End(layout, 0.0)
    # The new stock's own end trim comes off first, so the end begins that much earlier.
    last = max(c.to_mm for c in cuts)
    return _End(layout, last + job.cutting.on(stock).kerf_mm - stock.end_trim_mm)


def _end_stock(name: str, end: _End, stock: BoardStock) -> BoardStock:
    length_mm = end.layout.length_mm - end.begins_mm
    known = next(
        (b for b in stock.lengths if abs(b.length_mm - end.layout.length_mm) < 1e-6 and b.defects),
        None,
    )
    defects = tuple(
        Defect(
            from_mm=max(0.0, d.from_mm - end.begins_mm),
            to_mm=d.to_mm - end.begins_mm,
            reason=d.reason,
        )
        for d in (known.defects if known else ())
        if d.to_mm > end.begins_mm
    )
    if length_mm <= 2 * stock.end_trim_mm + 1.0:
        return replace(stock, name=name, lengths=())
    offer = BoardLength(length_mm=length_mm, count=1, defects=defects)
    return replace(stock, name=name, lengths=(offer,))


def _for_sale(job: Job, plan: Plan) -> tuple[BoardStock, ...]:
    """What can still be had: boards to hand less those that the plan has taken."""
    left: list[BoardStock] = []
    for stock in job.board_stocks:
        offers = []
        for offer in stock.lengths:
            if offer.count is None:
                offers.append(offer)
                continue
            taken = sum(
                1
                for b in plan.boards
                if b.stock == stock.name and abs(b.length_mm - offer.length_mm) < 1e-6
            )
            if offer.count > taken:
                offers.append(replace(offer, count=offer.count - taken))
        left.append(replace(stock, lengths=tuple(offers)))
    return tuple(left)
