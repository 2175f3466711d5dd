"""Pages of boards: several to a page, lengths to scale, what to rip and where to cross-cut."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from nestcut.model.curves import Point
from nestcut.model.joint import Face
from nestcut.papers.draw import (
    MARGIN_MM,
    SCALES,
    Area,
    Block,
    BlockLine,
    Drawing,
    Figure,
    Fill,
    Group,
    Item,
    Path,
    Pen,
    Text,
    Weight,
    along_bottom,
    along_left,
    depth_mm,
    figure_text,
    hatch,
    merged,
    moved,
    place_inside,
    rectangle,
    wrap,
)
from nestcut.papers.page import FOOT_MM, HEAD_MM, PageMaker, scale_bar, scale_text, title
from nestcut.papers.view import MIN_KEPT_END_MM, BoardPiece, BoardView, Figures, code_of, which_rail

HIGHEST_MM = 26.0
"""A board is drawn at most this wide, at a scale of its own across. [mm on paper]"""
LOWEST_STRIP_MM = 7.7
"""The narrowest strip is drawn at least this wide, so that its name fits, and a joint's in two
lines. [mm on paper]"""
NAME_MM = 6.0
"""Room for a board's name above it. [mm on paper]"""
AT_END_MM = 0.25
"""Nearer the end or edge than this needs no figure. [mm]"""
KEY_MM = 2.8
"""Font size of names that had no room in their piece. [mm on paper]"""


def board_pages(boards: Sequence[BoardView], maker: PageMaker) -> tuple[Drawing, ...]:
    """Boards of one section together, in their order, as many to a page as fit."""
    pages: list[Drawing] = []
    group: list[BoardView] = []
    for board in boards:
        if group and group[-1].layout.stock != board.layout.stock:
            pages.extend(_pages_of(group, maker))
            group = []
        group.append(board)
    if group:
        pages.extend(_pages_of(group, maker))
    return tuple(pages)


def board_drawing(board: BoardView, maker: PageMaker) -> Drawing:
    """One board alone, as its own file."""
    pages = _pages_of([board], maker)
    return pages[0]


def _pages_of(boards: Sequence[BoardView], maker: PageMaker) -> list[Drawing]:
    page = maker.page
    left = max(_left_depth(b, maker.figures) for b in boards)
    width = page.width_mm - 2 * MARGIN_MM - left - 4.0
    longest = max(b.layout.length_mm for b in boards)
    scale = next((s for s in SCALES[maker.paper] if longest / s <= width), SCALES[maker.paper][-1])
    top = page.height_mm - MARGIN_MM - HEAD_MM - 1.0
    floor = MARGIN_MM + FOOT_MM + 10.0
    pages: list[Drawing] = []
    items: list[Item] = []
    first, y = boards[0].index, top
    for board in boards:
        need, drawn = _board(board, (MARGIN_MM + left, 0.0), scale, maker)
        if items and y - need < floor:
            pages.append(_finished(items, boards[0], (first, board.index - 1), scale, maker))
            items, first, y = [], board.index, top
        items.extend(moved(drawn, 0.0, y))
        y -= need
    pages.append(_finished(items, boards[0], (first, boards[-1].index), scale, maker))
    return pages


def _finished(
    items: list[Item], board: BoardView, numbers: tuple[int, int], scale: float, maker: PageMaker
) -> Drawing:
    page, layout, figures = maker.page, board.layout, maker.figures
    first, last = numbers
    name = f"Board {first}" if first == last else f"Boards {first} to {last}"
    kerf = figures.fine(maker.view.verified.job.cutting.on(board.stock).kerf_mm)
    facts = [
        board.material,
        f"section {figures.thickness(layout.thickness_mm)} x {figures.thickness(layout.width_mm)}",
        f"kerf {kerf}: saw on the hatched side of the line",
        "rip first, then cross-cut",
        "measure from the black end",
        "(1,3): nos. that begin or end there, + more",
    ]
    head = title(page, name, layout.stock, "  ·  ".join(f for f in facts if f), scale_text(scale))
    at = (page.width_mm - MARGIN_MM - 78.0, MARGIN_MM + FOOT_MM + 1.0)
    words = (
        "Lengths to scale, widths wider. Pencil GOOD on one face of each piece. Hatched: slope to "
        "plane on the face named."
    )
    note = Text(words, (MARGIN_MM, MARGIN_MM + FOOT_MM + 2.0), 2.8)
    bar = scale_bar(at, scale, figures, 74.0)
    caption = f"{name}, {layout.stock}, drawn 1:{scale:g}"
    return Drawing(page.width_mm, page.height_mm, (*head, *items, note, *bar), caption)


