"""Pages of boards: several to a page, lengths to scale, cuts in the order of sawing.

A clear end that is kept comes off first, in one cross-cut; then the rest is ripped and cut to
length.  Knots and what else a board has are drawn where they lie.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import shapely
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from nestcut.model.curves import Point
from nestcut.model.joint import Face
from nestcut.papers.draw import (
    MARGIN_MM,
    SCALES,
    Anchor,
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
    row_below,
    wrap,
)
from nestcut.papers.page import FOOT_MM, PageMaker, check_rule, scale_text, title
from nestcut.papers.view import (
    MIN_KEPT_END_MM,
    BoardPiece,
    BoardView,
    Figures,
    rail_name,
    rail_words,
)
from nestcut.tolerances.lengths import LINE_LEFT_MM

HEAD_MM = 17.0
"""Room for the head of a page, in as many as two lines of facts. [mm on paper]"""
HIGHEST_MM = 20.0
"""A board is drawn at most this wide, at a scale of its own across. [mm on paper]"""
LOWEST_STRIP_MM = 6.4
"""The narrowest strip is drawn at least this wide, so that its number and name fit. [mm]"""
NAME_MM = 4.6
"""Room for a line of words above a board. [mm on paper]"""
AT_END_MM = 0.25
"""Nearer the end or edge than this needs no figure. [mm]"""
KEY_MM = 3.2
"""Font size of words beside boards: 9 points. [mm on paper]"""
SIZES_IN = (3.6, 3.2)
"""Font sizes of names inside pieces. [mm on paper]"""


def board_pages(boards: Sequence[BoardView], maker: PageMaker) -> tuple[Drawing, ...]:
    """All boards in their order, as many to a page as fit."""
    return tuple(_pages_of(list(boards), maker)) if boards else ()


def board_drawing(board: BoardView, maker: PageMaker) -> Drawing:
    """One board alone, as its own file."""
    return _pages_of([board], maker)[0]


def _pages_of(boards: Sequence[BoardView], maker: PageMaker) -> list[Drawing]:
    page = maker.page
    left = max(_left_depth(b, maker.figures) for b in boards)
    width = page.width_mm - 2 * MARGIN_MM - left - 4.0
    longest = max(b.layout.length_mm for b in boards)
    scale = next((s for s in SCALES[maker.paper] if longest / s <= width), SCALES[maker.paper][-1])
    top = page.height_mm - MARGIN_MM - HEAD_MM - 1.0
    floor = MARGIN_MM + FOOT_MM + 4.5
    pages: list[Drawing] = []
    items: list[Item] = []
    here: list[BoardView] = []
    y = top
    for board in boards:
        need, drawn = _board(board, (MARGIN_MM + left, 0.0), scale, maker)
        if items and y - need < floor:
            pages.append(_finished(items, here, scale, maker))
            items, here, y = [], [], top
        items.extend(moved(drawn, 0.0, y))
        here.append(board)
        y -= need
    pages.append(_finished(items, here, scale, maker))
    return pages


def _finished(
    items: list[Item], boards: list[BoardView], scale: float, maker: PageMaker
) -> Drawing:
    page, figures = maker.page, maker.figures
    first, last = boards[0], boards[-1]
    name = first.label if first is last else f"Boards {first.index} to {last.index}"
    cutting = maker.view.verified.job.cutting
    kerfs: dict[str, list[str]] = {}
    for board in boards:
        kerfs.setdefault(figures.fine(cutting.on(board.stock).kerf_mm), []).append(board.label)
    kerf = ", ".join(k if len(kerfs) == 1 else f"{k} on {', '.join(b)}" for k, b in kerfs.items())
    stocks = ", ".join(dict.fromkeys(b.layout.stock for b in boards))
    own_way = "" if all(b.sawing.is_usual for b in boards) else ", but where a board says otherwise"
    facts = (
        f"kerf {kerf}: saw on the hatched side of the line  ·  take KEEP off first, then rip, then "
        f"cross-cut in the order of the numbers{own_way}  ·  measure from the black end"
    )
    head = title(page, name, stocks, facts, scale_text(scale))
    words = "Lengths to scale, widths wider. Pencil GOOD on one face of each piece."
    at = (MARGIN_MM, MARGIN_MM + FOOT_MM + 2.0)
    note = Text(words, at, KEY_MM)
    rule = check_rule(page, figures)
    raised = moved(tuple(items), 0.0, HEAD_MM - head.height_mm)
    caption = f"{name}, {stocks}, drawn 1:{scale:g}"
    return Drawing(
        page.width_mm,
        page.height_mm,
        (*head.items, *raised, note, *rule),
        caption,
    )


def _height(board: BoardView) -> float:
    """Height of a board on paper: narrow strips decide, within reason. [mm]"""
    narrow = min(
        [c.cut.rip_to_mm - c.cut.rip_from_mm for c in board.cuts], default=board.layout.width_mm
    )
    wanted = board.layout.width_mm * LOWEST_STRIP_MM / max(narrow, 1.0)
    return min(max(wanted, LOWEST_STRIP_MM), HIGHEST_MM)


def _cross_figures(board: BoardView, figures: Figures) -> list[tuple[Figure, str]]:
    """Cross-cuts: both ends of every piece, from the board's marked end."""
    ends = merged([(v, str(c.number)) for c in board.cuts for v in (c.cut.from_mm, c.cut.to_mm)])
    bare = [Figure(f.at_mm, ()) for f in ends if f.at_mm > AT_END_MM]
    return [(f, figure_text(f, figures.size)) for f in bare]


