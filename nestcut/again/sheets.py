"""New places on sheets for some pieces of a plan, on what lies in the shed before what is sold."""

from __future__ import annotations

from dataclasses import dataclass, replace

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.again.buying import Buying
from nestcut.again.shed_of_plan import boards_left, own_name, sheets_left
from nestcut.byhand.slide import outline_of
from nestcut.model.job import Job
from nestcut.model.part import CutFrom
from nestcut.model.plan import BoardLayout, Plan, SheetLayout, StopReason, Unplaced
from nestcut.model.stock import BoardLength, KeepOut, SheetStock
from nestcut.planning.sawn.as_sheets import boards_as_sheets
from nestcut.planning.sawn.blanks import (
    clear_rests,
    fit_blanks,
    put_on_boards,
    rests_as_sheets,
)
from nestcut.search.settings import Deadline, Settings, Watcher
from nestcut.sheets.left.offcuts import left_on
from nestcut.sheets.solve import lay_out_sheets
from nestcut.tolerances import VERIFY_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """Sheets after a search, those that were there before first and under their numbers.

    ``boards``: those with rails, with a blank for all that is sawn from them.
    """

    sheets: tuple[SheetLayout, ...]
    boards: tuple[BoardLayout, ...]
    unplaced: tuple[Unplaced, ...]
    stopped_by: StopReason


def lay_again(
    job: Job,
    plan: Plan,
    moving: frozenset[str],
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
    buying: Buying,
) -> Laid:
    """Find places for the pieces that move; all others stay where they lie.

    Parameters
    ----------
    plan
        A plan with its events: pieces that lie nowhere are among those that move.
    moving
        Ids of pieces that get new places.
    buying
        How what is bought is paid for.
    """
    pieces = {p.id: p for p in plan.pieces}
    held = {_name(s): s for s in plan.sheets}
    is_sawn = any(p.id in moving and p.cut_from is CutFrom.BOARD for p in plan.pieces)
    rests = clear_rests(job, plan.boards) if is_sawn else ()
    curved = (
        *rests_as_sheets(rests),
        *boards_as_sheets(boards_left(job, plan.stock_used, buying)),
    )
    by_kind = ((CutFrom.SHEET, sheets_left(job, plan, buying)), (CutFrom.BOARD, curved))
    sheets: list[SheetLayout] = []
    unplaced: list[Unplaced] = []
    reasons = [StopReason.WORK_DONE]
    new: dict[str, SheetLayout] = {}
    bought: list[SheetLayout] = []
    boards = plan.boards
    for kind, stocks in by_kind:
        free = tuple(p for p in plan.pieces if p.id in moving and p.cut_from is kind)
        if not free:
            continue
        mine = [s for s in plan.sheets if _is_of(s, kind, job)]
        owned = tuple(_as_stock(s, kind, job, plan, moving) for s in mine)
        rules = job.cutting if kind is CutFrom.SHEET else replace(job.cutting, reserve_mm=None)
        outcome = lay_out_sheets(free, (*owned, *stocks), rules, settings, deadline, watcher)
        unplaced += outcome.unplaced
        reasons.append(outcome.stopped_by)
        new.update({s.stock: s for s in outcome.layouts if s.stock in held})
        found = [s for s in outcome.layouts if s.stock not in held]
        if kind is CutFrom.SHEET:
            bought += (own_name(s, job) for s in found)
            continue
        boards, layouts = put_on_boards(job, pieces, boards, rests, found)
        bought += layouts
    for name, layout in held.items():
        stay = tuple(p for p in layout.placements if p.piece not in moving)
        more = new.get(name)
        changed = more is not None or len(stay) < len(layout.placements)
        placements = (*stay, *(more.placements if more else ()))
        now = replace(layout, placements=placements)
        sheets.append(measured_one(now, job, plan) if changed else layout)
    sheets, bought = _on_one_drawing(sheets, bought)
    rails = {b.number for b in boards}
    sheets = [replace(s, offcuts=()) if s.board in rails else s for s in sheets]
    return Laid(
        sheets=(*sheets, *bought),
        boards=fit_blanks(boards, (*sheets, *bought), pieces),
        unplaced=tuple(unplaced),
        stopped_by=max(reasons, key=list(StopReason).index),
    )


