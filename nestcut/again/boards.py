"""New places on boards for some rail pieces of a plan: their lengths and joints stay."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nestcut.again.buying import Buying
from nestcut.again.shed_of_plan import boards_left, offers_of
from nestcut.boards import (
    BoardsOutcome,
    JointPreference,
    Rest,
    RestsBy,
    cut_boards,
    place_in_rests,
    rests_of,
)
from nestcut.model.job import Job
from nestcut.model.part import RailPart
from nestcut.model.piece import RailPiece
from nestcut.model.plan import BoardCut, BoardLayout, Plan, StopReason, Unplaced
from nestcut.planning.sawn.blanks import boards_sawn_from
from nestcut.search.settings import Deadline, Settings, Watcher


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Boards after a search, those that were there before first and under their numbers.

    Those of which only parts were sawn come next, as far as rails are cut from them now; new ones
    have no number yet.
    """

    boards: tuple[BoardLayout, ...]
    unplaced: tuple[Unplaced, ...]
    stopped_by: StopReason


def cut_again(
    job: Job,
    plan: Plan,
    moving: frozenset[str],
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
    buying: Buying,
) -> Cut:
    """Find places for the rail pieces that move; all others stay where they are cut.

    What a begun board has left is offered as it is: first every piece is tried in it where saws
    can part it; where that isn't enough, rests come apart in several ways, and the cheapest counts.

    Parameters
    ----------
    moving
        Ids of the pieces that may move; those of pieces on sheets are passed over.
    buying
        Which yards are closed, and how many packs are paid for.
    """
    pieces = {p.id: p for p in plan.rail_pieces}
    free = [pieces[i] for i in sorted(moving & pieces.keys())]
    with_rails = tuple(
        replace(b, cuts=tuple(c for c in b.cuts if c.piece not in moving)) for b in plan.boards
    )
    if not free:
        return Cut(boards=with_rails, unplaced=(), stopped_by=StopReason.PROVEN)
    sawn = boards_sawn_from(plan)
    stay = (*with_rails, *sawn)
    offers = offers_of(job, replace(plan, boards=(*plan.boards, *sawn)))
    placed = place_in_rests(job, stay, offers, free)
    if placed is not None:
        return _used(Cut(boards=placed, unplaced=(), stopped_by=StopReason.PROVEN), plan)
    sold = boards_left(job, plan.stock_used, buying)
    prices = {(b.name, o.length_mm): o.price_minor for b in sold for o in b.lengths}

    def worth(cut: Cut) -> tuple[int, int]:
        bought = cut.boards[len(stay) :]
        return len(cut.unplaced), sum(prices[b.stock, b.length_mm] for b in bought)

    best: Cut | None = None
    known: list[tuple[Rest, ...]] = []
    for by in RestsBy:
        rests = rests_of(job, stay, offers, by)
        if rests in known or (best is not None and deadline.stop_reason() is not None):
            continue
        known.append(rests)
        stocks = (*(r.stock for r in rests), *sold)
        rails = tuple(_as_part(p) for p in free)
        outcome = cut_boards(
            rails,
            stocks,
            job.cutting,
            JointPreference.CHEAPEST,
            settings,
            deadline,
            watcher,
        )
        cut = _joined(stay, rests, outcome)
        best = cut if best is None else min(best, cut, key=worth)
        if worth(best) == (0, 0):
            break
    if best is None:
        raise ValueError("no way to take rests apart was tried")
    return _used(best, plan)


def _used(cut: Cut, plan: Plan) -> Cut:
    """Leave out boards of which still only parts are sawn."""
    old = {b.number for b in plan.boards}
    return replace(cut, boards=tuple(b for b in cut.boards if b.cuts or b.number in old))


def _as_part(piece: RailPiece) -> RailPart:
    return RailPart(
        name=piece.id,
        material=piece.material,
        thickness_mm=piece.thickness_mm,
        width_mm=piece.width_mm,
        length_mm=piece.length_mm,
        planed_from_mm=piece.planed_from_mm,
    )


def _joined(stay: tuple[BoardLayout, ...], every: tuple[Rest, ...], outcome: BoardsOutcome) -> Cut:
    """Put what is cut from rests on their boards, and new boards behind them."""
    rests = {r.stock.name: r for r in every}
    names = {p.id: p.part for p in outcome.pieces}
    more: dict[int, tuple[BoardCut, ...]] = {}
    bought: list[BoardLayout] = []
    for layout in outcome.layouts:
        cuts = tuple(replace(c, piece=names[c.piece]) for c in layout.cuts)
        rest = rests.get(layout.stock)
        if rest is None:
            bought.append(replace(layout, number=0, cuts=cuts))
        else:
            own = more.get(rest.number, ())
            more[rest.number] = (*own, *(_on_board(c, rest) for c in cuts))
    kept = tuple(replace(b, cuts=(*b.cuts, *more.get(b.number, ()))) for b in stay)
    return Cut(
        boards=(*kept, *bought),
        unplaced=tuple(replace(u, piece=names.get(u.piece, u.piece)) for u in outcome.unplaced),
        stopped_by=outcome.stopped_by,
    )


def _on_board(cut: BoardCut, rest: Rest) -> BoardCut:
    """A cut from a rest where it lies on the board."""
    return replace(
        cut,
        from_mm=cut.from_mm + rest.from_mm,
        to_mm=cut.to_mm + rest.from_mm,
        rip_from_mm=cut.rip_from_mm + rest.rip_from_mm,
        rip_to_mm=cut.rip_to_mm + rest.rip_from_mm,
    )
