"""One board: its drawing with every cut numbered, and its words.

Every cut has its number, on the drawing and in the list below the board, to the last one.  Knots
and what else a board has are drawn where they lie.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import shapely
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from nestcut.boards import SawWay, span_of
from nestcut.model.curves import Point
from nestcut.model.joint import Face
from nestcut.papers.book.board_keeps import draw_keeps
from nestcut.papers.book.board_words import (
    cuts_word,
    end_words,
    least_words,
    saw_words,
    told_words,
)
from nestcut.papers.book.strip_measures import (
    AT_END_MM,
    BLACK_MM,
    inner_measure,
    inner_measures,
    measure_wide_mm,
    strip_measures,
)
from nestcut.papers.draw import (
    ALONE_STEP,
    MARGIN_MM,
    Anchor,
    Area,
    Block,
    BlockLine,
    Figure,
    Fill,
    Group,
    Item,
    Path,
    Pen,
    Text,
    Weight,
    along_bottom,
    hatch,
    place_inside,
    rectangle,
    row_below,
    wrap,
)
from nestcut.papers.page import PageMaker
from nestcut.papers.view import (
    BlankView,
    BoardPiece,
    BoardView,
    Figures,
    rail_name,
    rail_words,
)
from nestcut.tolerances.lengths import LINE_LEFT_MM

Strip = tuple[float, float]
"""How wide the narrowest strip is drawn about, and a board at most. [mm on paper]"""
UNDER_NAME_MM = 1.1
"""Room between a board's name and its drawing. [mm on paper]"""
NAME_MM = 4.6
"""Room for a line of words above a board. [mm on paper]"""
KEY_MM = 3.2
"""Font size of words beside boards: 9 points. [mm on paper]"""
TIGHT_MM = 0.2
"""Room left round a joint's name. [mm on paper]"""
TICK_MM = 1.0
"""Length of the tick at the middle of a joint, at either edge. [mm on paper]"""
BESIDE_MM = 20.0
"""How far beside a joint its name may stand, where it has no room for it. [mm on paper]"""
KEY_LINE_MM = 4.1
"""Distance of these lines. [mm on paper]"""
APART_MM = -0.4
"""Room below a board's last line, of which a half lies below its middle. [mm on paper]"""
SIZES_IN = (3.6, 3.2)
"""Font sizes of names inside pieces. [mm on paper]"""


def _height(board: BoardView, strip: Strip) -> float:
    """Height of a board on paper: narrow strips decide, within reason. [mm]"""
    lowest, highest = strip
    narrow = min([c.rip_to_mm - c.rip_from_mm for c in board.parted], default=board.layout.width_mm)
    wanted = board.layout.width_mm * lowest / max(narrow, 1.0)
    return min(max(wanted, lowest), highest)


def _crosscuts(board: BoardView, figures: Figures) -> list[tuple[Figure, str]]:
    """Where crosscuts run, with their numbers."""
    at: dict[str, tuple[float, list[int]]] = {}
    for number, cut in enumerate(board.saw_cuts, start=1):
        if cut.way is SawWay.CROSSCUT:
            at.setdefault(figures.place(cut.at_mm), (cut.at_mm, []))[1].append(number)
    if not board.saw_cuts:
        spans = [span_of(c, SawWay.CROSSCUT) for c in board.parted]
        for edge in sorted({round(v, 3) for span in spans for v in span}):
            if edge > AT_END_MM:
                at.setdefault(figures.place(edge), (edge, []))
    return [
        (Figure(mm, ()), f"{words} ({cuts_word(numbers)})" if numbers else words)
        for words, (mm, numbers) in sorted(at.items(), key=lambda f: f[1])
    ]


