"""One material under way, and what its best layout comes to in the model's terms."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nestcut.facts import Length, fact
from nestcut.model.plan import Bound, Counted, SheetLayout, Unplaced
from nestcut.sheets.outcome import Comparison
from nestcut.sheets.prepare import RESERVE_ID, Group
from nestcut.sheets.standing import Candidate, Standing

if TYPE_CHECKING:
    from nestcut.sheets.least.bounds import LeastBuy
    from nestcut.sheets.least.facts import Facts
    from nestcut.sheets.rectangles.rect_search import RectSearch
    from nestcut.sheets.search import PolygonSearch


@dataclass(slots=True)
class Task:
    """One material under way. ``plain`` is its layout in one pass."""

    group: Group
    standing: Standing
    search: PolygonSearch | RectSearch
    plain: Candidate | None = None
    facts: Facts | None = None
    least: LeastBuy | None = None


def layouts_of(task: Task) -> list[SheetLayout]:
    """Return the best layouts, the sheets of each kind numbered from 1, the fullest first."""
    group, best = task.group, task.standing.sure()
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
                keep_outs=stock.usable.barred,
                placements=tuple(p for p in sheet.lying if p.piece != RESERVE_ID),
                offcuts=task.standing.offcuts(sheet),
            )
        )
    return [layout for layout in found if layout.placements]


def unplaced_of(task: Task) -> list[Unplaced]:
    """Return the pieces that found no place, with the reason."""
    group, best = task.group, task.standing.sure()
    hand = sum(s.stock.count or 0 for s in group.stocks)
    reason = fact(
        "SHT-104", material=group.material, thickness=Length(group.thickness_mm), hand=hand
    )
    return [Unplaced(piece=i, reason=reason) for i in best.unplaced if i != RESERVE_ID]


def bounds_of(task: Task) -> list[Bound]:
    """Bound of one material: in sheets where only one kind is paid for, else in money."""
    best, group = task.standing.sure(), task.group
    paid = [s for s in group.stocks if s.cost > 0.0]
    # a bound counts the reserve; where none is kept it would claim too much
    if best.unplaced or task.least is None:
        return []
    if len({s.cost for s in paid}) <= 1:
        return [
            Bound(
                name=task.group.name,
                said=task.group.said,
                measure=Counted.SHEETS if len(paid) == len(group.stocks) else Counted.SHEETS_TO_BUY,
                lower=task.least.sheets,
                used=best.score[3],
                reason=task.least.reason,
            )
        ]
    return [
        Bound(
            name=task.group.name,
            said=task.group.said,
            measure=Counted.MONEY,
            lower=task.least.cost,
            used=best.cost,
            reason=task.least.reason,
        )
    ]


def to_buy(task: Task) -> int:
    """Sheets bought, the number that the bound is told beside; all of them if none costs money."""
    best = task.standing.sure()
    return best.score[3] if any(s.cost > 0.0 for s in task.group.stocks) else len(best.sheets)


def compared_of(task: Task) -> Comparison:
    """Compare the best layout with the one-pass layout."""
    best = task.standing.sure()
    plain = task.plain or best
    return Comparison(
        name=task.group.name,
        said=task.group.said,
        plain_sheets=len(plain.sheets),
        plain_offcut_mm2=task.standing.largest_kept_mm2(plain),
        sheets=len(best.sheets),
        offcut_mm2=task.standing.largest_kept_mm2(best),
    )
