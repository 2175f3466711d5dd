"""All checks of a plan, in one call."""

from __future__ import annotations

from dataclasses import dataclass

from nestcut.errors import Finding
from nestcut.facts import Fact
from nestcut.model.held import with_held
from nestcut.model.job import Job
from nestcut.model.plan import Plan
from nestcut.verify.findings import objection
from nestcut.verify.flat import check_bands, check_straps
from nestcut.verify.parts import check_parts
from nestcut.verify.rules import check_rules
from nestcut.verify.standing import check_standings
from nestcut.verify.stock import (
    check_boards,
    check_bounds,
    check_buying,
    check_offcuts,
    check_sheets,
)
from nestcut.verify.tally import tally


@dataclass(frozen=True, slots=True, kw_only=True)
class Verification:
    """What was found (nothing, for a good plan) and what was looked at, as facts."""

    findings: tuple[Finding, ...]
    checks: tuple[Fact, ...]

    @property
    def is_proven(self) -> bool:
        """Whether the plan stands."""
        return not self.findings


def verify_plan(job: Job, plan: Plan) -> Verification:
    """Prove a plan against its job.

    Parameters
    ----------
    job
        What was asked for; what the plan holds in the shed is added to its stock.
    plan
        What a solver or a file says.

    Returns
    -------
    Verification
        Objections, each naming a piece or a place; empty if the plan is proven.
    """
    job = with_held(job, plan.held)
    findings = [*check_parts(job, plan), *_check_told(job, plan)]
    if not findings:  # shapes and joints are sound, so they may be measured
        findings = [*check_rules(job, plan), *check_straps(job, plan), *check_bands(job, plan)]
    if not findings:
        findings = check_standings(job, plan)
    pieces = {p.id: p for p in plan.pieces}
    if not any(f.code == "VER-005" for f in findings):
        on_sheets = check_sheets(job, plan.sheets, pieces)
        findings += on_sheets
        if not on_sheets:
            findings += check_offcuts(job, plan.sheets, pieces)
    findings += check_boards(
        job, plan.boards, {p.id: p for p in plan.rail_pieces}, frozenset(plan.already_cut)
    )
    findings += check_buying(job, plan)
    if not findings:
        findings += check_bounds(job, plan)
    return Verification(findings=tuple(findings), checks=tally(job, plan))


def _check_told(job: Job, plan: Plan) -> list[Finding]:
    """What the job's own reading found stands in the plan, word for word and first."""
    told = plan.findings[: len(job.findings)]
    return [objection("VER-053", f.where, said=f.code) for f in job.findings if f not in told]
