"""Sheets of paper that papers are printed on, and the drawing scales that belong to them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nestcut.trade.shop import PAGE_MARGIN_MM


class Paper(StrEnum):
    """What the builder's printer takes."""

    A4 = "a4"
    LETTER = "letter"


@dataclass(frozen=True, slots=True)
class PageSize:
    """A page as it's printed. [mm]"""

    width_mm: float
    height_mm: float

    @property
    def landscape(self) -> PageSize:
        """The same page lying on its long side."""
        return PageSize(max(self.width_mm, self.height_mm), min(self.width_mm, self.height_mm))


SIZES: dict[Paper, PageSize] = {
    Paper.A4: PageSize(210.0, 297.0),
    Paper.LETTER: PageSize(215.9, 279.4),
}
"""Upright page sizes (ISO 216; ANSI/ASME Y14.1). [mm]"""

MARGIN_MM = PAGE_MARGIN_MM.value
"""Left free on every side: home printers don't reach the edge. [mm]"""

SCALES: dict[Paper, tuple[float, ...]] = {
    Paper.A4: (1, 2, 5, 10, 12.5, 14, 15, 16, 20, 25, 50, 100, 200),
    Paper.LETTER: (1, 2, 4, 8, 12, 14, 16, 24, 48, 96, 192),
}
"""Standard scales, 10 for 1:10. Metric: ISO 5455 with 1:12.5, 1:15 and 1:25 between (common on
scale rules, no source), and where they save a page or a name 1:14, which is on no rule, and 1:16,
3/4 inch to the foot; the others are 3, 1-1/2, 1, 3/4, 1/2, 1/4 and 1/8 inch to the foot."""


LARGER = 1.4
"""A detail is worth its page if things come out at least this much larger. [-]"""


def larger_scale(paper: Paper, scale: float) -> float | None:
    """Next standard scale at which things come out :data:`LARGER`; None beyond 1:1."""
    finer = [s for s in SCALES[paper] if s * LARGER <= scale]
    return finer[-1] if finer else None
