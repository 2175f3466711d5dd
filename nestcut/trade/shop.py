"""The shop: saws, offcuts, rules of marking out, home printers, sheets on sale."""

from __future__ import annotations

from nestcut.trade.figure import Figure, Span

SAW_TILT_DEG = Figure(45.0, "deg")
"""Most saws tilt no further: stops stand at about 45 to 48 degrees."""
OFFCUT_MM = Span(150.0, 300.0, "mm")
"""Shorter and longer side of the smallest rectangle of sheet worth keeping."""
OFFCUTS_MOST = Figure(4, "rectangles")
"""Rectangles of one sheet that are kept at most: more are hardly ever found again."""
BREAKS_MM = Figure(15.0, "mm")
"""Narrower strips of waste break in the hand: they hold no two offcuts together."""
HOLD_MM = Figure(200.0, "mm")
"""Islands of sheet narrower than this can't be clamped and sawn: their pieces come out before."""
READING_MM = Figure(1.0, "mm")
"""Usual error of a reading in a table of offsets: written to 1 mm or 1/16 in."""
TWIST_DEG = Figure(3.0, "deg")
"""Twist from which a developed panel is warned of: less is taken up by the wood."""
FILLED_GAP_MM = Figure(3.0, "mm")
"""Gap between a frame and a panel up to which thickened epoxy fills it without a word."""
BOAT_DRAWING_MM = Span(150.0, 30_000.0, "mm")
"""Longest outline of a boat's drawing, at least and at most."""
CHECK_MM = Figure(2.0, "mm")
"""By so much two diagonals or a check may differ where each mark is a pencil's width out."""
LONG_PART_MM = Figure(12_000.0, "mm")
"""Parts of boats that are built at home alone are no longer."""
LOOSE_ENDS_MM = Figure(12.0, "mm")
"""Ends of drawn lines further apart than this were not meant to meet."""
ALLOWANCE_RING_MM = Figure(32.0, "mm")
"""Lines that run round each other no further apart are a part and its allowance or tool path."""
LETTER_WIDTH = Figure(0.7, "-")
"""Width of a drawn letter in its heights, where the drawing's type isn't known."""
COMPASS_MM = Figure(400.0, "mm")
"""Longest radius that is set off with a compass or a trammel."""

PAGE_MARGIN_MM = Figure(10.0, "mm")
"""Left free on every side of a page: home printers can't print nearer than about 6 mm."""
LABEL_REACH_MM = Figure(5.0, "mm")
"""Nearer a page's edge than this no label is printed."""
LABEL_PAD_MM = Figure(2.0, "mm")
"""Free room inside a label's edge: label sheets are rarely fed truer."""
MANY_TILES = Figure(24, "pages")
"""More tiles of a full-size pattern than this are hard to join truly."""

SHEET_METRIC_MM = Span(1220.0, 2440.0, "mm")
"""Width and length of a usual metric sheet."""
SHEET_FEET_MM = Span(4.0 * 304.8, 8.0 * 304.8, "mm", "PS 1-19: 4 ft by 8 ft")
"""The same in feet: not the same sheet."""
