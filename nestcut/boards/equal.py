"""Rails with joints where they suit the boards against rails in equal lengths, in the same run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from nestcut.boards.join.joining import joined_part
from nestcut.boards.outcome import BoardsOutcome
from nestcut.boards.wood.groups import Group, group_rails
from nestcut.boards.wood.problem import make_supplies
from nestcut.boards.wood.rails import Rail, single_rails
from nestcut.errors import Severity
from nestcut.joints.collisions import MOST_JOINTS
from nestcut.joints.rules import JoinedPart, Neighbour, check_positions
from nestcut.model.job import Job
from nestcut.model.part import Hands, RailPart
from nestcut.model.plan import Counted
from nestcut.tolerances import SAME_LENGTH_MM

Cut = Callable[[tuple[RailPart, ...]], BoardsOutcome]
"""Cuts rails from the job's boards."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RailComparison:
    """One group of rails, by free joints and in equal lengths; costs in the group's own measure."""

    group: str
    measure: Counted
    cost: float
    boards: int
    equal_cost: float
    equal_boards: int


def in_equal_lengths(part: JoinedPart, longest_mm: float) -> tuple[float, ...] | None:
    """Return the joints of a rail in as few equal pieces as its rules and boards allow. [mm]

    Pieces are equally long with their overlaps and the allowance at the rail's ends; positions are
    whole mm. None: no number of equal pieces will do.
    """
    whole = part.length_mm + 2.0 * part.allowance_mm
    twin_counts = part.rule.stagger_mm > 0.0
    for n in range(MOST_JOINTS + 1):
        piece = (whole + n * part.overlap_mm) / (n + 1)
        step = piece - part.overlap_mm
        at = tuple(
            float(round(k * step + part.overlap_mm / 2.0 - part.allowance_mm))
            for k in range(1, n + 1)
        )
        half = part.overlap_mm / 2.0
        starts = (-part.allowance_mm, *(a - half for a in at))
        stops = (*(a + half for a in at), part.length_mm + part.allowance_mm)
        if any(b - a > longest_mm + SAME_LENGTH_MM for a, b in zip(starts, stops, strict=True)):
            continue
        near = (Neighbour(name="its twin", at_mm=at),) if twin_counts else ()
        if not check_positions(part, at, near):
            return at
    return None


def compare_with_equal(job: Job, outcome: BoardsOutcome, cut: Cut) -> tuple[RailComparison, ...]:
    """Cut the groups with free rails once more, in equal lengths, and compare.

    Groups in which no equal lengths keep the rules, neighbours' stagger among them, are left out,
    and so are those in which something found no board.
    """
    kerf = job.cutting.on(*job.board_stocks).kerf_mm
    groups = group_rails(single_rails(job.rail_parts), make_supplies(job.board_stocks, kerf))
    found: list[RailComparison] = []
    for group in groups:
        parts = _equal_parts(group, job)
        own = next((b for b in outcome.bounds if b.name == group.name), None)
        if parts is None or own is None:
            continue
        equal = cut(parts)
        theirs = next((b for b in equal.bounds if b.name == group.name), None)
        breaks = any(f.severity is Severity.WARNING for f in equal.findings)
        if theirs is None or equal.unplaced or breaks:
            continue
        names = {s.stock.name for s in group.supplies}
        found.append(
            RailComparison(
                group=group.name,
                measure=own.measure,
                cost=own.used,
                boards=sum(b.stock in names for b in outcome.layouts),
                equal_cost=theirs.used,
                equal_boards=len(equal.layouts),
            )
        )
    return tuple(found)


def _equal_parts(group: Group, job: Job) -> tuple[RailPart, ...] | None:
    """Return a group's rails in equal lengths; None where nothing is free, or none will do."""
    own = {rail.part.name for rail in group.rails}
    longest = max((n for s in group.supplies for _, n in s.stretches), default=0.0)
    parts: list[RailPart] = []
    is_any_free = False
    for part in job.rail_parts:
        if part.name not in own:
            continue
        rule = part.joint
        if rule is None or rule.at_mm is not None:
            parts.append(part)
            continue
        overlap = Rail(part=part, hand=None, copy=1).overlap_mm
        judged = part if part.hands is Hands.PAIR else _without_twin(part)
        at = in_equal_lengths(joined_part(judged, overlap), longest)
        if at is None:
            return None
        is_any_free = True
        parts.append(replace(part, joint=replace(rule, at_mm=at)))
    return tuple(parts) if is_any_free else None


def _without_twin(part: RailPart) -> RailPart:
    """A rail that is no pair has no twin to be staggered with."""
    return part if part.joint is None else replace(part, joint=replace(part.joint, stagger_mm=0.0))
