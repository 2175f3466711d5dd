"""Plans searched and proven: under a budget, watched, and stopped by whoever waits for them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import Executor
from dataclasses import dataclass, replace

from nestcut.boards import JointPreference
from nestcut.model.job import Job
from nestcut.model.plan import Plan, StopReason, VerifiedPlan
from nestcut.search.settings import Deadline, Effort, Settings, Silent, Watcher

__all__ = [
    "Budget",
    "Deadline",
    "Effort",
    "JointPreference",
    "StopReason",
    "VerifiedPlan",
    "Watcher",
    "is_compiled",
    "plan_job",
    "plan_rest",
    "plan_without",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """What a search may spend, and what counts more: joints or money.

    Parameters
    ----------
    effort
        Amount of work, as a member of `Effort` or by its name (``"quick"``); the same effort, seed
        and number of workers give the same plan again.
    seconds
        Wall-clock limit on the whole search; None: none. [s]
    seed
        Source of all chance.
    workers
        Processes that search side by side.
    joints
        Whether fewer joints or less money weighs more; a member of `JointPreference` or its name.
    """

    effort: Effort | str = Effort.NORMAL
    seconds: float | None = None
    seed: int = 0
    workers: int = 1
    joints: JointPreference | str = JointPreference.CHEAPEST

    def settings(self) -> Settings:
        """Return what the rooms below take."""
        return Settings(
            seed=self.seed,
            effort=Effort(self.effort),
            seconds=self.seconds,
            workers=self.workers,
        )


def unheard(verified: VerifiedPlan) -> None:
    """Leave a better plan to whoever waits for the best."""
    del verified


def plan_job(
    job: Job,
    budget: Budget | None = None,
    *,
    watcher: Watcher | None = None,
    stop: Deadline | None = None,
    executor: Executor | None = None,
    on_proven: Callable[[VerifiedPlan], None] = unheard,
) -> VerifiedPlan:
    """Plan a job and prove the plan.

    Parameters
    ----------
    job
        What is asked for.
    budget
        What the search may spend; None: normal effort, no limit in time.
    watcher
        Who is told how the search goes, by records: its phase and what it is about, the share
        done, counts, cost, bound, and each better plan, proven, with all its layouts
        (:class:`nestcut.Progress`; :func:`nestcut.progress_line` says one in words).  Called from
        this thread only.
    stop
        A deadline that the caller may interrupt, from a signal handler or another thread;
        None: one that follows ``budget.seconds``.
    executor
        Where searches run side by side; None: in this process, or in processes of its own.
    on_proven
        Given each better plan with its proof, as soon as there is one.

    Raises
    ------
    InputError
        If no plan can be made: every reason at once.
    PlanRejectedError
        If the verifier refuses the plan: a fault of ours.
    """
    # The solvers are loaded when there is something to solve: reading a job needs none.
    from nestcut.planning import plan_job as planning

    budget = budget or Budget()
    return planning.plan_job(
        job,
        planning.Desk(
            settings=budget.settings(),
            deadline=stop or Deadline(budget.seconds),
            watcher=watcher or Silent(),
            preference=JointPreference(budget.joints),
            executor=executor,
            on_proven=on_proven,
        ),
    )


def plan_without(
    job: Job,
    stock: Iterable[str],
    budget: Budget | None = None,
    *,
    watcher: Watcher | None = None,
    stop: Deadline | None = None,
) -> VerifiedPlan:
    """Plan a job without some of its sheets or boards, named; the plan is proven for the whole job.

    What no plan can undercut isn't known then, as the search didn't look at that stock.  Raises as
    :func:`plan_job`.

    Parameters
    ----------
    stock
        Names of the sheets and boards that may not be used.
    watcher
        Told how it goes.
    """
    left_out = frozenset(stock)
    if not left_out:
        return plan_job(job, budget, watcher=watcher, stop=stop)
    less = replace(
        job,
        sheet_stocks=tuple(s for s in job.sheet_stocks if s.name not in left_out),
        board_stocks=tuple(b for b in job.board_stocks if b.name not in left_out),
    )
    from nestcut.planning.plan_job import prove

    plan = replace(plan_job(less, budget, watcher=watcher, stop=stop).plan, bounds=())
    return prove(job, plan)


def plan_rest(
    job: Job,
    plan: Plan,
    pinned: Iterable[str],
    budget: Budget | None = None,
    *,
    watcher: Watcher | None = None,
    stop: Deadline | None = None,
) -> VerifiedPlan:
    """Search new places for all pieces on sheets but the ``pinned`` ones, named by their ids.

    Raises as :func:`plan_job`.

    Parameters
    ----------
    pinned
        Ids of the pieces on sheets that stay where they lie.
    watcher
        Told how it goes.
    """
    from nestcut.byhand.rest import plan_rest as search_rest

    budget = budget or Budget()
    return search_rest(
        job,
        plan,
        frozenset(pinned),
        budget.settings(),
        stop or Deadline(budget.seconds),
        watcher or Silent(),
    )


def is_compiled() -> bool:
    """Whether an earlier run has left the compiled search in its cache; else it takes a minute."""
    from nestcut.nesting.engine import ENGINE

    return ENGINE.is_ready()
