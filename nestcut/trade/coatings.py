"""Coatings: how far resin and paint go on wood, as ranges.

Published figures of resin differ by two and a half times, so all of it is printed as a range.
"""

from __future__ import annotations

from nestcut.trade.figure import Figure, Span

EPOXY_COATS = Figure(3, "coats")
"""On bare wood: one that soaks in and two on top."""
FIRST_COAT_FT2_PER_GALLON = Span(200.0, 300.0, "ft2 per US gallon")
"""What mixed epoxy covers on bare wood."""
NEXT_COATS_FT2_PER_GALLON = Span(
    320.0,
    535.0,
    "ft2 per US gallon",
    "arithmetic, from the usual thickness of a coat",
)
"""What it covers on a sealed face: a film of 3 to 5 mil, or 0.08 to 0.13 mm."""
PAINT_COATS = Figure(2, "coats")
PAINT_FT2_PER_GALLON = Span(320.0, 400.0, "ft2 per US gallon")
"""What topside paint covers, a coat."""
