"""Places on sheets, offcuts and how layouts are numbered."""

from __future__ import annotations

from dataclasses import replace

from nestcut.model.plan import Offcut, Plan
from nestcut.model.pose import Lie
from nestcut.model.stock import KeepOut
from nestcut.sheets.left.offcuts import left_on
from tests.builders import a_job, a_part, a_plan, rectangle
from tests.unit.verify.untrue.made import Case, a_holed_job, first_sheet, says


def laid(plan: Plan, piece: str, **changes: object) -> Plan:
    sheets = tuple(
        replace(
            s,
            placements=tuple(
                replace(p, **changes) if p.piece == piece else p  # type: ignore[arg-type]
                for p in s.placements
            ),
        )
        for s in plan.sheets
    )
    return replace(plan, sheets=sheets)


@says("VER-020")
def another_sheet() -> Case:
    return a_job(), first_sheet(a_plan(), width_mm=1221.0)


@says("VER-021")
def ghost() -> Case:
    plan = a_plan()
    stray = replace(plan.sheets[0].placements[0], piece="ghost 1")
    return a_job(), first_sheet(plan, placements=(*plan.sheets[0].placements, stray))


@says("VER-022")
def other_stock() -> Case:
    job = a_job()
    stock = replace(job.sheet_stocks[0], material="oak")
    return replace(job, sheet_stocks=(stock,)), a_plan()


@says("VER-023")
def face_down() -> Case:
    return a_job(), laid(a_plan(), "plate 1", lie=Lie.FACE_DOWN, shift_mm=(400.0, 0.0))


@says("VER-024")
def askew() -> Case:
    job = a_holed_job()
    return job, laid(a_plan(job), "plate 1", turn_deg=3.0, shift_mm=(100.0, 100.0))


@says("VER-025")
def over_the_edge() -> Case:
    return a_job(), laid(a_plan(), "plate 1", shift_mm=(-0.05, 0.0))


@says("VER-026")
def on_a_knot() -> Case:
    knot = KeepOut(points=((10, 10), (60, 10), (60, 60), (10, 60)), reason="knot")
    job = a_job()
    stock = replace(job.sheet_stocks[0], keep_outs=(knot,))
    plan = a_plan()
    sheets = tuple(replace(s, keep_outs=(knot,)) for s in plan.sheets)
    return replace(job, sheet_stocks=(stock,)), replace(plan, sheets=sheets)


@says("VER-027")
def too_near() -> Case:
    return a_job(), laid(a_plan(), "plate 2", shift_mm=(404.98, 0.0))


@says("VER-028")
def in_a_hole() -> Case:
    job = a_holed_job()
    small = a_part("lid", shape=rectangle(40, 40))
    job = replace(job, sheet_parts=(*job.sheet_parts, small))
    return job, laid(a_plan(job), "lid 1", shift_mm=(180.0, 130.0))


@says("VER-040")
def unlaid() -> Case:
    plan = a_plan()
    return a_job(), first_sheet(plan, placements=plan.sheets[0].placements[1:])


@says("VER-045")
def misnumbered() -> Case:
    return a_job(), first_sheet(a_plan(), number=3)


@says("VER-047")
def offcut_over_pieces() -> Case:
    over = Offcut(from_mm=(0.0, 0.0), to_mm=(600.0, 400.0))
    return a_job(), first_sheet(a_plan(), offcuts=(over,))


@says("VER-074")
def offcut_drawn_short() -> Case:
    """What is kept between the plates and the sheet's end reaches up to it, not nearly."""
    job = a_job()
    sheet = a_plan(job).sheets[0]
    pieces = {p.id: p for p in a_plan(job).pieces}
    (x0, y0), (x1, y1) = (o := left_on(sheet, job, pieces)[0]).from_mm, o.to_mm
    short = Offcut(from_mm=(x0, y0), to_mm=(x1 - 200.0, y1))
    return job, first_sheet(a_plan(job), offcuts=(short,))


@says("VER-075")
def offcut_left_out() -> Case:
    """What is left beside the plates is worth keeping, and not spoken of."""
    return a_job(), a_plan()
