"""Buying and cutting in stages: each gives whole sub-assemblies, in the order of building.

The pieces and joints are those of a whole plan.  Stage by stage they are laid out on what earlier
stages have left and on as few new sheets and boards as possible, so that the boat can be begun
before all of its wood is bought.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from nestcut.again.plan import Search, money_minor
from nestcut.errors import InputError, PlanRejectedError, Severity, finding
from nestcut.model.job import Job
from nestcut.model.part import Timing
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.search.settings import Deadline, Settings, Watcher
from nestcut.verify import verify_plan

LAST = "the rest"
"""Name of the stage of all parts that no other names."""
DRY_FIT = "after the dry fit"
"""Name of the stage of parts that are only cut when the boat stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """Parts that are wanted together; ``name`` is how the builder calls them."""

    name: str
    parts: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """What one stage comes to.

    Parameters
    ----------
    name
        The stage.
    pieces
        Ids of the pieces that are cut then.
    sheets, boards
        Numbers of the sheets and boards that are bought, or taken from the shed, for it.
    cost_minor
        What is paid at this stage. [minor units]
    """

    name: str
    pieces: tuple[str, ...]
    sheets: tuple[int, ...]
    boards: tuple[int, ...]
    cost_minor: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StagedPlan:
    """A whole plan in stages, and what the order costs against ``least_minor`` without one."""

    verified: VerifiedPlan
    stages: tuple[Bought, ...]
    least_minor: int

    @property
    def cost_minor(self) -> int:
        """What all stages cost together. [minor units]"""
        return sum(s.cost_minor for s in self.stages)


def plan_in_stages(
    job: Job,
    plan: Plan,
    stages: tuple[Stage, ...],
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
) -> StagedPlan:
    """Lay a plan's pieces out stage by stage.

    Parameters
    ----------
    plan
        A whole plan of the job: its pieces, joints, and the least that it costs.
    stages
        In the order of building.  Parts that none names come last, those that are cut after the dry
        fit after everything else unless a stage names them.

    Raises
    ------
    InputError
        If a stage names a part that the plan hasn't, or two stages name the same one.
    PlanRejectedError
        If the verifier refuses the result: a fault of ours.
    """
    of_part = {p.id: p.part for p in plan.pieces} | {p.id: p.part for p in plan.rail_pieces}
    order = _complete(job, frozenset(of_part.values()), stages)
    search = Search(job, settings, deadline, watcher)
    now = replace(plan, sheets=(), boards=(), unplaced=(), buy=(), bounds=())
    told: list[Bought] = []
    for stage in order:
        ids = frozenset(i for i, part in of_part.items() if part in stage.parts)
        later = search.together(now, ids)
        told.append(
            Bought(
                name=stage.name,
                pieces=tuple(sorted(ids)),
                sheets=tuple(s.number for s in later.sheets[len(now.sheets) :]),
                boards=tuple(b.number for b in later.boards[len(now.boards) :]),
                cost_minor=money_minor(later) - money_minor(now),
            )
        )
        now = replace(later, unplaced=(*now.unplaced, *later.unplaced))
    check = verify_plan(job, now)
    if not check.is_proven:
        raise PlanRejectedError(check.findings)
    return StagedPlan(
        verified=VerifiedPlan(job=job, plan=now, checks=check.checks),
        stages=tuple(told),
        least_minor=money_minor(plan),
    )


def _complete(job: Job, parts: frozenset[str], stages: tuple[Stage, ...]) -> tuple[Stage, ...]:
    """Check the stages, and put what none names into stages at the end."""
    named = [name for s in stages for name in sorted(s.parts)]
    faults = [
        finding("AGN-004", Severity.ERROR, s.name, part=name)
        for s in stages
        for name in sorted(s.parts - parts)
    ]
    faults += [
        finding("AGN-005", Severity.ERROR, name)
        for name in sorted({n for n in named if named.count(n) > 1})
    ]
    if faults:
        raise InputError(faults)
    late = {p.name for p in job.sheet_parts if p.timing is Timing.AFTER_DRY_FIT} - set(named)
    rest = parts - set(named) - late
    ends = (Stage(name=LAST, parts=frozenset(rest)), Stage(name=DRY_FIT, parts=frozenset(late)))
    return (*stages, *(s for s in ends if s.parts))
