"""The table of pieces on a sheet's page: every word in full."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry import Polygon

from nestcut.model.part import Timing
from nestcut.papers.draw import Column, Item, LaidTable, laid_table
from nestcut.papers.page import LINE_MM, PageMaker
from nestcut.papers.view import (
    CUT_WORDS,
    PENCIL_BACK,
    Figures,
    PlacedPiece,
    PlanView,
    SheetView,
    allowance_words,
    bevel_words_short,
    face_words,
    grain_words,
    joints_words_short,
    keep_words,
    keeps_of,
    kept_name,
    shown_name,
    strap_words,
    warnings_for,
)

APART_MM = 5.0
"""Room between tables that stand beside each other. [mm]"""
NARROWEST_MM = 88.0
"""No table that stands beside another is narrower. [mm]"""
LONGEST = 500
"""Longer words go on in a row of their own. [letters]"""
_SHARES = {
    2: tuple((s, 1.0 - s) for s in (0.5, 0.44, 0.4, 0.56, 0.6, 0.47, 0.53, 0.37, 0.63, 0.42, 0.58))
}
"""Widths of two tables beside each other: one may have longer words. [-]"""
COLUMNS = (Column("no."), Column("piece"), Column("size"), Column("to do, notes"))


def piece_row(placed: PlacedPiece, view: PlanView, figures: Figures) -> tuple[str, ...]:
    """One piece in the table: number, name, size, what to do with it."""
    notes = [CUT_WORDS] if view.is_cut(placed.piece.id) else []
    notes += [w for w in warnings_for(placed) if w != PENCIL_BACK]
    notes += face_words(placed)
    notes += [w for w in (grain_words(placed),) if w]
    notes += joints_words_short(placed.ends)
    notes += bevel_words_short(placed, figures)
    if placed.piece.timing is Timing.AFTER_DRY_FIT:
        notes += [_waiting_words(placed)]
    words = allowance_words(placed, figures)
    notes += [words] if words else []
    notes += [placed.piece.note] if placed.piece.note else []
    notes += strap_words(placed, view, figures)
    size = figures.cut_pair(*placed.size_mm).removesuffix(figures.tail)
    return (str(placed.number), shown_name(placed), size, "; ".join(notes))


def _waiting_words(placed: PlacedPiece) -> str:
    """When a piece that waits for the dry fit is sawn, and what it is fitted to."""
    many = len(placed.shape.holes)
    holes = f", its hole{'s' * (many > 1)} too," if many else ""
    saw = f"saw it{holes} only when the hull stands dry"
    if placed.part is None or placed.part.allowance_mm <= 0.0:
        return f"{saw}: measure its place first"
    return (
        f"{saw}, to its full line; slide it in till it jams, scribe, plane, and again, until it "
        "stands on its line: the dotted line is only a guide"
    )


def sheet_rows(sheet: SheetView, maker: PageMaker) -> tuple[tuple[str, ...], ...]:
    """Rows of a sheet's table: what comes off first, every piece, what is kept besides."""
    figures = maker.figures
    keeps = keeps_of(sheet, maker.view.verified.job.cutting, maker.figures)
    reserves = maker.view.verified.plan.reserves
    told = [
        (
            "-" if keep.cut_mm is not None else "",  # what falls free is no cut to tick off
            kept_name(keep, sheet, reserves),
            figures.stock(*keep.size_mm).removesuffix(figures.tail or " mm"),
            keep_words(keep, figures, turn),
        )
        for turn, keep in enumerate(keeps)
    ]
    first = sum(k.cut_mm is not None for k in keeps)
    pieces = [
        (*row[:3], "; ".join(w for w in (row[3], *place_words(p, sheet)) if w))
        for p in sheet.placed
        for row in (piece_row(p, maker.view, figures),)
    ]
    return tuple(bit for row in (*told[:first], *pieces, *told[first:]) for bit in _cut_up(row))


def place_words(placed: PlacedPiece, sheet: SheetView) -> list[str]:
    """What a piece's place asks for at the saw: a start hole.

    Parameters
    ----------
    placed
        One piece of the sheet.
    """
    return [
        f"lies in {other.number}'s hole: bore a start hole in the waste round it"
        for other in sheet.placed
        if any(Polygon(h.points).contains(placed.polygon) for h in other.shape.holes)
    ]


