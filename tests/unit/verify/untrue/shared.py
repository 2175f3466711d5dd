"""Boards that carry rails and sawn parts."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import nestcut
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.planning.totals import with_purchases
from tests.unit.verify.untrue.made import Case, says

JOB = """
[job]
name = "cleat and chock"
[saw]
kerf = "3 mm"
[[board]]
name = "fir"
material = "fir"
thickness = "20 mm"
width = "140 mm"
lengths = [{ length = "2 m", price = 12 }]
[[rail]]
name = "cleat"
material = "fir"
section = ["20 mm", "40 mm"]
length = "900 mm"
joints = "none"
[[part]]
name = "chock"
from = "board"
material = "fir"
thickness = "20 mm"
shape = { kind = "taper", length = "600 mm", start = "90 mm", end = "30 mm" }
"""


@cache
def planned() -> VerifiedPlan:
    job = nestcut.read_job(JOB, drawings={})
    return nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))


def with_blank(grown_mm: float) -> Plan:
    plan = planned().plan
    (board,) = plan.boards
    (blank,) = board.blanks
    other = replace(blank, rip_to_mm=blank.rip_to_mm + grown_mm)
    return replace(plan, boards=(replace(board, blanks=(other,)),))


@says("VER-068")
def out_of_its_blank() -> Case:
    return planned().job, with_blank(-5.0)


@says("VER-071")
def blanks_that_nothing_is_drawn_for() -> Case:
    plan = planned().plan
    lone = replace(plan, sheets=tuple(replace(s, board=2) for s in plan.sheets))
    return planned().job, with_purchases(planned().job, lone)


@says("VER-070")
def a_blank_larger_than_its_part() -> Case:
    return planned().job, with_blank(5.0)
