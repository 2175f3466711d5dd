"""What all pages of one set of papers have in common, and the head and corner they carry."""

from __future__ import annotations

import math
from dataclasses import dataclass

from nestcut.model.stock import BoardStock, SheetStock
from nestcut.papers.draw import SIZES, PageSize, Paper
from nestcut.papers.page.parts import Head, scale_text, title
from nestcut.papers.view import Figures, PlanView, SheetView


@dataclass(frozen=True, slots=True)
class PageMaker:
    """What all pages of one set of papers have in common."""

    paper: Paper
    figures: Figures
    view: PlanView

    @property
    def page(self) -> PageSize:
        """Pages with drawings lie on their long side."""
        return SIZES[self.paper].landscape


def sheet_head(sheet: SheetView, scale: float, maker: PageMaker, words: str) -> Head:
    """Head of a sheet's page: which sheet, what it is, what the saw takes.

    Parameters
    ----------
    scale
        Of the drawing, as its denominator. [-]
    words
        What else stands beside the name.
    """
    layout, figures = sheet.layout, maker.figures
    rules = maker.view.verified.job.cutting.on(sheet.stock)
    facts = [
        f"{sheet.material} {thickness_words(sheet, figures)}",
        f"{figures.place(layout.length_mm)} x {figures.place(layout.width_mm)}{figures.tail}",
        *_face_words(sheet),
        f"kerf {figures.fine(rules.kerf_mm)}",
    ]
    if isinstance(sheet.stock, BoardStock):
        facts.insert(0, "a board, for sawn curves")
    if rules.gap_mm > 0:
        facts.append(f"plus {figures.fine(rules.gap_mm)} between pieces")
    if layout.edge_trim_mm > 0:
        trim = figures.fine(layout.edge_trim_mm)
        facts.append(f"edge trim {trim}: kept clear of, not sawn off first")
    facts.append(f"figures to the nearest {figures.place_words}")
    if layout.outline is None:
        diagonal = math.hypot(layout.length_mm, layout.width_mm)
        facts.append(f"diagonals {figures.length(diagonal)}")
    return title(
        maker.page,
        f"{sheet.label} of {sheet.total}{words}",
        layout.stock,
        " · ".join(facts),
        scale_text(scale, figures),
    )


def _face_words(sheet: SheetView) -> tuple[str, ...]:
    """How a sheet is laid: good face up, whatever lies on it, unless both are good."""
    if not sheet.has_back:
        return ("both faces good",)
    is_told = any(p.is_face_told for p in sheet.placed)
    return ("GOOD FACE UP",) * (is_told or isinstance(sheet.stock, SheetStock))


def thickness_words(sheet: SheetView, figures: Figures) -> str:
    """How thick a sheet is, and what was measured where that is something else."""
    stock = sheet.stock
    called = figures.thickness(sheet.layout.thickness_mm)
    measured = stock.actual_thickness_mm if isinstance(stock, SheetStock) else None
    return called if measured is None else f"{called}, measured {figures.fine(measured)}"
