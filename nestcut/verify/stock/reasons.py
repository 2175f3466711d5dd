"""What proves a bound, as far as it can be worked out again: area, names, and what a proof means.

A bound by area is a sum, and is made again from the job's true shapes.  What a long search proved
(no ways of laying or sawing left) is that search's word: here it must only agree with itself.
"""

from __future__ import annotations

import math

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.errors import Finding
from nestcut.facts import Fact, Names
from nestcut.model.job import Job
from nestcut.model.part import CutFrom
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Bound, Counted, Plan
from nestcut.model.stock import SheetStock
from nestcut.tolerances.likeness import COUNTED_AREA_SHARE, FLATTENED_SHARE, SHOWN_SHEETS
from nestcut.tolerances.noise import SOLVER_SLACK
from nestcut.verify.findings import objection
from nestcut.verify.stock.places import clearance_mm
from nestcut.verify.truth import region

BY_AREA = {"SHT-117", "SHT-118"}
"""The pieces' area fills so many sheets; of the second less what is to hand can take."""
NO_TWO = {"SHT-114", "SHT-115"}
"""No two of the pieces named share a sheet."""
NOTHING_LESS = {"BRD-113"}
"""Whatever costs less was ruled out: the bound is what the plan takes."""
NOT_PROVEN = {"BRD-115"}
"""Nothing is claimed: the bound is nothing."""


def check_reasons(job: Job, plan: Plan) -> list[Finding]:
    """Check what bounds say of their proof, as far as that asks nothing of where pieces lie."""
    return [f for b in plan.bounds for f in _check(job, plan, b)]


def check_apart(job: Job, plan: Plan) -> list[Finding]:
    """Check of pieces that bounds call too large to share a sheet that none does."""
    return [
        objection("VER-072", b.name, what=what)
        for b in plan.bounds
        if b.reason is not None and b.reason.code in NO_TWO and _group(job, b)
        for what in _no_two(plan, b, b.reason)
    ]


def _check(job: Job, plan: Plan, bound: Bound) -> list[Finding]:
    reason = bound.reason
    code = "" if reason is None else reason.code
    found: list[str] = []
    if abs(bound.lower - round(bound.lower)) > SOLVER_SLACK:
        found.append("the least is no whole number")
    if code in NOTHING_LESS and not bound.is_proven_optimal:
        found.append("the least is less than what is used")
    if code in NOT_PROVEN and bound.lower > 0.0:
        found.append("the least isn't nothing")
    group = _group(job, bound)
    if group and bound.measure in {Counted.SHEETS, Counted.SHEETS_TO_BUY}:
        is_all_bought = all(s.count is None and s.held == 0 for s in group)
        if (bound.measure is Counted.SHEETS) != is_all_bought:
            found.append("what it counts")
    if reason is not None and group and code in BY_AREA:
        found += _by_area(job, plan, bound, reason, group)
    return [objection("VER-072", bound.name, what=what) for what in found]


def _group(job: Job, bound: Bound) -> list[SheetStock]:
    """Sheets of the material and thickness that a bound is of; none, if it is of boards."""
    own = [
        s for s in job.sheet_stocks if bound.name in {s.name, f"{s.material} {s.thickness_mm:g} mm"}
    ]
    return [
        s
        for s in job.sheet_stocks
        if own and (s.material, s.thickness_mm) == (own[0].material, own[0].thickness_mm)
    ]


def _by_area(
    job: Job, plan: Plan, bound: Bound, reason: Fact, group: list[SheetStock]
) -> list[str]:
    sold = [s for s in group if s.count is None]
    if len(sold) != 1:
        return ["the pieces' area fills sheets of several kinds"]
    stock = sold[0]
    clearance = clearance_mm(job, stock)
    room = _room_mm2(stock, clearance)
    pieces = [p for p in plan.pieces if _is_of(p, stock)]
    least = sum(_grown_mm2(p, 0.0, are_holes_used=True) for p in pieces) / room
    most = sum(_grown_mm2(p, clearance, are_holes_used=False) for p in pieces) / room
    if job.cutting.reserve_mm is not None:
        most += math.prod(side + clearance for side in job.cutting.reserve_mm) / room
    least, most = least * (1.0 - COUNTED_AREA_SHARE), most * (1.0 + FLATTENED_SHARE)
    found = []
    filled = _filled(reason)
    if not least - SHOWN_SHEETS <= filled <= most:
        found.append(f"the pieces' area fills {least:.2f} to {most:.2f} sheets, not {filled:g}")
    is_too_high = bound.lower > math.ceil(most)
    is_too_low = reason.code == "SHT-117" and bound.lower < math.ceil(least)
    if is_too_high or is_too_low:
        found.append(f"sheets by area: {math.ceil(least)} to {math.ceil(most)}")
    return found


def _filled(reason: Fact) -> float:
    """How many sheets a reason says are filled; not a number where it tells no figure."""
    told = dict(reason.values)["filled"]
    try:
        return float(told) if isinstance(told, int | float | str) else math.nan
    except ValueError:
        return math.nan


def _is_of(piece: SheetPiece, stock: SheetStock) -> bool:
    same = (piece.material, piece.thickness_mm) == (stock.material, stock.thickness_mm)
    return same and piece.cut_from is CutFrom.SHEET


def _room_mm2(stock: SheetStock, clearance: float) -> float:
    """What one sheet offers pieces grown by half the clearance. [mm2]"""
    whole = (
        Polygon(stock.outline)
        if stock.outline
        else shapely.box(0.0, 0.0, stock.length_mm, stock.width_mm)
    )
    usable: BaseGeometry = whole.buffer(clearance / 2.0 - stock.edge_trim_mm, join_style="mitre")
    for keep_out in stock.keep_outs:
        usable = usable.difference(Polygon(keep_out.points).buffer(-clearance / 2.0))
    return float(usable.area)


def _grown_mm2(piece: SheetPiece, clearance: float, *, are_holes_used: bool) -> float:
    area = region(piece.shape)
    grown = Polygon(area.exterior).buffer(clearance / 2.0, quad_segs=32).area
    return float(grown) - are_holes_used * sum(Polygon(h).area for h in area.interiors)


def _no_two(plan: Plan, bound: Bound, reason: Fact) -> list[str]:
    """Those named lie on sheets of their own, and are as many as the bound, unless cut short."""
    names = dict(reason.values)["names"]
    told = names.names if isinstance(names, Names) else ()
    lies = {p.piece: s.number for s in plan.sheets for p in s.placements}
    if len(set(told)) != len(told) or not set(told) <= set(lies):
        return ["pieces named that there aren't"]
    if len({lies[name] for name in told}) != len(told):
        return ["pieces share a sheet that no sheet can hold"]
    if reason.code == "SHT-114" and len(told) < bound.lower:
        return ["fewer pieces named than sheets counted"]
    return []