def draw_board(
    board: BoardView, left: float, scale: float, strip: Strip, maker: PageMaker
) -> tuple[float, tuple[Item, ...]]:
    """One board below y = 0; the height that it takes, and its items. [mm on paper]

    Parameters
    ----------
    left
        Where it begins on the page. [mm]
    scale
        Of its length, as its denominator. [-]
    """
    layout, figures = board.layout, maker.figures
    high = _height(board, strip)
    across = high / layout.width_mm
    room = maker.page.width_mm - MARGIN_MM - left
    words = _name_lines(board, figures, room)
    lead = NAME_MM * len(words) + UNDER_NAME_MM
    if board.defects:
        lead += KEY_MM * 1.4  # their names stand between the board and its own
    low = -lead - high

    def x(mm: float) -> float:
        return left + mm / scale

    def y(mm: float) -> float:
        return low + mm * across

    length = layout.length_mm / scale
    items: list[Item] = [
        Text(line, (left, -NAME_MM * (k + 0.5)), 3.4, Weight.BOLD) for k, line in enumerate(words)
    ]
    parted = {c.number: c.cut for c in board.cuts} | {b.number: b.cut for b in board.blanks}
    cut_boxes = {
        number: box(x(c.from_mm), y(c.rip_from_mm), x(c.to_mm), y(c.rip_to_mm))
        for number, c in parted.items()
    }
    rest = box(left, low, left + length, low + high).difference(
        shapely.union_all(list(cut_boxes.values()))
    )
    keeps = draw_keeps(board, x, y, figures)
    rest = rest.difference(keeps.area)
    items.extend(keeps.items)
    items.append(hatch(rest, spacing_mm=1.6))
    items.extend(_defects(board, x, (low, high)))
    keyed: dict[str, list[str]] = {}
    alike = _alike(board, maker)
    measures = inner_measures(board, figures)
    for cut in board.cuts:
        measure = measures.get(cut.piece.id, "")
        group, head, todo = _piece(board, cut, cut_boxes[cut.number], alike, measure, maker)
        items.append(group)
        if head:
            keyed.setdefault(todo, []).append(head)
    for blank in board.blanks:
        items.append(_blank(blank, cut_boxes[blank.number], (left, low), (1.0 / scale, across)))
        names = ", ".join(f"{p.number} {maker.view.name_of(p.piece.id)}" for p in blank.sawn)
        keyed[f"blank: saw {names} from it, as drawn after the boards"] = [f"{blank.number}"]
    if alike:
        keyed["; ".join(alike)] = ["all pieces"]
    items.append(Area(rectangle(left, low, length, high), pen=Pen.STOCK))
    items.append(Area(rectangle(left - BLACK_MM, low, BLACK_MM, high), pen=None, fill=Fill.INK))
    span = (left + 1.4, left + length + 8.0)
    crossing = _crosscuts(board, figures)
    items.extend(along_bottom(crossing, x, low, span))
    items.extend(strip_measures(board, figures, y, left - BLACK_MM, (low + 1.0, low + high + 2.0)))
    below = row_below([t for _, t in crossing], span[1] - span[0])
    need = lead + high + below.depth_mm + KEY_MM / 2.0
    for line in _lines_below(board, keyed, keeps.told, figures, room):
        items.append(Text(line, (left, -need), KEY_MM))
        need += KEY_LINE_MM
    return need + APART_MM, tuple(items)


def _lines_below(
    board: BoardView,
    keyed: dict[str, list[str]],
    keeps: tuple[str, ...],
    figures: Figures,
    room: float,
) -> list[str]:
    """Cuts, what is done to which pieces, what is kept; on one line where that is enough."""
    others = " · ".join(words for words in (told_words(keyed), *keeps) if words)
    said = [words for words in (saw_words(board, figures), others) if words]
    in_one = wrap(" · ".join(said), KEY_MM, room) if said else ()
    if len(in_one) == 1:
        return list(in_one)
    return [line for words in said for line in wrap(words, KEY_MM, room)]


def _name_lines(board: BoardView, figures: Figures, room: float) -> tuple[str, ...]:
    """The board's name, measures and first cut; as many lines as they need."""
    layout = board.layout
    size = figures.stock(layout.length_mm, layout.width_mm)
    told = [
        f"{board.label}: {layout.stock}, {size}, {figures.thickness(layout.thickness_mm)} thick"
    ]
    told += [w for w in (end_words(board, figures), least_words(board, figures)) if w]
    for defect in board.defects:
        a, b = figures.place(defect.from_mm), figures.place(defect.to_mm)
        told.append(f"{defect.reason} from {a} to {b}{figures.tail}: not used")
    return wrap(" · ".join(told), 3.4, room, Weight.BOLD)


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


