"""What was found in several ways: plans of the job as asked, and figures to compare."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from nestcut.boards import JointPreference
from nestcut.choices.ways import Way
from nestcut.errors import InputError, Severity, finding
from nestcut.facts import Length
from nestcut.model.job import Job
from nestcut.model.otherwise import AS_ASKED
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.papers.choices import ChoiceRow
from nestcut.planning.plan_job import prove
from nestcut.sheets.left.reserves import with_reserves
from nestcut.verify import verify_plan
from nestcut.words import Speech, tell, tell_fact

_SAID = {"CHO-101", "CHO-102"}
"""What a plan says that takes something otherwise than the job file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What came of one way: a proven plan, or why there is none."""

    way: Way
    plan: VerifiedPlan | None = None
    fault: InputError | None = None

    @property
    def is_cut_short(self) -> bool:
        """Whether more time may find more."""
        if self.plan is None:
            return self.fault is None
        return not self.plan.plan.is_repeatable


def as_plan_of(job: Job, way: Way, done: VerifiedPlan) -> VerifiedPlan:
    """Return a plan as one of the job file: it can be read back, proven again and printed.

    A plan that does without some stock, or some joints, is one of the job as it stands; what the
    narrower search proved that no plan can undercut isn't carried along.  A plan for another saw or
    with more joints than the job allows says so.

    Raises
    ------
    PlanRejectedError
        If it isn't: a fault of ours.
    """
    plan, other = done.plan, way.otherwise
    if way.job is job:
        return done
    if other.is_nothing:
        return prove(job, replace(plan, bounds=(), notes=()))
    told = []
    if other.kerf_mm is not None:
        usual, kerf = Length(job.cutting.kerf_mm), Length(other.kerf_mm)
        told.append(finding("CHO-101", Severity.WARNING, job.name, kerf=kerf, usual=usual))
    told += [
        finding("CHO-102", Severity.WARNING, j.part, most=j.most, about=j.part)
        for j in other.joints
    ]
    plan = replace(plan, otherwise=other, findings=(*plan.findings, *told))
    return replace(done, plan=plan)


def better_of(first: Found, second: Found) -> Found:
    """Return the better of two searches of one way; the second where they come to the same."""
    if second.plan is None:
        return first if first.plan is not None else second
    if first.plan is None:
        return second
    worth = _worth_of(second.way)
    return second if worth(second.plan.plan) <= worth(first.plan.plan) else first


def best_of_all(job: Job, found: Sequence[Found]) -> tuple[Found, ...]:
    """Return everything found, each way with the best plan that any of them found and that holds.

    A plan for less stock, fewer joints or a wider kerf often holds for other ways as well: so a
    search that was cut short never shows more to choose from as dearer.  Plans are those of
    :func:`as_plan_of`.
    """
    return tuple(_with_better(job, own, found) for own in found)


def _with_better(job: Job, own: Found, found: Sequence[Found]) -> Found:
    worth = _worth_of(own.way)
    others = [f.plan for f in found if f is not own and f.plan is not None]
    for other in sorted(others, key=lambda v: worth(v.plan)):
        if own.plan is not None and worth(other.plan) >= worth(own.plan.plan):
            break
        told = tuple(f for f in other.plan.findings if f.code not in _SAID)
        plan = replace(other.plan, bounds=(), notes=(), findings=told, otherwise=AS_ASKED)
        plan = with_reserves(own.way.job, plan)
        check = verify_plan(own.way.job, plan)
        if check.is_proven:
            done = VerifiedPlan(job=own.way.job, plan=plan, checks=check.checks)
            return Found(way=own.way, plan=as_plan_of(job, own.way, done))
    return own


def _worth_of(way: Way) -> Callable[[Plan], tuple[int, int, int]]:
    """What counts first in a way: joints, or money."""
    return _by_joints if way.joints is JointPreference.FEWEST else _by_money


def _by_money(plan: Plan) -> tuple[int, int, int]:
    return len(plan.unplaced), plan.cost_minor, len(plan.joints)


def _by_joints(plan: Plan) -> tuple[int, int, int]:
    return len(plan.unplaced), len(plan.joints), plan.cost_minor


def row_of(found: Found, speech: Speech, folder: str = "") -> ChoiceRow:
    """Return a row of the table: what the way comes to, or why there is no plan.

    Parameters
    ----------
    folder
        Where its papers lie, as the table is to name it.
    """
    name = tell_fact(found.way.name, speech)
    if found.plan is None:
        return ChoiceRow(name=name, fault=_why(found.fault, speech))
    plan = found.plan.plan
    offcuts = [
        (abs(b[0] - a[0]), abs(b[1] - a[1]))
        for s in plan.sheets
        for a, b in ((o.from_mm, o.to_mm) for o in s.offcuts)
    ]
    largest = max(offcuts, key=lambda o: o[0] * o[1], default=(0.0, 0.0))
    return ChoiceRow(
        name=name,
        cost_minor=plan.cost_minor,
        sheets=sum(not s.board for s in plan.sheets),
        boards=len({*(b.number for b in plan.boards), *(s.board for s in plan.sheets)} - {0}),
        joints=len(plan.joints),
        offcut_mm=(max(largest), min(largest)),
        unplaced=len(plan.unplaced),
        folder=folder,
        is_cut_short=not plan.is_repeatable,
    )


def _why(fault: InputError | None, speech: Speech) -> str:
    if fault is None:
        return "no time for a plan"
    first = fault.findings[0]
    return f"no plan: {first.where}: {tell(first, speech).message}"
