"""Do rail pieces come out of their boards: in length, in width, with kerf, clear of defects?"""

from __future__ import annotations

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.piece import RailPiece
from nestcut.model.plan import BoardCut, BoardLayout
from nestcut.model.stock import BoardLength, BoardStock
from nestcut.tolerances import SAME_LENGTH_MM, VERIFY_MM
from nestcut.verify.findings import objection


def check_boards(
    job: Job, layouts: tuple[BoardLayout, ...], pieces: dict[str, RailPiece]
) -> list[Finding]:
    """Check every board from which rails are cut."""
    stocks = {s.name: s for s in job.board_stocks}
    found: list[Finding] = []
    for layout in layouts:
        stock = stocks.get(layout.stock)
        where = f"board {layout.number}"
        if stock is None or not _is_on_sale(layout, stock):
            message = f"no such board ('{layout.stock}', {layout.length_mm:.1f} mm)."
            found.append(objection("VER-030", where, message))
            continue
        known = [c for c in layout.cuts if c.piece in pieces]
        found += [
            objection("VER-031", c.piece, f"unknown piece on {where}.")
            for c in layout.cuts
            if c.piece not in pieces
        ]
        for cut in known:
            found += _check_cut(cut, pieces[cut.piece], layout, stock)
        found += _check_kerf(job, stock, [*known, *layout.spent], where)
    return found


def _is_on_sale(layout: BoardLayout, stock: BoardStock) -> bool:
    return (
        abs(layout.width_mm - stock.width_mm) < SAME_LENGTH_MM
        and abs(layout.thickness_mm - stock.thickness_mm) < SAME_LENGTH_MM
        and any(abs(layout.length_mm - b.length_mm) < SAME_LENGTH_MM for b in stock.lengths)
    )


def _check_cut(
    cut: BoardCut, piece: RailPiece, layout: BoardLayout, stock: BoardStock
) -> list[Finding]:
    """One piece: material, section, length, edges, defects."""
    where = f"board {layout.number}"
    found: list[Finding] = []
    across = cut.rip_to_mm - cut.rip_from_mm
    section = sorted((piece.thickness_mm, piece.width_mm))
    cut_section = sorted((across, stock.thickness_mm))
    if piece.material != stock.material or any(
        abs(a - b) > VERIFY_MM for a, b in zip(section, cut_section, strict=True)
    ):
        message = (
            f"{where}: a strip of {across:.2f} x {stock.thickness_mm:.2f} mm {stock.material} "
            f"isn't {piece.width_mm:.2f} x {piece.thickness_mm:.2f} mm {piece.material}."
        )
        found.append(objection("VER-032", piece.id, message))
    if abs(cut.to_mm - cut.from_mm - piece.length_mm) > VERIFY_MM:
        message = f"{where}: {cut.to_mm - cut.from_mm:.2f} mm cut, {piece.length_mm:.2f} needed."
        found.append(objection("VER-033", piece.id, message))
    if (
        cut.from_mm < stock.end_trim_mm - VERIFY_MM
        or cut.to_mm > layout.length_mm - stock.end_trim_mm + VERIFY_MM
        or cut.rip_from_mm < stock.edge_trim_mm - VERIFY_MM
        or cut.rip_to_mm > layout.width_mm - stock.edge_trim_mm + VERIFY_MM
    ):
        found.append(objection("VER-034", piece.id, f"{where}: it leaves the board or its trim."))
    if not any(_is_clear(cut, b) for b in stock.lengths if _is_length(b, layout)):
        found.append(objection("VER-035", piece.id, f"{where}: it contains a defect."))
    return found


def _is_length(length: BoardLength, layout: BoardLayout) -> bool:
    return abs(length.length_mm - layout.length_mm) < SAME_LENGTH_MM


def _is_clear(cut: BoardCut, length: BoardLength) -> bool:
    return all(
        cut.to_mm <= d.from_mm + VERIFY_MM or cut.from_mm >= d.to_mm - VERIFY_MM
        for d in length.defects
    )


def _check_kerf(job: Job, stock: BoardStock, cuts: list[BoardCut], where: str) -> list[Finding]:
    """Any two pieces are a kerf apart, along or across."""
    need = job.cutting.on(stock).kerf_mm - VERIFY_MM
    found: list[Finding] = []
    for number, first in enumerate(cuts):
        for second in cuts[number + 1 :]:
            along = max(second.from_mm - first.to_mm, first.from_mm - second.to_mm)
            across = max(second.rip_from_mm - first.rip_to_mm, first.rip_from_mm - second.rip_to_mm)
            if max(along, across) < need:
                message = f"{where}: no kerf between it and {second.piece}."
                found.append(objection("VER-036", first.piece, message))
    return found
