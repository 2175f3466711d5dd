"""Whether a job can be planned at all: pieces plainly larger than their stock, named beforehand.

Only the plain case is judged here, by boxes and in an instant; what fits by its box but not in
truth is found when sheets are laid out.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import shapely

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Length, Size
from nestcut.geometry.polygons import to_polygon
from nestcut.geometry.usable import usable_area
from nestcut.joints.kinds import KINDS
from nestcut.model.job import Job
from nestcut.model.joint import JointAxis, JointRule
from nestcut.model.part import CutFrom, Grain, RailPart, SheetPart, Turning
from nestcut.model.piece import SheetPiece
from nestcut.model.stock import SheetGrain, SheetStock
from nestcut.planning.long_rails import rails_without_boards
from nestcut.planning.pieces import divide
from nestcut.planning.sawn.as_sheets import boards_as_sheets
from nestcut.tolerances import SAME_LENGTH_MM, VERIFY_MM

_STEP_DEG = 0.5
"""Turns are tried this far apart; the slack below makes up for those between. [deg]"""


def find_misfits(job: Job) -> tuple[Finding, ...]:
    """Name every piece whose box exceeds all its stock, and joints that forbid a plan.

    Of parts with free joints it is judged whether joints that way can help at all.
    """
    return (*find_oversize(job), *refuse_joints(job))


def find_oversize(job: Job) -> tuple[Finding, ...]:
    """Name every piece whose box exceeds all its stock; the job may have open questions yet.

    Of a part that a joint would help it is asked how it is joined, once.  Rails that no board gives
    are named too, and sheets that are listed twice.
    """
    findings: list[Finding] = []
    boards = boards_as_sheets(job.board_stocks)
    for cut_from, stocks in ((CutFrom.SHEET, job.sheet_stocks), (CutFrom.BOARD, boards)):
        for part in job.sheet_parts:
            rule = part.joint
            if part.cut_from is not cut_from:
                continue
            if rule is not None and rule.at_mm is None:
                findings += _too_wide(part, rule, stocks)
                continue
            if rule is None and (asked := _too_long(part, stocks)) is not None:
                findings.append(asked)
                continue
            made = divide(part, () if rule is None else rule.at_mm or ())
            findings += made.findings
            for piece in made.pieces:
                fitting = [s for s in stocks if _is_of(piece, s)]
                if piece.copy == 1 and fitting and not any(_box_fits(piece, s) for s in fitting):
                    findings.append(_misfit(piece, fitting))
    return (*findings, *rails_without_boards(job), *_twins(job.sheet_stocks))


def _twins(stocks: tuple[SheetStock, ...]) -> tuple[Finding, ...]:
    """Say where a sheet to buy stands in two tables that differ by the name alone."""
    told = []
    for k, stock in enumerate(stocks):
        like = (s for s in stocks[:k] if replace(s, name=stock.name) == stock)
        twin = next(like, None) if stock.is_to_buy else None
        if twin is not None and twin.name != stock.name:
            values = {"name": stock.name, "other": twin.name}
            told.append(finding("JOB-118", Severity.WARNING, stock.name, **values))
    return tuple(told)


def _too_long(part: SheetPart, stocks: tuple[SheetStock, ...]) -> Finding | None:
    """Ask how a part is joined that is longer than all its stock, and narrow enough for some."""
    piece = divide(part, ()).pieces[0]
    fitting = [s for s in stocks if _is_of(piece, s)]
    if not fitting or any(_box_fits(piece, s) for s in fitting):
        return None
    x0, y0, x1, y1 = to_polygon(piece.shape).bounds
    sides = (x1 - x0, y1 - y0)
    rule = JointRule(axis=JointAxis.LENGTH if sides[0] >= sides[1] else JointAxis.WIDTH)
    longest = max(s.length_mm for s in fitting)
    if max(sides) <= longest or not any(
        min(sides) <= _room_across(piece, rule, s) + VERIFY_MM for s in fitting
    ):
        return None
    return finding(
        "JNT-116",
        Severity.QUESTION,
        part.name,
        part=part.name,
        length=Length(max(sides)),
        longest=Length(longest),
    )


def _too_wide(
    part: SheetPart, rule: JointRule, stocks: tuple[SheetStock, ...]
) -> tuple[Finding, ...]:
    """Name a part that no number of joints brings onto its stock: it is too wide across them."""
    if part.width_along_mm is not None:
        return ()
    piece = divide(part, ()).pieces[0]
    x0, y0, x1, y1 = to_polygon(piece.shape).bounds
    across = y1 - y0 if rule.axis is JointAxis.LENGTH else x1 - x0
    fitting = [s for s in stocks if _is_of(piece, s)]
    if not fitting or any(across <= _room_across(piece, rule, s) + VERIFY_MM for s in fitting):
        return ()
    other = JointAxis.WIDTH if rule.axis is JointAxis.LENGTH else JointAxis.LENGTH
    return (
        finding(
            "JNT-114",
            Severity.ERROR,
            part.name,
            part=part.name,
            across=Length(across),
            axis=rule.axis.value,
            other=other.value,
        ),
    )


def _room_across(piece: SheetPiece, rule: JointRule, stock: SheetStock) -> float:
    """Greatest width across the joints' row of pieces that lies on a sheet at an allowed turn."""
    usable = usable_area(stock.usable)
    if usable.is_empty:
        return 0.0
    x0, y0, x1, y1 = usable.bounds
    if piece.turning is Turning.FREE:
        return math.hypot(x1 - x0, y1 - y0)
    lies_across = rule.axis is JointAxis.WIDTH
    rooms = []
    for turn in _turns_deg(piece, stock):
        is_turned = abs(math.sin(math.radians(float(turn)))) > math.sqrt(0.5)
        rooms.append(x1 - x0 if is_turned != lies_across else y1 - y0)
    return max(rooms)