def _on_one_drawing(
    old: list[SheetLayout], new: list[SheetLayout]
) -> tuple[list[SheetLayout], list[SheetLayout]]:
    """Put what is sawn newly from a board beside what was sawn from it before."""
    more = {s.board: s.placements for s in new if s.board}
    kept = [
        replace(s, placements=(*s.placements, *more.pop(s.board))) if s.board in more else s
        for s in old
    ]
    return kept, [s for s in new if not s.board or s.board in more]


def _name(layout: SheetLayout) -> str:
    return f"sheet {layout.number} of the plan"


def _is_of(layout: SheetLayout, kind: CutFrom, job: Job) -> bool:
    is_sheet = layout.stock in {s.name for s in job.sheet_stocks}
    return is_sheet == (kind is CutFrom.SHEET)


def _as_stock(
    layout: SheetLayout,
    kind: CutFrom,
    job: Job,
    plan: Plan,
    moving: frozenset[str],
) -> SheetStock:
    """A sheet of the plan as it lies: paid for, with what stays on it kept out.

    Of a board with rails only its blanks are offered so; its rests are offered by themselves.
    """
    pieces = {p.id: p for p in plan.pieces}
    if kind is CutFrom.SHEET:
        stock = next(s for s in job.sheet_stocks if s.name == layout.stock)
        keep_outs = stock.keep_outs
    else:
        board = next(b for b in job.board_stocks if b.name == layout.stock)
        plain = replace(board, lengths=(BoardLength(length_mm=layout.length_mm, count=1),))
        (stock,) = boards_as_sheets((plain,))
        keep_outs = (*stock.keep_outs, *layout.keep_outs, *_round_blanks(layout, plan))
    reach = job.cutting.on(stock).clearance_mm + 2 * VERIFY_MM
    stays = [
        Polygon(outline_of(pieces[p.piece], p).exterior)
        for p in layout.placements
        if p.piece not in moving
    ]
    spent = [Polygon(k.points) for k in layout.spent]
    area: BaseGeometry = shapely.union_all(
        [a.buffer(reach, join_style="mitre", mitre_limit=2.0) for a in (*stays, *spent)]
    )
    barred = tuple(
        KeepOut(points=tuple((x, y) for x, y, *_ in part.exterior.coords[:-1]), reason="cut")
        for part in shapely.get_parts(area)
        if isinstance(part, Polygon)
    )
    return replace(
        stock,
        name=_name(layout),
        price_minor=0,
        count=1,
        keep_outs=(*keep_outs, *barred),
        outline=layout.outline,
    )


def _round_blanks(layout: SheetLayout, plan: Plan) -> tuple[KeepOut, ...]:
    board = next((b for b in plan.boards if b.number == layout.board), None)
    return () if board is None else board.round_blanks("rails")


def measured(plan: Plan, old: Plan, job: Job) -> Plan:
    """Return a plan whose sheets say what they leave, where pieces have left them."""
    sheets = [
        measured_one(now, job, plan) if _is_emptier(now, was) else now
        for now, was in zip(plan.sheets, old.sheets, strict=True)
    ]
    return replace(plan, sheets=tuple(sheets))


def _is_emptier(now: SheetLayout, was: SheetLayout) -> bool:
    return (len(now.placements), now.spent) != (len(was.placements), was.spent)


def measured_one(layout: SheetLayout, job: Job, plan: Plan) -> SheetLayout:
    """Return a changed sheet with what it leaves in rectangles worth keeping.

    Of a board with rails its rests are known otherwise.
    """
    if any(b.number == layout.board for b in plan.boards):
        return replace(layout, offcuts=())
    pieces = {p.id: p for p in plan.pieces}
    return replace(layout, offcuts=left_on(layout, job, pieces))