def _rip_figures(board: BoardView, figures: Figures) -> list[tuple[Figure, str]]:
    edges = sorted({round(v, 3) for c in board.cuts for v in (c.cut.rip_from_mm, c.cut.rip_to_mm)})
    return [(Figure(v, ()), figures.size(v)) for v in edges if v > AT_END_MM]


def _left_depth(board: BoardView, figures: Figures) -> float:
    return depth_mm([t for _, t in _rip_figures(board, figures)]) + 1.0


def _board(
    board: BoardView, top_left: Point, scale: float, maker: PageMaker
) -> tuple[float, tuple[Item, ...]]:
    """One board below ``top_left``; the height that it takes, and its items. [mm on paper]"""
    layout, figures = board.layout, maker.figures
    high = _height(board)
    across = high / layout.width_mm
    left = top_left[0]
    room = maker.page.width_mm - MARGIN_MM - left
    words = _name_lines(board, figures, room)
    lead = NAME_MM * len(words)
    if board.defects:
        lead += KEY_MM * 1.4  # their names stand between the board and its own
    low = top_left[1] - lead - high

    def x(mm: float) -> float:
        return left + mm / scale

    def y(mm: float) -> float:
        return low + mm * across

    length = layout.length_mm / scale
    items: list[Item] = [
        Text(line, (left, top_left[1] - NAME_MM * (k + 0.5)), 3.4, Weight.BOLD)
        for k, line in enumerate(words)
    ]
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
    items.extend(_defects(board, x, (low, high)))
    keyed: list[str] = []
    for cut in board.cuts:
        group, told = _piece(cut, cut_boxes[cut.number], maker)
        items.append(group)
        keyed += [told] if told else []
    items.append(Area(rectangle(left, low, length, high), pen=Pen.STOCK))
    items.append(Area(rectangle(left - 1.4, low, 1.4, high), pen=None, fill=Fill.INK))
    span = (left + 1.4, left + length + 8.0)
    crossing = _cross_figures(board, figures)
    items.extend(along_bottom(crossing, x, low, span))
    rips = (low + 1.0, low + high + 2.0)
    items.extend(along_left(_rip_figures(board, figures), y, left - 1.4, rips))
    below = row_below([t for _, t in crossing], span[1] - span[0])
    need = lead + high + below.depth_mm + 1.5
    for line in wrap("   ·   ".join(keyed), KEY_MM, room) if keyed else ():
        items.append(Text(line, (left, top_left[1] - need), KEY_MM))
        need += KEY_MM * 1.4
    return need, tuple(items)


def _name_lines(board: BoardView, figures: Figures, room: float) -> tuple[str, ...]:
    """The board's name, measures and first cut; as many lines as they need."""
    layout = board.layout
    section = f"{figures.thickness(layout.thickness_mm)} x {figures.thickness(layout.width_mm)}"
    told = [f"{board.label}: {layout.stock}, {figures.length(layout.length_mm)} long, {section}"]
    if board.end_trim_mm > 0:
        told.append(f"{figures.fine(board.end_trim_mm)} off each end")
    if board.clear_end_mm >= MIN_KEPT_END_MM:
        start = layout.length_mm - board.end_trim_mm - board.clear_end_mm
        told.append(f"first take KEEP off, blade beyond {figures.length(start)}")
    if not board.sawing.is_usual:
        told.append(saw_words(board, figures))
    for defect in board.defects:
        a, b = figures.length(defect.from_mm), figures.length(defect.to_mm)
        told.append(f"{defect.reason} from {a} to {b}: not used")
    return wrap("  ·  ".join(told), 3.4, room, Weight.BOLD)


