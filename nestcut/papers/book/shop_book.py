"""shop.pdf: text pages upright, drawings on the long side, every page numbered."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import Any

from nestcut.papers.book.front import front_page, method
from nestcut.papers.book.list_pages import cut_list, usage_page
from nestcut.papers.book.typesetting import Typesetter
from nestcut.papers.draw import (
    MARGIN_MM,
    MM_PER_POINT,
    SIZES,
    Drawing,
    Paper,
    Weight,
    draw_line,
    paint,
    text_width_mm,
)
from nestcut.papers.lists import Usage
from nestcut.papers.view import Figures, PlanView

TEXT_MARGIN_MM = 2.0
"""How much wider margins of text pages are than those of drawings. [mm]"""
FOOT_SIZE_MM = 3.2
"""Font size of the line at the foot: a little over 9 points. [mm]"""
FOOT_ROOM_MM = 62.0
"""Room left of the check rule for the job's name. [mm]"""


def shop_pdf(
    view: PlanView, usage: Usage, drawings: Sequence[Drawing], paper: Paper, figures: Figures
) -> bytes:
    """Build the whole book; the same plan gives the same bytes.

    Parameters
    ----------
    drawings
        Pages of sheets, boards and joints, in order; any size.
    """
    from reportlab.platypus import BaseDocTemplate, Frame, NextPageTemplate, PageBreak, PageTemplate

    size = SIZES[paper]
    upright = (_pt(size.width_mm), _pt(size.height_mm))
    lying = (_pt(size.landscape.width_mm), _pt(size.landscape.height_mm))
    margin = _pt(MARGIN_MM + TEXT_MARGIN_MM)
    width = upright[0] - 2 * margin
    out = BytesIO()
    job = view.verified.job
    book = BaseDocTemplate(
        out,
        pagesize=upright,
        invariant=1,
        title=job.name,
        author="nestcut",
        creator="nestcut",
        subject="Cutting papers",
    )
    text_frame = Frame(margin, margin, width, upright[1] - 2 * margin, 0, 0, 0, 0, id="text")
    whole = Frame(0, 0, lying[0], lying[1], 0, 0, 0, 0, id="whole")
    book.addPageTemplates(
        [
            PageTemplate("text", [text_frame], pagesize=upright),
            PageTemplate("drawing", [whole], pagesize=lying),
        ]
    )
    setter = Typesetter(width)
    story: list[Any] = [*front_page(setter, view, figures), PageBreak()]
    story += cut_list(setter, view, figures)
    for drawing in drawings:
        story += [NextPageTemplate("drawing"), PageBreak(), _drawing_flowable(drawing)]
    story += [NextPageTemplate("text"), PageBreak(), *usage_page(setter, view, usage, figures)]
    story += method(setter, view, figures)
    foot = job.name if text_width_mm(job.name, FOOT_SIZE_MM) <= FOOT_ROOM_MM else ""
    book.build(story, canvasmaker=_numbered_canvas(foot))
    return out.getvalue()


def _drawing_flowable(drawing: Drawing) -> Any:
    """A flowable that fills its page with a drawing."""
    from reportlab.platypus import Flowable

    class PageDrawing(Flowable):  # type: ignore[misc]
        """Takes the whole frame and paints from the page's corner."""

        def wrap(self, width: float, height: float) -> tuple[float, float]:
            return width, height

        def draw(self) -> None:
            paint(self.canv, drawing)

    return PageDrawing()


def _numbered_canvas(footer: str) -> Any:
    """A canvas that writes ``page k of n`` at the foot once n is known."""
    from reportlab.pdfgen.canvas import Canvas

    class NumberedCanvas(Canvas):  # type: ignore[misc]
        """Keeps pages until the end, then numbers them."""

        def __init__(self, *args: Any, **kwargs: Any) -> None:
            super().__init__(*args, **kwargs)
            self._kept: list[dict[str, Any]] = []

        def showPage(self) -> None:  # noqa: N802 - the library's name
            self._kept.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            total = len(self._kept)
            for number, state in enumerate(self._kept, start=1):
                self.__dict__.update(state)
                _write_foot(self, footer, f"page {number} of {total}")
                super().showPage()
            super().save()

    return NumberedCanvas


def _write_foot(canvas: Any, footer: str, number: str) -> None:
    canvas.setFillGray(0.0)
    width_mm = canvas._pagesize[0] * MM_PER_POINT  # noqa: SLF001 - it has no public name
    y = _pt(MARGIN_MM - 1.5)
    draw_line(canvas, _pt(MARGIN_MM), y, footer, _pt(FOOT_SIZE_MM))
    canvas.setFont(Weight.PLAIN.value, _pt(FOOT_SIZE_MM))
    canvas.drawRightString(_pt(width_mm - MARGIN_MM), y, number)


def _pt(length_mm: float) -> float:
    return length_mm / MM_PER_POINT
