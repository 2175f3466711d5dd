"""Pages of boards: several to a page, lengths to scale, cuts in the order of sawing.

Every cut has its number, on the drawing and in the list below the board, to the last one.  Knots
and what else a board has are drawn where they lie.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import shapely
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from nestcut.boards import SawCut, SawWay, span_of
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
    hatch,
    moved,
    place_inside,
    rectangle,
    row_below,
    wrap,
)
from nestcut.papers.page import FOOT_MM, PageMaker, check_rule, scale_text, title
from nestcut.papers.view import (
    MIN_KEPT_END_MM,
    BlankView,
    BoardPiece,
    BoardView,
    Figures,
    board_numbers,
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
    name = first.label if first is last else board_numbers([b.index for b in boards])
    cutting = maker.view.verified.job.cutting
    kerfs: dict[str, list[str]] = {}
    for board in boards:
        kerfs.setdefault(figures.fine(cutting.on(board.stock).kerf_mm), []).append(board.label)
    kerf = ", ".join(k if len(kerfs) == 1 else f"{k} on {', '.join(b)}" for k, b in kerfs.items())
    stocks = ", ".join(dict.fromkeys(b.layout.stock for b in boards))
    facts = (
        f"kerf {kerf}  ·  measure from the black end and the lower edge  ·  cut 1 first, then 2, "
        "3: beyond a figure the blade runs on its far side, short of it on the near one"
    )
    head = title(page, name, stocks, facts, scale_text(scale))
    words = (
        "Lengths to scale, widths wider. Pencil GOOD on the face that is up as you saw, on every "
        "piece. Port and starboard rails are cut alike. Slopes: hatched up, dashed underneath."
    )
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
    narrow = min([c.rip_to_mm - c.rip_from_mm for c in board.parted], default=board.layout.width_mm)
    wanted = board.layout.width_mm * LOWEST_STRIP_MM / max(narrow, 1.0)
    return min(max(wanted, LOWEST_STRIP_MM), HIGHEST_MM)


def _cut_figures(board: BoardView, figures: Figures, way: SawWay) -> list[tuple[Figure, str]]:
    """Where the cuts of one direction run, with their numbers."""
    at: dict[str, tuple[float, list[int]]] = {}
    for number, cut in enumerate(board.saw_cuts, start=1):
        if cut.way is way:
            at.setdefault(figures.size(cut.at_mm), (cut.at_mm, []))[1].append(number)
    if not board.saw_cuts:
        spans = [span_of(c, way) for c in board.parted]
        for edge in sorted({round(v, 3) for span in spans for v in span}):
            if edge > AT_END_MM:
                at.setdefault(figures.size(edge), (edge, []))
    return [
        (Figure(mm, ()), f"{words} ({_cuts_word(numbers)})" if numbers else words)
        for words, (mm, numbers) in sorted(at.items(), key=lambda f: f[1])
    ]


def _cuts_word(numbers: Sequence[int]) -> str:
    is_run = len(numbers) > 2 and numbers[-1] - numbers[0] == len(numbers) - 1
    told = f"{numbers[0]} to {numbers[-1]}" if is_run else ", ".join(map(str, numbers))
    return f"cut{'s' if len(numbers) > 1 else ''} {told}"


def _left_depth(board: BoardView, figures: Figures) -> float:
    return depth_mm([t for _, t in _cut_figures(board, figures, SawWay.RIP)]) + 1.0


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
    parted = {c.number: c.cut for c in board.cuts} | {b.number: b.cut for b in board.blanks}
    cut_boxes = {
        number: box(x(c.from_mm), y(c.rip_from_mm), x(c.to_mm), y(c.rip_to_mm))
        for number, c in parted.items()
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
    for blank in board.blanks:
        items.append(_blank(blank, cut_boxes[blank.number], (left, low), (1.0 / scale, across)))
        names = ", ".join(f"{p.number} {maker.view.name_of(p.piece.id)}" for p in blank.sawn)
        keyed.append(f"{blank.number}  blank: saw {names} from it, as drawn after the boards")
    items.append(Area(rectangle(left, low, length, high), pen=Pen.STOCK))
    items.append(Area(rectangle(left - 1.4, low, 1.4, high), pen=None, fill=Fill.INK))
    span = (left + 1.4, left + length + 8.0)
    crossing = _cut_figures(board, figures, SawWay.CROSSCUT)
    items.extend(along_bottom(crossing, x, low, span))
    rips = (low + 1.0, low + high + 2.0)
    ripping = _cut_figures(board, figures, SawWay.RIP)
    items.extend(along_left(ripping, y, left - 1.4, rips))
    below = row_below([t for _, t in crossing], span[1] - span[0])
    need = lead + high + below.depth_mm + 1.5
    for told in (saw_words(board, figures), "   ·   ".join(keyed)):
        wide = maker.page.width_mm - 2 * MARGIN_MM
        for line in wrap(told, KEY_MM, wide) if told else ():
            items.append(Text(line, (MARGIN_MM, top_left[1] - need), KEY_MM))
            need += KEY_MM * 1.4
    return need, tuple(items)


def _name_lines(board: BoardView, figures: Figures, room: float) -> tuple[str, ...]:
    """The board's name, measures and first cut; as many lines as they need."""
    layout = board.layout
    section = f"{figures.thickness(layout.thickness_mm)} x {figures.thickness(layout.width_mm)}"
    told = [f"{board.label}: {layout.stock}, {figures.length(layout.length_mm)} long, {section}"]
    if board.end_trim_mm > 0:
        told.append(f"{figures.fine(board.end_trim_mm)} off each end")
    for defect in board.defects:
        a, b = figures.length(defect.from_mm), figures.length(defect.to_mm)
        told.append(f"{defect.reason} from {a} to {b}: not used")
    return wrap("  ·  ".join(told), 3.4, room, Weight.BOLD)


