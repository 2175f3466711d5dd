"""How small a slip in a table of offsets can be and still be named: tried on the table itself.

Readings in the middle of each line are shifted up and down by sizes that rise, until the doubts of
:mod:`nestcut.shapes.table.doubts` name them.  What bends sharply, or has few stations, hides more.
"""

from __future__ import annotations

from dataclasses import replace

from nestcut.errors import Finding
from nestcut.shapes.known import OffsetForm, note
from nestcut.shapes.table.doubts import FEWEST, Row, first_doubt, table_rows
from nestcut.shapes.table.notation import said
from nestcut.shapes.table.offsets import OffsetTable, View

_EIGHTHS = (1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32)
_INCHES_MM = tuple(25.4 * k / 8.0 for k in _EIGHTHS)
_METRIC_MM = (3.0, 5.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 65.0, 80.0)
"""Sizes tried, rising. [mm]"""
_IN_INCHES = frozenset({OffsetForm.EIGHTHS, OffsetForm.INCH, OffsetForm.FOOT})


def least_seen_mm(rows: list[Row], sizes_mm: tuple[float, ...]) -> float | None:
    """Least of some sizes, rising, that is named wherever it is tried; None if none is. [mm]

    Rows are of one view.
    """
    tried = [r for r in rows if len(r.x) >= FEWEST]
    worst = 0
    for row in tried:
        for sign in (1.0, -1.0):
            # What is seen nowhere smaller than at the place before need not be tried smaller.
            low, high = worst, len(sizes_mm)
            while low < high:
                middle = (low + high) // 2
                if _is_named(rows, row, sign * sizes_mm[middle]):
                    high = middle
                else:
                    low = middle + 1
            worst = low
            if worst == len(sizes_mm):
                return None
    return sizes_mm[worst] if tried else None


def _is_named(rows: list[Row], row: Row, slip_mm: float) -> bool:
    """Whether a slip in the middle of a line is what is doubted first."""
    i = len(row.y) // 2
    slipped = replace(row, y=(*row.y[:i], row.y[i] + slip_mm, *row.y[i + 1 :]))
    doubt = first_doubt([slipped if r is row else r for r in rows])
    return doubt is not None and (doubt.line, doubt.station) == (row.line, row.stations[i])


def slips_told(table: OffsetTable) -> tuple[Finding, ...]:
    """What can't be seen in a table without doubts, in its own notation: a note a view."""
    rows = table_rows(table)
    sizes = _INCHES_MM if table.form in _IN_INCHES else _METRIC_MM
    told = []
    for view, word in ((View.HEIGHTS, "height"), (View.HALF_BREADTHS, "half-breadth")):
        own = [r for r in rows if r.view == view.value]
        if not any(len(r.x) >= FEWEST for r in own):
            continue
        least = least_seen_mm(own, sizes)
        if least is None:
            told.append(
                note("SHP-164", "offsets.table", view=word, most=said(sizes[-1], table.form))
            )
        else:
            told.append(note("SHP-163", "offsets.table", view=word, least=said(least, table.form)))
    return tuple(told)