def _cut_up(row: tuple[str, ...]) -> list[tuple[str, ...]]:
    """A row whose words would fill a page goes on in rows without a number."""
    if max(len(cell) for cell in row) <= LONGEST:
        return [row]
    cells = [_chunks(cell) for cell in row]
    deep = max(len(c) for c in cells)
    return [tuple(c[k] if k < len(c) else "" for c in cells) for k in range(deep)]


def _chunks(text: str) -> list[str]:
    found = []
    while len(text) > LONGEST:
        at = text.rfind("; ", LONGEST // 2, LONGEST) + 1 or text.rfind(" ", LONGEST // 2, LONGEST)
        at = LONGEST if at < 0 else at
        found.append(text[:at])
        text = text[at:].strip()
    return [*found, text]


@dataclass(frozen=True, slots=True)
class Spread:
    """Tables beside each other, each with columns of its own, and how many rows they tell."""

    tables: tuple[LaidTable, ...]
    starts_mm: tuple[float, ...]
    """Where each begins, from the first one's left edge. [mm on paper]"""
    higher_mm: float
    """By how much the first begins higher than the others. [mm on paper]"""
    used: int
    """Rows told, those of the pages before among them."""

    def items(self, left: float, top: float) -> tuple[Item, ...]:
        """Draw them, the first at ``left``. [mm on paper]"""
        return tuple(
            item
            for start, table in zip(self.starts_mm, self.tables, strict=False)
            for high in (0.0 if start else self.higher_mm,)
            for item in table.items((left + start, top + high), 0, len(table.rows))
        )


def spread_tables(
    rows: Sequence[Sequence[str]],
    width_mm: float,
    height_mm: float,
    first: int = 0,
    above_mm: tuple[float, float] = (0.0, 0.0),
) -> Spread:
    """As many tables beside each other as take most rows from ``first`` on; fewest win.

    Parameters
    ----------
    rows
        Texts, one a column.
    width_mm, height_mm
        Room on the page. [mm]
    first
        Row to begin with.
    above_mm
        Width and height of the room over its left end, for a first table no wider. [mm]
    """
    best: Spread | None = None
    most = max(1, int((width_mm + APART_MM) / (NARROWEST_MM + APART_MM)))
    for count in range(1, most + 1):
        room = width_mm - APART_MM * (count - 1)
        for shares in _SHARES.get(count, ((1.0 / count,) * count,)):
            widths = [room * share for share in shares]
            if count > 1 and min(widths) < NARROWEST_MM:
                continue
            higher = above_mm[1] if widths[0] <= above_mm[0] else 0.0
            heights = [height_mm + higher, *[height_mm] * (count - 1)]
            tables = _levelled(rows[first:], widths, heights)
            starts = tuple(sum(widths[:k]) + APART_MM * k for k in range(count))
            told = sum(len(t.rows) for t in tables)
            made = Spread(tables, starts, higher, first + told)
            if best is None or made.used > best.used:
                best = made
            if best.used == len(rows):
                return best
    assert best is not None  # noqa: S101 - most is one at least
    return best


def _levelled(
    rows: Sequence[Sequence[str]], widths_mm: Sequence[float], heights_mm: Sequence[float]
) -> tuple[LaidTable, ...]:
    """Tables of these widths: of the least height that takes what the full ones take."""
    full = _filled(rows, widths_mm, heights_mm)
    total = sum(len(t.rows) for t in full)
    heights = list(heights_mm)
    while len(widths_mm) > 1 and min(heights) > LINE_MM:
        heights = [h - LINE_MM for h in heights]
        lower = _filled(rows[:total], widths_mm, heights)
        if sum(len(t.rows) for t in lower) < total:
            break
        full = lower
    return full


def _filled(
    rows: Sequence[Sequence[str]], widths_mm: Sequence[float], heights_mm: Sequence[float]
) -> tuple[LaidTable, ...]:
    """Tables beside each other, one filled after the other.

    Each has the columns that its own rows need: a long name in one takes no room from another's
    words.
    """
    tables: list[LaidTable] = []
    start = 0
    for width_mm, height_mm in zip(widths_mm, heights_mm, strict=True):
        take = len(rows) - start
        while take > 0:
            table = laid_table(COLUMNS, rows[start : start + take], width_mm, CUT_WORDS)
            fitting = table.fitting(height_mm, 0)
            if fitting >= take:
                tables.append(table)
                break
            take = fitting if fitting < take - 1 else take - 1
        start += max(take, 0)
    return tuple(tables)
