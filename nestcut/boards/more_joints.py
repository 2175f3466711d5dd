"""Rails whose most joints nobody named: can more than were tried pay?

The search for rails stops at two joints more than a rail needs.  A bound is drawn up for all
plans in which one rail has more: every strip has to hold the rails' lengths, the overlaps of the
fewest joints they need, those of the joints more, and the saw's kerf behind every piece.  Boards
that have so much strip cost a least amount; where that isn't less than what was found, no joint
more can pay.  Elsewhere two more are tried.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace

from nestcut.boards.join.joining import joined_part, joint_numbers
from nestcut.boards.outcome import BoardsOutcome, JointPreference
from nestcut.boards.wood.grid import Grid
from nestcut.boards.wood.groups import Group, group_rails
from nestcut.boards.wood.problem import Section, make_bins_and_rips, make_supplies, priced, strip_nm
from nestcut.boards.wood.rails import Rail, divide_rail, single_rails
from nestcut.facts import Fact, fact
from nestcut.joints.collisions import MOST_JOINTS
from nestcut.joints.rules import possible_numbers
from nestcut.model.job import Job
from nestcut.model.part import RailPart
from nestcut.model.plan import Counted
from nestcut.search.settings import Deadline
from nestcut.search.solver import solver_for
from nestcut.tolerances import NM_PER_MM, UM_PER_MM
from nestcut.tolerances.noise import SOLVER_SLACK

_WORK = 2.0
"""Deterministic time for one bound."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _More:
    """What one rail takes with its fewest joints, and with one more than was tried. [mm]"""

    rail: Rail
    fewest_mm: float
    more_mm: float | None
    tried: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CutRails:
    """Rails cut from boards, and what is to be said about joints that weren't tried."""

    outcome: BoardsOutcome
    notes: tuple[Fact, ...] = ()


OpenGroups = dict[str, tuple[int, tuple[str, ...], float]]
"""Groups in which more joints than were tried might pay, by name; see :func:`joints_not_tried`."""

_OPEN = fact("BRD-116")
_NO_TIME = fact("BRD-117")

Cut = Callable[[tuple[RailPart, ...]], BoardsOutcome]
"""Cuts rails from the job's boards."""


def cut_with_more_joints(
    job: Job, cut: Cut, preference: JointPreference, deadline: Deadline
) -> CutRails:
    """Cut the rails of a job; where more joints than usual might pay, try two more.

    Where fewest joints are wanted, or time is up, more of them aren't looked for.
    """
    outcome = cut(job.rail_parts)
    if deadline.stop_reason() is not None:
        return CutRails(outcome=_unbounded(outcome, job))
    open_groups = joints_not_tried(job.rail_parts, job, outcome, deadline)
    if not open_groups or preference is JointPreference.FEWEST:
        return CutRails(outcome=_bounded(outcome, open_groups))
    freer = tuple(_allowed_more(r, open_groups) for r in job.rail_parts)
    again = cut(freer)
    if _worth(again) < _worth(outcome):
        outcome = again
    if deadline.stop_reason() is not None:
        return CutRails(outcome=_unbounded(outcome, job))
    still_open = joints_not_tried(freer, job, outcome, deadline)
    notes = tuple(
        fact("JNT-311", whose=name, what=fact("JNT-345", most=most))
        for name, (most, _, _) in still_open.items()
    )
    return CutRails(outcome=_bounded(outcome, still_open), notes=notes)


def _bounded(outcome: BoardsOutcome, open_groups: OpenGroups) -> BoardsOutcome:
    """Lower the bounds of groups in which more joints than were tried might cost less."""
    least = {name: cost for name, (_, _, cost) in open_groups.items()}
    return replace(
        outcome,
        bounds=tuple(
            replace(b, lower=min(b.lower, least[b.name]), reason=_OPEN) if b.name in least else b
            for b in outcome.bounds
        ),
    )


def _unbounded(outcome: BoardsOutcome, job: Job) -> BoardsOutcome:
    """Claim nothing of rails whose most joints nobody named, where there was no time to look."""
    is_silent = any(r.joint is not None and r.joint.max_joints is None for r in job.rail_parts)
    if not is_silent:
        return outcome
    return replace(
        outcome,
        bounds=tuple(
            replace(b, lower=0.0, reason=_NO_TIME) if b.measure is not Counted.JOINTS else b
            for b in outcome.bounds
        ),
    )


def _worth(outcome: BoardsOutcome) -> tuple[int, float, int]:
    cost = sum(b.used for b in outcome.bounds if b.measure is not Counted.JOINTS)
    return len(outcome.unplaced), cost, len(outcome.joints)


def _allowed_more(part: RailPart, open_groups: OpenGroups) -> RailPart:
    """Return a rail that may have two joints more than were tried, if its group is open."""
    for most, names, _ in open_groups.values():
        if part.name in names and part.joint is not None:
            return replace(part, joint=replace(part.joint, max_joints=most + 2))
    return part


