"""Joint positions chosen together with the sheets they decide about.

Where a long part is divided decides how its pieces nest, so positions are judged by laying out the
whole job with them: a trial.  The plain way, equal stretches, is tried first and stays among the
choices, so what is chosen is never worse than that by the same trials; from the best of it one
part after another is given better positions as long as trials are left.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from nestcut.boards import JointPreference, JointWay, joint_ways
from nestcut.errors import Finding, Severity, blocking, finding
from nestcut.facts import Facts
from nestcut.joints.candidates import are_staggered
from nestcut.joints.offers import Choice, Offer
from nestcut.model.piece import SheetPiece
from nestcut.planning.pieces import Pieces, divide
from nestcut.planning.trials import Trial, Worth
from nestcut.search.settings import Deadline

FINALISTS = 3
"""Best ways that are judged again with more work."""

LIGHTER = 4
"""Choices with fewer joints that are tried for a part in the end. [-]"""

Extend = Callable[[Worth], tuple[Offer, ...] | None]
"""More choices behind those of the offers, if they can be better than what was found."""

State = tuple[int, ...]
"""For every offer the number of the choice taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenJoints:
    """What was chosen, and what it is compared with.

    Parameters
    ----------
    choices
        Part name and positions, in the order of the offers.
    made
        The pieces, joints and straps that follow, part by part.
    worth, equal_worth
        Of the choice, and of the best equal stretches; None where these break a rule.
    equal
        The best equal stretches.
    ways
        What was found with how many joints, by these layouts.
    most_joints
        The most joints that were tried.
    n_trials
        Layouts tried.
    offers
        What there was to choose from.
    """

    choices: tuple[tuple[str, Choice], ...]
    made: tuple[Pieces, ...]
    worth: Worth
    equal_worth: Worth | None
    equal: tuple[tuple[str, Choice], ...]
    ways: tuple[JointWay, ...]
    most_joints: int
    n_trials: int
    offers: tuple[Offer, ...] = ()


def choose_joints(
    offers: tuple[Offer, ...],
    others: tuple[SheetPiece, ...],
    trial: Trial,
    preference: JointPreference,
    trials: int,
    deadline: Deadline,
    *,
    closer: Trial | None = None,
    given_mm: Mapping[str, tuple[float, ...]] | None = None,
    joint_worth_minor: float = 0.0,
    extend: Extend | None = None,
) -> ChosenJoints:
    """Choose positions for all parts with free joints.

    Parameters
    ----------
    offers
        What comes into question for each part; every one must have a choice.
    others
        All other pieces that share the sheets.
    trial
        Lays out pieces; the same pieces must give the same answer.
    preference
        Whether joints or money weigh more.
    trials
        Most layouts to try; half as many again show whether fewer joints do as well.
    deadline
        When to stop trying; at least one layout is always tried.
    closer
        A trial with more work, by which the best few and the equal stretches are judged again.
    given_mm
        Joint positions of parts that aren't free, for neighbours that must be staggered.
    joint_worth_minor
        What a joint avoided is worth where both count. [minor units]
    extend
        Asked once, with the best found: the same offers with choices added behind, or None where
        these can't be better.  Half as many trials again are spent on them.

    Raises
    ------
    ValueError
        If a part has no choice at all (:func:`unsplittable` tells the builder).
    """
    if any(not o.choices for o in offers):
        raise ValueError("a part without any choice of joints")
    search = _Search(offers, others, trial, preference, deadline, dict(given_mm or {}))
    search.joint_worth = joint_worth_minor
    search.trials = trials
    search.closer = closer
    search.extend = extend
    return search.run()


def unsplittable(offers: tuple[Offer, ...]) -> tuple[Finding, ...]:
    """Name the parts for which no set of positions will do, and which demands collide."""
    return tuple(
        finding("JNT-110", Severity.ERROR, o.part.name, reasons=Facts(o.reasons))
        for o in offers
        if not o.choices
    )


