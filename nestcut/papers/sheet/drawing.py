"""One sheet, or a window of it, drawn to scale with every label in its place.

Coordinates turn from mm on the sheet into mm on paper here and nowhere else.
"""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.geometry.usable import usable_area
from nestcut.model.curves import Point
from nestcut.model.stock import SheetStock
from nestcut.papers.draw import (
    Area,
    Block,
    BlockLine,
    Fill,
    Group,
    Item,
    Path,
    Pen,
    Placed,
    Weight,
    hatch,
    place_inside,
)
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.sheet.written.bevels import Rank, bar_bevels, draw_bevels
from nestcut.papers.sheet.written.ground import Ground
from nestcut.papers.sheet.written.joint_marks import end_marks
from nestcut.papers.sheet.written.line_names import draw_centre_lines
from nestcut.papers.sheet.written.piece_labels import SHORT_SIZES, label_pieces
from nestcut.papers.sheet.written.stance_marks import draw_stances, draw_waiting
from nestcut.papers.view import Figures, Keep, PlacedPiece, SheetView, is_trim_line, turn_word
from nestcut.tolerances.looks import WINDOW_MM

WASTE_SPACING_MM = 2.4
BESIDE_MM = 0.8
"""Dashes so near a line that is sawn would be taken for it. [mm on paper]"""
DASHES_MM = 2.0
"""Shorter dashed lines than this show nothing. [mm on paper]"""
LINE_MM = 0.2
"""Half of what a line takes that writing keeps off. [mm on paper]"""


@dataclass(frozen=True)
class DrawnSheet:
    """A drawn sheet: its items, which pieces have only a number, and which have nothing."""

    items: tuple[Item, ...]
    shown: tuple[int, ...]
    keyed: tuple[int, ...]
    lost: tuple[int, ...]
    unmarked: int
    """How many arrows and lines have no name."""


def draw_sheet(
    sheet: SheetView,
    frame: SheetFrame,
    figures: Figures,
    room: Polygon,
    wanted: frozenset[int] | None = None,
    keeps: tuple[Keep, ...] = (),
) -> DrawnSheet:
    """Draw everything that lies on the sheet; edge figures and titles are the page's work.

    Parameters
    ----------
    sheet
        The sheet.
    frame
        Scale, place and window.
    figures
        How lengths are printed.
    room
        Where numbered circles may go, on paper.
    wanted
        Pieces that must be told apart here; others get a label only where it fits. None: all.
    keeps
        Offcuts in the order in which they come off.
    """
    window = frame.paper_window
    board = Ground()
    shown = tuple(p for p in sheet.placed if p.polygon.intersects(box(*frame.window)))
    _ground(sheet, frame, window, board)
    for placed in sheet.placed:
        if placed in shown:
            board.items.append(_outline(placed, frame, window))
    _seams(sheet, frame, window, board)
    _edge(sheet, frame, window, board)
    _keeps(keeps, sheet, frame, window, figures, board)
    _barred_labels(sheet, frame, window, board)
    must = frozenset(p.number for p in shown) if wanted is None else wanted
    rank = Rank.NUMBER if wanted is None else Rank.BEVELS
    bar_bevels(shown, frame, board)
    draw_centre_lines(shown, frame, window, board)
    draw_bevels(shown, frame, window, must, rank, board)
    waiting = draw_stances(shown, frame, window, figures, board)
    label_pieces(shown, frame, window, figures, room, must, board)
    draw_waiting(waiting, frame, window, board)
    return DrawnSheet(
        tuple(board.items),
        tuple(p.number for p in shown),
        tuple(board.keyed),
        tuple(board.lost),
        len(board.unmarked),
    )


def _ground(sheet: SheetView, frame: SheetFrame, window: Polygon, board: Ground) -> None:
    """Hatch what is wasted, cross-hatch what must not be used."""
    whole = frame.shape(Polygon(sheet.outline)).intersection(window)
    pieces = [frame.shape(p.polygon) for p in sheet.placed]
    spare = [frame.shape(box(*o.from_mm, *o.to_mm)) for o in sheet.layout.offcuts]
    board.kept += spare
    barred = shapely.union_all([frame.shape(Polygon(k.points)) for k in sheet.layout.barred])
    waste = whole.difference(shapely.union_all([*pieces, *spare, barred]))
    board.items.append(hatch(waste, spacing_mm=WASTE_SPACING_MM))
    barred = barred.intersection(whole)
    board.marked += [] if barred.is_empty else [barred]
    for angle in (45.0, 135.0):
        board.items.append(hatch(barred, spacing_mm=1.2, angle_deg=angle, pen=Pen.DENSE))
    board.items.extend(_edges_of(barred, Pen.FRAME))


def _edges_of(area: BaseGeometry, pen: Pen) -> list[Item]:
    parts = [p for p in shapely.get_parts(area) if isinstance(p, Polygon) and not p.is_empty]
    return [Area(_ring(p.exterior), pen=pen) for p in parts]


def _lines_of(line: BaseGeometry, pen: Pen) -> list[Item]:
    """The open lines of a geometry, whatever else it holds."""
    parts = [p for p in shapely.get_parts(line) if p.geom_type == "LineString" and not p.is_empty]
    return [Path(tuple((float(x), float(y)) for x, y in p.coords), pen) for p in parts]


def _ring(line: BaseGeometry) -> tuple[Point, ...]:
    return tuple((float(c[0]), float(c[1])) for c in line.coords[:-1])


