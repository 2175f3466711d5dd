"""What the kinds of line on a sheet's page mean: only those that the page has."""

from __future__ import annotations

from nestcut.model.curves import Point
from nestcut.model.shape import Mark
from nestcut.reports.diagram import Item, Path, Pen, Text
from nestcut.reports.fonts import shorten, text_width_mm
from nestcut.reports.rows import SheetView

SIZE_MM = 2.4
"""Font size. [mm on paper]"""
SAMPLE_MM = 8.0
"""Length of a line's sample. [mm on paper]"""
GAP_MM = 1.2
"""Room between a sample and its words; three of them between entries. [mm on paper]"""


def is_trim_line(mark: Mark) -> bool:
    """Whether a mark is a part's net outline inside its allowance."""
    return mark.label == "trim line"


def sheet_legend(sheet: SheetView, left: float, right_end: Point) -> tuple[Item, ...]:
    """Return samples with words, ranged right at ``right_end``; it never begins before ``left``."""
    entries = _entries(sheet)
    size = SIZE_MM
    samples = sum(SAMPLE_MM + GAP_MM for pen, _ in entries if pen is not None)
    samples += 3 * GAP_MM * (len(entries) - 1)
    written = sum(text_width_mm(words, 10.0) / 10.0 for _, words in entries)
    room = right_end[0] - left
    size = min(size, max(1.9, (room - samples) / written))
    x = max(left, right_end[0] - samples - written * size)
    items: list[Item] = []
    for pen, words in entries:
        if pen is not None:
            items.append(Path(((x, right_end[1]), (x + SAMPLE_MM, right_end[1])), pen))
            x += SAMPLE_MM + GAP_MM
        shown = shorten(words, size, right_end[0] - x + 0.01)
        items.append(Text(shown, (x, right_end[1]), size))
        x += text_width_mm(shown, size) + 3 * GAP_MM
        if x >= right_end[0]:
            break
    return tuple(items)


def _entries(sheet: SheetView) -> list[tuple[Pen | None, str]]:
    marks = [m for p in sheet.placed for m in p.shape.marks if len(m.points) > 1]
    entries: list[tuple[Pen | None, str]] = [(Pen.CUT, "cut")]
    if any(is_trim_line(m) for m in marks):
        entries.append((Pen.LATER, "trim to this after the dry fit; do not saw here"))
    if any(not is_trim_line(m) for m in marks):
        entries.append((Pen.MARK, "pencil only: frames, joints"))
    if sheet.layout.offcuts:
        entries.append((Pen.KEEP, "KEEP: offcut"))
    if sheet.layout.edge_trim_mm > 0 or sheet.layout.end_trim_mm > 0:
        entries.append((Pen.TRIM, "edge trim"))
    barred = ", ".join(dict.fromkeys(k.reason for k in sheet.layout.keep_outs if k.reason))
    if barred:
        entries.append((None, f"cross-hatched: {barred}"))
    return entries
