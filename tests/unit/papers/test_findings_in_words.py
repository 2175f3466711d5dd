"""What the builder has to mind stands in sentences on every paper, in the paper's units."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pypdfium2 import PdfDocument  # type: ignore[import-untyped]

from nestcut.errors import Severity, finding
from nestcut.facts import Length, Size
from nestcut.model.plan import VerifiedPlan
from nestcut.papers.book import shop_pdf
from nestcut.papers.draw import Paper
from nestcut.papers.lists import usage_of
from nestcut.papers.view import Figures, plan_view
from nestcut.units import LengthStyle
from tests.builders_pages import page_of
from tests.builders_papers import small_plan


def warned(style: LengthStyle) -> VerifiedPlan:
    told = finding(
        "SHT-002",
        Severity.WARNING,
        "seat 1",
        size=Size((2500.0, 304.8)),
        material="fir ply",
        thickness=Length(6.35),
        largest="4x8",
        offers=Size((2438.4, 1219.2)),
    )
    made = small_plan(style)
    return replace(made, plan=replace(made.plan, findings=(*made.plan.findings, told)))


@pytest.mark.parametrize(
    ("style", "said"),
    [
        (LengthStyle.MM, "its 2500 x 305 mm fit no sheet of fir ply 6.35 mm"),
        (LengthStyle.INCH, 'its 8\'-2 7/16" x 1\'-0" fit no sheet of fir ply 1/4"'),
    ],
)
def test_findings_are_sentences(style: LengthStyle, said: str) -> None:
    page = page_of(warned(style), Paper.A4, style)
    plain = page.replace("&#34;", '"').replace("&#39;", "'").replace("&quot;", '"')
    assert said in plain
    assert "Size(" not in page
    verified = warned(style)
    figures = Figures(style, verified.job.fraction, verified.job.currency)
    view = plan_view(verified)
    pdf = PdfDocument(shop_pdf(view, usage_of(view, figures), (), Paper.A4, figures))
    front = " ".join(pdf[0].get_textpage().get_text_range().split())
    assert said in front
    assert "Size(" not in front
