"""Labels to stick on pieces as they come off the saw, on label paper of any measures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nestcut.errors import Finding, InputError, Severity, finding
from nestcut.facts import Fact, Size
from nestcut.model.stock import BoardStock, SheetGrain, SheetStock
from nestcut.papers.draw import (
    SIZES,
    Area,
    Drawing,
    Item,
    PageSize,
    Paper,
    Pen,
    Text,
    Weight,
    drawings_pdf,
    rectangle,
    shorten,
    text_width_mm,
    wrap,
)
from nestcut.papers.view import (
    BoardPiece,
    BoardView,
    Figures,
    PlacedPiece,
    PlanView,
    SheetView,
    allowance_words,
    bevel_words,
    joint_words_short,
    planing_words,
    rail_allowance_words,
    rail_angle_words,
    rail_joint_words,
    strap_words,
    which_one,
    which_rail,
)
from nestcut.tolerances.looks import LABEL_SLACK_MM
from nestcut.trade.shop import LABEL_PAD_MM, LABEL_REACH_MM
from nestcut.units import LengthError, parse_length_mm

PAD_MM = LABEL_PAD_MM.value
"""Free room inside a label's edge. [mm]"""
REACH_MM = LABEL_REACH_MM.value
"""Home printers don't reach nearer a page's edge. [mm]"""
NAME_SIZES = (6.0, 5.2, 4.6, 4.0, 3.5, 3.0, 2.6)
TEXT_SIZES = (4.2, 3.8, 3.4, 3.0, 2.7, 2.4, 2.1)
NAME_TO_TEXT = 1.5
"""How much larger a name should be than the lines below it, where there is room. [-]"""
LEAD = 1.3
"""Distance of lines per font size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelGrid:
    """Measures of a sheet of labels.

    Parameters
    ----------
    left_mm, top_mm
        From the page's edges to the first label. [mm]
    gap_across_mm, gap_down_mm
        Between labels. [mm]
    """

    page: PageSize
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    left_mm: float
    top_mm: float
    gap_across_mm: float = 0.0
    gap_down_mm: float = 0.0

    def corner(self, place: int) -> tuple[float, float]:
        """Lower left corner of the label at a place, counted from 0 along the rows. [mm]"""
        row, column = divmod(place, self.columns)
        x = self.left_mm + column * (self.width_mm + self.gap_across_mm)
        top = self.page.height_mm - self.top_mm - row * (self.height_mm + self.gap_down_mm)
        return x, top - self.height_mm

    @property
    def count(self) -> int:
        """Labels on a page."""
        return self.columns * self.rows


GRIDS: dict[Paper, LabelGrid] = {
    Paper.A4: LabelGrid(
        page=SIZES[Paper.A4], columns=3, rows=8, width_mm=70.0, height_mm=37.0, left_mm=0.0,
        top_mm=0.5,
    ),
    Paper.LETTER: LabelGrid(
        page=SIZES[Paper.LETTER], columns=3, rows=10, width_mm=66.675, height_mm=25.4,
        left_mm=4.7625, top_mm=12.7, gap_across_mm=3.175,
    ),
}  # fmt: skip
"""Measures that label paper is widely sold in: 70 x 37 mm, and 2-5/8 x 1 in. Common practice, no
source; measure yours."""


def check_grid(grid: LabelGrid) -> tuple[Finding, ...]:
    """Say what is wrong with a grid's measures: labels off the page, too small, none."""
    x = grid.left_mm + grid.columns * (grid.width_mm + grid.gap_across_mm) - grid.gap_across_mm
    y = grid.top_mm + grid.rows * (grid.height_mm + grid.gap_down_mm) - grid.gap_down_mm
    faults: list[Fact] = []
    if min(grid.left_mm, grid.top_mm, grid.gap_across_mm, grid.gap_down_mm) < 0:
        faults.append(Fact("LBL-021"))
    if grid.columns < 1 or grid.rows < 1:
        faults.append(Fact("LBL-022"))
    elif x > grid.page.width_mm + LABEL_SLACK_MM or y > grid.page.height_mm + LABEL_SLACK_MM:
        end, page = Size((x, y)), Size((grid.page.width_mm, grid.page.height_mm))
        faults.append(Fact("LBL-023", (("end", end), ("page", page))))
    if grid.width_mm < 30.0 or grid.height_mm < 12.0:
        faults.append(Fact("LBL-024"))
    return tuple(map(_grid_fault, faults))


