"""New places on boards for some rail pieces of a plan: their lengths and joints stay."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nestcut.again.board_rests import Rest, rests_of
from nestcut.again.buying import Buying
from nestcut.again.shed_of_plan import boards_left, offers_of
from nestcut.boards import JointPreference, cut_boards
from nestcut.model.job import Job
from nestcut.model.part import RailPart
from nestcut.model.plan import BoardCut, BoardLayout, Plan, StopReason, Unplaced
from nestcut.search.settings import Deadline, Settings, Watcher


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Boards after a search, those that were there before first and under their numbers."""

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

    A board that is begun offers all that isn't cut from it, in rectangles.
    """
    pieces = {p.id: p for p in plan.rail_pieces}
    free = [pieces[i] for i in sorted(moving & pieces.keys())]
    stay = tuple(
        replace(b, cuts=tuple(c for c in b.cuts if c.piece not in moving)) for b in plan.boards
    )
    if not free:
        return Cut(boards=stay, unplaced=(), stopped_by=StopReason.PROVEN)
    rests = {r.stock.name: r for r in rests_of(job, stay, offers_of(job, plan))}
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
            *(r.stock for r in rests.values()),
            *boards_left(job, (*plan.boards, *plan.sheets), buying),
        ),
        job.cutting,
        JointPreference.CHEAPEST,
        settings,
        deadline,
        watcher,
    )
    names = {p.id: p.part for p in outcome.pieces}
    more: dict[int, tuple[BoardCut, ...]] = {}
    bought: list[BoardLayout] = []
    for layout in outcome.layouts:
        cuts = tuple(replace(c, piece=names[c.piece]) for c in layout.cuts)
        rest = rests.get(layout.stock)
        if rest is None:
            bought.append(replace(layout, cuts=cuts))
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
