"""Rails with free joints in whole numbers: what the search for joints works on."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from nestcut.boards.wood.grid import Grid, nm
from nestcut.boards.wood.problem import (
    Bin,
    CuttingProblem,
    Rip,
    Section,
    Supply,
    make_bins_and_rips,
    strip_nm,
)
from nestcut.boards.wood.rails import Rail
from nestcut.joints.rules import (
    JoinedPart,
    allowed_positions,
    least_inner_piece_mm,
    possible_numbers,
)
from nestcut.model.part import RailPart
from nestcut.tolerances import NM_PER_MM
from nestcut.trade.joints import MORE_JOINTS_TRIED

MORE_JOINTS = int(MORE_JOINTS_TRIED.value)
"""Joints beyond the fewest possible, where no rule says how many are allowed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeRail:
    """A rail whose joints are free, in grid units.

    Parameters
    ----------
    whole
        Finished length and both allowances.
    allowance
        Allowance at the reference end.
    overlap
        What two pieces share.
    numbers
        Numbers of joints that its rules and the stock allow, rising.
    starts
        Where an overlap may begin: (least, greatest) from the reference end.
    span
        The same if there were no keep-clear stretches.
    apart
        Least distance from one joint to the next.
    """

    rail: Rail
    alike: int
    whole: int
    allowance: int
    overlap: int
    numbers: tuple[int, ...]
    starts: tuple[tuple[int, int], ...]
    span: tuple[int, int]
    apart: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedKind:
    """Pieces whose length is known: (section, length), length plus kerf in units, how many."""

    section: Section
    length_mm: float
    weight: int
    demand: int


@dataclass(frozen=True, slots=True, kw_only=True)
class JoiningProblem:
    """Free rails and fixed pieces of one group, with the boards they come from."""

    name: str
    grid: Grid
    kerf: int
    kerf_mm: float
    rails: tuple[FreeRail, ...]
    kinds: tuple[FixedKind, ...]
    supplies: tuple[Supply, ...]
    bins: tuple[Bin, ...]
    rips: tuple[Rip, ...]
    bins_of: dict[Section, tuple[int, ...]]
    stagger: tuple[tuple[int, int, int], ...]
    """(rail, rail, least distance between middles of their joints), rails by index."""


def joined_part(part: RailPart, overlap_mm: float) -> JoinedPart:
    """Return what the rules need to know of a rail.

    Raises
    ------
    ValueError
        If the rail has no joint rule.
    """
    if part.joint is None:
        raise ValueError(f"{part.name} has no joint rule")
    return JoinedPart(
        name=part.name,
        length_mm=part.length_mm,
        overlap_mm=overlap_mm,
        rule=part.joint,
        allowance_mm=part.allowance_mm,
    )


def joint_numbers(part: JoinedPart, longest_mm: float) -> tuple[int, ...]:
    """Return the numbers of joints worth thinking of; empty if the rules can't be kept."""
    if part.rule.max_joints is not None:
        return possible_numbers(part, longest_mm, part.rule.max_joints)
    most = 0
    found: tuple[int, ...] = ()
    while not found and most <= 24:
        found = possible_numbers(part, longest_mm, most)
        most += 1
    if not found:
        return ()
    return possible_numbers(part, longest_mm, found[0] + MORE_JOINTS)


def make_joining_problem(
    name: str,
    rails: tuple[Rail, ...],
    fixed: tuple[tuple[Section, float, int], ...],
    supplies: tuple[Supply, ...],
    kerf_mm: float,
) -> JoiningProblem:
    """Put free rails, fixed pieces (section, length, how many) and supplies into whole numbers.

    The unit divides every length, and is at most a millimetre, so that positions may fall between
    what was written.

    Parameters
    ----------
    name
        Name of the group, for messages.
    rails
        Rails whose joints are free.
    fixed
        Pieces of rails with known joints: section (thickness, width) [mm], length [mm], how many.
    kerf_mm
        Taken by every cut. [mm]
    """
    grid = _grid(rails, fixed, supplies, kerf_mm)
    sections = tuple(dict.fromkeys([r.section for r in rails] + [s for s, _, _ in fixed]))
    bins, rips = make_bins_and_rips(sections, supplies, grid, kerf_mm)
    shell = CuttingProblem(
        name=name, grid=grid, kerf_mm=kerf_mm, kinds=(), supplies=supplies, bins=bins, rips=rips
    )
    bins_of = {section: bins_for(section, shell) for section in sections}
    return JoiningProblem(
        name=name,
        grid=grid,
        kerf=grid.up(kerf_mm),
        kerf_mm=kerf_mm,
        rails=tuple(
            _free_rail(rail, grid, rails, _longest_mm(supplies, bins, bins_of[rail.section]))
            for rail in rails
        ),
        kinds=tuple(
            FixedKind(section=s, length_mm=n, weight=grid.up(n + kerf_mm), demand=d)
            for s, n, d in fixed
        ),
        supplies=supplies,
        bins=bins,
        rips=rips,
        bins_of=bins_of,
        stagger=_stagger(rails, grid),
    )