def saw_words(board: BoardView, figures: Figures) -> str:
    """Say step by step how a board is sawn that isn't ripped from end to end first."""
    told = []
    for k, step in enumerate(board.sawing.steps):
        way = "rip" if step.is_rip else "cross-cut"
        at = " and ".join(figures.length(x) for x in step.at_mm)
        along, across = (
            f"{figures.size(a)} to {figures.length(b)}" for a, b in (step.along_mm, step.across_mm)
        )
        block = f" what lies {along} along, {across} across,"
        told.append(f"{way}{block if k else ' the whole board'} at {at}")
    if not told:
        return "no cut right through parts these pieces: saw round them one by one"
    return "saw it so: " + "; ".join(f"{k}. {words}" for k, words in enumerate(told, start=1))


def _defects(
    board: BoardView, x: Callable[[float], float], low_high: tuple[float, float]
) -> list[Item]:
    """Knots and the like across the whole board, cross-hatched and named."""
    low, high = low_high
    items: list[Item] = []
    for defect in board.defects:
        a, b = x(defect.from_mm), x(defect.to_mm)
        area = box(a, low, max(b, a + 0.6), low + high)
        items += [
            hatch(area, spacing_mm=1.0, angle_deg=angle, pen=Pen.DENSE) for angle in (45.0, 135.0)
        ]
        items.append(Area(rectangle(a, low, max(b - a, 0.6), high), pen=Pen.FRAME))
        at = ((a + b) / 2.0, low + high + KEY_MM * 0.75)
        items.append(Text(defect.reason, at, KEY_MM, Weight.BOLD, Anchor.MIDDLE))
    return items


def _kept(board: BoardView, area: shapely.Polygon, figures: Figures) -> list[Item]:
    words = f"1st cut: KEEP {figures.length(board.clear_end_mm)}"
    placed = place_inside(
        area,
        (Block((BlockLine(words, Weight.BOLD),), SIZES_IN), Block((BlockLine("KEEP"),), SIZES_IN)),
        (0.0, 90.0),
    )
    x0, y0, _, y1 = area.bounds
    line: Item = Path(((x0, y0), (x0, y1)), Pen.CUT)
    return [line, *(() if placed is None else placed.texts())]


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
        label = place_inside(slope, (Block((BlockLine(key, Weight.BOLD),), (3.2,)),), (0.0, 90.0))
        clear = slope if label is None else slope.difference(label.box)
        items.append(hatch(clear, spacing_mm=1.0, angle_deg=135.0, pen=Pen.DENSE))
        items.extend(() if label is None else label.texts())
        inner = a if a > x0 + LINE_LEFT_MM else b
        items.append(Path(((inner, y0), (inner, y1)), Pen.HIDDEN))
        free = free.difference(slope)
    return items, free


def _piece(view: BoardPiece, area: shapely.Polygon, maker: PageMaker) -> tuple[Group, str]:
    """A piece with its name; what must stand below the board: joints, and names without room."""
    piece, figures = view.piece, maker.figures
    corners = tuple((float(x), float(y)) for x, y in area.exterior.coords[:-1])
    size = f"{figures.length(piece.length_mm)}"
    name = f"{view.number}  {rail_name(view)}"
    todo = rail_words(view, maker.view, figures)
    blocks = (
        Block((BlockLine(f"{name}   {size}", Weight.BOLD),), SIZES_IN),
        Block((BlockLine(name, Weight.BOLD),), SIZES_IN),
        Block((BlockLine(str(view.number), Weight.BOLD),), (3.6, 3.2, 2.6, 2.0)),
    )
    slopes, free = _slopes(view, area, maker.view.joint_keys)
    placed = place_inside(free, blocks, (0.0,)) or place_inside(area, blocks[-1:], (0.0, 90.0))
    items: list[Item] = [Area(corners, pen=Pen.CUT, fill=Fill.PAPER), *slopes]
    if placed is not None:
        items.extend(placed.texts())
    is_whole = placed is not None and placed.block is blocks[0]
    told = [] if is_whole else [f"{name}, {size}"]
    if todo:
        told = told or [str(view.number)]
        told.append("; ".join(todo))
    return Group(piece.id, "outline", tuple(items)), ": ".join(told)
