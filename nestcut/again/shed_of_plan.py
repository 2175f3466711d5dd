"""What a plan that is being cut has in the shed, and what can be had besides."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from nestcut.again.buying import SINGLY, Buying
from nestcut.model.held import Held, is_same_board, is_same_sheet
from nestcut.model.job import Job
from nestcut.model.plan import BoardLayout, Plan, SheetLayout
from nestcut.model.stock import BoardLength, BoardStock, SheetStock
from nestcut.tolerances import SAME_LENGTH_MM


@dataclass(frozen=True, slots=True)
class _Taken:
    """A board of a plan, and whether an offer's defects may lie where it is cut."""

    layout: BoardLayout | SheetLayout
    board: BoardStock

    def may_be(self, offer: BoardLength) -> bool:
        if isinstance(self.layout, SheetLayout):
            return self.layout.keep_outs == self.board.areas_of(offer.defects)
        return all(
            c.to_mm <= d.from_mm + SAME_LENGTH_MM or c.from_mm >= d.to_mm - SAME_LENGTH_MM
            for c in self.layout.taken
            for d in offer.defects
        )


def held_of(job: Job, plan: Plan) -> Held:
    """Return all sheets and boards of a plan as stock that lies in the shed.

    Parameters
    ----------
    job
        The job that the plan was made for, with what the plan holds already.
    """
    used = Counter(s.stock for s in plan.sheets)
    spares = {(b.stock, b.length_mm): b.over for b in plan.buy}
    sheets = tuple(
        replace(s, count=0, held=_lying(s, used[s.name], spares.get((s.name, s.length_mm), 0)))
        for s in job.sheet_stocks
        if used[s.name]
    )
    boards = []
    for board in job.board_stocks:
        lengths = tuple(
            replace(
                offer,
                count=0,
                held=max(n, _held_before(board, offer))
                + (0 if offer.defects else spares.get((board.name, offer.length_mm), 0)),
            )
            for offer, n in sorted(
                _taken(board, plan).items(), key=lambda i: (i[0].length_mm, len(i[0].defects))
            )
        )
        if lengths:
            boards.append(replace(board, lengths=lengths))
    return Held(sheets=sheets, boards=tuple(boards))


def _lying(sheet: SheetStock, used: int, bought_over: int) -> int:
    """How many of a sheet lie in the shed: what is cut from, and spares bought now or before."""
    return max(used + bought_over, sheet.held)


def _taken(board: BoardStock, plan: Plan) -> Counter[BoardLength]:
    """Count the offers that the boards of a plan are of."""
    return Counter(_kind(o) for _, o in _assigned(board, plan))


def _held_before(board: BoardStock, offer: BoardLength) -> int:
    return sum(
        o.held for o in board.lengths if _kind(replace(o, price_minor=offer.price_minor)) == offer
    )


def _kind(offer: BoardLength) -> BoardLength:
    """An offer by length and defects alone, as it lies in the shed."""
    return replace(offer, count=0, held=0, pack=1, most=None)


def offers_of(job: Job, plan: Plan) -> dict[int, BoardLength]:
    """Say as what each board from which rails are cut was sold, by its number."""
    return {
        layout.number: offer
        for board in job.board_stocks
        for layout, offer in _assigned(board, plan)
        if isinstance(layout, BoardLayout)
    }


def _assigned(board: BoardStock, plan: Plan) -> list[tuple[BoardLayout | SheetLayout, BoardLength]]:
    """Say of which offers the boards of a plan are; what is to hand was taken first."""
    found: list[tuple[BoardLayout | SheetLayout, BoardLength]] = []
    layouts = [_Taken(x, board) for x in plan.stock_used if x.stock == board.name]
    left = {o: (o.count or 0) + o.held for o in board.lengths}
    rows = [
        (t, [o for o in board.lengths if _is_long(o, t.layout.length_mm) and t.may_be(o)])
        for t in layouts
    ]
    # Whoever fits fewest boards takes first, and leaves the cleanest to the others.
    for taken, fits in sorted(rows, key=lambda r: len(r[1])):
        here = [o for o in fits if left[o] > 0]
        offer = max(here, key=lambda o: len(o.defects), default=None)
        offer = offer or next((o for o in fits if o.is_to_buy), fits[0] if fits else None)
        if offer is not None:
            left[offer] -= 1
            found.append((taken.layout, offer))
    return found


