"""Do rail pieces come out of their boards: in length, in width, with kerf, clear of defects?"""

from __future__ import annotations

from dataclasses import replace

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.piece import RailPiece
from nestcut.model.plan import BoardCut, BoardLayout
from nestcut.model.stock import BoardLength, BoardStock
from nestcut.tolerances import SAME_LENGTH_MM, VERIFY_MM
from nestcut.verify.findings import exact, objection
from nestcut.verify.stock.places import kerf_mm
from nestcut.verify.stock.sheets import check_empty


def check_boards(
    job: Job,
    layouts: tuple[BoardLayout, ...],
    pieces: dict[str, RailPiece],
    begun: frozenset[str | int] = frozenset(),
) -> list[Finding]:
    """Check every board from which rails are cut.

    Whether cuts right through part its pieces is asked of boards that nothing is cut from yet: of
    others some wood is gone.

    Parameters
    ----------
    pieces
        The plan's rail pieces by their ids.
    begun
        Ids of pieces that are cut, and numbers of boards that a part is sawn from already.
    """
    stocks = {s.name: s for s in job.board_stocks}
    found = check_empty(layouts, "board", dict(stocks))
    for layout in layouts:
        stock = stocks.get(layout.stock)
        where = f"board {layout.number}"
        if stock is None or not _is_on_sale(layout, stock):
            found.append(objection("VER-030", where, stock=layout.stock))
            continue
        known = [c for c in layout.cuts if c.piece in pieces]
        found += [
            objection("VER-031", c.piece, board=layout.number)
            for c in layout.cuts
            if c.piece not in pieces
        ]
        for cut in known:
            found += _check_cut(cut, pieces[cut.piece], layout, stock)
        blanks = [replace(b, piece=f"blank {k}") for k, b in enumerate(layout.blanks, start=1)]
        for blank in blanks:
            found += _check_lie(blank, layout, stock)
        found += _check_knots([*known, *blanks], layout, stock)
        apart = _check_kerf(kerf_mm(job, stock), [*known, *blanks, *layout.spent], layout.number)
        found += apart
        is_begun = layout.spent or layout.number in begun or any(c.piece in begun for c in known)
        if not (apart or is_begun or _comes_apart([*known, *blanks], kerf_mm(job, stock))):
            found.append(objection("VER-067", where))
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
    """One piece: material, section, length, and whether it lies within the trims."""
    found: list[Finding] = []
    across = cut.rip_to_mm - cut.rip_from_mm
    section = _sawn(piece)
    cut_section = sorted((across, stock.thickness_mm))
    if piece.material != stock.material or any(
        abs(a - b) > VERIFY_MM for a, b in zip(section, cut_section, strict=True)
    ):
        strip = f"{across:.2f} x {stock.thickness_mm:.2f} mm {stock.material}"
        needs = f"{section[1]:.2f} x {section[0]:.2f} mm {piece.material}"
        found.append(objection("VER-032", piece.id, board=layout.number, has=strip, needs=needs))
    if abs(cut.to_mm - cut.from_mm - piece.length_mm) > VERIFY_MM:
        told = exact(cut.to_mm - cut.from_mm)
        found.append(
            objection(
                "VER-033", piece.id, board=layout.number, has=told, needs=exact(piece.length_mm)
            )
        )
    return found + _check_lie(cut, layout, stock)


def _check_lie(cut: BoardCut, layout: BoardLayout, stock: BoardStock) -> list[Finding]:
    """What is parted from a board lies within its trims."""
    if (
        cut.from_mm < stock.end_trim_mm - VERIFY_MM
        or cut.to_mm > layout.length_mm - stock.end_trim_mm + VERIFY_MM
        or cut.rip_from_mm < stock.edge_trim_mm - VERIFY_MM
        or cut.rip_to_mm > layout.width_mm - stock.edge_trim_mm + VERIFY_MM
    ):
        return [objection("VER-034", cut.piece, board=layout.number)]
    return []


def _check_knots(cuts: list[BoardCut], layout: BoardLayout, stock: BoardStock) -> list[Finding]:
    """All that is cut from a board is clear of the defects of one that can be had."""
    through = [
        [c for c in cuts if not _is_clear(c, b)] for b in stock.lengths if _is_length(b, layout)
    ]
    return [objection("VER-035", c.piece, board=layout.number) for c in min(through, key=len)]


def _sawn(piece: RailPiece) -> list[float]:
    """Both sides of a piece as they come off the saw, the lesser first. [mm]

    Of the sides that the board is no thinner than, the greater one is planed down.
    """
    sides = sorted((piece.thickness_mm, piece.width_mm))
    board = piece.planed_from_mm
    if board is None:
        return sides
    planed = 1 if sides[1] <= board else 0
    return sorted((board, sides[1 - planed]))


def is_clear_of(layout: BoardLayout, length: BoardLength) -> bool:
    """Whether everything cut from a board is clear of the defects of one of these."""
    return all(_is_clear(cut, length) for cut in (*layout.cuts, *layout.blanks))


def _is_length(length: BoardLength, layout: BoardLayout) -> bool:
    return abs(length.length_mm - layout.length_mm) < SAME_LENGTH_MM


def _is_clear(cut: BoardCut, length: BoardLength) -> bool:
    return all(
        cut.to_mm <= d.from_mm + VERIFY_MM or cut.from_mm >= d.to_mm - VERIFY_MM
        for d in length.defects
    )


def _comes_apart(cuts: list[BoardCut], kerf: float) -> bool:
    """Whether cuts from side to side, a kerf wide, part the pieces, whatever is parted first."""
    waiting = [[((c.from_mm, c.to_mm), (c.rip_from_mm, c.rip_to_mm)) for c in cuts]]
    while waiting:
        block = waiting.pop()
        if len(block) <= 1:
            continue
        for way in (0, 1):
            at = next((x for x in {c[way][1] for c in block} if _parts(block, way, x, kerf)), None)
            if at is not None:
                waiting.append([c for c in block if c[way][1] <= at + VERIFY_MM])
                waiting.append([c for c in block if c[way][1] > at + VERIFY_MM])
                break
        else:
            return False
    return True


Box = tuple[tuple[float, float], tuple[float, float]]
"""From and to, along and across. [mm]"""


def _parts(block: list[Box], way: int, at: float, kerf: float) -> bool:
    """Whether a cut at ``at`` leaves every piece whole, and some on either side."""
    beyond = [c for c in block if c[way][1] > at + VERIFY_MM]
    return bool(beyond) and all(c[way][0] >= at + kerf - VERIFY_MM for c in beyond)


def _check_kerf(kerf: float, cuts: list[BoardCut], board: int) -> list[Finding]:
    """Any two pieces are a kerf apart, along or across."""
    need = kerf - VERIFY_MM
    found: list[Finding] = []
    for number, first in enumerate(cuts):
        for second in cuts[number + 1 :]:
            along = max(second.from_mm - first.to_mm, first.from_mm - second.to_mm)
            across = max(second.rip_from_mm - first.rip_to_mm, first.rip_from_mm - second.rip_to_mm)
            if max(along, across) < need:
                found.append(objection("VER-036", first.piece, board=board, other=second.piece))
    return found
