"""HTML pages of hand-made plans, for tests."""

from __future__ import annotations

from nestcut.model.plan import VerifiedPlan
from nestcut.reports.board_page import board_pages
from nestcut.reports.figures import Figures
from nestcut.reports.html import HtmlMatter, html_page
from nestcut.reports.marking_rules import inch_rule, metric_rule
from nestcut.reports.marking_table import mark_alone, mark_on_sheets
from nestcut.reports.paper import Paper
from nestcut.reports.rows import PlanView, plan_view
from nestcut.reports.page_maker import PageMaker
from nestcut.reports.sheet_page import sheet_pages
from nestcut.units import LengthStyle


def matter_of(
    view: PlanView, paper: Paper = Paper.A4, style: LengthStyle = LengthStyle.MM
) -> HtmlMatter:
    figures = Figures(style, view.verified.job.fraction, view.verified.job.currency)
    maker = PageMaker(paper, figures, view)
    rule = metric_rule() if style is LengthStyle.MM else inch_rule()
    return HtmlMatter(
        figures=figures,
        paper=paper,
        sheets=tuple(sheet_pages(sheet, maker)[0] for sheet in view.sheets),
        boards=tuple((d.caption, d) for d in board_pages(view.boards, maker)),
        marking=(*mark_on_sheets(view, rule), *mark_alone(view, rule)),
        rule=rule,
    )


def page_of(
    verified: VerifiedPlan, paper: Paper = Paper.A4, style: LengthStyle = LengthStyle.MM
) -> str:
    view = plan_view(verified)
    return html_page(view, matter_of(view, paper, style))
