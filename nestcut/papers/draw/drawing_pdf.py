"""A PDF made of drawings alone, one a page, at true size."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

from nestcut.papers.draw.diagram import Drawing
from nestcut.papers.draw.letters import MM_PER_POINT
from nestcut.papers.draw.pdf_canvas import paint


def drawings_pdf(drawings: Sequence[Drawing], title: str) -> bytes:
    """Return a PDF with a page a drawing, each page as large as its drawing.

    The same drawings give the same bytes.
    """
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas = Canvas(out, invariant=1)
    canvas.setTitle(title)
    canvas.setAuthor("")
    for drawing in drawings:
        canvas.setPageSize((drawing.width_mm / MM_PER_POINT, drawing.height_mm / MM_PER_POINT))
        paint(canvas, drawing)
        canvas.showPage()
    canvas.save()
    return out.getvalue()
