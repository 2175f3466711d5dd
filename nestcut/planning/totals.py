"""What has to be bought, and what comes out of the shed."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

from nestcut.boards import n_from_hand
from nestcut.facts import Area, Fact, fact
from nestcut.model.job import Job
from nestcut.model.plan import BoardLayout, BuyLine, Delivery, Plan, SheetLayout, each_once
from nestcut.model.stock import BoardLength, BoardStock, Spare
from nestcut.sheets.outcome import SheetsOutcome
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.tolerances.noise import NOISE


def draw_up_buying_list(
    job: Job, sheets: tuple[SheetLayout, ...], boards: tuple[BoardLayout, ...]
) -> tuple[BuyLine, ...]:
    """Count the stock that layouts use, to hand first, in the order of the job."""
    layouts = each_once(sheets, boards)
    used = Counter((layout.stock, round(layout.length_mm, 6)) for layout in layouts)
    lines: list[BuyLine] = []
    for sheet in job.sheet_stocks:
        count = used[(sheet.name, round(sheet.length_mm, 6))]
        to_hand = min(count, sheet.held) if sheet.is_to_buy else count
        need = count - to_hand
        bought = _whole_packs(need + _spare(sheet.spare, need), need, sheet.pack, sheet.most)
        if count:
            lines.append(
                BuyLine(
                    stock=sheet.name,
                    count=bought,
                    to_hand=to_hand,
                    price_minor=sheet.price_minor if sheet.is_to_buy else 0,
                    length_mm=sheet.length_mm,
                    width_mm=sheet.width_mm,
                    thickness_mm=sheet.thickness_mm,
                    over=bought - need,
                    supplier=sheet.supplier if bought else "",
                )
            )
    for board in job.board_stocks:
        lines += _board_lines(board, [x for x in layouts if x.stock == board.name])
    return tuple(lines)


def _board_lines(board: BoardStock, layouts: list[BoardLayout | SheetLayout]) -> list[BuyLine]:
    """Count one stock of boards; its spares are of the longest length that is bought."""
    rows = []
    for length_mm in sorted({b.length_mm for b in board.lengths}):
        count = sum(abs(x.length_mm - length_mm) < SAME_LENGTH_MM for x in layouts)
        offers = [b for b in board.lengths if b.length_mm == length_mm]
        held = [(b, (b.count or 0) + b.held) for b in offers]
        to_hand = n_from_hand(layouts, held, length_mm)
        sold = next((b for b in offers if b.is_to_buy), BoardLength(length_mm=length_mm))
        rows.append((length_mm, sold, to_hand, count - to_hand))
    need_of_all = sum(need for *_, need in rows)
    longest = max((length for length, *_, need in rows if need), default=None)
    lines = []
    for length_mm, sold, to_hand, need in rows:
        if not to_hand + need:
            continue
        spare = _spare(board.spare, need_of_all) if length_mm == longest else 0
        bought = _whole_packs(need + spare, need, sold.pack, sold.most)
        lines.append(
            BuyLine(
                stock=board.name,
                count=bought,
                to_hand=to_hand,
                price_minor=sold.price_minor,
                length_mm=length_mm,
                width_mm=board.width_mm,
                thickness_mm=board.thickness_mm,
                over=bought - need,
                supplier=board.supplier if bought else "",
            )
        )
    return lines


def _spare(spare: Spare, need: int) -> int:
    """How many to buy beyond what is cut; of what isn't bought, none."""
    return spare.count + math.ceil(spare.share * need - NOISE) if need else 0


def _whole_packs(wanted: int, need: int, pack: int, most: int | None) -> int:
    """Whole packs that hold so many; where there are too few for spares, those that hold the need.

    A limit that is no whole number of packs lets its last pack go short.
    """
    if most is not None:
        wanted = max(need, min(wanted, most))
    packs = -(-wanted // pack)
    return packs * pack if most is None else max(need, min(packs * pack, most))


def deliveries_of(job: Job, lines: tuple[BuyLine, ...]) -> tuple[Delivery, ...]:
    """Return what bringing a buying list costs, in the order of the job's suppliers."""
    asked = {line.supplier for line in lines if line.count}
    return tuple(
        Delivery(supplier=s.name, fee_minor=s.delivery_minor)
        for s in job.suppliers
        if s.name in asked and s.delivery_minor > 0
    )


def with_purchases(job: Job, plan: Plan) -> Plan:
    """Return a plan with the buying list and the deliveries that its layouts ask for."""
    lines = draw_up_buying_list(job, plan.sheets, plan.boards)
    return replace(plan, buy=lines, deliveries=deliveries_of(job, lines))


def renumber_sheets(layouts: tuple[SheetLayout, ...]) -> tuple[SheetLayout, ...]:
    """Number sheets from 1 through all materials, in the order given."""
    return tuple(replace(s, number=n) for n, s in enumerate(layouts, start=1))


def number_boards(
    job: Job, sheets: tuple[SheetLayout, ...], boards: tuple[BoardLayout, ...]
) -> tuple[tuple[SheetLayout, ...], tuple[BoardLayout, ...]]:
    """Give boards without a number (0) the next ones: those of rails first, then those sawn from.

    Numbers that are there keep their order, and stay what they are unless a board is gone.
    """
    wood = {b.name for b in job.board_stocks}
    known = sorted({x.number for x in boards} | {s.board for s in sheets} - {0})
    ranks = {number: k for k, number in enumerate((n for n in known if n), start=1)}
    last = len(ranks)
    rails: list[BoardLayout] = []
    for board in boards:
        last += not board.number
        rails.append(replace(board, number=ranks.get(board.number, last)))
    sawn: list[SheetLayout] = []
    for sheet in sheets:
        if sheet.stock in wood:
            last += not sheet.board
            sawn.append(replace(sheet, board=ranks.get(sheet.board, last)))
        else:
            sawn.append(sheet)
    return tuple(sawn), tuple(rails)


def compared_told(outcome: SheetsOutcome) -> tuple[Fact, ...]:
    """Say what the search won over one pass, biggest pieces first."""
    return tuple(
        fact(
            "SHT-101",
            name=c.said or c.name,
            n=c.sheets,
            offcut=_offcut(c.offcut_mm2),
            plain=c.plain_sheets,
            plain_offcut=_offcut(c.plain_offcut_mm2),
        )
        for c in outcome.compared
        if (c.sheets, -c.offcut_mm2) < (c.plain_sheets, -c.plain_offcut_mm2)
    )


def _offcut(area_mm2: float) -> Fact:
    is_kept = area_mm2 >= _KEPT_MM2
    return fact("SHT-102", area=Area(area_mm2)) if is_kept else fact("SHT-103")


_KEPT_MM2 = 5e3
"""An offcut smaller than this isn't spoken of. [mm2]"""