def _joint_blocks(key: str, planed: Face | None) -> tuple[Block, ...]:
    """A joint's name with the face that is planed, in a line or in two."""
    name = BlockLine(key, Weight.BOLD)
    if planed is None:
        return (Block((name,), (KEY_MM,), pad_mm=TIGHT_MM),)
    face = "BACK" if planed is Face.BACK else "GOOD"
    in_a_line = Block((BlockLine(f"{key} {face}", Weight.BOLD),), (KEY_MM,), pad_mm=TIGHT_MM)
    in_two = Block((name, BlockLine(face, Weight.BOLD)), (KEY_MM,), pad_mm=TIGHT_MM)
    return (in_a_line, in_two)


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
        inner = a if a > x0 + LINE_LEFT_MM else b
        blocks = _joint_blocks(key, end.planed)
        beside = box(inner, y0, inner + (BESIDE_MM if inner == b else -BESIDE_MM), y1)
        label = place_inside(slope, blocks, (0.0,)) or place_inside(
            beside.intersection(area), blocks, (0.0,)
        )
        if label is not None:
            items.extend(label.texts())
            free = free.difference(label.box)
        clear = slope if label is None else slope.difference(label.box)
        is_up = end.planed is not Face.BACK  # rails are drawn good face up
        if is_up:
            items.append(hatch(clear, spacing_mm=1.0, angle_deg=135.0, pen=Pen.DENSE))
        items.append(Path(((inner, y0), (inner, y1)), Pen.FRAME if is_up else Pen.HIDDEN))
        half = x0 + middle * run
        items += [
            Path(((half, y), (half, y + tick)), Pen.FRAME)
            for y, tick in ((y0, TICK_MM), (y1, -TICK_MM))
        ]
        free = free.difference(slope)
    return items, free


def _alike(board: BoardView, maker: PageMaker) -> tuple[str, ...]:
    """What is to be done to every piece of a board: told once."""
    if len(board.cuts) < 2:
        return ()
    first, *others = (rail_words(c, maker.view, maker.figures) for c in board.cuts)
    return tuple(w for w in first if all(w in other for other in others))


def _piece(
    board: BoardView,
    view: BoardPiece,
    area: shapely.Polygon,
    alike: Sequence[str],
    measure: str,
    maker: PageMaker,
) -> tuple[Group, str, str]:
    """A piece with its name; whose and what stands below the board: joints, names without room.

    ``alike``: what is told of all pieces together; ``measure``: of the rip that takes it off, where
    that is to stand in the piece and takes no room from its name.
    """
    piece, figures = view.piece, maker.figures
    corners = tuple((float(x), float(y)) for x, y in area.exterior.coords[:-1])
    is_ripped = piece.sawn_mm[1] < board.layout.width_mm - figures.place_step_mm
    sides = (piece.length_mm, piece.sawn_mm[1]) if is_ripped else (piece.length_mm,)
    size = " x ".join(figures.place(s) for s in sides) + figures.tail
    name = f"{view.number}  {rail_name(view)}"
    todo = [w for w in rail_words(view, maker.view, figures) if w not in alike]
    blocks = (
        Block((BlockLine(f"{name}   {size}", Weight.BOLD),), SIZES_IN, step=ALONE_STEP),
        Block((BlockLine(name, Weight.BOLD), BlockLine(size)), SIZES_IN),
        Block((BlockLine(name, Weight.BOLD),), SIZES_IN, step=ALONE_STEP),
        Block((BlockLine(str(view.number), Weight.BOLD),), (3.6, 3.2, 2.6, 2.0)),
    )
    slopes, free = _slopes(view, area, maker.view.joint_keys)
    placed = place_inside(free, blocks, (0.0,)) or place_inside(area, blocks[-1:], (0.0, 90.0))
    items: list[Item] = [Area(corners, pen=Pen.CUT, fill=Fill.PAPER), *slopes]
    if measure and not free.is_empty and placed is not None:
        x0, low, _, high = free.bounds
        less = free.difference(box(x0, low, x0 + measure_wide_mm(measure), high))
        beside = place_inside(less, blocks, (0.0,))
        if beside is not None and blocks.index(beside.block) <= max(blocks.index(placed.block), 1):
            placed = beside
            items += inner_measure(measure, x0, low, high)
    if placed is not None:
        items.extend(placed.texts())
    is_whole = placed is not None and placed.block in blocks[:2]
    head = "" if is_whole else f"{name}, {size}"
    if todo:
        head = head or str(view.number)
    return Group(piece.id, "outline", tuple(items)), head, "; ".join(todo)