def refuse_joints(job: Job) -> tuple[Finding, ...]:
    """Return what forbids a plan whatever the stock: joints of rails, neighbours that aren't."""
    return (*refuse_rail_joints(job.rail_parts), *unknown_neighbours(job))


def unknown_neighbours(job: Job) -> tuple[Finding, ...]:
    """Name what joints are to be staggered with although no part is called so."""
    parts: tuple[SheetPart | RailPart, ...] = (*job.sheet_parts, *job.rail_parts)
    names = {p.name for p in parts}
    return tuple(
        finding("JNT-113", Severity.ERROR, part.name, name=name)
        for part in parts
        if part.joint is not None
        for name in part.joint.stagger_with
        if name not in names
    )


def refuse_rail_joints(rails: tuple[RailPart, ...]) -> tuple[Finding, ...]:
    """Refuse joints that rails aren't made with, and say why.

    A butt of end grain holds a quarter of the wood's strength at best (USDA Wood Handbook,
    FPL-GTR-190, ch. 10, End-Grain Joints); that a strap makes a bent rail kink beside it is common
    practice, no source.
    """
    return tuple(
        finding(why.value, Severity.ERROR, rail.name)
        for rail in rails
        if rail.joint is not None and (why := KINDS[rail.joint.kind].no_rail) is not None
    )


def _is_of(piece: SheetPiece, stock: SheetStock) -> bool:
    return (
        piece.material == stock.material
        and abs(piece.thickness_mm - stock.thickness_mm) < SAME_LENGTH_MM
    )


def _box_fits(piece: SheetPiece, stock: SheetStock) -> bool:
    """Whether the piece's box fits the usable sheet at some allowed turn, with slack."""
    corners = shapely.get_coordinates(to_polygon(piece.shape).convex_hull)
    angles = np.radians(_turns_deg(piece, stock))
    usable = usable_area(stock.usable)
    if usable.is_empty:
        return False
    x0, y0, x1, y1 = usable.bounds
    along = corners @ np.stack([np.cos(angles), -np.sin(angles)])
    across = corners @ np.stack([np.sin(angles), np.cos(angles)])
    reach = float(shapely.minimum_bounding_radius(to_polygon(piece.shape)))
    turns = piece.turning in {Turning.SMALL, Turning.FREE}
    slack = VERIFY_MM + (2.0 * reach * math.radians(_STEP_DEG) if turns else 0.0)
    fits = (np.ptp(along, axis=0) <= x1 - x0 + slack) & (np.ptp(across, axis=0) <= y1 - y0 + slack)
    return bool(fits.any())


def _turns_deg(piece: SheetPiece, stock: SheetStock) -> np.ndarray:
    if piece.turning is Turning.FREE:
        return np.arange(0.0, 180.0, _STEP_DEG)
    base = {Grain.ALONG: [0.0], Grain.ACROSS: [90.0], Grain.ANY: [0.0, 90.0]}[piece.grain]
    if stock.grain is SheetGrain.ALONG_WIDTH:
        base = [b + 90.0 for b in base]
    base = [b - piece.grain_deg for b in base]
    if piece.turning is not Turning.SMALL:
        return np.array(base)
    span = np.arange(-piece.small_angle_deg, piece.small_angle_deg + _STEP_DEG, _STEP_DEG)
    return np.concatenate([b + span for b in base])


def _misfit(piece: SheetPiece, stocks: list[SheetStock]) -> Finding:
    x0, y0, x1, y1 = to_polygon(piece.shape).bounds
    largest = max(stocks, key=lambda s: (s.length_mm * s.width_mm, s.name))
    return finding(
        "JOB-019",
        Severity.ERROR,
        piece.part,
        piece=piece.id,
        size=Size((x1 - x0, y1 - y0)),
        largest=Size((largest.length_mm, largest.width_mm)),
    )