def joints_not_tried(
    parts: tuple[RailPart, ...], job: Job, outcome: BoardsOutcome, deadline: Deadline
) -> OpenGroups:
    """Return the groups of rails in which more joints than were tried might still save money.

    Parameters
    ----------
    parts
        The rails as they were cut; those whose most joints the job doesn't name count.

    Returns
    -------
    dict
        Name of the group: most joints tried in one rail, the rails meant, and the least that any
        plan with more joints costs.
    """
    kerf = job.cutting.on(*job.board_stocks).kerf_mm
    costs = {b.name: b.used for b in outcome.bounds if b.measure is not Counted.JOINTS}
    silent = {r.name for r in job.rail_parts if r.joint is not None and r.joint.max_joints is None}
    found: OpenGroups = {}
    for group in group_rails(single_rails(parts), make_supplies(job.board_stocks, kerf)):
        needs = _needs(group, kerf, silent)
        more = [n for n in needs if n.more_mm is not None]
        cost = costs.get(group.name)
        least = (
            _least_cost_with_more(group, needs, kerf, deadline)
            if cost is not None and more
            else math.inf
        )
        if cost is not None and least < cost - SOLVER_SLACK:
            names = tuple(dict.fromkeys(n.rail.part.name for n in more))
            found[group.name] = max(n.tried for n in more), names, least
    return found


def _needs(group: Group, kerf_mm: float, silent: set[str]) -> list[_More]:
    needs = []
    for rail in group.rails:
        whole = rail.part.length_mm + 2.0 * rail.part.allowance_mm
        rule = rail.part.joint
        if not rail.is_free or rule is None:
            at = () if rule is None else rule.at_mm or ()
            length = sum(p.length_mm + kerf_mm for p in divide_rail(rail, at)[0])
            needs.append(_More(rail=rail, fewest_mm=length, more_mm=None, tried=len(at)))
            continue
        part = joined_part(rail.part, rail.overlap_mm)
        longest = max((n for s in group.supplies for _, n in s.stretches), default=0.0)
        numbers = joint_numbers(part, longest) or (0,)
        endless = replace(part, rule=replace(rule, max_joints=None))
        possible = possible_numbers(endless, longest, MOST_JOINTS)
        beyond = [n for n in possible if n > numbers[-1] and rail.part.name in silent]

        def taken(joints: int, whole: float = whole, overlap: float = rail.overlap_mm) -> float:
            return whole + joints * overlap + (joints + 1) * kerf_mm

        needs.append(
            _More(
                rail=rail,
                fewest_mm=taken(numbers[0]),
                more_mm=taken(beyond[0]) if beyond else None,
                tried=numbers[-1],
            )
        )
    return needs


def _least_cost_with_more(
    group: Group, needs: list[_More], kerf_mm: float, deadline: Deadline
) -> float:
    """Return a lower bound on the cost of any plan in which one rail has more joints than tried."""
    total: Counter[Section] = Counter()
    for need in needs:
        total[need.rail.section] += math.floor(need.fewest_mm * UM_PER_MM)
    extra: dict[Section, int] = {}
    for need in needs:
        if need.more_mm is not None:
            more = math.floor((need.more_mm - need.fewest_mm) * UM_PER_MM)
            section = need.rail.section
            extra[section] = min(more, extra.get(section, more))
    bounds = []
    for section, more in sorted(extra.items()):
        wanted = Counter(total)
        wanted[section] += more
        bounds.append(_least_cost(group, wanted, kerf_mm, deadline))
    return min(bounds, default=math.inf)


def _least_cost(
    group: Group, wanted_um: Counter[Section], kerf_mm: float, deadline: Deadline
) -> float:
    """Return the least cost of boards with so much strip of each section, whatever is cut.

    Boards are ripped as they may be; the strips' lengths only have to be enough in all.
    """
    from ortools.sat.python import cp_model

    supplies, _ = priced(group.supplies)
    sections = tuple(sorted(wanted_um))
    _, rips = make_bins_and_rips(sections, supplies, Grid(NM_PER_MM), kerf_mm)
    total = sum(wanted_um.values())
    model = cp_model.CpModel()
    strips: dict[Section, list[cp_model.LinearExprT]] = {s: [] for s in sections}
    boards: dict[int, list[cp_model.IntVar]] = {}
    for rip in rips:
        supply = supplies[rip.supply]
        capacity = sum(math.ceil((n + kerf_mm) * UM_PER_MM) for _, n in supply.stretches)
        most = -(-total // max(capacity, 1)) if supply.limit is None else supply.limit
        board = model.new_int_var(0, most, "")
        boards.setdefault(rip.supply, []).append(board)
        for width, count in rip.strips:
            own = [s for s in sections if strip_nm(s, supply.stock) == width]
            shares = [model.new_int_var(0, count * most, "") for _ in own]
            model.add(sum(shares) <= count * board)
            for section, share in zip(own, shares, strict=True):
                strips[section].append(share * capacity)
    for s, own_boards in boards.items():
        limit = supplies[s].limit
        if limit is not None:
            model.add(sum(own_boards) <= limit)
    for section in sections:
        model.add(sum(strips[section]) >= wanted_um[section])
    model.minimize(
        sum(supplies[s].price * b for s, own_boards in boards.items() for b in own_boards)
    )
    solver = solver_for(_WORK, deadline)
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return math.inf
    return max(0.0, float(solver.best_objective_bound))