def _is_long(offer: BoardLength, length_mm: float) -> bool:
    return abs(offer.length_mm - length_mm) < SAME_LENGTH_MM


def own_names(held: Held, job: Job, plan: Plan) -> tuple[Held, Plan]:
    """Give held stock that the job now describes otherwise a name of its own, in the plan too."""
    sheets = {s.name: s for s in job.sheet_stocks}
    boards = {b.name: b for b in job.board_stocks}
    taken = {*sheets, *boards, *(s.name for s in held.sheets), *(b.name for b in held.boards)}
    names: dict[str, str] = {}
    for sheet in held.sheets:
        now = sheets.get(sheet.name)
        if sheet.name in boards or (now is not None and not is_same_sheet(sheet, now)):
            names[sheet.name] = _free_name(sheet.name, taken)
    for board in held.boards:
        other = boards.get(board.name)
        if board.name in sheets or (other is not None and not is_same_board(board, other)):
            names[board.name] = _free_name(board.name, taken)
    if not names:
        return held, plan
    return (
        Held(
            sheets=tuple(replace(s, name=names.get(s.name, s.name)) for s in held.sheets),
            boards=tuple(replace(b, name=names.get(b.name, b.name)) for b in held.boards),
        ),
        replace(
            plan,
            sheets=tuple(replace(s, stock=names.get(s.stock, s.stock)) for s in plan.sheets),
            boards=tuple(replace(b, stock=names.get(b.stock, b.stock)) for b in plan.boards),
        ),
    )


def _free_name(name: str, taken: set[str]) -> str:
    """Return a name that no stock has, and take it."""
    stem = name if name.endswith(", bought before") else f"{name}, bought before"
    made, number = stem, 2
    while made in taken:
        made, number = f"{stem} ({number})", number + 1
    taken.add(made)
    return made


def sheets_left(job: Job, plan: Plan, buying: Buying = SINGLY) -> tuple[SheetStock, ...]:
    """Return the sheets that can be had besides those of a plan; spares lie there for nothing."""
    used = Counter(s.stock for s in plan.sheets)
    left: list[SheetStock] = []
    for s in job.sheet_stocks:
        spares = max(0, s.held - used[s.name])
        if not s.is_to_buy:
            left.append(replace(s, held=0, count=_rest(s.count, s.held, used[s.name])))
            continue
        if spares:
            left.append(replace(s, name=_as_spare(s.name), held=0, count=spares, price_minor=0))
        bought = max(0, used[s.name] - s.held)
        most = None if s.most is None else max(0, s.most - bought)
        sold = buying.sheet(replace(s, held=0, most=most))
        left += [] if sold is None else [sold]
    return tuple(left)


def _as_spare(name: str) -> str:
    return f"{name}{_SPARE}"


_SPARE = ", spare"


def own_name(layout: SheetLayout, job: Job) -> SheetLayout:
    """Return a layout under its stock's own name, where it is cut from a spare."""
    stem = layout.stock.removesuffix(_SPARE)
    is_spare = layout.stock not in {s.name for s in job.sheet_stocks} and stem != layout.stock
    return replace(layout, stock=stem) if is_spare else layout


def boards_left(
    job: Job, layouts: Iterable[BoardLayout | SheetLayout], buying: Buying = SINGLY
) -> tuple[BoardStock, ...]:
    """Return the boards that can be had besides those of a plan."""
    used = Counter((x.stock, round(x.length_mm, 6)) for x in layouts)
    left: list[BoardStock] = []
    for board in job.board_stocks:
        offers = []
        for offer in sorted(board.lengths, key=lambda o: -o.held):  # held: taken, so first
            key = (board.name, round(offer.length_mm, 6))
            lying = (offer.count or 0) + offer.held
            taken = min(lying, used[key])
            used[key] -= taken
            if offer.is_to_buy:
                sold = buying.offer(board, replace(offer, held=0))
                offers += [] if sold is None else [sold]
            elif lying > taken:
                offers.append(replace(offer, held=0, count=lying - taken))
        left.append(replace(board, lengths=tuple(offers)))
    return tuple(left)


def _rest(count: int | None, held: int, used: int) -> int:
    return max(0, (count or 0) + held - used)
