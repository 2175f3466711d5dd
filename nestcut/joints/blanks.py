"""Whole sheets joined before anything is marked out, then nested as one long sheet.

Needs a flat floor as long as the boat and a true bevel; it saves thinking about where joints fall,
and lets pieces lie across a seam anywhere, which the plans' designer should have agreed to.
"""

from __future__ import annotations

from dataclasses import replace

from nestcut.joints.arithmetic import joined_length_mm, scarf_length_mm
from nestcut.model.stock import SheetStock


def join_sheets(stock: SheetStock, number: int, slope: float) -> SheetStock:
    """Return the long sheet that so many sheets make, scarfed end to end.

    Length n b - (n - 1) s t, price n times, as many as the sheets to hand make. The trimmed edges
    stay trimmed; ``seams_mm`` are the middles of the overlaps.

    Parameters
    ----------
    number
        How many sheets make the long one; 1: it stays as it is.
    slope
        Of the scarfs, run over thickness. [-]

    Raises
    ------
    ValueError
        If the sheet is no plain rectangle: offcuts and spoilt sheets aren't joined.
    """
    if number < 2:
        return stock
    if stock.outline is not None or stock.keep_outs:
        raise ValueError(f"{stock.name} is no plain sheet")
    overlap = scarf_length_mm(stock.actual_thickness_mm or stock.thickness_mm, slope)
    step = stock.length_mm - overlap
    return replace(
        stock,
        name=f"{stock.name}, {number} joined",
        length_mm=joined_length_mm(stock.length_mm, number, overlap),
        price_minor=stock.price_minor * number,
        count=None if stock.count is None else stock.count // number,
        seams_mm=tuple(step * k + overlap / 2.0 for k in range(1, number)),
        seam_overlap_mm=overlap,
    )
