"""Which of the boards that are cut can come out of the shed, by the verifier's own count.

A board to hand serves where nothing is cut through its knots; what none of them serves is bought.
"""

from __future__ import annotations

from collections.abc import Sequence

from nestcut.model.plan import BoardLayout, SheetLayout
from nestcut.model.stock import BoardLength, BoardStock
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.verify.stock.boards import is_clear_of
from nestcut.verify.stock.sheets import is_offer

Layout = SheetLayout | BoardLayout


def may_be(layout: Layout, board: BoardStock, offer: BoardLength) -> bool:
    """Whether a layout can be cut from one of these boards.

    Parameters
    ----------
    layout
        A layout of a board, by rips or by outlines.
    """
    if isinstance(layout, SheetLayout):
        return is_offer(layout, board, offer)
    return is_clear_of(layout, offer)


def hand_serves(board: BoardStock, length_mm: float, layouts: Sequence[Layout]) -> int:
    """Return how many of these layouts boards to hand serve at most.

    A largest matching of layouts to boards, by augmenting paths (J. Hopcroft, R. Karp, 1973, say
    why they suffice).

    Parameters
    ----------
    length_mm
        Length of the boards. [mm]
    layouts
        Layouts of such boards.
    """
    places = [
        offer
        for offer in board.lengths
        if abs(offer.length_mm - length_mm) < SAME_LENGTH_MM
        for _ in range(min((offer.count or 0) + offer.held, len(layouts)))
    ]
    may = [[k for k, o in enumerate(places) if may_be(x, board, o)] for x in layouts]
    taken: dict[int, int] = {}

    def serve(layout: int, seen: set[int]) -> bool:
        for k in may[layout]:
            if k not in seen:
                seen.add(k)
                if k not in taken or serve(taken[k], seen):
                    taken[k] = layout
                    return True
        return False

    return sum(serve(k, set()) for k in range(len(layouts)))