def saw_words(board: BoardView, figures: Figures) -> str:
    """Every cut of a board in its order, to the last one."""
    if not board.saw_cuts:
        alone = len(board.parted) <= 1
        return (
            "" if alone else ("no cut right through parts these pieces: saw round them one by one")
        )
    numbers = {c.piece.id: c.number for c in board.cuts}
    numbers |= {b.cut.piece: b.number for b in board.blanks}
    told = []
    for first, cuts in _runs(board.saw_cuts):
        head = cuts[0]
        whose = sorted(numbers[p] for p in head.pieces)
        some = f" no. {', '.join(map(str, whose))}" if len(whose) < len(numbers) else ""
        way = f"{'rip' if head.way is SawWay.RIP else 'cross-cut'}{some}"
        side = "short of" if head.ends_mm is None else "beyond"
        at = ", ".join(figures.size(c.at_mm) for c in cuts)
        off = ": KEEP comes off" if head.is_keep else ""
        which = _cuts_word([first + k for k in range(len(cuts))])
        told.append(f"{which}: {way} {side} {at}{off}")
    return "  ·  ".join(told)


def _runs(cuts: Sequence[SawCut]) -> list[tuple[int, list[SawCut]]]:
    """Cuts that take one piece after another off what is left, with the first one's number."""
    runs: list[tuple[int, list[SawCut]]] = []
    for number, cut in enumerate(cuts, start=1):
        before = runs[-1][1][-1] if runs else None
        goes_on = (
            before is not None
            and before.way is cut.way
            and (before.ends_mm is None) is (cut.ends_mm is None)
            and cut.pieces < before.pieces
            and not before.is_keep
        )
        if goes_on:
            runs[-1][1].append(cut)
        else:
            runs.append((number, [cut]))
    return runs


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
    words = f"KEEP {figures.length(board.clear_end_mm)}"
    placed = place_inside(
        area,
        (Block((BlockLine(words, Weight.BOLD),), SIZES_IN), Block((BlockLine("KEEP"),), SIZES_IN)),
        (0.0, 90.0),
    )
    x0, y0, _, y1 = area.bounds
    line: Item = Path(((x0, y0), (x0, y1)), Pen.CUT)
    return [line, *(() if placed is None else placed.texts())]


def _blank(
    blank: BlankView, area: shapely.Polygon, at: Point, scales: tuple[float, float]
) -> Group:
    """A blank with the outlines of what is sawn from it, and its number."""
    outlines = [
        Area(
            tuple(
                (at[0] + x * scales[0], at[1] + y * scales[1])
                for x, y in p.polygon.exterior.coords[:-1]
            ),
            pen=Pen.CUT,
            fill=Fill.PAPER,
        )
        for p in blank.sawn
    ]
    corners = tuple((float(x), float(y)) for x, y in area.exterior.coords[:-1])
    number = Block((BlockLine(str(blank.number), Weight.BOLD),), (3.6, 3.2, 2.6, 2.0))
    placed = place_inside(area, (number,), (0.0, 90.0))
    items: list[Item] = [Area(corners, pen=Pen.CUT, fill=Fill.PAPER), *outlines]
    items.extend(() if placed is None else placed.texts())
    return Group(blank.cut.piece, "outline", tuple(items))


def _slopes(
    view: BoardPiece, area: shapely.Polygon, keys: dict[str, str]
) -> tuple[list[Item], BaseGeometry]:
    """Draw the sloped ends of a piece and name their joint.

    As on sheets: densely hatched where the face that is up is planed, dashed round where the one
    underneath is.
    """
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
        items.extend(() if label is None else label.texts())
        inner = a if a > x0 + LINE_LEFT_MM else b
        is_up = end.planed is not Face.BACK  # rails are drawn good face up
        if is_up:
            items.append(hatch(clear, spacing_mm=1.0, angle_deg=135.0, pen=Pen.DENSE))
        items.append(Path(((inner, y0), (inner, y1)), Pen.FRAME if is_up else Pen.HIDDEN))
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
