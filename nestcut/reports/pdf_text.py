"""The pages of text: front page and cut list, as flowing paragraphs and tables."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from xml.sax.saxutils import escape

from nestcut.errors import Severity
from nestcut.reports.amounts import DENSITY_SOURCE, EPOXY_SOURCE, PAINT_SOURCE, amounts_of
from nestcut.reports.figures import Figures, per_mille
from nestcut.reports.fonts import Weight
from nestcut.reports.lists import (
    CAUTIONS,
    CutRow,
    bound_words,
    buy_rows,
    buy_total_minor,
    count_words,
    cut_rows,
)
from nestcut.reports.rows import PlanView
from nestcut.reports.usage import SHARES, Usage

BODY_PT, SMALL_PT, HEAD_PT = 9.0, 7.6, 12.5


class TextPages:
    """Builds reportlab flowables in the house's one style."""

    def __init__(self, view: PlanView, figures: Figures, width_pt: float) -> None:
        from reportlab.lib.styles import ParagraphStyle

        from nestcut.reports.fonts import font_face

        for weight in Weight:
            font_face(weight)
        self.view, self.figures, self.width_pt = view, figures, width_pt
        plain, bold = Weight.PLAIN.value, Weight.BOLD.value
        self.body = ParagraphStyle("body", fontName=plain, fontSize=BODY_PT, leading=11.5)
        self.small = ParagraphStyle("small", fontName=plain, fontSize=SMALL_PT, leading=9.4)
        self.strong = ParagraphStyle("strong", fontName=bold, fontSize=SMALL_PT, leading=9.4)
        self.right = ParagraphStyle("right", parent=self.small, alignment=2)
        self.right_strong = ParagraphStyle("right strong", parent=self.strong, alignment=2)
        self.title = ParagraphStyle("title", fontName=bold, fontSize=22, leading=26)
        self.head = ParagraphStyle(
            "head",
            fontName=bold,
            fontSize=HEAD_PT,
            leading=15,
            spaceBefore=9,
            spaceAfter=3,
            keepWithNext=1,
        )

    def paragraph(self, text: str, style: Any = None) -> Any:
        """A paragraph of plain text; nothing in it is markup."""
        from reportlab.platypus import Paragraph

        return Paragraph(escape(text), style or self.body)

    def bullets(self, texts: Sequence[str]) -> list[Any]:
        """Short paragraphs, each behind a dash."""
        from reportlab.lib.styles import ParagraphStyle
        from reportlab.platypus import Paragraph

        style = ParagraphStyle(
            "bullet", parent=self.body, leftIndent=10, firstLineIndent=-10, spaceAfter=1
        )
        return [Paragraph("·&nbsp;&nbsp;" + escape(t), style) for t in texts]

    def table(
        self,
        headings: Sequence[str],
        rows: Sequence[Sequence[str]],
        shares: Sequence[float],
        figures_from: int,
        totals: int = 0,
    ) -> Any:
        """A table with repeated heads; columns from ``figures_from`` on stand to the right.

        ``shares`` divide the width, ``totals`` last rows are set in bold over a line.
        """
        from reportlab.lib.colors import black
        from reportlab.platypus import Table

        def cell(text: str, column: int, style: Any, right: Any) -> Any:
            return self.paragraph(text, right if column >= figures_from else style)

        body = [[cell(h, k, self.strong, self.right_strong) for k, h in enumerate(headings)]]
        for index, row in enumerate(rows):
            is_total = index >= len(rows) - totals
            styles = (self.strong, self.right_strong) if is_total else (self.small, self.right)
            body.append([cell(t, k, *styles) for k, t in enumerate(row)])
        whole = sum(shares)
        made = Table(body, colWidths=[self.width_pt * s / whole for s in shares], repeatRows=1)
        look: list[tuple[Any, ...]] = [
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, black),
            ("LINEBELOW", (0, 1), (-1, -1), 0.25, black),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 2),
            ("RIGHTPADDING", (0, 0), (-1, -1), 3),
            ("TOPPADDING", (0, 0), (-1, -1), 1.6),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2.2),
        ]
        if totals:
            look.append(("LINEABOVE", (0, -totals), (-1, -totals), 0.8, black))
        made.setStyle(look)
        return made

    def front(self, usage: Usage) -> list[Any]:
        """The front page: job, what to buy, how good, what was assumed, cautions, usage."""
        view, figures = self.view, self.figures
        job, plan = view.verified.job, view.verified.plan
        made: list[Any] = [self.paragraph(job.name, self.title)]
        made.append(self.paragraph(f"{count_words(view.verified)}. Job file {job.file}."))
        if plan.unplaced:
            made.append(
                self.paragraph("NOT PLACED - these pieces are not on any sheet:", self.head)
            )
            made += self.bullets([f"{u.piece}: {u.reason}" for u in plan.unplaced])
        made.append(self.paragraph("To buy", self.head))
        made.append(self._buying())
        if plan.bounds:
            made.append(self.paragraph("How good the plan is", self.head))
            made += self.bullets([bound_words(b, figures) for b in plan.bounds])
        notes = [
            str(f)
            for f in (*job.findings, *plan.findings)
            if f.severity in {Severity.WARNING, Severity.NOTE, Severity.REPAIRED}
        ]
        if job.assumed:
            made.append(self.paragraph("Assumed, since the job doesn't say", self.head))
            made += self.bullets(job.assumed)
        if notes:
            made.append(self.paragraph("To mind", self.head))
            made += self.bullets(notes)
        made.append(self.paragraph("Before you start", self.head))
        made += self.bullets(CAUTIONS)
        made.append(self.paragraph("Where the material goes", self.head))
        made += self._usage(usage)
        made.append(self.paragraph("Weight and coating (estimates)", self.head))
        made += self._amounts()
        made.append(self.paragraph("What was checked", self.head))
        made += self.bullets(view.verified.checks)
        made.append(
            self.paragraph(
                f"Search: {plan.effort} effort, seed {plan.seed}; ended because "
                f"{plan.stopped_by.value}. "
                + (
                    "The same job gives the same plan."
                    if plan.is_repeatable
                    else "Cut short by the clock or by hand: another run may differ."
                ),
                self.small,
            )
        )
        return made

    def _buying(self) -> Any:
        figures = self.figures
        rows = [
            (
                r.stock,
                r.material,
                figures.thickness(r.thickness_mm),
                figures.pair(r.length_mm, r.width_mm),
                str(r.to_buy),
                str(r.to_hand) if r.to_hand else "",
                figures.money(r.each_minor),
                figures.money(r.together_minor),
            )
            for r in buy_rows(self.view)
        ]
        total = figures.money(buy_total_minor(self.view))
        rows.append(("together", "", "", "", "", "", "", total))
        headings = ("stock", "material", "thick", "size", "buy", "to hand", "each", "together")
        return self.table(headings, rows, (24, 20, 10, 26, 8, 9, 16, 16), 4, totals=1)

    def _usage(self, usage: Usage) -> list[Any]:
        figures = self.figures
        headings = ("of", f"all {figures.area_unit}", *(s.value for s in SHARES), "cost")
        rows = []
        for line in usage.lines:
            shares = [
                f"{figures.area_steps(a)} ({per_mille(t)})" if a else "0"
                for a, t in zip(line.area_steps, line.thousandths, strict=True)
            ]
            label = f"{line.label}, {line.stock}" if line.stock else line.label
            rows.append(
                (
                    label,
                    figures.area_steps(line.area_total),
                    *shares,
                    figures.money(line.money_total),
                )
            )
        totals = len(usage.sheet_materials) + len(usage.board_materials) + 1
        paid = usage.job.money_minor
        split = ", ".join(
            f"{share.value} {figures.money(part)}"
            for share, part in zip(SHARES, paid, strict=True)
            if part
        )
        words = f"Of {figures.money(usage.job.money_total)} paid, by area: {split}."
        return [
            self.table(headings, rows, (27, 10, 17, 15, 17, 15, 15, 17, 14), 1, totals=totals),
            self.paragraph(words, self.small),
        ]

    def _amounts(self) -> list[Any]:
        figures, amounts = self.figures, amounts_of(self.view)
        weights = []
        for w in amounts.weights:
            name = f"{w.material} {figures.thickness(w.thickness_mm)}"
            known = "no density at hand" if w.kilograms is None else figures.weight(w.kilograms)
            weights.append(f"{name} {known}")
        few, much = amounts.epoxy_litres
        thin, thick = amounts.paint_litres
        return self.bullets(
            (
                f"Pieces weigh about {figures.weight(amounts.kilograms)}: {'; '.join(weights)}. "
                f"Source: {DENSITY_SOURCE}.",
                f"All faces and edges together: {figures.area(amounts.coat_mm2)}. To coat them "
                f"all: epoxy {figures.volume(few)} to {figures.volume(much)} mixed "
                f"({EPOXY_SOURCE}); paint {figures.volume(thin)} to "
                f"{figures.volume(thick)} ({PAINT_SOURCE}). Cloth "
                "and fillets come on top.",
            )
        )

    def cut_list(self) -> list[Any]:
        """Every piece with a box to tick."""
        made: list[Any] = [self.paragraph("Cut list", self.title)]
        words = (
            "Sizes are over all as cut: overlaps of joints and allowances are in them. Turn is the "
            "order of cutting on its sheet or board, and the number on the drawing."
        )
        made.append(self.paragraph(words))
        rows = [self._cut_row(r) for r in cut_rows(self.view, self.figures)]
        headings = ("", "from", "turn", "piece", "which", "size", "thick", "to do")
        made.append(self.table(headings, rows, (5, 13, 8, 34, 26, 32, 12, 52), 99))
        return made

    def _cut_row(self, r: CutRow) -> tuple[str, ...]:
        figures = self.figures
        to_do = [r.timing and f"cut {r.timing}", r.joints, r.bevels and f"bevel: {r.bevels}"]
        to_do += [r.allowance, r.note, "good face down on the sheet" if "down" in r.lies else ""]
        return (
            "□",
            r.place,
            str(r.turn),
            r.piece,
            r.which,
            figures.pair(r.length_mm, r.width_mm),
            figures.thickness(r.thickness_mm),
            "; ".join(t for t in to_do if t),
        )