def _outline(placed: PlacedPiece, frame: SheetFrame, window: Polygon) -> Group:
    """A piece's own lines: outline, holes, marks and joint ends."""
    items: list[Item] = []
    whole = frame.shape(placed.polygon)
    if window.contains(whole):
        items.append(
            Area(
                frame.points(placed.shape.outline.points),
                tuple(frame.points(h.points) for h in placed.shape.holes),
                Pen.CUT,
                Fill.NONE,
            )
        )
    else:
        items.extend(_lines_of(whole.boundary.intersection(window), Pen.CUT))
    for mark in placed.shape.marks:
        if len(mark.points) > 1:
            line = shapely.LineString(frame.points(mark.points))
            pen = Pen.LATER if is_trim_line(mark) else Pen.MARK
            items.extend(_lines_of(line.intersection(window), pen))
    for end in placed.ends:
        items.extend(end_marks(placed, end, frame.scale, frame.origin, window))
    return Group(placed.piece.id, "outline", tuple(items))


def _seams(sheet: SheetView, frame: SheetFrame, window: Polygon, board: Ground) -> None:
    """Middles of the scarfs of sheets that were joined before marking out."""
    if isinstance(sheet.stock, SheetStock):
        for x in sheet.stock.seams_mm:
            line = shapely.LineString([(x, 0.0), (x, sheet.layout.width_mm)])
            board.items.extend(_lines_of(frame.shape(line).intersection(window), Pen.HIDDEN))


def _edge(sheet: SheetView, frame: SheetFrame, window: Polygon, board: Ground) -> None:
    """The sheet's edge, its trim line, and the marking-out corner."""
    trim = frame.shape(usable_area(sheet.usable)).intersection(window)
    whole = frame.shape(Polygon(sheet.outline))
    if sheet.usable.is_trimmed:
        board.items.extend(_edges_of(trim, Pen.TRIM))
        board.marked.append(trim.boundary.buffer(LINE_MM))
    board.items.extend(_lines_of(whole.boundary.intersection(window.buffer(WINDOW_MM)), Pen.STOCK))


def _keeps(
    keeps: tuple[Keep, ...],
    sheet: SheetView,
    frame: SheetFrame,
    window: Polygon,
    figures: Figures,
    board: Ground,
) -> None:
    """Offcuts with name and size; the line at which one comes off first is a saw cut.

    Dashes stand only where an offcut's edge lies in waste: beside a line that is sawn they would
    make it look like a kind of its own.
    """
    edges = [frame.shape(p.polygon).boundary for p in sheet.placed]
    edges.append(frame.shape(Polygon(sheet.outline)).boundary)
    edges += [first_cut(k, frame) for k in keeps if k.cut_mm is not None]
    sawn = shapely.union_all(edges).buffer(BESIDE_MM, cap_style="flat")
    for turn, keep in enumerate(keeps):
        spare = keep.offcut
        area = frame.shape(box(*spare.from_mm, *spare.to_mm)).intersection(window)
        if keep.cut_mm is not None:
            board.items.extend(_lines_of(first_cut(keep, frame).intersection(window), Pen.CUT))
        else:
            free = shapely.line_merge(area.boundary.intersection(window).difference(sawn))
            board.items.extend(i for i in _lines_of(free, Pen.KEEP) if _is_seen(i))
        board.marked.append(area.boundary.buffer(LINE_MM))
        size = figures.stock(*keep.size_mm)
        lines = (BlockLine(keep.name, Weight.BOLD), BlockLine(size, share=0.8))
        one = (BlockLine(f"{keep.name} {size}"),)
        bare = (BlockLine(keep.name, Weight.BOLD),)
        first = (BlockLine(turn_word(turn), Weight.BOLD),) if keep.cut_mm is not None else ()
        blocks = (
            *((Block((*lines, *first), SHORT_SIZES),) if first else ()),
            Block(lines, SHORT_SIZES),
            Block(one, (3.3, 3.2)),
            Block(bare, (3.2,)),
        )
        placed = place_inside(area.buffer(-0.3), blocks, (0.0, 90.0))
        if placed:
            _write(placed, board)


def first_cut(keep: Keep, frame: SheetFrame) -> shapely.LineString:
    """Line of a cut before all others, from edge to edge of its offcut, on paper."""
    (x0, y0), (x1, y1) = keep.offcut.from_mm, keep.offcut.to_mm
    at = keep.cut_mm or 0.0
    ends = ((at, y0), (at, y1)) if keep.is_across else ((x0, at), (x1, at))
    return shapely.LineString(frame.points(ends))


def _is_seen(item: Item) -> bool:
    """Whether a line of dashes is long enough to be one."""
    return isinstance(item, Path) and shapely.LineString(item.points).length > DASHES_MM


def _barred_labels(sheet: SheetView, frame: SheetFrame, window: Polygon, board: Ground) -> None:
    """What must not be used, with its reason where it has room; the legend has it besides."""
    for keep_out in sheet.layout.barred:
        area = frame.shape(Polygon(keep_out.points)).intersection(window)
        block = Block((BlockLine(keep_out.reason),), (3.2,))
        placed = place_inside(area, (block,), (0.0, 90.0))
        if placed:
            corners = tuple((float(x), float(y)) for x, y in placed.box.exterior.coords[:-1])
            board.items.append(Area(corners, pen=None, fill=Fill.PAPER))
            _write(placed, board)


def _write(placed: Placed, board: Ground) -> None:
    board.items.extend(placed.texts())
    board.taken.append(placed.box)