def bins_for(section: Section, problem: CuttingProblem) -> tuple[int, ...]:
    """Bins whose strips have this section."""
    return tuple(
        b
        for b, place in enumerate(problem.bins)
        if strip_nm(section, problem.supplies[place.supply].stock) == place.strip_nm
    )


def _longest_mm(supplies: tuple[Supply, ...], bins: tuple[Bin, ...], own: tuple[int, ...]) -> float:
    return max((supplies[bins[b].supply].stretches[bins[b].stretch][1] for b in own), default=0.0)


def _grid(
    rails: tuple[Rail, ...],
    fixed: tuple[tuple[Section, float, int], ...],
    supplies: tuple[Supply, ...],
    kerf_mm: float,
) -> Grid:
    lengths = [kerf_mm, *(n for _, n, _ in fixed), *(n for s in supplies for _, n in s.stretches)]
    for rail in rails:
        part, rule = rail.part, rail.part.joint
        lengths += [part.length_mm, part.allowance_mm, rail.overlap_mm]
        if rule is not None:
            lengths += [rule.min_piece_mm, rule.stagger_mm]
            lengths += [x for z in rule.keep_clear for x in (z.from_mm, z.to_mm)]
    unit = 0
    for length in lengths:
        unit = math.gcd(unit, nm(length))
    unit = unit or NM_PER_MM
    return Grid(unit // -(-unit // NM_PER_MM) if unit % NM_PER_MM else NM_PER_MM)


def _free_rail(rail: Rail, grid: Grid, rails: tuple[Rail, ...], longest_mm: float) -> FreeRail:
    part = joined_part(rail.part, rail.overlap_mm)
    half = rail.overlap_mm / 2.0
    starts = [(grid.up(a - half), grid.down(b - half)) for a, b in allowed_positions(part)]
    bare = replace(part, rule=replace(part.rule, keep_clear=()))
    span = [(grid.up(a - half), grid.down(b - half)) for a, b in allowed_positions(bare)]
    return FreeRail(
        rail=rail,
        alike=next(k for k, other in enumerate(rails) if other.part == rail.part),
        whole=grid.up(part.length_mm + 2.0 * part.allowance_mm),
        allowance=grid.up(part.allowance_mm),
        overlap=grid.up(rail.overlap_mm),
        numbers=joint_numbers(part, longest_mm),
        starts=tuple((a, b) for a, b in starts if a <= b),
        span=span[0] if span else (0, 0),
        apart=grid.up(least_inner_piece_mm(part) - rail.overlap_mm),
    )


def _stagger(rails: tuple[Rail, ...], grid: Grid) -> tuple[tuple[int, int, int], ...]:
    """Pairs of rails that keep their joints apart: twins, and neighbours on the same side."""
    found = []
    for i, first in enumerate(rails):
        for j in range(i + 1, len(rails)):
            second = rails[j]
            least = stagger_between(first, second)
            if least > 0.0:
                found.append((i, j, grid.up(least)))
    return tuple(found)


def stagger_between(first: Rail, second: Rail) -> float:
    """Least distance between the joints of two rails; 0 where they have nothing to do. [mm]

    A twin is the other hand of the same copy. Neighbours by name meet on the same side and in the
    same copy; a rail without a hand meets both sides.
    """
    rules = first.part.joint, second.part.joint
    if rules[0] is None or rules[1] is None:
        return 0.0
    if first.part.name == second.part.name:
        is_twin = first.copy == second.copy and first.hand is not second.hand
        return rules[0].stagger_mm if is_twin else 0.0
    if None not in (first.hand, second.hand) and first.hand is not second.hand:
        return 0.0
    if first.copy != second.copy and min(first.part.count, second.part.count) > 1:
        return 0.0
    asked = [0.0]
    if second.part.name in rules[0].stagger_with:
        asked.append(rules[0].stagger_mm)
    if first.part.name in rules[1].stagger_with:
        asked.append(rules[1].stagger_mm)
    return max(asked)
