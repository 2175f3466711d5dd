"""Blanks: rectangles of a board from which parts are sawn; and what boards leave for them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import shapely
from shapely.geometry import Polygon

from nestcut.boards import Rest, RestsBy, clear_of_defects, rests_of
from nestcut.geometry.polygons import bounds_mm
from nestcut.geometry.pose import move_points
from nestcut.geometry.usable import whole_area
from nestcut.model.job import Job
from nestcut.model.part import RailPart
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import BoardCut, BoardLayout, Offcut, Plan, SheetLayout
from nestcut.model.pose import Placement
from nestcut.model.stock import BoardLength, BoardStock, SheetStock
from nestcut.planning.sawn.as_sheets import boards_as_sheets, name_board
from nestcut.sheets.left.offcuts import rectangles_left
from nestcut.tolerances import SAME_LENGTH_MM

Box = tuple[float, float, float, float]
"""From, to, rip from, rip to. [mm]"""


def clear_rests(
    job: Job, boards: Sequence[BoardLayout], by: RestsBy = RestsBy.AREA
) -> tuple[Rest, ...]:
    """Return what boards have left for blanks: nothing with a defect in it."""
    stocks = {b.name: b for b in job.board_stocks}
    offers = {b.number: _offer(stocks[b.stock], b) for b in boards}
    found = clear_of_defects(rests_of(job, boards, offers, by), job)
    by_number = {b.number: b for b in boards}
    found = tuple(
        cut
        for r in found
        if (cut := _off_the_ends(r, by_number[r.number], stocks[by_number[r.number].stock]))
    )
    lots = Counter([r.number for r in found] + [b.number for b in boards for _ in b.blanks])
    return tuple(
        _narrowed(r, job.cutting.on(r.stock).gap_mm) if lots[r.number] > 1 else r for r in found
    )


def _off_the_ends(rest: Rest, board: BoardLayout, stock: BoardStock) -> Rest | None:
    """A rest as far from the board's ends as sawn parts keep: by the trim of edges at least.

    None where nothing is left.
    """
    (offer,) = rest.stock.lengths
    low = max(rest.from_mm, stock.edge_trim_mm)
    high = min(rest.from_mm + offer.length_mm, board.length_mm - stock.edge_trim_mm)
    if high <= low:
        return None
    lengths = (replace(offer, length_mm=high - low),)
    return replace(rest, from_mm=low, stock=replace(rest.stock, lengths=lengths))


def _narrowed(rest: Rest, gap_mm: float) -> Rest:
    """A rest with the gap off all its sides: what is sawn from its neighbours lies a kerf away."""
    (offer,) = rest.stock.lengths
    return replace(
        rest,
        from_mm=rest.from_mm + gap_mm,
        rip_from_mm=rest.rip_from_mm + gap_mm,
        stock=replace(
            rest.stock,
            width_mm=rest.stock.width_mm - 2.0 * gap_mm,
            lengths=(replace(offer, length_mm=offer.length_mm - 2.0 * gap_mm),),
        ),
    )


def rests_as_sheets(rests: Sequence[Rest]) -> tuple[SheetStock, ...]:
    """Rests as sheets that lie there for nothing."""
    return tuple(
        replace(sheet, name=rest.stock.name, count=1, price_minor=0)
        for rest in rests
        for sheet in boards_as_sheets((rest.stock,))
    )


def put_on_boards(
    job: Job,
    pieces: dict[str, SheetPiece],
    boards: Sequence[BoardLayout],
    rests: Sequence[Rest],
    layouts: Sequence[SheetLayout],
) -> tuple[tuple[BoardLayout, ...], tuple[SheetLayout, ...]]:
    """Give what lies on rests its place on their boards, and all other layouts their boards' names.

    Parameters
    ----------
    pieces
        What is sawn, by ids.
    rests
        What the boards leave, as it was offered.

    Returns
    -------
    tuple of BoardLayout, tuple of SheetLayout
        The boards, with blanks where parts are sawn from rests, and one layout for each board that
        parts are sawn from.
    """
    by_name = {r.stock.name: r for r in rests}
    blanks: dict[int, list[BoardCut]] = {}
    lying: dict[int, list[Placement]] = {}
    own: list[SheetLayout] = []
    for layout in layouts:
        rest = by_name.get(layout.stock)
        if rest is None:
            own.append(name_board(layout, job.board_stocks))
            continue
        own_lie = moved(layout.placements, (rest.from_mm, rest.rip_from_mm))
        blanks.setdefault(rest.number, []).append(as_cut(box_of(pieces, own_lie)))
        lying.setdefault(rest.number, []).extend(own_lie)
    done = tuple(replace(b, blanks=(*b.blanks, *blanks.get(b.number, ()))) for b in boards)
    shared = (on_board(job, b, tuple(lying[b.number])) for b in done if b.number in lying)
    return done, (*shared, *own)


def moved(placements: Sequence[Placement], by: tuple[float, float]) -> tuple[Placement, ...]:
    """Shift placements. [mm]"""
    return tuple(
        replace(p, shift_mm=(p.shift_mm[0] + by[0], p.shift_mm[1] + by[1])) for p in placements
    )


def box_of(pieces: dict[str, SheetPiece], placements: Sequence[Placement]) -> Box:
    """Return the rectangle that pieces take where they lie. [mm]"""
    points = tuple(
        q for p in placements for q in move_points(pieces[p.piece].shape.outline.points, p)
    )
    x0, y0, x1, y1 = bounds_mm(points)
    return x0, x1, y0, y1


def as_cut(box: Box, piece: str = "") -> BoardCut:
    """Return a rectangle as something that is parted from a board."""
    return BoardCut(piece=piece, from_mm=box[0], to_mm=box[1], rip_from_mm=box[2], rip_to_mm=box[3])


def on_board(job: Job, board: BoardLayout, placements: tuple[Placement, ...]) -> SheetLayout:
    """A layout of sawn parts on a board of which something else is parted as well."""
    stock = next(b for b in job.board_stocks if b.name == board.stock)
    return SheetLayout(
        stock=board.stock,
        number=0,
        length_mm=board.length_mm,
        width_mm=board.width_mm,
        thickness_mm=board.thickness_mm,
        outline=None,
        edge_trim_mm=stock.edge_trim_mm,
        end_trim_mm=stock.end_trim_mm,
        keep_outs=stock.areas_of(_offer(stock, board).defects),
        placements=placements,
        board=board.number,
    )


def _offer(stock: BoardStock, board: BoardLayout) -> BoardLength:
    """What a board may have been sold as: that with most defects, all clear of what is cut."""
    return max(
        (
            o
            for o in stock.lengths
            if abs(o.length_mm - board.length_mm) < SAME_LENGTH_MM
            and all(
                c.to_mm <= d.from_mm + SAME_LENGTH_MM or c.from_mm >= d.to_mm - SAME_LENGTH_MM
                for c in board.taken
                for d in o.defects
            )
        ),
        key=lambda o: len(o.defects),
        default=BoardLength(length_mm=board.length_mm),
    )


def fit_blanks(
    boards: Sequence[BoardLayout],
    sheets: Sequence[SheetLayout],
    pieces: dict[str, SheetPiece],
) -> tuple[BoardLayout, ...]:
    """Return boards whose blanks are what their sawn parts need, and none that holds no part.

    Parameters
    ----------
    pieces
        What is sawn, by ids.
    """
    lying = {s.board: s for s in sheets if s.board}
    return tuple(
        replace(b, blanks=_fitted(b, lying[b.number], pieces) if b.number in lying else ())
        for b in boards
    )


def _fitted(
    board: BoardLayout, layout: SheetLayout, pieces: dict[str, SheetPiece]
) -> tuple[BoardCut, ...]:
    areas = [_area(box_of(pieces, (p,))) for p in layout.placements]
    areas += [shapely.box(*Polygon(k.points).bounds) for k in layout.spent]
    blanks = []
    for blank in board.blanks:
        box = _area((blank.from_mm, blank.to_mm, blank.rip_from_mm, blank.rip_to_mm))
        own = [a.intersection(box) for a in areas if box.contains(a.centroid)]
        if own:
            x0, y0, x1, y1 = shapely.union_all(own).bounds
            blanks.append(as_cut((x0, x1, y0, y1)))
    return tuple(blanks)


def _area(box: Box) -> Polygon:
    return shapely.box(box[0], box[2], box[1], box[3])


def boards_sawn_from(plan: Plan) -> tuple[BoardLayout, ...]:
    """Return boards of which only parts are sawn, as rails meet them: with one blank."""
    rails = {b.number for b in plan.boards}
    pieces = {p.id: p for p in plan.pieces}
    return tuple(
        BoardLayout(
            stock=s.stock,
            number=s.board,
            length_mm=s.length_mm,
            width_mm=s.width_mm,
            thickness_mm=s.thickness_mm,
            cuts=(),
            blanks=(as_cut(_taken(s, pieces)),),
        )
        for s in plan.sheets
        if s.board and s.board not in rails and (s.placements or s.spent)
    )


def _taken(layout: SheetLayout, pieces: dict[str, SheetPiece]) -> Box:
    areas = [_area(box_of(pieces, (p,))) for p in layout.placements]
    areas += [shapely.box(*Polygon(k.points).bounds) for k in layout.spent]
    x0, y0, x1, y1 = shapely.union_all(areas).bounds
    return x0, x1, y0, y1


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """A rectangle of a layout with the parts that are sawn from it."""

    name: str
    stock: BoardStock
    box: Box
    placements: tuple[Placement, ...]
    gap_mm: float
    """What parts of two blanks keep from each other besides the kerf."""

    @property
    def as_rail(self) -> RailPart:
        """It as boards are searched for it: a rail without joints."""
        return RailPart(
            name=self.name,
            material=self.stock.material,
            thickness_mm=self.stock.thickness_mm,
            width_mm=self.box[3] - self.box[2] + self.gap_mm,
            length_mm=self.box[1] - self.box[0] + self.gap_mm,
        )


def parted(
    pieces: dict[str, SheetPiece], placements: tuple[Placement, ...]
) -> list[tuple[Placement, ...]]:
    """Part a layout into as many lots as have rectangles of their own."""
    lots: list[tuple[Placement, ...]] = [(p,) for p in placements]
    while True:
        boxes = [box_of(pieces, lot) for lot in lots]
        pair = next(
            ((a, b) for a, b in combinations(range(len(lots)), 2) if _meet(boxes[a], boxes[b])),
            None,
        )
        if pair is None:
            return lots
        a, b = pair
        lots = [*(lot for k, lot in enumerate(lots) if k not in pair), (*lots[a], *lots[b])]


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[1] and other[0] < one[1] and one[2] < other[3] and other[2] < one[3]


def offcuts_on_board(
    job: Job, layout: SheetLayout, pieces: dict[str, SheetPiece]
) -> tuple[Offcut, ...]:
    """Return rectangles worth keeping of a board that only parts are sawn from.

    Parameters
    ----------
    pieces
        What is sawn, by ids.
    """
    usable = layout.usable(job.stock_named(layout.stock))
    gone = [
        Polygon(move_points(pieces[p.piece].shape.outline.points, p)) for p in layout.placements
    ]
    barred = [Polygon(k.points) for k in usable.barred]
    kerf_mm = job.cutting.on(job.stock_named(layout.stock)).kerf_mm
    return rectangles_left(whole_area(usable), gone, barred, kerf_mm)
