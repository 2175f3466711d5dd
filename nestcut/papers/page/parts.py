"""What every drawing page carries: title, scale bar, check square, kerf note. [mm on paper]"""

from __future__ import annotations

from nestcut.model.curves import Point
from nestcut.papers.draw import (
    MARGIN_MM,
    Anchor,
    Area,
    Fill,
    Item,
    Lines,
    PageSize,
    Path,
    Pen,
    Text,
    Weight,
    arrow_head,
    rectangle,
    shorten,
    text_width_mm,
)
from nestcut.papers.view import Figures
from nestcut.units import LengthStyle

HEAD_MM = 12.4
FOOT_MM = 2.5
TOP_MM = 6.5
"""Room above a sheet for the grain arrow. [mm]"""


def title(page: PageSize, name: str, beside: str, facts: str, scale_text: str) -> tuple[Item, ...]:
    """Head of a drawing page: a large name, what it is, the scale, one line of facts."""
    left, right = MARGIN_MM, page.width_mm - MARGIN_MM
    top = page.height_mm - MARGIN_MM
    items: list[Item] = [Text(name, (left, top - 3.2), 6.6, Weight.BOLD)]
    start = left + text_width_mm(name, 6.6, Weight.BOLD) + 4.0
    scale_wide = text_width_mm(scale_text, 4.4, Weight.BOLD)
    items.append(Text(scale_text, (right, top - 3.2), 4.4, Weight.BOLD, Anchor.END))
    room = right - scale_wide - 4.0 - start
    items.append(
        Text(shorten(beside, 4.4, room, Weight.BOLD), (start, top - 3.2), 4.4, Weight.BOLD)
    )
    size = min(3.0, max(2.4, 3.0 * (right - left) / max(text_width_mm(facts, 3.0), 1.0)))
    items.append(Text(shorten(facts, size, right - left), (left, top - 9.0), size))
    items.append(Path(((left, top - 11.6), (right, top - 11.6)), Pen.FRAME))
    return tuple(i for i in items if not isinstance(i, Text) or i.text)


def scale_text(scale: float) -> str:
    """Write a scale, ``1:10``; 1:12 says what it means on a foot rule."""
    words = {
        4: "3\" to 1'",
        8: "1-1/2\" to 1'",
        12: "1\" to 1'",
        16: "3/4\" to 1'",
        24: "1/2\" to 1'",
        48: "1/4\" to 1'",
    }
    if scale in words:
        return f"scale 1:{scale:g}  ({words[int(scale)]})"
    return f"scale 1:{scale:g}"


def scale_bar(at: Point, scale: float, figures: Figures, room_mm: float) -> tuple[Item, ...]:
    """A bar to lay a rule on, in black and white steps, marked in full-size lengths."""
    if figures.style is LengthStyle.MM:
        steps: tuple[float, ...] = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
    else:
        steps = tuple(25.4 * n for n in (0.5, 1, 2, 4, 6, 12, 24, 48, 96, 192))
    fitting = [s for s in steps if s / scale * 4 <= room_mm]
    step = (fitting[-1] if fitting else steps[0]) / scale
    x, y = at
    items: list[Item] = []
    for k in range(4):
        fill = Fill.INK if k % 2 == 0 else Fill.PAPER
        items.append(Area(rectangle(x + k * step, y, step, 1.6), pen=Pen.FRAME, fill=fill))
    for k in (0, 2, 4):
        text = figures.length(k * step * scale) if k else "0"
        anchor = {0: Anchor.START, 2: Anchor.MIDDLE, 4: Anchor.END}[k]
        items.append(Text(text, (x + k * step, y + 3.4), 2.4, anchor=anchor))
    return tuple(items)


def check_rule(at: Point, figures: Figures) -> tuple[Item, ...]:
    """A rule to lay a real one on, 100 mm or 4 in long: a print at 97 % is 3 mm short on it."""
    is_mm = figures.style is LengthStyle.MM
    long, count, words = (100.0, 10, "100 mm") if is_mm else (101.6, 8, '4"')
    x, y = at
    step = long / count
    ticks = tuple(
        ((x + k * step, y), (x + k * step, y + (3.0 if k % (count // 2) == 0 else 1.6)))
        for k in range(count + 1)
    )
    told = f"{words} on this paper: measure before you scale off it"
    return (
        Path(((x, y), (x + long, y)), Pen.FRAME),
        Lines(ticks, Pen.FRAME),
        Text(told, (x + long / 2, y + 5.0), 3.2, anchor=Anchor.MIDDLE),
    )


def check_square(at: Point, figures: Figures) -> tuple[Item, ...]:
    """A square to measure on the print: 15 mm or 1/2 in a side, whatever the scale."""
    side, words = (15.0, "15 mm") if figures.style is LengthStyle.MM else (12.7, '1/2"')
    x, y = at
    return (
        Area(rectangle(x, y, side, side), pen=Pen.FRAME),
        Text(words, (x + side / 2, y + side / 2 + 3.2), 2.4, Weight.BOLD, Anchor.MIDDLE),
        Text("each way", (x + side / 2, y + side / 2), 2.1, anchor=Anchor.MIDDLE),
        Text("on paper", (x + side / 2, y + side / 2 - 2.9), 2.1, anchor=Anchor.MIDDLE),
    )


def kerf_note(at: Point, kerf_text: str) -> tuple[Item, ...]:
    """Which side of the line the saw goes: a piece's edge, the hatched waste and the blade."""
    x, y = at
    slant = tuple(((x + 11.4 + 1.6 * k, y), (x + 11.4 + 1.6 * k + 3.0, y + 8.0)) for k in range(6))
    return (
        Path(((x, y + 8.0), (x + 10.0, y + 8.0), (x + 10.0, y), (x, y)), Pen.CUT),
        Lines(slant),
        Area(rectangle(x + 10.22, y - 0.6, 0.9, 9.2), pen=None, fill=Fill.INK),
        Text("piece", (x + 4.6, y + 4.0), 2.5, anchor=Anchor.MIDDLE),
        arrow_head((x + 11.2, y + 10.4), 180.0, 1.6),
        Path(((x + 11.2, y + 10.4), (x + 15.0, y + 10.4)), Pen.THIN),
        Text(f"blade {kerf_text}:", (x + 15.8, y + 10.4), 2.4),
        Text("saw OUTSIDE", (x + 24.2, y + 5.8), 2.4, Weight.BOLD),
        Text("the line, on the", (x + 24.2, y + 2.8), 2.4),
        Text("hatched side", (x + 24.2, y - 0.2), 2.4),
    )


def grain_arrow(middle: Point, grain_deg: float, length_mm: float = 34.0) -> tuple[Item, ...]:
    """A double arrow along the face grain with its name; level or upright."""
    x, y = middle
    half = length_mm / 2
    if grain_deg == 0.0:
        ends = ((x - half, y), (x + half, y))
        turns = (180.0, 0.0)
        label = Text("face grain", (x + half + 2.0, y), 3.0)
    else:
        ends = ((x, y - half), (x, y + half))
        turns = (270.0, 90.0)
        label = Text("face grain", (x + 3.0, y), 3.0, angle_deg=90.0, anchor=Anchor.MIDDLE)
    return (
        Path(ends, Pen.FRAME),
        *(arrow_head(end, turn, 2.6) for end, turn in zip(ends, turns, strict=True)),
        label,
    )
