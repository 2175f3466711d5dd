"""The pages of a full-size pattern: first the page map and the check square, then the tiles."""

from __future__ import annotations

import math

import shapely
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.papers.draw import (
    MARGIN_MM,
    Anchor,
    Area,
    Disc,
    Drawing,
    Fill,
    Group,
    Item,
    Lines,
    Paper,
    Path,
    Pen,
    Text,
    Weight,
    arrow_head,
    drawings_pdf,
    hatch,
    rectangle,
    shorten,
    text_width_mm,
    wrap,
)
from nestcut.papers.labels.patterns import (
    LEFT_STRIP_MM,
    MANY_TILES,
    TOP_STRIP_MM,
    Cross,
    Pattern,
    Tile,
    TileChoice,
    find_placed,
    pattern_of,
)
from nestcut.papers.view import (
    Figures,
    PlacedPiece,
    PlanView,
    allowance_words,
    bevel_words,
    which_one,
)
from nestcut.units import LengthStyle

WASTE_BAND_MM = 5.0
"""Width of the hatching outside a line. [mm]"""
CROSS_MM = 4.0
"""Half the length of a registration mark's lines. [mm]"""
BODY_MM = 3.4
LINE_MM = 4.6


def pattern_pdf(
    view: PlanView, piece: str, paper: Paper, figures: Figures, choice: TileChoice
) -> bytes:
    """Return the full-size pattern of a piece (an id, or a part's name) as a PDF.

    Parameters
    ----------
    piece
        A piece's id, or a part's name.
    choice
        Which of the tiles to print.

    Raises
    ------
    InputError
        If the plan has no such piece.
    """
    placed = find_placed(view, piece)
    return placed_pattern_pdf(pattern_of(placed, view, paper, choice), placed, view, figures)


def placed_pattern_pdf(
    pattern: Pattern, placed: PlacedPiece, view: PlanView, figures: Figures
) -> bytes:
    """Return the PDF of a pattern that is divided into tiles already."""
    drawings = (first_page(pattern, placed, figures), *tile_pages(pattern, placed, figures))
    return drawings_pdf(drawings, f"{view.verified.job.name}: pattern of {placed.piece.id}")


def tile_pages(pattern: Pattern, placed: PlacedPiece, figures: Figures) -> tuple[Drawing, ...]:
    """Return one page a tile, 1:1; the tile's window begins at :func:`tile_origin`."""
    return tuple(_tile_page(pattern, tile, placed, figures) for tile in pattern.tiles)


def tile_origin() -> tuple[float, float]:
    """Where a tile's lower left corner lies on its page. [mm]"""
    return (MARGIN_MM + LEFT_STRIP_MM, MARGIN_MM)


def check_side(figures: Figures) -> tuple[float, str]:
    """Side of the check square and length of the check rules, with its name. [mm]"""
    return (100.0, "100 mm") if figures.style is LengthStyle.MM else (101.6, '4"')


def first_page(pattern: Pattern, placed: PlacedPiece, figures: Figures) -> Drawing:
    """What it is, how the tiles go together, what to measure before trusting them."""
    page = pattern.page
    left, right = MARGIN_MM, page.width_mm - MARGIN_MM
    top = page.height_mm - MARGIN_MM
    items: list[Item] = [
        Text(
            shorten(f"Pattern: {placed.piece.id}", 6.6, right - left, Weight.BOLD),
            (left, top - 3.2),
            6.6,
            Weight.BOLD,
        ),
        Path(((left, top - 8.0), (right, top - 8.0)), Pen.FRAME),
    ]
    y = top - 12.0
    for text in _words(pattern, placed, figures):
        for line in wrap(text, BODY_MM, right - left):
            items.append(Text(line, (left, y), BODY_MM))
            y -= LINE_MM
        y -= 1.0
    side, name = check_side(figures)
    square = (right - side, MARGIN_MM)
    items.append(Area(rectangle(*square, side, side), pen=Pen.FRAME))
    middle = (square[0] + side / 2, square[1] + side / 2)
    items.append(
        Text(f"{name} each way", (middle[0], middle[1] + 2.4), 3.4, Weight.BOLD, Anchor.MIDDLE)
    )
    items.append(Text("on this paper", (middle[0], middle[1] - 2.4), 3.0, anchor=Anchor.MIDDLE))
    items.extend(_map(pattern, (left, MARGIN_MM), (square[0] - left - 6.0, y - MARGIN_MM - 2.0)))
    caption = f"Pattern of {placed.piece.id}: page map and check square"
    return Drawing(page.width_mm, page.height_mm, tuple(items), caption)


