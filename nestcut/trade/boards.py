"""Boards as they are sold: dressed and nominal sizes, board feet, ends worth keeping."""

from __future__ import annotations

from nestcut.trade.figure import Figure, Span

PS20 = "American Softwood Lumber Standard PS 20, dry sizes"

PS20_THICKNESS_IN: tuple[tuple[float, float], ...] = (
    (0.75, 1.0),
    (1.0, 1.25),
    (1.25, 1.5),
    (1.5, 2.0),
    (2.0, 2.5),
    (2.5, 3.0),
    (3.5, 4.0),
)
"""Dressed and nominal thickness. [in]  Source: :data:`PS20`."""

PS20_WIDTH_IN: tuple[tuple[float, float], ...] = (
    (1.5, 2.0),
    (2.5, 3.0),
    (3.5, 4.0),
    (4.5, 5.0),
    (5.5, 6.0),
    (6.5, 7.0),
    (7.25, 8.0),
    (8.25, 9.0),
    (9.25, 10.0),
    (10.25, 11.0),
    (11.25, 12.0),
    (13.25, 14.0),
    (15.25, 16.0),
)
"""Dressed and nominal width. [in]  Source: :data:`PS20`."""

LEAST_BOARD_FOOT_IN = Figure(1.0, "in", "US Navy, Engineering Aid 3, ch. 6")
"""Anything thinner counts as this thick when board feet are reckoned."""

MOST_PLANED_MM = Figure(5.0, "mm")
"""So much of a board's thickness is planed off a rail at most; beyond it, it is resawn."""

KEPT_END_MM = Figure(300.0, "mm")
"""A clear board end of which at least this much is left counts as kept, shorter ones as waste."""

REST_MM = Span(10.0, 100.0, "mm")
"""Breadth and length of the smallest rest of a begun board from which a rail is cut again."""

KEPT_STRIP_MM = Figure(30.0, "mm")
"""A strip left beside a cut goes into the stock book if it is at least this wide."""
