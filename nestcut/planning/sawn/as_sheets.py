"""Boards as small sheets, for curved pieces that are cut from them.

A cap or a knee is nested on its board as other pieces are on plywood; only the names and lengths
of boards have to be carried through, since boards of one name come in several lengths.
"""

from __future__ import annotations

from dataclasses import replace

from nestcut.boards import n_from_hand
from nestcut.facts import Length, fact
from nestcut.model.plan import BoardLayout, SheetLayout
from nestcut.model.stock import BoardLength, BoardStock, KeepOut, SheetStock, rectangle
from nestcut.sheets.outcome import SheetsOutcome
from nestcut.units import format_mm


def boards_as_sheets(boards: tuple[BoardStock, ...]) -> tuple[SheetStock, ...]:
    """Return one sheet stock for every board and length; grain runs along the board."""
    sheets: list[SheetStock] = []
    for board in boards:
        for offer in board.lengths:
            ends = _end_keep_outs(board, offer.length_mm)
            defects = board.areas_of(offer.defects)
            sheets.append(
                SheetStock(
                    name=_sheet_name(board, offer),
                    material=board.material,
                    thickness_mm=board.thickness_mm,
                    length_mm=offer.length_mm,
                    width_mm=board.width_mm,
                    price_minor=offer.price_minor,
                    count=offer.count,
                    edge_trim_mm=board.edge_trim_mm,
                    saw=board.saw,
                    keep_outs=(*ends, *defects),
                )
            )
    return tuple(sheets)


def _sheet_name(board: BoardStock, offer: BoardLength) -> str:
    """Name of a board of one length; boards to hand are told apart from those on sale."""
    source = "" if offer.is_to_buy else ", to hand"
    defects = "".join(f", {d.reason} at {format_mm(d.from_mm)}" for d in offer.defects)
    return f"{board.name}, {format_mm(offer.length_mm, decimals=1)} mm{source}{defects}"


def _end_keep_outs(board: BoardStock, length_mm: float) -> tuple[KeepOut, ...]:
    """Ends that are trimmed further than the edges."""
    trim = board.end_trim_mm
    if trim <= board.edge_trim_mm:
        return ()
    return tuple(
        KeepOut(points=rectangle((x0, 0.0), (x1, board.width_mm)), reason="end trim")
        for x0, x1 in ((0.0, trim), (length_mm - trim, length_mm))
    )


def name_board(layout: SheetLayout, boards: tuple[BoardStock, ...]) -> SheetLayout:
    """Give a layout the name of its board back, and its end trim."""
    board = next(
        b for b in boards if any(_sheet_name(b, offer) == layout.stock for offer in b.lengths)
    )
    ends = len(_end_keep_outs(board, layout.length_mm))  # they stand first
    return replace(
        layout,
        stock=board.name,
        end_trim_mm=board.end_trim_mm,
        keep_outs=layout.keep_outs[ends:],
    )


def boards_left(
    boards: tuple[BoardStock, ...], layouts: tuple[BoardLayout, ...]
) -> tuple[BoardStock, ...]:
    """Return the boards less those to hand that rails are cut from."""
    left: list[BoardStock] = []
    for board in boards:
        own = [b for b in layouts if b.stock == board.name]
        offers: list[BoardLength] = []
        hand: list[tuple[BoardLength, int]] = []
        for offer in board.lengths:
            if offer.count is None:
                offers.append(offer)
                continue
            # of a largest choice of boards to hand, those that this one adds
            before = n_from_hand(own, hand, offer.length_mm)
            hand.append((offer, offer.count))
            taken = n_from_hand(own, hand, offer.length_mm) - before
            offers.append(replace(offer, count=offer.count - taken))
        left.append(replace(board, lengths=tuple(o for o in offers if o.count != 0)))
    return tuple(left)


def named_for_readers(outcome: SheetsOutcome, boards: tuple[BoardStock, ...]) -> SheetsOutcome:
    """Give what is said of boards of one length its words: the board's name, and the length."""
    said = {
        _sheet_name(board, offer): fact("SHT-106", board=board.name, length=Length(offer.length_mm))
        for board in boards
        for offer in board.lengths
    }
    return replace(
        outcome,
        bounds=tuple(replace(b, said=said.get(b.name, b.said)) for b in outcome.bounds),
        compared=tuple(replace(c, said=said.get(c.name, c.said)) for c in outcome.compared),
    )
