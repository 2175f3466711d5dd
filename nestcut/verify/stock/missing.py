"""Rectangles worth keeping that no KEEP names: a plan tells of all that its sheets leave."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import takewhile

import numpy as np
import shapely
from shapely.geometry import Polygon, box

from nestcut.errors import Finding
from nestcut.facts import Size, Spot
from nestcut.model.job import Job
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Free, SheetLayout
from nestcut.tolerances import VERIFY_MM
from nestcut.tolerances.lengths import MISSED_MM
from nestcut.tolerances.likeness import KERF_SHARE
from nestcut.trade.shop import OFFCUT_MM, OFFCUTS_MOST
from nestcut.verify.findings import objection
from nestcut.verify.stock.offcuts import drawn_areas, holds_any, off_the_sheet
from nestcut.verify.stock.places import kerf_mm
from nestcut.verify.stock.room import Lines, Room
from nestcut.verify.stock.sheets import stocks_by_name

_LARGER = 1.1
"""Where as many are kept as are told of, one is missing that is so much larger than the least. [-]
The search takes the largest each time to a hundredth of its area."""
_WIDER = 1.04
"""Rectangles of one area are looked for in widths that grow by this. [-]"""


def check_missing(
    job: Job,
    layout: SheetLayout,
    pieces: dict[str, SheetPiece],
    reserves: Sequence[Free] = (),
) -> list[Finding]:
    """Check that no rectangle worth keeping is left of a sheet beside those that are kept.

    Where as many are kept as are told of at most, those may be left that are no larger, or than
    all but the one that holds what is kept in reserve.  The layout must stand, with what is kept of
    it.

    Parameters
    ----------
    pieces
        The plan's pieces by their ids.
    reserves
        Where something is said to be kept in reserve.
    """
    kerf = kerf_mm(job, stocks_by_name(job)[layout.stock])
    margin = MISSED_MM + 2.0 * (KERF_SHARE * max(kerf, layout.edge_trim_mm) + VERIFY_MM)
    kept = [box(*o.from_mm, *o.to_mm) for o in layout.offcuts]
    gone = np.asarray([*drawn_areas(layout, pieces), *kept], dtype=object)
    blocks = [
        *shapely.buffer(gone, kerf, join_style="mitre"),
        *(Polygon(k.points) for k in layout.keep_outs),
        *(off_the_sheet(layout) if layout.outline is not None else ()),
    ]
    least_mm2 = 0.0
    if len(kept) >= OFFCUTS_MOST.value:
        chosen = [
            k
            for k, o in zip(kept, layout.offcuts, strict=True)
            if not holds_any(layout, o, reserves)
        ]
        least_mm2 = _LARGER * min(k.area for k in chosen)
    sheet = _usable_box(layout)
    if sheet[0] >= sheet[2] or sheet[1] >= sheet[3]:
        return []
    room = Room(sheet, Lines.of(blocks))
    for width, height in _useful(least_mm2, margin, sheet[2] - sheet[0]):
        found = room.place_for(width, height)
        if found is not None:
            x0, y0, x1, y1 = found
            return [
                objection(
                    "VER-075",
                    f"sheet {layout.number}",
                    size=Size((x1 - x0, y1 - y0)),
                    at=Spot((x0, y0)),
                )
            ]
    return []


def _usable_box(layout: SheetLayout) -> tuple[float, float, float, float]:
    trim, ends = layout.edge_trim_mm, max(layout.edge_trim_mm, layout.end_trim_mm)
    return (ends, trim, layout.length_mm - ends, layout.width_mm - trim)


def _useful(least_mm2: float, margin: float, most: float) -> Iterator[tuple[float, float]]:
    """Widths and heights of the smallest rectangles that are worth keeping and have an area."""
    low, high = OFFCUT_MM.low + margin, OFFCUT_MM.high + margin
    if least_mm2 <= low * high:
        yield from ((low, high), (high, low))
        return
    steps = (low * _WIDER**k for k in range(1000))
    for width in takewhile(lambda w: w <= most, steps):
        yield width, max(least_mm2 / width, high if width < high else low)
