"""Do flat pieces lie where they may: inside, apart, off the knots, with the grain, face up?"""

from __future__ import annotations

import math

from shapely import STRtree, unary_union
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.errors import Finding
from nestcut.model.job import CuttingRules, Job
from nestcut.model.part import CutFrom, Faces, Grain, HoleUse, Turning
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Lie, Placement, SheetLayout
from nestcut.model.stock import BoardLength, BoardStock, GoodFaces, SheetGrain, SheetStock
from nestcut.tolerances import AREA_MM2, SAME_LENGTH_MM, VERIFY_MM
from nestcut.verify.findings import objection
from nestcut.verify.outlines import placed_polygon

_TURN_SLACK_DEG = 1e-6


def check_sheets(
    job: Job, layouts: tuple[SheetLayout, ...], pieces: dict[str, SheetPiece]
) -> list[Finding]:
    """Check every layout with flat pieces on it."""
    stocks: dict[str, SheetStock | BoardStock] = {s.name: s for s in job.board_stocks}
    stocks.update({s.name: s for s in job.sheet_stocks})
    found: list[Finding] = []
    for layout in layouts:
        stock = stocks.get(layout.stock)
        if stock is None:
            where = f"sheet {layout.number}"
            found.append(objection("VER-020", where, f"no stock is named '{layout.stock}'."))
            continue
        found += _check_stock(layout, stock)
        known = [p for p in layout.placements if p.piece in pieces]
        found += [
            objection("VER-021", p.piece, f"unknown piece on sheet {layout.number}.")
            for p in layout.placements
            if p.piece not in pieces
        ]
        for placement in known:
            found += _check_lie(pieces[placement.piece], placement, layout, stock)
        found += _check_places(job.cutting.on(stock), layout, known, pieces)
    return found


def _check_stock(layout: SheetLayout, stock: SheetStock | BoardStock) -> list[Finding]:
    """The layout's sheet is one that can be had."""
    where = f"sheet {layout.number}, {layout.stock}"
    if isinstance(stock, BoardStock):
        same = (
            any(_is_offer(layout, offer) for offer in stock.lengths)
            and abs(layout.width_mm - stock.width_mm) < SAME_LENGTH_MM
            and layout.edge_trim_mm >= stock.edge_trim_mm - SAME_LENGTH_MM
            and layout.end_trim_mm >= stock.end_trim_mm - SAME_LENGTH_MM
        )
    else:
        same = (
            abs(layout.length_mm - stock.length_mm) < SAME_LENGTH_MM
            and abs(layout.width_mm - stock.width_mm) < SAME_LENGTH_MM
            and layout.outline == stock.outline
            and layout.keep_outs == stock.keep_outs
            and layout.edge_trim_mm >= stock.edge_trim_mm - SAME_LENGTH_MM
        )
    if not same or abs(layout.thickness_mm - stock.thickness_mm) > SAME_LENGTH_MM:
        return [objection("VER-020", where, "its size, trim or keep-outs aren't the stock's.")]
    return []


def _is_offer(layout: SheetLayout, offer: BoardLength) -> bool:
    """Whether a board is of this length, with each of its defects kept out."""
    kept = unary_union([Polygon(k.points) for k in layout.keep_outs])
    return abs(layout.length_mm - offer.length_mm) < SAME_LENGTH_MM and all(
        kept.buffer(VERIFY_MM).covers(box(d.from_mm, 0.0, d.to_mm, layout.width_mm))
        for d in offer.defects
    )


def _check_lie(
    piece: SheetPiece,
    placement: Placement,
    layout: SheetLayout,
    stock: SheetStock | BoardStock,
) -> list[Finding]:
    """Material, thickness, face and turn of one placement."""
    found: list[Finding] = []
    if (
        piece.material != stock.material
        or abs(piece.thickness_mm - layout.thickness_mm) > SAME_LENGTH_MM
    ):
        message = f"it needs {piece.material} {piece.thickness_mm:g} mm, not '{layout.stock}'."
        found.append(objection("VER-022", piece.id, message))
    wanted = CutFrom.BOARD if isinstance(stock, BoardStock) else CutFrom.SHEET
    if piece.cut_from is not wanted:
        message = f"it is to be cut from a {piece.cut_from}."
        found.append(objection("VER-022", piece.id, message))
    both = isinstance(stock, SheetStock) and stock.good_faces is GoodFaces.BOTH
    if placement.lie is Lie.FACE_DOWN and piece.faces is not Faces.EITHER and not both:
        found.append(objection("VER-023", piece.id, "it lies with its good face down."))
    if not _may_turn(piece, placement, stock):
        message = f"turned {placement.turn_deg:g} degrees against its grain or turning rule."
        found.append(objection("VER-024", piece.id, message))
    return found


