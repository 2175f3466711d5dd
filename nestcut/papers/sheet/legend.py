"""What the kinds of line on a sheet's page mean: only those that the page has."""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum

from shapely.geometry import box

from nestcut.model.curves import Point
from nestcut.model.joint import Face
from nestcut.model.stock import SheetStock
from nestcut.papers.draw import (
    Area,
    Item,
    Lines,
    Path,
    Pen,
    Text,
    hatch,
    rectangle,
    shorten,
    text_width_mm,
)
from nestcut.papers.sheet.bevel_marks import bevels_of
from nestcut.papers.view import PlacedPiece, SheetView, is_trim_line

SIZE_MM = 2.4
"""Font size. [mm on paper]"""
SAMPLE_MM = 8.0
"""Length of a line's sample. [mm on paper]"""
GAP_MM = 1.2
"""Room between a sample and its words; three of them between entries. [mm on paper]"""


class Special(Enum):
    """Marks that are more than one line; *here* is the face that is up."""

    BEVEL_UP = "bevel, face up"
    BEVEL_UNDER = "bevel, face underneath"
    JOINT_UP = "scarf, face up"
    JOINT_UNDER = "scarf, face underneath"


def sheet_legend(
    placed: Sequence[PlacedPiece], sheet: SheetView, left: float, right_end: Point
) -> tuple[Item, ...]:
    """Return samples with words, ranged right at ``right_end``; it never begins before ``left``.

    Parameters
    ----------
    placed
        The pieces that are drawn: of a page of details, those in its windows.
    """
    entries = _entries(placed, sheet)
    size = SIZE_MM
    samples = sum(SAMPLE_MM + GAP_MM for kind, _ in entries if kind is not None)
    samples += 3 * GAP_MM * (len(entries) - 1)
    written = sum(text_width_mm(words, 10.0) / 10.0 for _, words in entries)
    room = right_end[0] - left
    size = min(size, max(1.9, (room - samples) / written))
    x = max(left, right_end[0] - samples - written * size)
    items: list[Item] = []
    for kind, words in entries:
        if kind is not None:
            items.extend(_sample(kind, x, right_end[1]))
            x += SAMPLE_MM + GAP_MM
        shown = shorten(words, size, right_end[0] - x + 0.01)
        items.append(Text(shown, (x, right_end[1]), size))
        x += text_width_mm(shown, size) + 3 * GAP_MM
        if x >= right_end[0]:
            break
    return tuple(items)


def _sample(kind: Pen | Special, x: float, y: float) -> tuple[Item, ...]:
    """A piece of a line as the drawing has it."""
    if isinstance(kind, Pen):
        return (Path(((x, y), (x + SAMPLE_MM, y)), kind),)
    if kind is Special.JOINT_UP:
        area = box(x, y - 0.9, x + SAMPLE_MM, y + 0.9)
        return (hatch(area, spacing_mm=0.9, angle_deg=135.0, pen=Pen.DENSE),)
    if kind is Special.JOINT_UNDER:
        return (Area(rectangle(x, y - 0.9, SAMPLE_MM, 1.8), pen=Pen.HIDDEN),)
    edge = Path(((x, y + 0.8), (x + SAMPLE_MM, y + 0.8)), Pen.CUT)
    if kind is Special.BEVEL_UNDER:
        return (edge, Path(((x, y - 0.8), (x + SAMPLE_MM, y - 0.8)), Pen.HIDDEN))
    count = int(SAMPLE_MM / 1.6)
    strokes = tuple(
        ((x + 1.6 * k + 0.8, y + 0.8), (x + 1.6 * k + 0.8, y - 0.8)) for k in range(count)
    )
    return (edge, Lines(strokes, Pen.FRAME))


def _entries(
    placed: Sequence[PlacedPiece], sheet: SheetView
) -> list[tuple[Pen | Special | None, str]]:
    marks = [m for p in placed for m in p.shape.marks if len(m.points) > 1]
    entries: list[tuple[Pen | Special | None, str]] = [(Pen.CUT, "cut")]
    if any(is_trim_line(m) for m in marks):
        entries.append((Pen.LATER, "trim after the dry fit; do not saw here"))
    if any(not is_trim_line(m) for m in marks):
        entries.append((Pen.MARK, "pencil only"))
    bevels = {view.is_planed_up for p in placed for view in bevels_of(p)}
    for is_up, kind in ((True, Special.BEVEL_UP), (False, Special.BEVEL_UNDER)):
        if is_up in bevels:
            entries.append((kind, f"bevel: {'this face' if is_up else 'face underneath'}"))
    joints = {
        (e.planed is Face.GOOD) is p.is_face_up
        for p in placed
        for e in p.ends
        if e.planed is not None
    }
    for is_up, kind in ((True, Special.JOINT_UP), (False, Special.JOINT_UNDER)):
        if is_up in joints:
            entries.append((kind, f"joint worked: {'this face' if is_up else 'face underneath'}"))
    if isinstance(sheet.stock, SheetStock) and sheet.stock.seams_mm:
        entries.append((Pen.HIDDEN, "seam: middle of a scarf glued before marking out"))
    if sheet.layout.offcuts:
        entries.append((Pen.KEEP, "KEEP: offcut"))
    if sheet.layout.edge_trim_mm > 0 or sheet.layout.end_trim_mm > 0:
        entries.append((Pen.TRIM, "edge trim"))
    barred = ", ".join(dict.fromkeys(k.reason for k in sheet.layout.barred if k.reason))
    if barred:
        entries.append((None, f"cross-hatched: {barred}"))
    return entries
