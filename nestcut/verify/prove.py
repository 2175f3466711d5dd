"""All checks of a plan, in one call."""

from __future__ import annotations

from dataclasses import dataclass

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.plan import Plan
from nestcut.units import LengthStyle, format_mm
from nestcut.verify.bands import check_bands
from nestcut.verify.boards import check_boards
from nestcut.verify.parts import check_parts
from nestcut.verify.rules import check_rules
from nestcut.verify.sheets import check_sheets
from nestcut.verify.straps import check_straps
from nestcut.verify.totals import check_totals


@dataclass(frozen=True, slots=True, kw_only=True)
class Verification:
    """What was found (nothing, for a good plan) and what was proven, in words."""

    findings: tuple[Finding, ...]
    checks: tuple[str, ...]

    @property
    def is_proven(self) -> bool:
        """Whether the plan stands."""
        return not self.findings


def _clearance(job: Job) -> str:
    """The clearance as the builder measures: mm, or decimals of an inch."""
    if job.style is LengthStyle.MM:
        return f"{format_mm(job.cutting.clearance_mm, decimals=2)} mm"
    return f"{job.cutting.clearance_mm / 25.4:.4f}".rstrip("0").rstrip(".") + '"'


def verify_plan(job: Job, plan: Plan) -> Verification:
    """Prove a plan against its job.

    Parameters
    ----------
    job
        What was asked for.
    plan
        What a solver or a file says.

    Returns
    -------
    Verification
        Objections, each naming a piece or a place; empty if the plan is proven.
    """
    findings = (
        *check_parts(job, plan),
        *check_rules(job, plan),
        *check_straps(job, plan),
        *check_bands(job, plan),
        *check_totals(job, plan),
        *check_sheets(job, plan.sheets, {p.id: p for p in plan.pieces}),
        *check_boards(job, plan.boards, {p.id: p for p in plan.rail_pieces}),
    )
    clearance = _clearance(job)
    n_pieces = len(plan.pieces) + len(plan.rail_pieces)
    checks = (
        f"{n_pieces} pieces counted against the parts, each placed once"
        + (f" ({len(plan.unplaced)} left unplaced)" if plan.unplaced else ""),
        "outlines and hands compared with the drawn parts, split parts laid together again",
        f"every two pieces on a sheet at least {clearance} apart",
        "every piece inside its sheet or board, off trim, keep-outs and defects",
        "grain, turning and good faces as asked",
        f"{len(plan.joints)} joints: overlap = slope x thickness, position, keep-clear stretches, "
        "least piece, most joints, stagger, straps",
        "grain of pieces sawn to a curve measured on their boards",
        "stock to hand not overdrawn, buying list equals what is cut",
    )
    return Verification(findings=findings, checks=checks)
