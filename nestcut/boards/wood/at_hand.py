"""How many of the boards that a plan cuts can come out of the shed.

A length may be to hand with a knot and on sale without: a board cut through where the knot is has
to be bought, whatever lies in the shed.
"""

from __future__ import annotations

from collections.abc import Sequence

from nestcut.model.plan import BoardLayout, SheetLayout
from nestcut.model.stock import BoardLength
from nestcut.tolerances import SAME_LENGTH_MM, VERIFY_MM

Layout = BoardLayout | SheetLayout


def n_from_hand(
    layouts: Sequence[Layout], offers: Sequence[tuple[BoardLength, int]], length_mm: float
) -> int:
    """Return how many layouts of one stock and length boards to hand can serve at most.

    Parameters
    ----------
    layouts
        All of one stock; those of other lengths are passed over.
    offers
        Boards of that stock with how many of each are to hand.
    length_mm
        Length of the boards. [mm]

    Notes
    -----
    A largest matching by augmenting paths (C. Berge, Proc. Nat. Acad. Sci. 43, 1957).
    """
    own = [x for x in layouts if abs(x.length_mm - length_mm) < SAME_LENGTH_MM]
    places = [
        offer
        for offer, n in offers
        if abs(offer.length_mm - length_mm) < SAME_LENGTH_MM
        for _ in range(min(n, len(own)))
    ]
    serves: dict[int, int] = {}

    def found(layout: int, seen: set[int]) -> bool:
        for k, offer in enumerate(places):
            if k in seen or not _suits(own[layout], offer):
                continue
            seen.add(k)
            if k not in serves or found(serves[k], seen):
                serves[k] = layout
                return True
        return False

    return sum(found(layout, set()) for layout in range(len(own)))


def _suits(layout: Layout, offer: BoardLength) -> bool:
    """Whether nothing is cut where the board has a defect."""
    if isinstance(layout, SheetLayout):
        spans = [(min(x for x, _ in k.points), max(x for x, _ in k.points))
                 for k in layout.keep_outs]  # fmt: skip
        return spans == [(d.from_mm, d.to_mm) for d in offer.defects]
    return all(
        c.to_mm <= d.from_mm + VERIFY_MM or c.from_mm >= d.to_mm - VERIFY_MM
        for c in (*layout.cuts, *layout.blanks)
        for d in offer.defects
    )
