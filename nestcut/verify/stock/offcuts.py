"""Rectangles to keep: are they really left over, and as large as they may be?"""

from __future__ import annotations

from shapely import STRtree, dwithin
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Offcut, SheetLayout
from nestcut.tolerances import FLATNESS_MM, VERIFY_MM
from nestcut.tolerances.likeness import KERF_SHARE
from nestcut.verify.findings import objection
from nestcut.verify.stock.places import is_inside, kerf_mm, placed_regions, reaches_in
from nestcut.verify.stock.sheets import stocks_by_name

_ROOM_MM = 2.0
"""A rectangle to keep with so much room beside a whole side was drawn too small. [mm]"""


def check_offcuts(
    job: Job, layouts: tuple[SheetLayout, ...], pieces: dict[str, SheetPiece]
) -> list[Finding]:
    """Check the rectangles to keep on sheets whose layout stands.

    Parameters
    ----------
    pieces
        The plan's pieces by their ids.
    """
    stocks = stocks_by_name(job)
    found = []
    for layout in layouts:
        stock = stocks[layout.stock]
        kerf = kerf_mm(job, stock)
        noise = max(job.cutting.flatness_mm, FLATNESS_MM) + KERF_SHARE * kerf + VERIFY_MM
        taken: list[BaseGeometry] = list(placed_regions(list(layout.placements), pieces))
        taken += [Polygon(k.points) for k in layout.spent]  # sawn out as well, kerf and all
        tree = STRtree(taken)
        for number, offcut in enumerate(layout.offcuts):
            others = [_area(o) for k, o in enumerate(layout.offcuts) if k != number]
            if not _is_left(layout, offcut, taken, tree, others, kerf, noise):
                found.append(objection("VER-047", f"sheet {layout.number}", number=number + 1))
    return found


def _area(offcut: Offcut) -> BaseGeometry:
    return box(*offcut.from_mm, *offcut.to_mm)


def _is_left(
    layout: SheetLayout,
    offcut: Offcut,
    taken: list[BaseGeometry],
    tree: STRtree,
    others: list[BaseGeometry],
    kerf: float,
    noise: float,
) -> bool:
    """``noise``: how far outlines may be drawn outside true curves when offcuts are sought. [mm]"""
    (x0, y0), (x1, y1) = offcut.from_mm, offcut.to_mm
    if not (x1 > x0 and y1 > y0):
        return False

    def is_free(area: BaseGeometry, slack: float) -> bool:
        near = tree.query(area.buffer(kerf + 1.0, join_style="mitre"))
        blocks = [taken[int(i)] for i in near] + others
        return (
            is_inside(layout, area)
            and not any(_is_near(area, b, kerf - slack) for b in blocks)
            and not any(reaches_in(area, Polygon(k.points)) for k in layout.keep_outs)
        )

    if not is_free(box(x0, y0, x1, y1), VERIFY_MM):
        return False
    wider = (
        box(x0 - _ROOM_MM, y0, x1, y1),
        box(x0, y0 - _ROOM_MM, x1, y1),
        box(x0, y0, x1 + _ROOM_MM, y1),
        box(x0, y0, x1, y1 + _ROOM_MM),
    )
    # Along an edge that hardly slopes any rectangle is wider within the slack: no slack here.
    return not any(_is_truly_inside(layout, area) and is_free(area, -noise) for area in wider)


def _is_truly_inside(layout: SheetLayout, area: BaseGeometry) -> bool:
    return layout.outline is None or bool(Polygon(layout.outline).covers(area))


def _is_near(area: BaseGeometry, block: BaseGeometry, limit: float) -> bool:
    return reaches_in(area, block) if limit <= 0.0 else bool(dwithin(area, block, limit))