@dataclass(slots=True)
class _Search:
    """Trials, remembered by state."""

    offers: tuple[Offer, ...]
    others: tuple[SheetPiece, ...]
    trial: Trial
    preference: JointPreference
    deadline: Deadline
    given: dict[str, tuple[float, ...]]
    joint_worth: float = 0.0
    trials: int = 0
    closer: Trial | None = None
    extend: Extend | None = None
    known: dict[State, Worth] = field(default_factory=dict)
    made: dict[tuple[int, int], Pieces] = field(default_factory=dict)

    def run(self) -> ChosenJoints:
        """Try the plain ways, then better ones part by part."""
        equal = self._best_of(self._equal_states())
        best = equal if equal is not None else self._first_lawful()
        self._sure(best)
        if self.deadline.stop_reason() is not None:
            return self._chosen(best, equal)
        best = self._improved(best, [0] * len(self.offers))
        more = None if self.extend is None else self.extend(self.known[best])
        if more is not None:
            first_new = [len(o.choices) for o in self.offers]
            self.offers, self.trials = more, self.trials + self.trials // 2
            best = self._improved(best, first_new)
        best = self._with_less_glue(best)
        return self._chosen(*self._judged_again(best, equal))

    def _improved(self, best: State, first: list[int]) -> State:
        """Give one part after another better positions, from its choices on from a number."""
        order = sorted(range(len(self.offers)), key=lambda k: (-self._size(k), k))
        improved = True
        while improved and not self._is_over():
            improved = False
            for k in order:
                for number in _spread_order(len(self.offers[k].choices) - first[k]):
                    state = (*best[:k], first[k] + number, *best[k + 1 :])
                    if self._is_over():
                        break
                    if self._is_lawful(state) and self._is_better(state, best):
                        best, improved = state, True
        return best

    def _with_less_glue(self, best: State) -> State:
        """Take joints away from one part after another again where the layout stays as good.

        A part given another joint early, to save a sheet, may do without it once others were given
        better positions.  Half as many trials again are spent on that.
        """
        self.trials = len(self.known) + max(self.trials // 2, len(self.offers))
        fewer = True
        while fewer and not self._is_over():
            fewer = False
            for k in range(len(self.offers)):
                for number in self._with_fewer_of(k, best[k]):
                    state = (*best[:k], number, *best[k + 1 :])
                    if self._is_lawful(state) and self._is_better(state, best):
                        best, fewer = state, True
                        break
        return best

    def _with_fewer_of(self, k: int, taken: int) -> list[int]:
        """A few choices of a part with fewer joints than the one taken, spread over all of them."""
        choices = self.offers[k].choices
        most = len(choices[taken].at_mm)
        less = [n for n, c in enumerate(choices) if len(c.at_mm) < most]
        return [less[i] for i in _spread_order(len(less))[:LIGHTER]]

    def _judged_again(self, best: State, equal: State | None) -> tuple[State, State | None]:
        """Let the closer trial decide between the best few, the equal stretches among them."""
        if self.closer is None:
            return best, equal
        ranked = sorted(self.known, key=lambda s: (self._key(s, self.known[s]), s))
        lawful = [s for s in ranked if self._is_lawful(s)]
        finalists = lawful[:FINALISTS]
        for state in (*self._with_fewer(lawful), equal):
            if state is not None and state not in finalists:
                finalists.append(state)
        for state in finalists:
            made = [self._pieces(k, n) for k, n in enumerate(state)]
            if self.known[state].n_unplaced == 0:
                pieces = (*self.others, *(p for m in made for p in m.pieces))
                self.known[state] = min(self.known[state], self.closer(pieces))
        winner = min(finalists, key=lambda s: (self._key(s, self.known[s]), s))
        return winner, equal

    def _with_fewer(self, ranked: list[State]) -> list[State]:
        """Return the best with one joint fewer than the very best, and with the fewest of all.

        A quick layout may need a sheet more for them where one with more work does not: whoever is
        asked to make another joint should know that it is needed.
        """
        most = self._joints(ranked[0]) if ranked else 0
        by_count: dict[int, State] = {}
        for state in ranked:
            if self._joints(state) < most and self.known[state].n_unplaced == 0:
                by_count.setdefault(self._joints(state), state)
        return [by_count[n] for n in sorted({min(by_count), max(by_count)})] if by_count else []

    def _is_over(self) -> bool:
        return len(self.known) >= self.trials or self.deadline.stop_reason() is not None

    def _size(self, k: int) -> float:
        xs = [p[0] for p in self.offers[k].part.shape.outline.points]
        return max(xs) - min(xs)

    def _equal_states(self) -> Iterator[State]:
        """States in which every part is divided equally: one for each rank of the equal ways."""
        rows = [[o.choices.index(c) for c in o.equal] for o in self.offers]
        if not all(rows):
            return
        for rank in range(max(len(r) for r in rows)):
            yield tuple(r[min(rank, len(r) - 1)] for r in rows)

    def _first_lawful(self) -> State:
        """Return a state in which neighbours are staggered, or simply the first."""
        state: list[int] = []
        for k, offer in enumerate(self.offers):
            rest = [0] * (len(self.offers) - k - 1)
            lawful = [
                n
                for n in range(len(offer.choices))
                if self._is_lawful((*state, n, *rest), up_to=k + 1)
            ]
            state.append(lawful[0] if lawful else 0)
        return tuple(state)

    def _best_of(self, states: Iterator[State]) -> State | None:
        best: State | None = None
        for state in states:
            if not self._is_lawful(state) or (best is not None and self._is_over()):
                continue
            self._sure(state)
            if best is None or self._is_better(state, best):
                best = state
        return best

    def _is_better(self, state: State, best: State) -> bool:
        worth, known = self._try(state), self._try(best)
        if worth is None or known is None:
            return False
        return self._key(state, worth) < self._key(best, known)

    def _try(self, state: State) -> Worth | None:
        return None if state not in self.known and self._is_over() else self._sure(state)

    def _sure(self, state: State) -> Worth:
        if state not in self.known:
            made = [self._pieces(k, n) for k, n in enumerate(state)]
            if any(blocking(m.findings) for m in made):
                worth = Worth(n_unplaced=len(made), cost_minor=0.0, n_sheets=0, spare_mm2=0.0)
            else:
                worth = self.trial((*self.others, *(p for m in made for p in m.pieces)))
            self.known[state] = worth
        return self.known[state]

    def _pieces(self, k: int, number: int) -> Pieces:
        if (k, number) not in self.made:
            offer, choice = self.offers[k], self.offers[k].choices[number]
            self.made[k, number] = divide(offer.part, choice.at_mm, choice.twin_at_mm)
        return self.made[k, number]

    def _joints(self, state: State) -> int:
        return sum(len(self._pieces(k, n).joints) for k, n in enumerate(state))

    def _key(self, state: State, worth: Worth) -> tuple[float, ...]:
        joints = self._joints(state)
        tail = (float(worth.n_sheets), worth.spare_mm2)
        match self.preference:
            case JointPreference.FEWEST:
                return (worth.n_unplaced, joints, worth.cost_minor, *tail)
            case JointPreference.BALANCED:
                balanced = worth.cost_minor + joints * self.joint_worth
                return (worth.n_unplaced, balanced, joints, *tail)
            case JointPreference.CHEAPEST:
                return (worth.n_unplaced, worth.cost_minor, joints, *tail)

    def _is_lawful(self, state: State, up_to: int | None = None) -> bool:
        """Whether neighbours that must be staggered are."""
        taken = {
            o.part.name: o.choices[n] for o, n in list(zip(self.offers, state, strict=True))[:up_to]
        }
        for offer, number in list(zip(self.offers, state, strict=True))[:up_to]:
            rule = offer.part.joint
            if rule is None or rule.stagger_mm <= 0.0:
                continue
            ours = offer.choices[number]
            for name in rule.stagger_with:
                theirs = taken.get(name, Choice(at_mm=self.given.get(name, ())))
                if name != offer.part.name and not _keep_apart(ours, theirs, rule.stagger_mm):
                    return False
        return True

    def _chosen(self, best: State, equal: State | None) -> ChosenJoints:
        worth = self.known[best]
        return ChosenJoints(
            choices=self._named(best),
            made=tuple(self._pieces(k, n) for k, n in enumerate(best)),
            worth=worth,
            equal_worth=None if equal is None else self.known[equal],
            equal=() if equal is None else self._named(equal),
            ways=self._ways(best),
            most_joints=max(map(self._joints, self.known)),
            n_trials=len(self.known),
            offers=self.offers,
        )

    def _named(self, state: State) -> tuple[tuple[str, Choice], ...]:
        return tuple((o.part.name, o.choices[n]) for o, n in zip(self.offers, state, strict=True))

    def _ways(self, best: State) -> tuple[JointWay, ...]:
        found = {s: (self._joints(s), round(w.cost_minor)) for s, w in self.known.items()}
        whole = [found[s] for s, worth in self.known.items() if worth.n_unplaced == 0]
        return joint_ways(", ".join(o.part.name for o in self.offers), whole, found[best])


def _keep_apart(ours: Choice, theirs: Choice, stagger_mm: float) -> bool:
    return all(
        are_staggered(a, b, stagger_mm)
        for a in (ours.at_mm, ours.twin_at_mm or ())
        for b in (theirs.at_mm, theirs.twin_at_mm or ())
    )


def _spread_order(n: int) -> list[int]:
    """Return 0..n-1 so that any first few are spread over all: halves, quarters, eighths."""
    order: list[int] = []
    step = 1
    while step < n:
        step *= 2
    while step >= 1:
        order += [k for k in range(0, n, step) if k not in order]
        step //= 2
    return order