def _may_turn(piece: SheetPiece, placement: Placement, stock: SheetStock | BoardStock) -> bool:
    """Whether the turn keeps the piece's grain rule.

    Grain along means that the drawing's x axis lies along the sheet's face grain, to within the
    turning allowed. On a sheet with its grain across, everything is a quarter turn further.
    A piece of a band along a curve has its grain turned by its own angle, the other way face down.
    """
    if piece.turning is Turning.FREE and piece.grain is Grain.ANY:
        return math.isfinite(placement.turn_deg)
    across = isinstance(stock, SheetStock) and stock.grain is SheetGrain.ALONG_WIDTH
    base = {Grain.ALONG: [0.0], Grain.ACROSS: [90.0], Grain.ANY: [0.0, 90.0]}[piece.grain]
    if across:
        base = [b + 90.0 for b in base]
    if piece.grain is Grain.ACROSS or across:
        # A quarter turn either way puts the grain right; which way is the same as a half turn.
        base = [*base, *(b + 180.0 for b in base)]
    if piece.turning is not Turning.NONE:
        base = [*base, *(b + 180.0 for b in base)]
    if piece.turning is Turning.QUARTER:
        base = [*base, *(b + 90.0 for b in base)]
    slack = _TURN_SLACK_DEG
    if piece.turning in {Turning.SMALL, Turning.FREE}:
        slack += piece.small_angle_deg
    own = piece.grain_deg if placement.lie is Lie.FACE_UP else -piece.grain_deg
    turn = placement.turn_deg + own
    return any(abs((turn - b + 180.0) % 360.0 - 180.0) <= slack for b in base)


def _check_places(
    rules: CuttingRules,
    layout: SheetLayout,
    placements: list[Placement],
    pieces: dict[str, SheetPiece],
) -> list[Finding]:
    """Inside the usable sheet, off the keep-outs, and apart from each other."""
    where = f"sheet {layout.number}"
    outlines = [placed_polygon(pieces[p.piece].shape, p) for p in placements]
    usable = _usable(layout).buffer(VERIFY_MM)
    blocked = [(k, Polygon(k.points)) for k in layout.barred]
    found: list[Finding] = []
    for placement, outline in zip(placements, outlines, strict=True):
        if not usable.covers(outline):
            out = outline.difference(usable).area
            message = f"{where}: it leaves the sheet or its trim by {out:.1f} mm2."
            found.append(objection("VER-025", placement.piece, message))
        for keep_out, area in blocked:
            if outline.intersection(area).area > AREA_MM2:
                message = f"{where}: it lies on a keep-out ({keep_out.reason})."
                found.append(objection("VER-026", placement.piece, message))
    need = rules.clearance_mm
    tree = STRtree(outlines)
    for first, outline in enumerate(outlines):
        for second in sorted(
            int(i) for i in tree.query(outline, predicate="dwithin", distance=need)
        ):
            if second <= first:
                continue
            apart = outline.distance(outlines[second])
            if apart < need - VERIFY_MM or outline.intersects(outlines[second]):
                message = (
                    f"{where}: {apart:.2f} mm from {placements[second].piece}, "
                    f"{need:.2f} mm is needed."
                )
                found.append(objection("VER-027", placements[first].piece, message))
    return found + _check_holes(layout, placements, outlines, pieces)


def _check_holes(
    layout: SheetLayout,
    placements: list[Placement],
    outlines: list[Polygon],
    pieces: dict[str, SheetPiece],
) -> list[Finding]:
    """Nothing is cut from a hole whose material is wanted whole."""
    found: list[Finding] = []
    for host, outline in zip(placements, outlines, strict=True):
        if not outline.interiors or pieces[host.piece].hole_use is HoleUse.USE:
            continue
        filled = [Polygon(ring) for ring in outline.interiors]
        for guest, other in zip(placements, outlines, strict=True):
            if guest is not host and any(hole.covers(other) for hole in filled):
                message = f"sheet {layout.number}: in a hole of {host.piece} that is to be kept."
                found.append(objection("VER-028", guest.piece, message))
    return found


def _usable(layout: SheetLayout) -> BaseGeometry:
    """The sheet less its trim. [mm]"""
    whole: BaseGeometry = (
        box(0.0, 0.0, layout.length_mm, layout.width_mm)
        if layout.outline is None
        else Polygon(layout.outline)
    )
    usable = (
        whole.buffer(-layout.edge_trim_mm, join_style="mitre") if layout.edge_trim_mm else whole
    )
    if layout.end_trim_mm:
        ends = box(layout.end_trim_mm, 0.0, layout.length_mm - layout.end_trim_mm, layout.width_mm)
        usable = usable.intersection(ends)
    return usable
