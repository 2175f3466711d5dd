"""A plan continued: after mishaps, for a changed job, bought in the order of building."""

from __future__ import annotations

from collections.abc import Callable

from nestcut.again.compare import Difference, Source, compare_plans
from nestcut.again.events import Events, add_events
from nestcut.again.gone_on import check_newest
from nestcut.again.order import Bought, Stage, StagedPlan, read_stages
from nestcut.again.taken_up import TakenUp, cut_in, gather_events, take_up, take_up_text
from nestcut.door.search import Budget, unheard
from nestcut.model.held import Held
from nestcut.model.job import Job
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.search.settings import Deadline, Silent, Watcher

__all__ = [
    "Bought",
    "Difference",
    "Events",
    "Held",
    "Source",
    "Stage",
    "StagedPlan",
    "TakenUp",
    "add_events",
    "check_newest",
    "compare_plans",
    "continue_plan",
    "cut_in",
    "gather_events",
    "plan_in_stages",
    "read_stages",
    "take_up",
    "take_up_text",
    "told_by_stage",
    "whole_order",
]


def whole_order(job: Job, plan: Plan, stages: tuple[Stage, ...]) -> tuple[Stage, ...]:
    """Return the stages with those at the end of what none names.

    Raises
    ------
    InputError
        If a stage names a part that the plan hasn't, or two stages name the same one.
    """
    from nestcut.again import stages as staging

    return staging.whole_order(job, plan, stages)


def told_by_stage(plan: Plan, order: tuple[Stage, ...], verified: VerifiedPlan) -> StagedPlan:
    """Say what each stage of a plan comes to, beside the plan without an order."""
    from nestcut.again import stages as staging

    return staging.told_by_stage(plan, order, verified)


def continue_plan(
    job: Job,
    plan: Plan,
    events: Events,
    budget: Budget | None = None,
    *,
    watcher: Watcher | None = None,
    stop: Deadline | None = None,
    was: Held | None = None,
    on_proven: Callable[[VerifiedPlan], None] = unheard,
) -> VerifiedPlan:
    """Plan again what isn't cut, after pieces were cut or spoilt.

    What is cut stays with its joints; spoilt pieces are made again out of what is there, if they
    can be; as little as possible moves.  Raises as :func:`nestcut.plan_job`.

    Parameters
    ----------
    was
        Stock of the plan where the job has changed since; None: it hasn't.
    on_proven
        Given each better plan with its proof, as soon as there is one.
    """
    # The search is loaded when there is something to search.
    from nestcut.again.plan import continue_plan as go_on

    budget = budget or Budget()
    deadline = stop or Deadline(budget.seconds)
    return go_on(
        job, plan, events, budget.settings(), deadline, watcher or Silent(), was, on_proven
    )


def plan_in_stages(
    job: Job,
    plan: Plan,
    stages: tuple[Stage, ...],
    budget: Budget | None = None,
    *,
    watcher: Watcher | None = None,
    stop: Deadline | None = None,
    on_proven: Callable[[VerifiedPlan], None] = unheard,
) -> VerifiedPlan:
    """Plan so that each stage of building takes what earlier ones left and buys little.

    Parameters
    ----------
    stages
        As of :func:`whole_order`; :func:`told_by_stage` says what each comes to.
    on_proven
        Called with every plan that is better than those before, proven.

    Raises
    ------
    PlanRejectedError
        If the verifier refuses the plan: a fault of ours.
    """
    from nestcut.again.stages import plan_in_stages as in_stages

    budget = budget or Budget()
    deadline = stop or Deadline(budget.seconds)
    return in_stages(job, plan, stages, budget.settings(), deadline, watcher or Silent(), on_proven)
