"""Paragraphs and tables of text pages in the house's one style (reportlab's flowables)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from xml.sax.saxutils import escape

from nestcut.papers.draw import Weight, font_face, spelled, text_width_mm

BODY_PT, SMALL_PT, HEAD_PT, TITLE_PT = 9.4, 8.2, 12.5, 22.0
CELL_PT = 5.4
"""Padding of a cell, both sides together. [pt]"""


LONGEST = 500
"""No cell of a table holds more letters: a row must fit its page."""


class Typesetter:
    """Makes flowables for a column ``width_pt`` wide; no text it gets is ever read as markup."""

    def __init__(self, width_pt: float) -> None:
        from reportlab.lib.styles import ParagraphStyle

        for weight in Weight:
            font_face(weight)
        self.width_pt = width_pt
        plain, bold = Weight.PLAIN.value, Weight.BOLD.value
        self.body = ParagraphStyle("body", fontName=plain, fontSize=BODY_PT, leading=11.6)
        self.small = ParagraphStyle("small", fontName=plain, fontSize=SMALL_PT, leading=9.2)
        self.strong = ParagraphStyle("strong", fontName=bold, fontSize=SMALL_PT, leading=9.2)
        self.right = ParagraphStyle("right", parent=self.small, alignment=2)
        self.right_strong = ParagraphStyle("right strong", parent=self.strong, alignment=2)
        self.title = ParagraphStyle(
            "title", fontName=bold, fontSize=TITLE_PT, leading=27, spaceAfter=2
        )
        self.head = ParagraphStyle(
            "head",
            fontName=bold,
            fontSize=HEAD_PT,
            leading=15,
            spaceBefore=9,
            spaceAfter=3,
            keepWithNext=1,
        )
        self.dash = ParagraphStyle(
            "dash", parent=self.body, leftIndent=9, firstLineIndent=-9, spaceAfter=1
        )

    def paragraph(self, text: str, style: Any = None) -> Any:
        """A paragraph of plain text; a line end stays one."""
        from reportlab.platypus import Paragraph

        return Paragraph(escape(spelled(text)).replace("\n", "<br/>"), style or self.body)

    def wide_pt(self, text: str, is_head: bool = False) -> float:  # noqa: FBT001, FBT002
        """Width of a cell that holds a text in one line, its padding included. [pt]"""
        weight = Weight.BOLD if is_head else Weight.PLAIN
        return text_width_mm(text, SMALL_PT, weight) + CELL_PT

    def points(self, texts: Sequence[str]) -> list[Any]:
        """Short paragraphs, each behind a dot."""
        from reportlab.platypus import Paragraph

        return [Paragraph("·&nbsp;&nbsp;" + escape(spelled(t)), self.dash) for t in texts]

    def table(
        self,
        headings: Sequence[str],
        rows: Sequence[Sequence[str]],
        shares: Sequence[float],
        *,
        figures_from: int = 99,
        totals: int = 0,
        lead: Sequence[Any] = (),
    ) -> Any:
        """A table whose heads are repeated on every page.

        Parameters
        ----------
        shares
            Widths of the columns, as shares of the whole.
        figures_from
            Columns from here on stand to the right.
        totals
            How many last rows are sums, set in bold under a line.
        lead
            A flowable a row that takes the place of its first text, such as a box to tick.
        """
        from reportlab.lib.colors import black
        from reportlab.platypus import Table

        def cell(text: str, column: int, style: Any, right: Any) -> Any:
            short = text if len(text) <= LONGEST else text[:LONGEST] + "…"
            return self.paragraph(short, right if column >= figures_from else style)

        body: list[list[Any]] = [
            [cell(h, k, self.strong, self.right_strong) for k, h in enumerate(headings)]
        ]
        for index, row in enumerate(rows):
            is_total = index >= len(rows) - totals
            styles = (self.strong, self.right_strong) if is_total else (self.small, self.right)
            body.append([cell(t, k, *styles) for k, t in enumerate(row)])
            if lead:
                body[-1][0] = lead[index]
        whole = sum(shares)
        widths = [self.width_pt * s / whole for s in shares]
        made = Table(body, colWidths=widths, repeatRows=1, spaceBefore=2, spaceAfter=4)
        look: list[tuple[Any, ...]] = [
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, black),
            ("LINEBELOW", (0, 1), (-1, -1), 0.2, black),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 2),
            ("RIGHTPADDING", (0, 0), (-1, -1), 3),
            ("TOPPADDING", (0, 0), (-1, -1), 0.3),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0.9),
        ]
        if totals:
            look.append(("LINEABOVE", (0, -totals), (-1, -totals), 0.8, black))
        made.setStyle(look)
        return made


def tick_boxes(count: int) -> tuple[Any, ...]:
    """Squares to tick with a carpenter's pencil."""
    from reportlab.platypus import Flowable

    class TickBox(Flowable):  # type: ignore[misc]
        """Nine points square."""

        def wrap(self, width: float, height: float) -> tuple[float, float]:
            return 9.0, 9.0

        def draw(self) -> None:
            self.canv.setLineWidth(0.7)
            self.canv.rect(0.4, 0.0, 8.2, 8.2, stroke=1, fill=0)

    return tuple(TickBox() for _ in range(count))
