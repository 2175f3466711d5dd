"""What is bought, and bounds on it."""

from __future__ import annotations

from dataclasses import replace

from nestcut.facts import Length, fact
from nestcut.model.plan import Bound, Counted, Delivery
from tests.builders import a_job, a_plan
from tests.unit.verify.untrue.made import Case, says


@says("VER-042")
def overdrawn() -> Case:
    job, plan = a_job(), a_plan()
    stock = replace(job.sheet_stocks[0], count=len(plan.sheets) - 1)
    line = replace(plan.buy[0], count=0, to_hand=len(plan.sheets), price_minor=0)
    return replace(job, sheet_stocks=(stock,)), replace(plan, buy=(line, *plan.buy[1:]))


@says("VER-043")
def cheaper() -> Case:
    plan = a_plan()
    return a_job(), replace(plan, buy=(replace(plan.buy[0], price_minor=1), *plan.buy[1:]))


def a_bound(**changes: object) -> Bound:
    used = float(len(a_plan().sheets))
    values = {"name": "6 mm ply", "measure": Counted.SHEETS, "lower": used, "used": used, **changes}
    return Bound(**values)  # type: ignore[arg-type]


@says("VER-044")
def above_what_is_used() -> Case:
    return a_job(), replace(a_plan(), bounds=(a_bound(lower=a_bound().used + 1.0),))


@says("VER-046")
def bought_for_nothing() -> Case:
    plan = a_plan()
    empty = replace(plan.sheets[0], placements=(), number=len(plan.sheets) + 1)
    line = replace(plan.buy[0], count=plan.buy[0].count + 1)
    return a_job(), replace(plan, sheets=(*plan.sheets, empty), buy=(line, *plan.buy[1:]))


@says("VER-048")
def used_less() -> Case:
    return a_job(), replace(a_plan(), bounds=(a_bound(used=a_bound().used - 1.0, lower=0.0),))


@says("VER-049")
def unknown_stock() -> Case:
    return a_job(), replace(a_plan(), bounds=(a_bound(name="oak"),))


@says("VER-072")
def proven_by_less() -> Case:
    """Nearly a whole sheet, of pieces that fill half of one."""
    why = fact("SHT-117", filled="0.99")
    return a_job(), replace(a_plan(), bounds=(a_bound(reason=why),))


@says("VER-072")
def proven_by_a_word() -> Case:
    """What should be a figure is none; the verifier says so, and doesn't stumble."""
    why = fact("SHT-117", filled="1.36 x")
    return a_job(), replace(a_plan(), bounds=(a_bound(reason=why),))


@says("VER-072")
def called_otherwise() -> Case:
    """A bound on 6 mm ply is told to readers as one on 9 mm."""
    job = a_job()
    stock = job.sheet_stocks[0]
    name = f"{stock.material} {stock.thickness_mm:g} mm"
    said = fact("SHT-105", material=stock.material, thickness=Length(9.0))
    return job, replace(a_plan(), bounds=(a_bound(name=name, said=said),))


@says("VER-073")
def told_otherwise() -> Case:
    """A note tells of two sheets where there is one."""
    job, plan = a_job(), a_plan()
    nothing = fact("SHT-103")
    told = fact("SHT-101", name=job.sheet_stocks[0].name, n=len(plan.sheets) + 1, offcut=nothing,
                plain=len(plan.sheets) + 2, plain_offcut=nothing)  # fmt: skip
    return job, replace(plan, notes=(told,))


@says("VER-055")
def line_lost() -> Case:
    return a_job(), replace(a_plan(), buy=a_plan().buy[1:])


@says("VER-065")
def brought_for_money() -> Case:
    """A yard of whom nothing is bought brings something."""
    return a_job(), replace(a_plan(), deliveries=(Delivery(supplier="east", fee_minor=100),))
