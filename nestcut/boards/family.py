"""Rails of one section as kinds and counts, and what wood a number of joints asks of them.

Rails of the same part ask the same, so a set of rails is a *claim*: how many of each kind.  A set
of strips is a *lot*: how many of each bin.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import product
from math import prod

from nestcut.boards.joining import FreeRail, JoiningProblem
from nestcut.boards.problem import Section

Claim = tuple[int, ...]
"""How many rails of each kind."""

Lot = tuple[int, ...]
"""How many strips of each bin of the section."""


@dataclass(frozen=True)
class Family:
    """Kinds of rails of one section, with the bins they may come from.

    Parameters
    ----------
    kinds
        The first rail of each kind.
    members
        Numbers of the rails of each kind.
    bins
        Numbers of the bins.
    rooms
        Capacity of each bin, one kerf included. [grid units]
    """

    section: Section
    kerf: int
    kinds: tuple[FreeRail, ...]
    members: tuple[tuple[int, ...], ...]
    bins: tuple[int, ...]
    rooms: tuple[int, ...]

    @cached_property
    def everything(self) -> Claim:
        """All rails."""
        return tuple(len(own) for own in self.members)

    @property
    def n_claims(self) -> int:
        """How many different sets of rails there are, the empty one included."""
        return prod(n + 1 for n in self.everything)

    def claims(self) -> list[Claim]:
        """List every set of rails but the empty one."""
        return [c for c in product(*(range(n + 1) for n in self.everything)) if any(c)]

    def room(self, lot: Lot) -> int:
        """Return what the strips hold, one kerf for each included. [grid units]"""
        return sum(n * room for n, room in zip(lot, self.rooms, strict=True))

    def fewest(self, claim: Claim) -> int:
        """Return the fewest joints that these rails can have."""
        return sum(n * kind.numbers[0] for n, kind in zip(claim, self.kinds, strict=True))

    def most(self, claim: Claim) -> int:
        """Return the most joints that these rails may have."""
        return sum(n * kind.numbers[-1] for n, kind in zip(claim, self.kinds, strict=True))

    def needs(self, claim: Claim) -> list[int]:
        """Return the least wood with the fewest joints, with one more, and so on. [grid units]

        Every piece brings a kerf; joints beyond the fewest go where the overlap is shortest.
        """
        need = 0
        further: list[int] = []
        for n, kind in zip(claim, self.kinds, strict=True):
            joint = kind.overlap + self.kerf
            need += n * (kind.whole + self.kerf + kind.numbers[0] * joint)
            further += [joint] * (n * (kind.numbers[-1] - kind.numbers[0]))
        found = [need]
        for joint in sorted(further):
            found.append(found[-1] + joint)
        return found


def make_families(problem: JoiningProblem) -> tuple[Family, ...]:
    """Return the families of a problem, section by section."""
    families = []
    for section in dict.fromkeys(r.rail.section for r in problem.rails):
        own = [k for k, r in enumerate(problem.rails) if r.rail.section == section]
        alike = tuple(dict.fromkeys(problem.rails[k].alike for k in own))
        members = tuple(tuple(k for k in own if problem.rails[k].alike == a) for a in alike)
        bins = problem.bins_of[section]
        families.append(
            Family(
                section=section,
                kerf=problem.kerf,
                kinds=tuple(problem.rails[k[0]] for k in members),
                members=members,
                bins=bins,
                rooms=tuple(problem.bins[b].capacity for b in bins),
            )
        )
    return tuple(families)
