"""Paragraphs and tables of text pages in the house's one style, as reportlab's flowables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from nestcut.papers.draw import Weight, draw_line, text_width_mm, wrap
from nestcut.tolerances.noise import WHOLE_SLACK

BODY_PT, CELL_SIZE_PT, HEAD_PT, TITLE_PT = 9.4, 9.0, 12.5, 22.0
CELL_PT = 5.4
"""Padding of a cell, both sides together. [pt]"""
TICK_PT = 12.0
"""Width of a column of boxes to tick. [pt]"""
_WORDS_PART = 0.2
"""What words keep of a table's width where figures would leave less: then those break. [-]"""
_FIRST_PARTS = tuple(k / 100 for k in range(28, 86, 2))
"""What the first column of words may have of what figures leave; the second has the rest. [-]"""


@dataclass(frozen=True, slots=True)
class Style:
    """How a paragraph is set. Lengths in points."""

    size_pt: float
    leading_pt: float
    weight: Weight = Weight.PLAIN
    is_right: bool = False
    lead: str = ""
    """What stands before the first line; the others are set in as far."""
    before_pt: float = 0.0
    after_pt: float = 0.0
    is_kept: bool = False
    """Whether it stays with what follows it."""


BODY = Style(BODY_PT, 11.3)
CELL = Style(CELL_SIZE_PT, 9.5)
STRONG = replace(CELL, weight=Weight.BOLD)
RIGHT = replace(CELL, is_right=True)
RIGHT_STRONG = replace(STRONG, is_right=True)
TITLE = Style(TITLE_PT, 27.0, Weight.BOLD, after_pt=2.0)
HEAD = Style(HEAD_PT, 15.0, Weight.BOLD, before_pt=9.0, after_pt=3.0, is_kept=True)
POINT = replace(BODY, lead="·  ", after_pt=0.7)


def prose(text: str, style: Style = BODY) -> Any:
    """A paragraph of plain text; a line end stays one, and no sign of it is read as markup."""
    from reportlab.platypus import Flowable

    indent = text_width_mm(style.lead, style.size_pt, style.weight)

    class Prose(Flowable):  # type: ignore[misc]
        """Lines broken by the papers' own rule, in the papers' own letters."""

        def __init__(self, lines: tuple[str, ...] | None = None, lead: str = style.lead) -> None:
            super().__init__()
            self.spaceBefore, self.spaceAfter = style.before_pt, style.after_pt
            self.keepWithNext = int(style.is_kept)
            self.given, self.lead = lines, lead

        def wrap(self, width: float, _height: float) -> tuple[float, float]:
            self.width = width
            self.lines = self.given or tuple(
                line
                for one in text.split("\n")
                for line in wrap(one, style.size_pt, width - indent, style.weight)
            )
            self.height = style.leading_pt * len(self.lines)
            return width, self.height

        def split(self, width: float, height: float) -> list[Any]:
            self.wrap(width, height)
            count = int(height / style.leading_pt + WHOLE_SLACK)
            if not 0 < count < len(self.lines):
                return [self] if count else []
            return [Prose(self.lines[:count], self.lead), Prose(self.lines[count:], "")]

        def draw(self) -> None:
            self.canv.setFillGray(0.0)
            y = self.height - style.leading_pt * 0.5 - style.size_pt * 0.36
            if self.lead:
                draw_line(self.canv, 0.0, y, self.lead, style.size_pt, style.weight)
            for line in self.lines:
                wide = text_width_mm(line, style.size_pt, style.weight)
                x = self.width - wide if style.is_right else indent
                draw_line(self.canv, x, y, line, style.size_pt, style.weight)
                y -= style.leading_pt

    return Prose()


