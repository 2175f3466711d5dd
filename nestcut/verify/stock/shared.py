"""Boards that parts are sawn from: their numbers, and what rails on the same board leave for them.

A board has one number, whatever comes of it.  Where rails are cut from it as well, parts are sawn
from rectangles (blanks) that are parted from it as the rails are; a blank is what its parts need.
"""

from __future__ import annotations

from itertools import pairwise

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.plan import BoardCut, BoardLayout, Plan, SheetLayout
from nestcut.tolerances import FLATNESS_MM, SAME_LENGTH_MM, VERIFY_MM
from nestcut.verify.findings import objection
from nestcut.verify.stock.places import is_near, kerf_mm, placed_regions


def check_shared(job: Job, plan: Plan) -> list[Finding]:
    """Check numbers of boards over rails and sawn parts, and each blank against its parts."""
    wood = {b.name: b for b in job.board_stocks}
    rails = {b.number: b for b in plan.boards}
    sawn = [s for s in plan.sheets if s.stock in wood]
    found = _check_numbers(plan, sawn)
    found += [
        objection("VER-045", f"sheet {s.number}", needs=0)
        for s in plan.sheets
        if s.stock not in wood and s.board
    ]
    for layout in sawn:
        board = rails.get(layout.board)
        if board is not None:
            found += _check_blanks(job, plan, layout, board)
            found += _check_keeps(kerf_mm(job, wood[layout.stock]), layout, board)
    known = {s.board for s in sawn}
    found += [
        objection("VER-071", f"board {b.number}", board=b.number)
        for b in plan.boards
        if b.blanks and b.number not in known
    ]
    return found


def _check_numbers(plan: Plan, sawn: list[SheetLayout]) -> list[Finding]:
    """Every number from 1 on is a board's, rising; rails' boards and sawn ones have it once."""
    found: list[Finding] = [
        objection("VER-045", f"board {b.number}", needs=a.number)
        for a, b in pairwise(plan.boards)
        if b.number < a.number
    ]
    numbers = {b.number for b in plan.boards} | {s.board for s in sawn}
    wanted = set(range(1, len(numbers) + 1))
    free = sorted(wanted - numbers)
    for what, each in (
        ("board", [b.number for b in plan.boards]),
        ("sawn board", [s.board for s in sawn]),
    ):
        found += [
            objection("VER-045", f"{what} {n}", needs=free[0] if free else len(wanted))
            for k, n in enumerate(each)
            if n not in wanted or n in each[:k]
        ]
    return found


def _check_blanks(job: Job, plan: Plan, layout: SheetLayout, board: BoardLayout) -> list[Finding]:
    """Each part lies in one blank, and no blank is larger than its parts."""
    if board.stock != layout.stock or abs(board.length_mm - layout.length_mm) > SAME_LENGTH_MM:
        return [objection("VER-071", f"board {board.number}", board=board.number)]
    pieces = {p.id: p for p in plan.pieces}
    known = [p for p in layout.placements if p.piece in pieces]
    areas: list[tuple[str, BaseGeometry]] = [
        (p.piece, area) for p, area in zip(known, placed_regions(known, pieces), strict=True)
    ]
    boxes = [shapely.box(c.from_mm, c.rip_from_mm, c.to_mm, c.rip_to_mm) for c in board.blanks]
    lies = [
        next((k for k, b in enumerate(boxes) if b.buffer(VERIFY_MM).covers(area)), None)
        for _, area in areas
    ]
    # what is spoilt is drawn coarsely, and may stand out of its blank by as much
    spent = [
        (k, b.intersection(Polygon(s.points)))
        for s in layout.spent
        for k, b in enumerate(boxes)
        if b.contains(Polygon(s.points).centroid)
    ]
    found = [
        objection("VER-068", piece, board=board.number)
        for (piece, _), k in zip(areas, lies, strict=True)
        if k is None
    ]
    if found:
        return found
    slack = max(job.cutting.flatness_mm, FLATNESS_MM) + VERIFY_MM
    for k, blank in enumerate(board.blanks):
        own = [area for (_, area), lie in zip(areas, lies, strict=True) if lie == k]
        own += [area for lie, area in spent if lie == k]
        if not own or not _is_tight(blank, shapely.union_all(own).bounds, slack):
            found.append(objection("VER-070", f"board {board.number}", number=k + 1))
    return found


def _check_keeps(kerf: float, layout: SheetLayout, board: BoardLayout) -> list[Finding]:
    """What is kept of a board is left by its rails and blanks as well, a kerf from each."""
    taken = [
        shapely.box(c.from_mm, c.rip_from_mm, c.to_mm, c.rip_to_mm)
        for c in (*board.cuts, *board.blanks, *board.spent)
    ]
    return [
        objection("VER-047", f"sheet {layout.number}", number=number)
        for number, offcut in enumerate(layout.offcuts, start=1)
        if any(is_near(shapely.box(*offcut.from_mm, *offcut.to_mm), t, kerf) for t in taken)
    ]


def _is_tight(blank: BoardCut, box: tuple[float, float, float, float], slack: float) -> bool:
    sides = (blank.from_mm, blank.rip_from_mm, blank.to_mm, blank.rip_to_mm)
    return all(abs(a - b) <= slack for a, b in zip(sides, box, strict=True))
