"""Board feet, the measure in which lumber is sold by volume.

A board foot is 1 ft x 1 ft x 1 in of *nominal* size; anything thinner than 1 in counts as 1 in (US
Navy, Engineering Aid 3, ch. 6).  Dressed sizes are smaller than the name
they're sold by: American Softwood Lumber Standard PS 20, dry sizes.
"""

from __future__ import annotations

from nestcut.papers.view import PlanView
from nestcut.trade.boards import LEAST_BOARD_FOOT_IN, PS20_THICKNESS_IN, PS20_WIDTH_IN

INCH_MM = 25.4
SAME_SIZE_MM = 0.8
"""A measured size this near to a dressed one is taken for it: 1/32 in. [mm]"""


def nominal_in(size_mm: float, table: tuple[tuple[float, float], ...]) -> float:
    """Nominal size of a dressed one; a size that the standard doesn't have stays as it is. [in]"""
    for dressed, nominal in table:
        if abs(size_mm - dressed * INCH_MM) <= SAME_SIZE_MM:
            return nominal
    return size_mm / INCH_MM


def board_feet(thickness_mm: float, width_mm: float, length_mm: float) -> float:
    """Board feet of one board: nominal thickness [in] x nominal width [in] x length [ft] / 12.

    Parameters
    ----------
    thickness_mm, width_mm
        As the board is; its nominal sizes are looked up in PS 20. [mm]
    length_mm
        As it is. [mm]
    """
    thick = max(LEAST_BOARD_FOOT_IN.value, nominal_in(thickness_mm, PS20_THICKNESS_IN))
    wide = nominal_in(width_mm, PS20_WIDTH_IN)
    return thick * wide * (length_mm / INCH_MM / 12.0) / 12.0


def board_feet_to_buy(view: PlanView) -> float:
    """Board feet of all boards on the buying list."""
    boards = {b.name for b in view.verified.job.board_stocks}
    return sum(
        line.count * board_feet(line.thickness_mm, line.width_mm, line.length_mm)
        for line in view.verified.plan.buy
        if line.stock in boards
    )