class Typesetter:
    """Makes flowables for a column ``width_pt`` wide."""

    def __init__(self, width_pt: float) -> None:
        self.width_pt = width_pt

    def wide_pt(self, text: str, weight: Weight) -> float:
        """Width of a cell that holds a text in one line, its padding included. [pt]"""
        return text_width_mm(text, CELL_SIZE_PT, weight) + CELL_PT

    def lines(self, text: str, wide_pt: float) -> int:
        """How many lines a text takes in a cell of this width, its padding included.

        Parameters
        ----------
        wide_pt
            Width of the cell. [pt]
        """
        return len(wrap(text, CELL_SIZE_PT, wide_pt - CELL_PT))

    def points(self, texts: Sequence[str]) -> list[Any]:
        """Short paragraphs, each behind a dot."""
        return [prose(text, POINT) for text in texts]

    def widths(
        self, headings: Sequence[str], rows: Sequence[Sequence[str]], words: tuple[int, int]
    ) -> tuple[float, ...]:
        """Widths of a table's columns in which no figure breaks, for boxes and two of words. [pt]

        The first column is one of boxes; what figures leave is shared by the words so that the
        table has fewest lines.  Where all have room, what is over is everybody's.

        Parameters
        ----------
        headings, rows
            As :meth:`table` takes them.
        words
            Which two columns hold words.
        """
        wide = [TICK_PT]
        for c in range(1, len(headings)):
            cells = (self.wide_pt(r[c], Weight.PLAIN) for r in rows)
            wide.append(max(self.wide_pt(headings[c], Weight.BOLD), *cells, 0.0))
        first, second = words
        figures = sum(w for c, w in enumerate(wide) if c not in words)
        room = max(self.width_pt - figures, self.width_pt * _WORDS_PART)
        if wide[first] + wide[second] > room:
            tries = [min(wide[first], room * part) for part in _FIRST_PARTS]
            wide[first] = min(tries, key=lambda w: (self._rows_lines(rows, words, w, room), -w))
            wide[second] = room - wide[first]
        return tuple(wide)

    def _rows_lines(
        self, rows: Sequence[Sequence[str]], words: tuple[int, int], first: float, room: float
    ) -> int:
        """How many lines rows take where words have ``room``, the first of them so much of it."""
        a, b = words
        return sum(max(self.lines(r[a], first), self.lines(r[b], room - first)) for r in rows)

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
        headings
            One a column.
        rows
            Texts, one a column.
        shares
            Widths of the columns, as shares of the whole. [-]
        figures_from
            Columns from here on stand to the right.
        totals
            How many last rows are sums, set in bold under a line.
        lead
            A flowable a row that takes the place of its first text, such as a box to tick.
        """
        from reportlab.lib.colors import black
        from reportlab.platypus import Table

        def cell(text: str, column: int, style: Style, right: Style) -> Any:
            return prose(text, right if column >= figures_from else style)

        body: list[list[Any]] = [[cell(h, k, STRONG, RIGHT_STRONG) for k, h in enumerate(headings)]]
        for index, row in enumerate(rows):
            is_total = index >= len(rows) - totals
            styles = (STRONG, RIGHT_STRONG) if is_total else (CELL, RIGHT)
            body.append([cell(t, k, *styles) for k, t in enumerate(row)])
            if lead:
                body[-1][0] = lead[index]
        whole = sum(shares)
        widths = [self.width_pt * s / whole for s in shares]
        made = Table(
            body, colWidths=widths, repeatRows=1, spaceBefore=2, spaceAfter=4, splitInRow=1
        )
        look: list[tuple[Any, ...]] = [
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, black),
            ("LINEBELOW", (0, 1), (-1, -1), 0.2, black),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 2),
            ("RIGHTPADDING", (0, 0), (-1, -1), 3),
            ("TOPPADDING", (0, 0), (-1, -1), 0.2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0.4),
        ]
        if totals:
            look.append(("LINEABOVE", (0, -totals), (-1, -totals), 0.8, black))
        made.setStyle(look)
        return made


def tick_boxes(ticked: Sequence[bool]) -> tuple[Any, ...]:
    """Squares to tick with a carpenter's pencil; crossed where that is done."""
    from reportlab.platypus import Flowable

    class TickBox(Flowable):  # type: ignore[misc]
        """Nine points square."""

        def __init__(self, mark: str) -> None:
            super().__init__()
            self.mark = mark

        def wrap(self, width: float, height: float) -> tuple[float, float]:
            return 9.0, 9.0

        def draw(self) -> None:
            self.canv.setLineWidth(0.7)
            self.canv.rect(0.4, 0.0, 8.2, 8.2, stroke=1, fill=0)
            if self.mark:
                self.canv.line(0.4, 0.0, 8.6, 8.2)
                self.canv.line(0.4, 8.2, 8.6, 0.0)

    return tuple(TickBox("x" if t else "") for t in ticked)
