"""All checks of a plan, in one call."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from nestcut.errors import Finding
from nestcut.facts import Fact
from nestcut.model.held import with_held
from nestcut.model.job import Job
from nestcut.model.plan import Bound, Free, Plan, SheetLayout
from nestcut.verify.findings import objection
from nestcut.verify.flat import check_bands, check_straps
from nestcut.verify.notes import check_notes
from nestcut.verify.parts import check_parts
from nestcut.verify.rules import check_rules
from nestcut.verify.standing import check_standings
from nestcut.verify.stock import (
    check_apart,
    check_boards,
    check_buying,
    check_figures,
    check_layout,
    check_missing,
    check_numbers,
    check_offcuts,
    check_reasons,
    check_reserves,
    check_shared,
    stocks_by_name,
)
from nestcut.verify.tally import tally

_REMEMBERED = 400
"""Findings of so many sheets are kept at most. [-]"""


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
    return Prover().prove(job, plan)


_What = str | tuple[str, tuple[Bound, ...]]
"""What was looked at once: by name, and for reasons the bounds that give them."""


class Prover:
    """Proves one plan after another, quicker where only places have changed since the last.

    Its word is that of :func:`verify_plan`.  What is asked of pieces, joints and rails is handed
    nothing of where they lie, and what is asked of one sheet nothing of the others: what was found
    of the very same once is found again.
    """

    def __init__(self) -> None:
        self._of: tuple[Job, Plan] | None = None
        self._made: dict[_What, list[Finding]] = {}
        self._laid: dict[tuple[str, SheetLayout], list[Finding]] = {}

    def prove(self, job: Job, plan: Plan) -> Verification:
        """Prove a plan; parameters as of :func:`verify_plan`."""
        told = self.prove_unmeasured(job, plan)
        if told.findings:
            return told
        found = self._unnamed(job, plan)
        if not found:  # what is kept is right, so it may be asked for what it holds
            found = tuple(check_reserves(with_held(job, plan.held), plan))
        return replace(told, findings=found)

    def prove_unmeasured(self, job: Job, plan: Plan) -> Verification:
        """Prove a plan but for KEEPs that are missing and for what is kept in reserve.

        While a hand pushes, nobody measures them.  Parameters as of :func:`verify_plan`; what may
        be kept and cut by is proven whole.
        """
        job, made = self._turn_to(job, plan)
        findings = [*self._once("parts", lambda: check_parts(job, made)), *_check_told(job, plan)]
        if not findings:  # shapes and joints are sound, so they may be measured
            findings = [
                *self._once("rules", lambda: check_rules(job, made)),
                *self._once("straps", lambda: check_straps(job, made)),
                *(f for s in plan.sheets for f in self._bands(job, made, s)),
            ]
        if not findings:
            findings = [*self._once("standings", lambda: check_standings(job, made))]
        if not any(f.code == "VER-005" for f in findings):
            on_sheets = check_numbers(plan.sheets, stocks_by_name(job))
            on_sheets += [f for s in plan.sheets for f in self._lying(job, made, s)]
            findings += on_sheets
            if not on_sheets:
                findings += [f for s in plan.sheets for f in self._offcuts(job, plan, s)]
            findings += check_shared(job, plan)
        cut = frozenset(plan.already_cut)
        sawn = {
            s.board for s in plan.sheets if s.spent or any(p.piece in cut for p in s.placements)
        }
        rails = {p.id: p for p in plan.rail_pieces}
        findings += check_boards(job, plan.boards, rails, cut | sawn)
        findings += check_buying(job, plan)
        if not findings:
            findings += check_figures(job, plan) or self._reasons(job, made, plan)
            findings += check_notes(job, plan)
        return Verification(findings=tuple(findings), checks=tally(job, plan))

    def _reasons(self, job: Job, made: Plan, plan: Plan) -> list[Finding]:
        told = replace(made, bounds=plan.bounds)
        own = self._once(("reasons", plan.bounds), lambda: check_reasons(job, told))
        return [*own, *check_apart(job, plan)]

    def _unnamed(self, job: Job, plan: Plan) -> tuple[Finding, ...]:
        """What is left of sheets and no KEEP names; of a board with rails its rests are known."""
        job, made = self._turn_to(job, plan)
        with_rails = {b.number for b in plan.boards}
        pieces = {p.id: p for p in made.pieces}
        return tuple(
            f
            for s in plan.sheets
            if s.board not in with_rails
            for own in (_reserved(plan, s),)
            for f in self._on(s, f"missing {own}", partial(check_missing, job, s, pieces, own))
        )

    def _turn_to(self, job: Job, plan: Plan) -> tuple[Job, Plan]:
        """Forget what was found of other pieces; give the job with its shed, and pieces alone."""
        job = with_held(job, plan.held)
        nothing: tuple[()] = ()
        made = replace(
            plan,
            sheets=nothing,
            boards=nothing,
            unplaced=nothing,
            bounds=nothing,
            buy=nothing,
            notes=nothing,
            deliveries=nothing,
            reserves=nothing,
        )
        if self._of is None or self._of != (job, made):
            self._of, self._made, self._laid = (job, made), {}, {}
        if len(self._laid) > _REMEMBERED:
            self._laid = {}
        return self._of

    def _once(self, what: _What, look: Callable[[], list[Finding]]) -> list[Finding]:
        if what not in self._made:
            self._made[what] = look()
        return self._made[what]

    def _on(
        self, layout: SheetLayout, what: str, look: Callable[[], list[Finding]]
    ) -> list[Finding]:
        if (what, layout) not in self._laid:
            self._laid[what, layout] = look()
        return self._laid[what, layout]

    def _bands(self, job: Job, made: Plan, layout: SheetLayout) -> list[Finding]:
        on_it = replace(made, sheets=(layout,))
        return self._on(layout, "bands", lambda: check_bands(job, on_it))

    def _lying(self, job: Job, made: Plan, layout: SheetLayout) -> list[Finding]:
        pieces = {p.id: p for p in made.pieces}
        return self._on(layout, "lying", lambda: check_layout(job, layout, pieces))

    def _offcuts(self, job: Job, plan: Plan, layout: SheetLayout) -> list[Finding]:
        pieces, own = {p.id: p for p in plan.pieces}, _reserved(plan, layout)
        return self._on(
            layout, f"offcuts {own}", lambda: check_offcuts(job, (layout,), pieces, own)
        )


def _reserved(plan: Plan, layout: SheetLayout) -> tuple[Free, ...]:
    """What is said to be kept in reserve on a sheet."""
    own = (r.free for r in plan.reserves)
    return tuple(f for f in own if f is not None and f.sheet == layout.number)


def _check_told(job: Job, plan: Plan) -> list[Finding]:
    """What the job's own reading found stands in the plan, word for word and first."""
    told = [_nameless(f) for f in plan.findings[: len(job.findings)]]
    return [
        objection("VER-053", f.where, said=f.code) for f in job.findings if _nameless(f) not in told
    ]


def _nameless(told: Finding) -> Finding:
    """A finding without the part's name, which ``where`` leads to: older plans don't have it."""
    return replace(told, about="")
