"""One sheet, or a window of it, drawn to scale with every label in its place.

Coordinates turn from mm on the sheet into mm on paper here and nowhere else.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import shapely
from shapely import affinity
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.model.curves import Point
from nestcut.reports.diagram import (
    Anchor,
    Area,
    Disc,
    Fill,
    Group,
    Item,
    Path,
    Pen,
    Text,
)
from nestcut.reports.figures import Figures
from nestcut.reports.fonts import Weight, text_width_mm
from nestcut.reports.hatching import hatch
from nestcut.reports.joint_marks import end_marks, label_area
from nestcut.reports.label_places import Block, BlockLine, Placed, place_balloon, place_inside
from nestcut.reports.piece_words import bevel_words, warnings_for, which_one
from nestcut.reports.rows import PlacedPiece, SheetView
from nestcut.reports.usage import usable_area

NAME_SIZES = (6.5, 5.5, 4.8, 4.2, 3.7, 3.3, 3.0)
SHORT_SIZES = (4.2, 3.7, 3.3, 3.0, 2.7)
NUMBER_SIZES = (4.0, 3.4, 2.9, 2.5)
BOX_SPARE, BOX_GAP = 0.4, 0.35
"""Spare room inside the number's frame, and between it and the name, per font size."""
BALLOON_MM = 2.3
WHOLE = 0.98
"""A piece of which less than this share is in the window gets a number at most."""
WASTE_SPACING_MM = 2.4


@dataclass(frozen=True)
class SheetFrame:
    """Where a sheet lies on paper: ``origin`` is its marking-out corner, ``scale`` 10 for 1:10.

    ``window`` is the stretch that is shown, in mm on the sheet: (x0, y0, x1, y1).
    """

    scale: float
    origin: Point
    window: tuple[float, float, float, float]

    def x(self, x_mm: float) -> float:
        """Place on paper of a distance along the sheet. [mm]"""
        return self.origin[0] + x_mm / self.scale

    def y(self, y_mm: float) -> float:
        """Place on paper of a distance across the sheet. [mm]"""
        return self.origin[1] + y_mm / self.scale

    def point(self, p: Point) -> Point:
        """Place on paper of a point."""
        return (self.x(p[0]), self.y(p[1]))

    def points(self, points: tuple[Point, ...]) -> tuple[Point, ...]:
        """Places on paper of points."""
        return tuple(self.point(p) for p in points)

    def shape(self, geometry: BaseGeometry) -> BaseGeometry:
        """A geometry on paper."""
        k = 1.0 / self.scale
        return affinity.affine_transform(geometry, [k, 0.0, 0.0, k, *self.origin])

    @property
    def paper_window(self) -> Polygon:
        """The window on paper."""
        x0, y0, x1, y1 = self.window
        return box(self.x(x0), self.y(y0), self.x(x1), self.y(y1))


@dataclass(frozen=True)
class DrawnSheet:
    """A drawn sheet: its items, which pieces have only a number, and which have nothing."""

    items: tuple[Item, ...]
    shown: tuple[int, ...]
    keyed: tuple[int, ...]
    lost: tuple[int, ...]


@dataclass
class _Board:
    """What is on the paper so far; used inside this module only, while one sheet is drawn."""

    items: list[Item] = field(default_factory=list)
    taken: list[BaseGeometry] = field(default_factory=list)
    keyed: list[int] = field(default_factory=list)
    lost: list[int] = field(default_factory=list)


