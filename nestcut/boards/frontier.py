"""What a joint fewer costs: plans of fewer and fewer joints, and the choice among them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nestcut.boards.join.drafts import Weights
from nestcut.boards.join.joined import JoinedAnswer, JointSearch
from nestcut.boards.join.joining import JoiningProblem
from nestcut.boards.outcome import JointPreference, JointWay, joint_ways
from nestcut.boards.proof.cheapest import PurchaseSearch
from nestcut.search.settings import Deadline, Settings, Watcher
from nestcut.trade.joints import RAIL_JOINT_WORTH_SHARE

JOINT_SHARE = RAIL_JOINT_WORTH_SHARE.value
"""What a joint is worth where both count, as a share of the mean board's price. [-]"""

WORK_ON_PRICES = 1.0
"""Where only the cheapest plan is wanted, joints fewer are priced while the work so far is below
this. [deterministic seconds]"""

BATCHES_FOR_PRICES = {
    JointPreference.CHEAPEST: 20_000,
    JointPreference.BALANCED: 1_000_000,
    JointPreference.FEWEST: 20_000,
}
"""The same where purchases are tried one by one: batches that may be looked at for a step."""

MOST_STEPS = 4
"""How many joints fewer are priced."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The answer that the builder prefers, and all that were found, it among them."""

    answer: JoinedAnswer | None
    ways: tuple[JointWay, ...]
    bound: float
    """Proven least cost of any plan, in the problem's prices."""


def choose_answer(
    problem: JoiningProblem,
    preference: JointPreference,
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
) -> Chosen:
    """Find the cheapest plan, plans of fewer joints, and the one that is preferred."""
    if deadline.stop_reason() is not None:
        return Chosen(answer=None, ways=(), bound=0.0)
    most_joints = 1 + sum(r.numbers[-1] for r in problem.rails if r.numbers)
    quick = PurchaseSearch(problem, settings, deadline, watcher)
    first = quick.run(most_joints) if quick.is_suited else None
    search: JointSearch | None = None
    if first is None:
        search = JointSearch(problem, Weights(most_joints, 1), settings, deadline, watcher)
        first = search.run()
    if first is None:
        return Chosen(answer=None, ways=(), bound=0.0)
    bound = first.bound // most_joints
    answers = [first]
    while len(answers) <= MOST_STEPS and answers[-1].draft.joints > 0:
        fewer = answers[-1].draft.joints - 1
        if search is None:
            following = quick.run(fewer, BATCHES_FOR_PRICES[preference])
        elif preference is not JointPreference.CHEAPEST or search.master.work < WORK_ON_PRICES:
            search.master.limit_joints(fewer)
            following = search.run()
        else:
            break
        if following is None or _left(following) > _left(first):
            break
        answers.append(following)
    kept = _preferred(problem, preference, answers, settings, deadline, watcher)
    return Chosen(
        answer=kept, ways=joint_ways(problem.name, map(_worth, answers), _worth(kept)), bound=bound
    )


def _preferred(
    problem: JoiningProblem,
    preference: JointPreference,
    answers: Sequence[JoinedAnswer],
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
) -> JoinedAnswer:
    if preference is JointPreference.CHEAPEST:
        return answers[0]
    if preference is JointPreference.BALANCED:
        worth = joint_worth(problem)
        return min(answers, key=lambda a: (_left(a), a.draft.cost + worth * a.draft.joints))
    return _fewest(problem, settings, deadline, watcher) or answers[-1]


def _fewest(
    problem: JoiningProblem, settings: Settings, deadline: Deadline, watcher: Watcher
) -> JoinedAnswer | None:
    """Return the cheapest plan among those of fewest joints."""
    dearest = max((s.price for s in problem.supplies), default=0)
    pieces = sum(r.numbers[-1] + 1 for r in problem.rails if r.numbers)
    pieces += sum(k.demand for k in problem.kinds)
    weights = Weights(1, dearest * pieces + 1)
    return JointSearch(problem, weights, settings, deadline, watcher).run()


def _worth(answer: JoinedAnswer) -> tuple[int, int]:
    return answer.draft.joints, answer.draft.cost


def _left(answer: JoinedAnswer) -> int:
    """How many rails and pieces a plan leaves out."""
    return len(answer.draft.left_out) + sum(n for _, n in answer.draft.missing)


def joint_worth(problem: JoiningProblem) -> float:
    """What a joint avoided may cost where balance is wanted. [minor units]"""
    prices = [s.price for s in problem.supplies if s.price > 0]
    return JOINT_SHARE * sum(prices) / len(prices) if prices else 0.0