def _height(board: BoardView) -> float:
    """Height of a board on paper: narrow strips decide, within reason. [mm]"""
    narrow = min(
        [c.cut.rip_to_mm - c.cut.rip_from_mm for c in board.cuts], default=board.layout.width_mm
    )
    wanted = board.layout.width_mm * LOWEST_STRIP_MM / max(narrow, 1.0)
    return min(max(wanted, LOWEST_STRIP_MM), HIGHEST_MM)


def _cross_figures(board: BoardView, figures: Figures) -> list[tuple[Figure, str]]:
    """Cross-cuts: both ends of every piece, from the board's marked end, and whose they are."""
    ends = merged([(v, c.number) for c in board.cuts for v in (c.cut.from_mm, c.cut.to_mm)])
    return [(f, figure_text(f, figures.size)) for f in ends if f.at_mm > AT_END_MM]


def _rip_figures(board: BoardView, figures: Figures) -> list[tuple[Figure, str]]:
    edges = sorted({round(v, 3) for c in board.cuts for v in (c.cut.rip_from_mm, c.cut.rip_to_mm)})
    return [(Figure(v, ()), figures.size(v)) for v in edges if v > AT_END_MM]


def _below_depth(board: BoardView, figures: Figures) -> float:
    return depth_mm([t for _, t in _cross_figures(board, figures)])


def _left_depth(board: BoardView, figures: Figures) -> float:
    return depth_mm([t for _, t in _rip_figures(board, figures)]) + 1.0


def _board(
    board: BoardView, top_left: Point, scale: float, maker: PageMaker
) -> tuple[float, tuple[Item, ...]]:
    """One board below ``top_left``; the height that it takes, and its items. [mm on paper]"""
    layout, figures = board.layout, maker.figures
    high = _height(board)
    across = high / layout.width_mm
    left, low = top_left[0], top_left[1] - NAME_MM - high

    def x(mm: float) -> float:
        return left + mm / scale

    def y(mm: float) -> float:
        return low + mm * across

    length = layout.length_mm / scale
    items: list[Item] = [_name(board, (left, top_left[1] - NAME_MM / 2), figures)]
    cut_boxes = {
        c.number: box(x(c.cut.from_mm), y(c.cut.rip_from_mm), x(c.cut.to_mm), y(c.cut.rip_to_mm))
        for c in board.cuts
    }
    rest = box(left, low, left + length, low + high).difference(
        shapely.union_all(list(cut_boxes.values()))
    )
    if board.clear_end_mm >= MIN_KEPT_END_MM:
        start = layout.length_mm - board.end_trim_mm - board.clear_end_mm
        kept = box(x(start) + 0.5, low, x(layout.length_mm - board.end_trim_mm), low + high)
        rest = rest.difference(kept)
        items.extend(_kept(board, kept, figures))
    items.append(hatch(rest, spacing_mm=1.6))
    keyed: list[str] = []
    for cut in board.cuts:
        group, words = _piece(cut, cut_boxes[cut.number], maker)
        items.append(group)
        keyed += [words] if words else []
    items.append(Area(rectangle(left, low, length, high), pen=Pen.STOCK))
    items.append(Area(rectangle(left - 1.4, low, 1.4, high), pen=None, fill=Fill.INK))
    span = (left + 1.4, left + length + 8.0)
    items.extend(along_bottom(_cross_figures(board, figures), x, low, span))
    rips = (low + 1.0, low + high + 2.0)
    items.extend(along_left(_rip_figures(board, figures), y, left - 1.4, rips))
    need = NAME_MM + high + _below_depth(board, figures) + 3.0
    room = maker.page.width_mm - MARGIN_MM - left
    for line in wrap("   ".join(keyed), KEY_MM, room) if keyed else ():
        items.append(Text(line, (left, top_left[1] - need), KEY_MM))
        need += KEY_MM * 1.4
    return need, tuple(items)


