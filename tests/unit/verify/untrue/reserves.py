"""What a plan says of the rectangle that its job wants kept free."""

from __future__ import annotations

from dataclasses import replace

from nestcut.errors import Severity, finding
from nestcut.facts import Length, Size, fact
from nestcut.model.plan import Free, Plan, Reserve
from tests.builders import a_job, a_plan
from tests.unit.verify.untrue.made import Case, kept, says

SIZE_MM = (600.0, 400.0)


def reserving(size_mm: tuple[float, float] = SIZE_MM) -> Case:
    """A job that wants a rectangle of this size in reserve, and a plan that says where it is."""
    job = a_job()
    job = replace(job, cutting=replace(job.cutting, reserve_mm=size_mm))
    return job, kept(job, a_plan(job))


def with_free(plan: Plan, **changes: object) -> Plan:
    (reserve,) = plan.reserves
    assert reserve.free is not None
    free = replace(reserve.free, **changes)  # type: ignore[arg-type]
    return replace(plan, reserves=(replace(reserve, free=free),))


def moved(plan: Plan, x_mm: float, y_mm: float) -> Plan:
    """Say that it lies elsewhere on its sheet."""
    free = plan.reserves[0].free
    assert free is not None
    (x0, y0), (x1, y1) = free.from_mm, free.to_mm
    return with_free(plan, from_mm=(x0 + x_mm, y0 + y_mm), to_mm=(x1 + x_mm, y1 + y_mm))


def given_up(plan: Plan, size_mm: tuple[float, float] = SIZE_MM) -> Plan:
    """Say that it found no place, as the papers say it."""
    why = fact("SHT-120", material="ply", thickness=Length(6.0), size=Size(size_mm))
    told = finding("SHT-003", Severity.WARNING, "6 mm ply")
    return replace(
        plan,
        reserves=(Reserve(material="ply", thickness_mm=6.0, given_up=why),),
        findings=(*plan.findings, told),
    )


@says("VER-076")
def nothing_said_of_it() -> Case:
    """As plans before 30 November 2026 are."""
    job, plan = reserving()
    return job, replace(plan, reserves=())


@says("VER-077")
def pieces_in_it() -> Case:
    job, plan = reserving()
    free = plan.reserves[0].free
    assert isinstance(free, Free)
    return job, moved(plan, -free.from_mm[0], 0.0)


@says("VER-078")
def given_up_without_need() -> Case:
    job, plan = reserving()
    return job, given_up(plan)


@says("VER-079")
def given_up_in_silence() -> Case:
    job, plan = reserving((2400.0, 1200.0))
    return job, replace(plan, findings=job.findings)