def draw_sheet(
    sheet: SheetView,
    frame: SheetFrame,
    figures: Figures,
    room: Polygon,
    wanted: frozenset[int] | None = None,
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
    """
    window = frame.paper_window
    board = _Board()
    shown = tuple(p for p in sheet.placed if p.polygon.intersects(box(*frame.window)))
    _ground(sheet, frame, window, board)
    for placed in sheet.placed:
        if placed in shown:
            board.items.append(_outline(placed, frame, window))
    _edge(sheet, frame, window, board)
    _spare_labels(sheet, frame, window, figures, board)
    must = frozenset(p.number for p in shown) if wanted is None else wanted
    _piece_labels(shown, frame, window, figures, room, must, board)
    return DrawnSheet(
        tuple(board.items),
        tuple(p.number for p in shown),
        tuple(board.keyed),
        tuple(board.lost),
    )


def _ground(sheet: SheetView, frame: SheetFrame, window: Polygon, board: _Board) -> None:
    """Hatch what is wasted, cross-hatch what must not be used."""
    whole = frame.shape(Polygon(sheet.outline)).intersection(window)
    pieces = [frame.shape(p.polygon) for p in sheet.placed]
    spare = [frame.shape(box(*o.from_mm, *o.to_mm)) for o in sheet.layout.offcuts]
    barred = shapely.union_all([frame.shape(Polygon(k.points)) for k in sheet.layout.keep_outs])
    waste = whole.difference(shapely.union_all([*pieces, *spare, barred]))
    board.items.append(hatch(waste, spacing_mm=WASTE_SPACING_MM))
    barred = barred.intersection(whole)
    for angle in (45.0, 135.0):
        board.items.append(hatch(barred, spacing_mm=1.2, angle_deg=angle, pen=Pen.DENSE))
    board.items.extend(_edges_of(barred, Pen.FRAME))


def _edges_of(area: BaseGeometry, pen: Pen) -> list[Item]:
    parts = [p for p in shapely.get_parts(area) if isinstance(p, Polygon) and not p.is_empty]
    return [Area(_ring(p.exterior), pen=pen) for p in parts]


def _lines_of(line: BaseGeometry, pen: Pen) -> list[Item]:
    """The open lines of a geometry, whatever else it holds."""
    parts = [p for p in shapely.get_parts(line) if p.geom_type == "LineString"]
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
            items.extend(_lines_of(line.intersection(window), Pen.MARK))
    for end in placed.ends:
        items.extend(end_marks(placed, end, frame.scale, frame.origin, window))
    return Group(placed.piece.id, "outline", tuple(items))


def _edge(sheet: SheetView, frame: SheetFrame, window: Polygon, board: _Board) -> None:
    """The sheet's edge, its trim line, and the marking-out corner."""
    trim = frame.shape(usable_area(sheet)).intersection(window)
    whole = frame.shape(Polygon(sheet.outline))
    if sheet.layout.edge_trim_mm > 0 or sheet.layout.end_trim_mm > 0:
        board.items.extend(_edges_of(trim, Pen.TRIM))
    board.items.extend(_lines_of(whole.boundary.intersection(window.buffer(0.01)), Pen.STOCK))


def _spare_labels(
    sheet: SheetView, frame: SheetFrame, window: Polygon, figures: Figures, board: _Board
) -> None:
    """Offcuts with size and what to do with them; keep-outs with their reason."""
    for spare in sheet.layout.offcuts:
        area = frame.shape(box(*spare.from_mm, *spare.to_mm)).intersection(window)
        board.items.extend(_edges_of(area, Pen.KEEP))
        length = spare.to_mm[0] - spare.from_mm[0]
        width = spare.to_mm[1] - spare.from_mm[1]
        lines = (
            BlockLine("KEEP", Weight.BOLD),
            BlockLine(figures.pair(length, width), share=0.8),
        )
        one = (BlockLine(f"KEEP {figures.pair(length, width)}"),)
        blocks = (Block(lines, SHORT_SIZES), Block(one, (3.3, 3.0, 2.6)))
        placed = place_inside(area.buffer(-0.3), blocks, (0.0, 90.0))
        if placed:
            _write(placed, board)
    for keep_out in sheet.layout.keep_outs:
        area = frame.shape(Polygon(keep_out.points)).intersection(window)
        block = Block((BlockLine(keep_out.reason),), (3.0, 2.6, 2.3))
        placed = place_inside(area, (block,), (0.0, 90.0))
        if placed:
            corners = tuple((float(x), float(y)) for x, y in placed.box.exterior.coords[:-1])
            board.items.append(Area(corners, pen=None, fill=Fill.PAPER))
            _write(placed, board)


def _write(placed: Placed, board: _Board) -> None:
    board.items.extend(placed.texts())
    board.taken.append(placed.box)


def _piece_labels(
    shown: tuple[PlacedPiece, ...],
    frame: SheetFrame,
    window: Polygon,
    figures: Figures,
    room: Polygon,
    must: frozenset[int],
    board: _Board,
) -> None:
    shapes = {p.number: frame.shape(p.polygon) for p in shown}
    late: list[PlacedPiece] = []
    for placed in shown:
        whole = shapes[placed.number]
        free = whole.intersection(window)
        if free.area < WHOLE * whole.area:
            late.append(placed)
            continue
        ends = [label_area(placed, end, frame.scale, frame.origin) for end in placed.ends]
        free = free.difference(shapely.union_all(ends)) if ends else free
        free = free.buffer(-0.35)
        label = place_inside(free, _blocks(placed, figures))
        if label is None:
            late.append(placed)
            continue
        board.items.append(
            Group(placed.piece.id, "label", (*_number_box(placed, label), *label.texts()))
        )
        board.taken.append(label.box)
    for placed in late:
        if not _number_inside(placed, shapes, window, board) and placed.number in must:
            _number_outside(placed, shapes, window, room, board)


def _blocks(placed: PlacedPiece, figures: Figures) -> tuple[Block, ...]:
    """What to write on a piece, fullest first."""
    name = BlockLine(placed.piece.id, Weight.BOLD)
    which = which_one(placed)
    size = figures.pair(*placed.size_mm)
    warn = tuple(BlockLine(w, Weight.BOLD, 0.62) for w in warnings_for(placed))
    bevels = tuple(BlockLine(f"bevel: {b}", share=0.55) for b in bevel_words(placed))
    second = (BlockLine(which, Weight.BOLD, 0.75),) if which else ()
    third = (BlockLine(size, share=0.7),)
    lead = _number_width(placed.number) + BOX_GAP
    return (
        Block((name, *second, *third, *warn, *bevels), NAME_SIZES[:-1], lead),
        Block((name, *second, *third, *warn), NAME_SIZES, lead),
        Block((name, *second, *warn), SHORT_SIZES, lead),
        Block((name, *warn), SHORT_SIZES, lead),
    )


def _number_width(number: int) -> float:
    """Width of a number's frame per font size."""
    return text_width_mm(str(number), 10.0, Weight.BOLD) / 10.0 + BOX_SPARE


def _number_box(placed: PlacedPiece, label: Placed) -> tuple[Item, ...]:
    """The piece's number in a small frame before its name."""
    width, height = label.block.extent(label.size_mm)
    text = str(placed.number)
    wide = _number_width(placed.number) * label.size_mm
    left = -width / 2 + 0.6
    middle = height / 2 - 0.6 - label.size_mm * 0.65
    half = label.size_mm * 0.56
    corners = (
        label.local(left, middle - half),
        label.local(left + wide, middle - half),
        label.local(left + wide, middle + half),
        label.local(left, middle + half),
    )
    at = label.local(left + wide / 2, middle)
    return (
        Area(corners, pen=Pen.FRAME),
        Text(text, at, label.size_mm, Weight.BOLD, Anchor.MIDDLE, label.angle_deg),
    )


def _number_inside(
    placed: PlacedPiece, shapes: dict[int, BaseGeometry], window: Polygon, board: _Board
) -> bool:
    """A bare number in a small piece; the table tells the rest. Whether there was room."""
    whole = shapes[placed.number]
    free = whole.intersection(window)
    block = Block((BlockLine(str(placed.number), Weight.BOLD),), NUMBER_SIZES)
    inside = place_inside(free.buffer(0.1), (block,), (0.0, 90.0))
    if inside is None:
        return False
    if free.area >= WHOLE * whole.area:
        board.keyed.append(placed.number)
    board.items.append(Group(placed.piece.id, "label", inside.texts()))
    board.taken.append(inside.box)
    return True


def _number_outside(
    placed: PlacedPiece,
    shapes: dict[int, BaseGeometry],
    window: Polygon,
    room: Polygon,
    board: _Board,
) -> None:
    """A number in a circle beside a tiny piece, with a leader to it."""
    whole = shapes[placed.number]
    free = whole.intersection(window)
    if not isinstance(free, Polygon) or free.area < WHOLE * whole.area:
        return
    board.keyed.append(placed.number)
    others = [s for n, s in shapes.items() if n != placed.number]
    balloon = place_balloon(free, others, board.taken, room, BALLOON_MM)
    if balloon is None:
        board.lost.append(placed.number)
        return
    number = Text(str(placed.number), balloon.centre, 2.7, Weight.BOLD, Anchor.MIDDLE)
    leader = Path((balloon.centre, balloon.foot), Pen.THIN)
    dot = Disc(balloon.foot, 0.35, None, Fill.INK)
    circle = Disc(balloon.centre, balloon.radius_mm)
    board.items.append(Group(placed.piece.id, "label", (leader, dot, circle, number)))
    board.taken.append(Spot(balloon.centre).buffer(balloon.radius_mm + 0.3))
    board.taken.append(shapely.LineString([balloon.centre, balloon.foot]).buffer(0.2))


def corner_mark(frame: SheetFrame) -> tuple[Item, ...]:
    """The marking-out corner: a black triangle outside the sheet, pointing into the corner."""
    x, y = frame.origin
    corners = ((x, y), (x - 4.2, y - 1.6), (x - 1.6, y - 4.2))
    return (Area(corners, pen=None, fill=Fill.INK),)
