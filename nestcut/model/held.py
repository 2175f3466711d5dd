"""What lies in the shed for a plan that is being cut: its sheets and boards, bought or to hand.

A job says what the yard sells now; once a plan is being cut its stock is there whatever the job
says later.  A plan made again carries that stock along, and whoever proves or shows such a plan
looks at the job with it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from nestcut.model.job import Job
from nestcut.model.stock import NO_SPARE, BoardLength, BoardStock, SheetStock
from nestcut.tolerances import SAME_LENGTH_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Stock in the shed, each with ``held`` of its number; ``count`` 0, as no more is to be had."""

    sheets: tuple[SheetStock, ...] = ()
    boards: tuple[BoardStock, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether there is none."""
        return not self.sheets and not self.boards


def with_held(job: Job, held: Held) -> Job:
    """Return a job whose stock includes what is held; a job that has it already is not changed.

    What the job itself has to hand is what is held, as far as it is the same.
    """
    if held.is_empty:
        return job
    sheets = {s.name: s for s in job.sheet_stocks}
    for sheet in held.sheets:
        own = sheets.get(sheet.name)
        sheets[sheet.name] = sheet if own is None else _holding_sheet(own, sheet.held)
    boards = {b.name: b for b in job.board_stocks}
    for board in held.boards:
        lying = boards.get(board.name)
        boards[board.name] = board if lying is None else _holding_board(lying, board)
    return replace(job, sheet_stocks=tuple(sheets.values()), board_stocks=tuple(boards.values()))


def _holding_sheet(own: SheetStock, held: int) -> SheetStock:
    if own.held:
        return own
    count = None if own.count is None else max(0, own.count - held)
    return replace(own, count=count, held=held)


def _holding_board(own: BoardStock, held: BoardStock) -> BoardStock:
    lengths = list(own.lengths)
    if any(o.held for o in lengths):
        return own
    for offer in held.lengths:
        place = next((k for k, o in enumerate(lengths) if _is_hand_of(o, offer)), None)
        if place is None:
            lengths.append(replace(offer, count=0))
        else:
            left = max(0, (lengths[place].count or 0) - offer.held)
            lengths[place] = replace(lengths[place], count=left, held=offer.held)
    return replace(own, lengths=tuple(lengths))


def _is_hand_of(offer: BoardLength, held: BoardLength) -> bool:
    """Whether a job's own boards to hand are those that are held."""
    return (
        offer.count is not None
        and abs(offer.length_mm - held.length_mm) < SAME_LENGTH_MM
        and offer.defects == held.defects
    )


def is_same_sheet(a: SheetStock, b: SheetStock) -> bool:
    """Whether two stocks are the same sheets, whatever their price and number."""
    return _bare_sheet(a) == _bare_sheet(b)


def _bare_sheet(sheet: SheetStock) -> SheetStock:
    """A sheet without what its seller says of it."""
    return replace(
        sheet, price_minor=0, count=0, held=0, supplier="", pack=1, most=None, spare=NO_SPARE
    )


def is_same_board(a: BoardStock, b: BoardStock) -> bool:
    """Whether two stocks are boards of the same section, whatever lengths there are."""
    bare = [replace(x, lengths=(), supplier="", spare=NO_SPARE) for x in (a, b)]
    return bare[0] == bare[1]


NOTHING_HELD = Held()
"""Of a plan that isn't being cut yet."""
