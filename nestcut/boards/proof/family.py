"""Rails of one section as kinds and counts, and what wood a number of joints asks of them.

Rails of the same part ask the same, so a set of rails is a *claim*: how many of each kind.  Pieces
of known length are kinds that can't be joined.  A set
of strips is a *lot*: how many of each bin.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from math import prod

from nestcut.boards.join.joining import FixedKind, FreeRail, JoiningProblem
from nestcut.boards.wood.problem import Section

Claim = tuple[int, ...]
"""How many rails of each kind."""

Lot = tuple[int, ...]
"""How many strips of each bin of the section."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RailKind:
    """What rails that are alike ask, or pieces of known length. See :class:`FreeRail`."""

    whole: int
    allowance: int
    overlap: int
    numbers: tuple[int, ...]
    starts: tuple[tuple[int, int], ...]
    apart: int


@dataclass(frozen=True)
class Family:
    """Kinds of rails of one section, with the bins they may come from.

    Parameters
    ----------
    members
        Numbers of the rails of each kind; none for pieces of known length.
    fixed
        Number of the pieces of known length that a kind is; None for rails.
    everything
        How many there are of each kind.
    bins
        Numbers of the bins.
    rooms
        Capacity of each bin, one kerf included. [grid units]
    """

    section: Section
    kerf: int
    kinds: tuple[RailKind, ...]
    members: tuple[tuple[int, ...], ...]
    fixed: tuple[int | None, ...]
    everything: Claim
    bins: tuple[int, ...]
    rooms: tuple[int, ...]

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


def kind_of(rail: FreeRail) -> RailKind:
    """Return what a rail asks."""
    return RailKind(
        whole=rail.whole,
        allowance=rail.allowance,
        overlap=rail.overlap,
        numbers=rail.numbers,
        starts=rail.starts,
        apart=rail.apart,
    )


def kind_of_known(pieces: FixedKind, kerf: int) -> RailKind:
    """Return what pieces of known length ask."""
    return RailKind(
        whole=pieces.weight - kerf,
        allowance=0,
        overlap=0,
        numbers=(0,),
        starts=(),
        apart=0,
    )


def make_families(problem: JoiningProblem) -> tuple[Family, ...]:
    """Return the families of a problem, section by section."""
    sections = [r.rail.section for r in problem.rails] + [k.section for k in problem.kinds]
    return tuple(_family(problem, section) for section in dict.fromkeys(sections))


def _family(problem: JoiningProblem, section: Section) -> Family:
    own = [r for r, rail in enumerate(problem.rails) if rail.rail.section == section]
    alike = tuple(dict.fromkeys(problem.rails[r].alike for r in own))
    members = [tuple(r for r in own if problem.rails[r].alike == a) for a in alike]
    known = [i for i, kind in enumerate(problem.kinds) if kind.section == section]
    bins = problem.bins_of[section]
    return Family(
        section=section,
        kerf=problem.kerf,
        kinds=(
            *(kind_of(problem.rails[rails[0]]) for rails in members),
            *(kind_of_known(problem.kinds[i], problem.kerf) for i in known),
        ),
        members=(*members, *(() for _ in known)),
        fixed=(*(None for _ in members), *known),
        everything=(*(len(rails) for rails in members), *(problem.kinds[i].demand for i in known)),
        bins=bins,
        rooms=tuple(problem.bins[b].capacity for b in bins),
    )