def _words(pattern: Pattern, placed: PlacedPiece, figures: Figures) -> tuple[str, ...]:
    piece = placed.piece
    length, width = pattern.size_mm
    facts = [
        which_one(placed),
        f"{piece.material} {figures.called(piece.thickness_mm)}",
        f"{figures.cut_pair(*placed.size_mm)} as in the cut list",
        f"as it lies on these pages {figures.pair(length, width)}",
        "full size (1:1), seen from the GOOD FACE",
        allowance_words(placed, figures),
        *(f"bevel: {b}" for b in bevel_words(placed, figures)),
    ]
    served = pattern.served
    texts = [
        "  ·  ".join(f for f in facts if f),
        f"Serves for: {'; '.join(served.alike)}.",
        *([f"Turn it over for: {'; '.join(served.turned)}."] if served.turned else []),
        *([f"Not for: {'; '.join(served.others)}; ask for theirs."] if served.others else []),
        f"{len(pattern.tiles)} tiles. Print at 100 %, not fitted to the page. Measure the square "
        "here and the two rules on every tile before you join them.",
        "Lay crosses of the same number on each other: tiles overlap by "
        f"{figures.fine(pattern.overlap_mm)}. Cut a tile along its dashed line, or hold it to the "
        "light. The saw goes on the hatched side of a line.",
        "Paper moves with damp, up to 2 %: join and use the tiles on one day, and check the longer "
        f"side as it lies here ({figures.length(max(length, width))}) before you prick through. "
        "Where it's off, mark out from the figures instead.",
    ]
    if len(pattern.tiles) > MANY_TILES:
        texts.append(
            f"So many tiles ({len(pattern.tiles)}) are hard to join truly; the marking-out table "
            "serves a piece of this size better."
        )
    return tuple(texts)


def _map(
    pattern: Pattern, corner: tuple[float, float], room: tuple[float, float]
) -> tuple[Item, ...]:
    """The piece small, with the tiles that are printed and their names."""
    whole = (
        pattern.columns * pattern.pitch_mm[0] + pattern.overlap_mm,
        pattern.rows * pattern.pitch_mm[1] + pattern.overlap_mm,
    )
    scale = min(room[0] / whole[0], room[1] / whole[1], 0.25)
    printed = {(t.column, t.row) for t in pattern.tiles}
    items: list[Item] = []
    for row in range(pattern.rows):
        for column in range(pattern.columns):
            if (column, row) not in printed:
                continue
            tile = next(t for t in pattern.tiles if (t.column, t.row) == (column, row))
            x = corner[0] + (column * pattern.pitch_mm[0] + pattern.overlap_mm / 2) * scale
            y = corner[1] + (row * pattern.pitch_mm[1] + pattern.overlap_mm / 2) * scale
            wide, high = (p * scale for p in pattern.pitch_mm)
            items.append(Area(rectangle(x, y, wide, high), pen=Pen.THIN))
            size = min(5.0, high * 0.5, wide / max(1.0, text_width_mm(tile.name, 1.0)) * 0.8)
            items.append(Text(tile.name, (x + wide / 2, y + high / 2), size, anchor=Anchor.MIDDLE))
    place = [
        tuple((corner[0] + x * scale, corner[1] + y * scale) for x, y in ring.points)
        for ring in (pattern.shape.outline, *pattern.shape.holes)
    ]
    items.append(Area(place[0], tuple(place[1:]), Pen.CUT))
    if pattern.grain_deg is not None:
        at = (corner[0] + 20.0, corner[1] + whole[1] * scale + 22.0)
        items.extend(_grain(at, pattern.grain_deg))
    return tuple(items)


def _grain(middle: tuple[float, float], angle_deg: float) -> tuple[Item, ...]:
    """A double arrow along the face grain."""
    angle = math.radians(angle_deg)
    dx, dy = 14.0 * math.cos(angle), 14.0 * math.sin(angle)
    ends = ((middle[0] - dx, middle[1] - dy), (middle[0] + dx, middle[1] + dy))
    return (
        Path(ends, Pen.FRAME),
        arrow_head(ends[0], angle_deg + 180.0, 2.6),
        arrow_head(ends[1], angle_deg, 2.6),
        Text("face grain, as the piece lies below", (middle[0] + 18.0, middle[1]), 3.0),
    )


def _tile_page(pattern: Pattern, tile: Tile, placed: PlacedPiece, figures: Figures) -> Drawing:
    page = pattern.page
    window = box(*tile.window)
    ox, oy = tile_origin()
    dx, dy = ox - tile.window[0], oy - tile.window[1]
    lines: list[Item] = []
    shape = pattern.shape
    area = Polygon(shape.outline.points, [h.points for h in shape.holes])
    lines.extend(_paths(area.boundary.intersection(window), Pen.CUT, (dx, dy)))
    for mark in shape.marks:
        if len(mark.points) > 1:
            cut = LineString(mark.points).intersection(window)
            lines.extend(_paths(cut, Pen.MARK, (dx, dy)))
    inside = [c for c in pattern.crosses if window.contains(Point(c.at))]
    items: list[Item] = [
        *_strip(pattern, tile, placed, figures),
        *_seams(pattern, tile, (dx, dy)),
        hatch(_waste(area, window, (dx, dy)), spacing_mm=2.4),
        Group(placed.piece.id, "outline", tuple(lines)),
        *(item for c in inside for item in _cross(c, (dx, dy))),
    ]
    caption = f"Pattern of {placed.piece.id}, tile {tile.name}"
    return Drawing(page.width_mm, page.height_mm, tuple(items), caption)


