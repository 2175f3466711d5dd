"""Drawings of the HTML page: pages of the book less their margins, each with its head."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from xml.etree import ElementTree as ET

from nestcut.papers.draw import Drawing, Group, lowest, svg_element
from nestcut.papers.page import CHECK_RULE
from nestcut.papers.view import Figures, PlanView, SheetView, many

CROP_MM = 8
"""Empty margin of a drawn page: cropped on the screen, the page's own margin in print. [mm]"""
TOUCH = "Touch a piece to read what it is."


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingEntry:
    """One drawing with its head."""

    anchor: str
    label: str
    title: str
    detail: str
    hint: str
    svg: str
    width_mm: float
    height_mm: float


def sheet_entries(
    sheet: SheetView, pages: tuple[Drawing, ...], view: PlanView, figures: Figures
) -> tuple[DrawingEntry, ...]:
    """The whole sheet, and every further page of it under its own caption."""
    layout = sheet.layout
    size = figures.stock(layout.length_mm, layout.width_mm)
    whole = replace(
        _entry(f"sheet-{sheet.index}", sheet.label, pages[0], view, TOUCH),
        title=f"{sheet.label}: {layout.stock}",
        detail=f"{sheet.material} {figures.thickness(layout.thickness_mm)}, {size}, "
        f"{many(len(sheet.placed), 'piece')}",
    )
    further = (
        _entry(f"sheet-{sheet.index}-{k}", page.caption, page, view, TOUCH)
        for k, page in enumerate(pages[1:], start=1)
    )
    return (whole, *further)


def titled_entries(
    anchor: str, drawings: tuple[tuple[str, Drawing], ...], view: PlanView, hint: str
) -> tuple[DrawingEntry, ...]:
    """Entries of drawings that have a title each.

    Parameters
    ----------
    anchor
        What the page's links to them begin with.
    drawings
        Each with its title.
    hint
        How to use them, in words.
    """
    return tuple(
        _entry(f"{anchor}-{number}", title, drawing, view, hint)
        for number, (title, drawing) in enumerate(drawings, start=1)
    )


def _entry(anchor: str, title: str, drawing: Drawing, view: PlanView, hint: str) -> DrawingEntry:
    """A drawing less its page's margins, its check rule and the blank paper below it."""
    kept = tuple(i for i in drawing.items if not (isinstance(i, Group) and i.kind == CHECK_RULE))
    drawing = replace(drawing, items=kept)
    width = drawing.width_mm - 2 * CROP_MM
    height = drawing.height_mm - CROP_MM - max(CROP_MM, math.floor(lowest(drawing.items)) - 1.0)
    return DrawingEntry(
        anchor=anchor,
        label=title,
        title=title,
        detail="",
        hint=hint,
        svg=_inline_svg(drawing, width, height, view),
        width_mm=width,
        height_mm=height,
    )


def _inline_svg(drawing: Drawing, width_mm: float, height_mm: float, view: PlanView) -> str:
    """A drawing as it stands in the page: one picture to a screen reader, told by its caption."""
    element = svg_element(drawing)
    element.set("role", "img")
    element.set("aria-label", drawing.caption or "drawing")
    for name in ("width", "height"):
        element.attrib.pop(name, None)
    element.set("viewBox", f"{CROP_MM} {CROP_MM} {width_mm:g} {height_mm:g}")
    for group in element.iter("g"):
        title = group.find("title")
        if title is not None and title.text:
            title.text = view.name_of(group.get("data-piece", title.text))
    return ET.tostring(element, encoding="unicode")
