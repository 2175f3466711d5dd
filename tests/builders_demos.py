"""The demo boats with their pieces on shelves: their real shapes without the search."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from nestcut.boards import JointPreference, cut_boards
from nestcut.facts import fact
from nestcut.intake.job import read_job
from nestcut.model.part import CutFrom
from nestcut.model.plan import (
    Plan,
    SheetLayout,
    StopReason,
    Unplaced,
    VerifiedPlan,
)
from nestcut.model.stock import SheetStock
from nestcut.papers.draw.diagram import Drawing
from nestcut.papers.draw.paper import Paper
from nestcut.papers.marking.pages import marking_pages
from nestcut.papers.marking.rules import marking_rule
from nestcut.papers.view.rows import PlanView, plan_view
from nestcut.planning.pieces import divide, gather
from nestcut.planning.totals import draw_up_buying_list
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.units import LengthStyle
from tests.builders_papers import shelved

PARTS = Path(__file__).parents[1] / "parts"


@cache
def demo_on_shelves(name: str) -> VerifiedPlan:
    """Read a demo job, divide its parts, set the pieces on shelves, cut the rails."""
    job = read_job(PARTS / name / "job.toml")
    made = gather([divide(p, (p.joint.at_mm or ()) if p.joint else ()) for p in job.sheet_parts])
    sheets: list[SheetLayout] = []
    unplaced: list[Unplaced] = []
    for stock in job.sheet_stocks:
        mine = [
            p
            for p in made.pieces
            if p.cut_from is CutFrom.SHEET
            and (p.material, p.thickness_mm) == (stock.material, stock.thickness_mm)
        ]
        if any(s.stock == stock.name for s in sheets) or not stock.is_to_buy:
            continue
        fitting = [p for p in mine if _fits(p.shape.outline.points, stock)]
        unplaced += [Unplaced(piece=p.id, reason=fact("BRD-103")) for p in mine if p not in fitting]
        for placements, offcuts in shelved(fitting, stock):
            sheets.append(
                SheetLayout(
                    stock=stock.name,
                    number=len(sheets) + 1,
                    length_mm=stock.length_mm,
                    width_mm=stock.width_mm,
                    thickness_mm=stock.thickness_mm,
                    outline=stock.outline,
                    edge_trim_mm=stock.edge_trim_mm,
                    keep_outs=stock.keep_outs,
                    placements=tuple(placements),
                    offcuts=offcuts,
                )
            )
    rails = cut_boards(
        job.rail_parts,
        job.board_stocks,
        job.cutting,
        JointPreference.CHEAPEST,
        Settings(effort=Effort.QUICK),
        Deadline(),
        Silent(),
    )
    plan = Plan(
        seed=0,
        effort="quick",
        workers=1,
        seconds_limit=None,
        stopped_by=StopReason.WORK_DONE,
        pieces=made.pieces,
        rail_pieces=rails.pieces,
        sheets=tuple(sheets),
        boards=rails.layouts,
        joints=(*made.joints, *rails.joints),
        unplaced=tuple(unplaced),
        bounds=rails.bounds,
        buy=draw_up_buying_list(job, tuple(sheets), rails.layouts),
    )
    whole = replace(job, sheet_parts=(*job.sheet_parts, *made.added_parts))
    return VerifiedPlan(job=whole, plan=plan, checks=())


@cache
def demo_view(name: str) -> PlanView:
    """A demo on shelves as papers show it."""
    return plan_view(demo_on_shelves(name))


@cache
def demo_charts(name: str, style: LengthStyle, paper: Paper) -> tuple[Drawing, ...]:
    """Its marking-out pages, which take long: made once for all tests of a process."""
    return marking_pages(demo_view(name), marking_rule(style), paper)


def _fits(points: tuple[tuple[float, float], ...], stock: SheetStock) -> bool:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    room = (
        stock.length_mm - 2 * stock.edge_trim_mm,
        stock.width_mm - 2 * stock.edge_trim_mm,
    )
    return max(xs) - min(xs) <= room[0] and max(ys) - min(ys) <= room[1]