def _name(board: BoardView, at: tuple[float, float], figures: Figures) -> Text:
    layout = board.layout
    words = f"Board {board.index}   {figures.length(layout.length_mm)} long"
    if board.end_trim_mm > 0:
        words += f", {figures.fine(board.end_trim_mm)} off each end"
    return Text(words, at, 3.4, Weight.BOLD)


def _kept(board: BoardView, area: shapely.Polygon, figures: Figures) -> list[Item]:
    words = f"KEEP {figures.length(board.clear_end_mm)}"
    placed = place_inside(area, (Block((BlockLine(words),), (3.3, 2.8, 2.4)),), (0.0, 90.0))
    return [] if placed is None else list(placed.texts())


FACE_WORDS = {Face.GOOD: ("plane GOOD", "GOOD"), Face.BACK: ("plane BACK", "BACK")}
"""Which face is planed, in full and short."""


def _slopes(
    view: BoardPiece, area: shapely.Polygon, keys: dict[str, str]
) -> tuple[list[Item], BaseGeometry]:
    """Hatch the sloped ends of a piece and name their joint and the face to plane."""
    x0, y0, x1, y1 = area.bounds
    run = (x1 - x0) / max(view.piece.length_mm, 1.0)
    items: list[Item] = []
    free: BaseGeometry = area
    for end in view.piece.ends:
        middle = (end.line[0][0] + end.line[1][0]) / 2.0
        if end.overlap_mm <= 0:
            continue
        a, b = (x0 + (middle + side * end.overlap_mm / 2.0) * run for side in (-1.0, 1.0))
        slope = box(max(a, x0), y0, min(b, x1), y1)
        key = keys.get(end.joint, end.joint)
        faces = FACE_WORDS[end.planed] if end.planed else ()
        told = [lines for face in faces for lines in ((f"{key} {face}",), (key, face))]
        blocks = [
            Block(tuple(BlockLine(w, Weight.BOLD) for w in lines), (2.8, 2.4))
            for lines in (*told, (key,))
        ]
        label = place_inside(slope, blocks, (0.0,))
        clear = slope if label is None else slope.difference(label.box)
        items.append(hatch(clear, spacing_mm=1.0, angle_deg=135.0, pen=Pen.DENSE))
        items.extend(() if label is None else label.texts())
        inner = a if a > x0 + 0.01 else b
        items.append(Path(((inner, y0), (inner, y1)), Pen.HIDDEN))
        free = free.difference(slope)
    return items, free


def _piece(view: BoardPiece, area: shapely.Polygon, maker: PageMaker) -> tuple[Group, str]:
    """A piece with its name; what must stand beside the board where the name has no room."""
    piece, figures = view.piece, maker.figures
    corners = tuple((float(x), float(y)) for x, y in area.exterior.coords[:-1])
    size = f"{figures.length(piece.length_mm)}"
    which = which_rail(view)
    code = code_of(piece, view.part.count if view.part else 1)
    first = f"{view.number}  {piece.part} {code}".strip()
    long = "   ".join(w for w in (first, which, size) if w)
    blocks = (
        Block((BlockLine(long, Weight.BOLD),), (3.6, 3.2, 2.8)),
        Block((BlockLine(f"{first}   {size}", Weight.BOLD),), (3.6, 3.2, 2.8, 2.4)),
        Block((BlockLine(first, Weight.BOLD),), (3.2, 2.8, 2.4)),
        Block((BlockLine(str(view.number), Weight.BOLD),), (3.2, 2.8, 2.4, 2.0)),
    )
    slopes, free = _slopes(view, area, maker.view.joint_keys)
    placed = place_inside(free, blocks, (0.0,))
    items: list[Item] = [Area(corners, pen=Pen.CUT, fill=Fill.PAPER), *slopes]
    if placed is not None:
        items.extend(placed.texts())
    is_named = placed is not None and placed.block is not blocks[-1]
    return Group(piece.id, "outline", tuple(items)), "" if is_named else long