def parse_grid(text: str, paper: Paper) -> LabelGrid:
    """Read a grid's measures as one text, in the order in which they're taken off the sheet.

    Columns, rows, label width, label height, left edge, top edge and, where there are any, gap
    across and gap down: ``"3, 8, 70 mm, 37 mm, 0 mm, 0.5 mm"``.

    Raises
    ------
    InputError
        If it can't be read or the labels don't fit the page; every fault is told.
    """
    words = [w.strip() for w in text.split(",")]
    faults: list[Fact] = []
    counts: list[int] = []
    for word, code in zip(words, ("LBL-011", "LBL-012"), strict=False):
        if word.isascii() and word.isdigit() and len(word) <= 3:
            counts.append(int(word))
        else:
            faults.append(Fact(code, (("word", word),)))
    lengths: list[float] = []
    for word in words[2:]:
        try:
            lengths.append(float(parse_length_mm(word)))
        except LengthError as error:
            faults.append(Fact("LBL-013", (("fault", str(error)),)))
    if not 6 <= len(words) <= 8:
        faults.append(Fact("LBL-014", (("n", len(words)),)))
    if faults:
        raise InputError(map(_grid_fault, faults))
    gaps = (*lengths[4:], 0.0, 0.0)
    grid = LabelGrid(
        page=SIZES[paper],
        columns=counts[0],
        rows=counts[1],
        width_mm=lengths[0],
        height_mm=lengths[1],
        left_mm=lengths[2],
        top_mm=lengths[3],
        gap_across_mm=gaps[0],
        gap_down_mm=gaps[1],
    )
    findings = check_grid(grid)
    if findings:
        raise InputError(findings)
    return grid


def _grid_fault(why: Fact) -> Finding:
    return finding("LBL-001", Severity.ERROR, "label grid", why=why)


@dataclass(frozen=True, slots=True)
class Label:
    """What one label says: a large name, which one it is, smaller lines, most important first."""

    piece: str
    name: str
    which: str
    lines: tuple[str, ...]


def label_texts(view: PlanView, figures: Figures) -> tuple[Label, ...]:
    """One label a piece, in the order of sheets and boards and of cutting on each."""
    flat = [_flat(sheet, placed, view, figures) for sheet in view.sheets for placed in sheet.placed]
    rails = [_rail(board, cut, view, figures) for board in view.boards for cut in board.cuts]
    return (*flat, *rails)


def label_pages(labels: Sequence[Label], grid: LabelGrid, used: int) -> tuple[Drawing, ...]:
    """Set labels out page by page.

    Parameters
    ----------
    grid
        Measures of the label sheet.
    used
        How many labels are gone from the first sheet already.
    """
    pages: list[Drawing] = []
    places = list(range(used % grid.count, used % grid.count + len(labels)))
    for page in range(0, places[-1] + 1 if places else 0, grid.count):
        items: list[Item] = []
        for label, place in zip(labels, places, strict=True):
            if page <= place < page + grid.count:
                items.extend(_drawn(label, grid, grid.corner(place - page)))
        caption = f"Labels, page {len(pages) + 1}"
        pages.append(Drawing(grid.page.width_mm, grid.page.height_mm, tuple(items), caption))
    return tuple(pages)


def labels_pdf(view: PlanView, figures: Figures, grid: LabelGrid, used: int = 0) -> bytes:
    """Return the labels as a PDF, at full size; the same plan gives the same bytes.

    Parameters
    ----------
    used
        How many labels are gone from the first sheet.
    """
    title = f"{view.verified.job.name}: labels"
    return texts_pdf(label_texts(view, figures), title, grid, used)


def texts_pdf(labels: Sequence[Label], title: str, grid: LabelGrid, used: int = 0) -> bytes:
    """Return any labels as a PDF, at full size.

    Parameters
    ----------
    title
        Of the PDF.
    used
        How many labels are gone from the first sheet.
    """
    return drawings_pdf(label_pages(labels, grid, used), title)


def stock_label(stock: SheetStock | BoardStock, came_from: str, figures: Figures) -> Label:
    """Return the label of something that lies in the shed: what a job file has to know of it.

    Parameters
    ----------
    stock
        What lies there, a single sheet or board.
    came_from
        Job that it was left of; empty: nobody knows.
    """
    if isinstance(stock, BoardStock):
        (offer,) = stock.lengths
        size = figures.length(offer.length_mm)
        section = f"{stock.material}  ·  {figures.pair(stock.thickness_mm, stock.width_mm)}"
        told = [f"{d.reason} at {figures.length(d.from_mm)}" for d in offer.defects]
    else:
        size = figures.stock(stock.length_mm, stock.width_mm)
        section = f"{stock.material}  ·  {figures.called(stock.thickness_mm)}"
        way = "the length" if stock.grain is SheetGrain.ALONG_LENGTH else "the width"
        told = [f"grain along {way}", "this face: GOOD"]
        told += ["outline of its own"] if stock.outline else []
        told += [f"mind: {k.reason}" for k in stock.keep_outs]
    lines = (section, *dict.fromkeys(told), f"from {came_from}" if came_from else "")
    return Label(stock.name, stock.name, size, tuple(line for line in lines if line))


