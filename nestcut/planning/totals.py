"""What has to be bought, and what comes out of the shed."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from nestcut.facts import Area, Fact, fact
from nestcut.model.job import Job
from nestcut.model.plan import BoardLayout, BuyLine, SheetLayout
from nestcut.sheets.outcome import SheetsOutcome


def draw_up_buying_list(
    job: Job, sheets: tuple[SheetLayout, ...], boards: tuple[BoardLayout, ...]
) -> tuple[BuyLine, ...]:
    """Count the stock that layouts use, to hand first, in the order of the job."""
    layouts: tuple[SheetLayout | BoardLayout, ...] = (*sheets, *boards)
    used = Counter((layout.stock, round(layout.length_mm, 6)) for layout in layouts)
    lines: list[BuyLine] = []
    for sheet in job.sheet_stocks:
        count = used[(sheet.name, round(sheet.length_mm, 6))]
        to_hand = min(count, sheet.held) if sheet.is_to_buy else count
        if count:
            lines.append(
                BuyLine(
                    stock=sheet.name,
                    count=count - to_hand,
                    to_hand=to_hand,
                    price_minor=sheet.price_minor if sheet.is_to_buy else 0,
                    length_mm=sheet.length_mm,
                    width_mm=sheet.width_mm,
                    thickness_mm=sheet.thickness_mm,
                )
            )
    for board in job.board_stocks:
        for length_mm in sorted({b.length_mm for b in board.lengths}):
            count = used[(board.name, round(length_mm, 6))]
            offers = [b for b in board.lengths if b.length_mm == length_mm]
            to_hand = min(count, sum((b.count or 0) + b.held for b in offers))
            price = next((b.price_minor for b in offers if b.is_to_buy), 0)
            if count:
                lines.append(
                    BuyLine(
                        stock=board.name,
                        count=count - to_hand,
                        to_hand=to_hand,
                        price_minor=price,
                        length_mm=length_mm,
                        width_mm=board.width_mm,
                        thickness_mm=board.thickness_mm,
                    )
                )
    return tuple(lines)


def renumber_sheets(layouts: tuple[SheetLayout, ...]) -> tuple[SheetLayout, ...]:
    """Number sheets from 1 through all materials, in the order given."""
    return tuple(replace(s, number=n) for n, s in enumerate(layouts, start=1))


def compared_told(outcome: SheetsOutcome) -> tuple[Fact, ...]:
    """Say what the search won over one pass, biggest pieces first."""
    return tuple(
        fact(
            "SHT-101",
            name=c.name,
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
