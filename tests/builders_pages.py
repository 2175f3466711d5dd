"""Pages and sheets of hand-made plans, for tests."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from nestcut.model.part import SheetPart
from nestcut.model.plan import Offcut, VerifiedPlan
from nestcut.model.shape import Mark, Ring, Shape
from nestcut.papers.book.board_page import board_pages
from nestcut.papers.book.joint_page import joint_pages
from nestcut.papers.draw.paper import Paper
from nestcut.papers.marking.rules import inch_rule, metric_rule
from nestcut.papers.page.maker import PageMaker
from nestcut.papers.screen.html import HtmlMatter, html_page
from nestcut.papers.sheet.page import sheet_pages
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.placed import SheetView
from nestcut.papers.view.rows import PlanView, plan_view
from nestcut.units import LengthStyle
from tests.builders_papers import plan_for, ply


def matter_of(
    view: PlanView, paper: Paper = Paper.A4, style: LengthStyle = LengthStyle.MM
) -> HtmlMatter:
    figures = Figures(style, view.verified.job.fraction, view.verified.job.currency)
    maker = PageMaker(paper, figures, view)
    rule = metric_rule() if style is LengthStyle.MM else inch_rule()
    return HtmlMatter(
        figures=figures,
        paper=paper,
        sheets=tuple(sheet_pages(sheet, maker) for sheet in view.sheets),
        boards=tuple((d.caption, d) for d in board_pages(view.boards, maker)),
        joints=tuple((d.caption, d) for d in joint_pages(maker)),
        rule=rule,
    )


def page_of(
    verified: VerifiedPlan, paper: Paper = Paper.A4, style: LengthStyle = LengthStyle.MM
) -> str:
    view = plan_view(verified)
    return html_page(view, matter_of(view, paper, style))


def circle(x: float, y: float, r: float, *, clockwise: bool = False) -> Ring:
    """A circle flattened to 0.05 mm."""
    n = math.ceil(math.pi / math.acos(1 - 0.05 / r))
    sign = -1 if clockwise else 1
    angles = [sign * 2 * math.pi * k / n for k in range(n)]
    return Ring(tuple((x + r * math.cos(a), y + r * math.sin(a)) for a in angles))


def rounded(x: float, y: float, length: float, width: float, r: float) -> Ring:
    """A rectangle with rounded corners flattened to 0.05 mm."""
    points = []
    n = max(2, math.ceil(math.pi / 4 / math.acos(1 - 0.05 / r)))
    for cx, cy, start in (
        (x + length - r, y + r, -90),
        (x + length - r, y + width - r, 0),
        (x + r, y + width - r, 90),
        (x + r, y + r, 180),
    ):
        for k in range(n + 1):
            a = math.radians(start + 90 * k / n)
            points.append((cx + r * math.cos(a), cy + r * math.sin(a)))
    return Ring(tuple(points))


def part(name: str, shape: Shape, thickness_mm: float, count: int = 1) -> SheetPart:
    return SheetPart(
        name=name, shape=shape, material="okoume ply", thickness_mm=thickness_mm, count=count
    )


def round_plan() -> VerifiedPlan:
    """A plate with a round hole, an oval one and a slot, a panel with a line on it, discs."""
    angles = [-2 * math.pi * k / 160 for k in range(160)]
    oval = Ring(tuple((620 + 120 * math.cos(a), 210 + 70 * math.sin(a)) for a in angles))
    slot = rounded(700, 300, 120, 40, 19.99)
    slot = Ring(slot.points[::-1])
    station = Mark(((400.0, 0.0), (400.0, 420.0)), label="a station with a long name to print")
    plate = Shape(
        rounded(0, 0, 900, 420, 60), (circle(220, 200, 85, clockwise=True), oval, slot), (station,)
    )
    parts = [
        part("plate", plate, 9, 2),
        part("disc", Shape(circle(0, 0, 140)), 9, 3),
        part("pole ring", Shape(circle(0, 0, 90), (circle(0, 0, 40, clockwise=True),)), 18),
    ]
    return plan_for("round things", parts, [ply(9, 7990), ply(18, 12900)], LengthStyle.MM)


def laid(shapes: dict[str, Shape], offcuts: Sequence[Offcut] = ()) -> SheetView:
    """One sheet of 2440 x 1220 with these pieces where they are, by their names, numbered so."""
    parts = [part(name, shape, 9) for name, shape in shapes.items()]
    view = plan_view(plan_for("laid", parts, [ply(9, 7990)], LengthStyle.MM))
    made = {p.piece.part: p for sheet in view.sheets for p in sheet.placed}
    placed = tuple(
        replace(made[name], shape=shape, number=k)
        for k, (name, shape) in enumerate(shapes.items(), start=1)
    )
    sheet = view.sheets[0]
    layout = replace(sheet.layout, offcuts=tuple(offcuts), keep_outs=())
    return replace(sheet, layout=layout, placed=placed)