def _flat(sheet: SheetView, placed: PlacedPiece, view: PlanView, figures: Figures) -> Label:
    piece = placed.piece
    face = "this face: GOOD" if placed.is_face_up else "this face: BACK"
    thickness = figures.called(piece.thickness_mm)
    lines = (
        f"{face}  ·  {sheet.label} no. {placed.number}",
        *(f"{joint_words_short(e)}{_to_piece(e.joint, piece.id, view)}" for e in placed.ends),
        f"{thickness} {piece.material}  ·  {figures.cut_pair(*placed.size_mm)}",
        allowance_words(placed, figures),
        *(f"bevel: {bevel}" for bevel in bevel_words(placed, figures)),
        piece.note,
        *strap_words(placed, view, figures),
    )
    said = tuple(line for line in lines if line)
    return Label(piece.id, piece.part, which_one(placed), said)


def _rail(board: BoardView, cut: BoardPiece, view: PlanView, figures: Figures) -> Label:
    piece = cut.piece
    over = cut.part.allowance_mm if cut.part else 0.0
    section = figures.pair(piece.thickness_mm, piece.width_mm)
    lines = (
        f"{board.label} no. {cut.number}  ·  {piece.material}",
        *(f"{rail_joint_words(e, view)}{_to_piece(e.joint, piece.id, view)}" for e in piece.ends),
        f"{figures.length(piece.length_mm)} of {section}",
        planing_words(piece, figures),
        rail_angle_words(cut.part.end_angles_deg) if cut.part else "",
        rail_allowance_words(piece, over, figures),
        piece.note,
    )
    return Label(piece.id, piece.part, which_rail(cut), tuple(line for line in lines if line))


def _to_piece(joint: str, piece: str, view: PlanView) -> str:
    """Which piece of its part a joint leads to: ``, to piece 2``."""
    others = (
        other
        for _, found in view.joints
        if found.id == joint
        for other in found.pieces
        if other != piece
    )
    share = next((view.name_of(other).rpartition(", ")[2] for other in others), "")
    return f", to {share}" if share.startswith("piece ") else ""


def _drawn(label: Label, grid: LabelGrid, corner: tuple[float, float]) -> tuple[Item, ...]:
    """A label with its texts as large as they go; lines that don't fit are left out, last first."""
    x0, y0, x1, y1 = _room(grid, corner)
    wide = x1 - x0
    name_size, size, lines = _fit(label, wide, y1 - y0)
    items: list[Item] = [Area(rectangle(*corner, grid.width_mm, grid.height_mm), pen=Pen.HATCH)]
    at = y1 - name_size * LEAD / 2
    name = shorten(label.name, name_size, wide, Weight.BOLD)
    items.append(Text(name, (x0, at), name_size, Weight.BOLD))
    at -= name_size * LEAD / 2
    for line, weight in lines:
        at -= size * LEAD / 2
        items.append(Text(shorten(line, size, wide, weight), (x0, at), size, weight))
        at -= size * LEAD / 2
    return tuple(items)


def _room(grid: LabelGrid, corner: tuple[float, float]) -> tuple[float, float, float, float]:
    """Where texts may stand: inside the label and inside what a printer reaches. [mm]"""
    x, y = corner
    return (
        max(x + PAD_MM, REACH_MM),
        max(y + PAD_MM, REACH_MM),
        min(x + grid.width_mm - PAD_MM, grid.page.width_mm - REACH_MM),
        min(y + grid.height_mm - PAD_MM, grid.page.height_mm - REACH_MM),
    )


Lines = tuple[tuple[str, Weight], ...]


def _fit(label: Label, wide: float, high: float) -> tuple[float, float, Lines]:
    """Sizes of name and lines, and the lines that fit; long ones are broken before they're cut."""
    names = [
        s
        for s in NAME_SIZES
        if text_width_mm(label.name, s, Weight.BOLD) <= wide and s * LEAD <= high * 0.45
    ] or [NAME_SIZES[-1]]
    fitting = [
        (min(name_size / NAME_TO_TEXT, size), name_size, size)
        for size in TEXT_SIZES
        for name_size in names
        if len(_broken(label, size, wide)) * size * LEAD <= high - name_size * LEAD
    ]
    if fitting:
        _, name_size, size = max(fitting)
        return name_size, size, _broken(label, size, wide)
    name_size, size = names[-1], TEXT_SIZES[-1]
    count = max(0, int((high - name_size * LEAD) / (size * LEAD)))
    return name_size, size, _broken(label, size, wide)[:count]


def _broken(label: Label, size: float, wide: float) -> Lines:
    """Lines no wider than the label; which one it is in bold."""
    told = [(label.which, Weight.BOLD)] if label.which else []
    told += [(line, Weight.PLAIN) for line in label.lines]
    return tuple((text, weight) for line, weight in told for text in wrap(line, size, wide, weight))


def default_grid(paper: Paper) -> LabelGrid:
    """Grid for a paper where the builder gives none."""
    return GRIDS[paper]