def _waste(area: Polygon, window: Polygon, shift: tuple[float, float]) -> BaseGeometry:
    """A band outside the line, on the side where the saw goes."""
    band = area.buffer(WASTE_BAND_MM, join_style="mitre").difference(area).intersection(window)
    return affinity.translate(band, *shift)


def _joined_to(pattern: Pattern, tile: Tile) -> str:
    """Which tiles go on at the right and above."""
    names = {(t.column, t.row): t.name for t in pattern.tiles}
    right = names.get((tile.column + 1, tile.row))
    above = names.get((tile.column, tile.row + 1))
    words = [f"{right} at its right" if right else "", f"{above} above it" if above else ""]
    told = " and ".join(w for w in words if w)
    return f"{told}; " if told else ""


def _paths(geometry: BaseGeometry, pen: Pen, shift: tuple[float, float]) -> list[Item]:
    if geometry.geom_type in {"MultiLineString", "GeometryCollection"}:
        merged = shapely.line_merge(geometry)
        parts = shapely.get_parts(merged)
    else:
        parts = shapely.get_parts(geometry)
    return [
        Path(tuple((float(x) + shift[0], float(y) + shift[1]) for x, y in part.coords), pen)
        for part in parts
        if part.geom_type == "LineString" and part.length > 0.0
    ]


def _cross(cross: Cross, shift: tuple[float, float]) -> tuple[Item, ...]:
    x, y = cross.at[0] + shift[0], cross.at[1] + shift[1]
    arms = (((x - CROSS_MM, y), (x + CROSS_MM, y)), ((x, y - CROSS_MM), (x, y + CROSS_MM)))
    return (
        Lines(arms, Pen.THIN),
        Disc((x, y), 1.6, Pen.THIN, Fill.NONE),
        Text(str(cross.number), (x + 2.0, y + 2.6), 2.3),
    )


def _seams(pattern: Pattern, tile: Tile, shift: tuple[float, float]) -> tuple[Item, ...]:
    """Dashed lines in the middle of the overlaps with the tiles to the right and above."""
    x0, y0, x1, y1 = tile.window
    half = pattern.overlap_mm / 2
    seams: list[Item] = []
    if tile.column < pattern.columns - 1:
        x = x1 - half + shift[0]
        seams.append(Path(((x, y0 + shift[1]), (x, y1 + shift[1])), Pen.TRIM))
    if tile.row < pattern.rows - 1:
        y = y1 - half + shift[1]
        seams.append(Path(((x0 + shift[0], y), (x1 + shift[0], y)), Pen.TRIM))
    return tuple(seams)


def _strip(pattern: Pattern, tile: Tile, placed: PlacedPiece, figures: Figures) -> tuple[Item, ...]:
    """Name of the tile above it, and a check rule above and at its left."""
    page = pattern.page
    ox, oy = tile_origin()
    top = page.height_mm - MARGIN_MM
    side, name = check_side(figures)
    right = page.width_mm - MARGIN_MM
    edge = top - TOP_STRIP_MM + 3.0
    words = f"{tile.name}   {placed.piece.id}"
    room = right - ox
    return (
        Text(shorten(words, 4.4, room * 0.55, Weight.BOLD), (ox, top - 2.6), 4.4, Weight.BOLD),
        Text(
            f"{_joined_to(pattern, tile)}1:1, rules are {name}",
            (right, top - 2.6),
            2.8,
            anchor=Anchor.END,
        ),
        *_rule((ox, edge), (side, 0.0)),
        *_rule((ox - 4.0, oy), (0.0, side)),
    )


def _rule(start: tuple[float, float], along: tuple[float, float]) -> tuple[Item, ...]:
    x, y = start
    dx, dy = along
    length = max(dx, dy)
    across = (0.0, 1.0) if dx else (1.0, 0.0)
    ticks = tuple(
        (
            (x + dx * k / 10 - across[0] * reach, y + dy * k / 10 - across[1] * reach),
            (x + dx * k / 10 + across[0] * reach, y + dy * k / 10 + across[1] * reach),
        )
        for k in range(11)
        for reach in (2.0 if k in {0, 10} else 1.0 if k == 5 else 0.6,)
        if length
    )
    return (Path((start, (x + dx, y + dy)), Pen.FRAME), Lines(ticks, Pen.FRAME))
