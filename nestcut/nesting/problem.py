"""The records of the nesting engine: what is to be placed, where, at which expense of work.

The contract in short.  A placement maps an item's own frame to its container's frame in the order
of :class:`nestcut.model.pose.Pose`: reflect x -> -x if it lies face down, turn by
``turn_deg`` counter-clockwise about the origin, add ``(x, y)``.  Items never overlap in the layouts
handed back and lie inside their container, both to within ``OVERLAP_DEPTH`` times the size of the
problem; clearance is the caller's affair (grow outlines by half of it, shrink containers' edges by
less half of it).  Arrays are (n, 2) floats; outlines run counter-clockwise, holes either way, the
first point is not repeated.  Units are the caller's own, the same throughout.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from nestcut.model.plan import StopReason
from nestcut.model.pose import Lie, Pose
from nestcut.search.settings import Deadline

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Turns:
    """Which turns an item may take.

    Parameters
    ----------
    centres_deg
        Allowed turns, counter-clockwise. [deg]
    span_deg
        How far the turn may stray from any centre, either way; 180 means any angle. [deg]
    """

    centres_deg: tuple[float, ...] = (0.0,)
    span_deg: float = 0.0

    def __post_init__(self) -> None:
        if not self.centres_deg:
            raise ValueError("an item needs at least one allowed turn")
        if not 0.0 <= self.span_deg <= 180.0:
            raise ValueError(f"span_deg must lie in 0..180, got {self.span_deg}")

    @property
    def is_discrete(self) -> bool:
        """Whether only the centres themselves are allowed."""
        return self.span_deg == 0.0

    @property
    def is_free(self) -> bool:
        """Whether any angle is allowed."""
        return self.span_deg >= 180.0


FREE = Turns(span_deg=180.0)
"""Any angle."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Item:
    """One thing to place.

    Parameters
    ----------
    id
        Unique name.
    outline
        Simple polygon, shape (n, 2), counter-clockwise, grown by half the clearance.
    holes
        Holes that other items may lie in, already shrunk by half the clearance. Leave out those
        that must stay whole: the engine takes what isn't a hole for solid.
    turns, lies
        What a placement may do.
    """

    id: str
    outline: FloatArray
    holes: tuple[FloatArray, ...] = ()
    turns: Turns = field(default_factory=Turns)
    lies: tuple[Lie, ...] = (Lie.FACE_UP,)

    def __post_init__(self) -> None:
        if self.outline.ndim != 2 or self.outline.shape[0] < 3 or self.outline.shape[1] != 2:
            raise ValueError(
                f"outline of {self.id} must have shape (n >= 3, 2), got {self.outline.shape}"
            )
        if not self.lies:
            raise ValueError(f"{self.id} may lie on neither face")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Container:
    """One kind of place to put items.

    Parameters
    ----------
    id
        Unique name of the kind.
    outline
        Usable area, any simple polygon, shape (n, 2), in the container's frame.
    blocked
        Areas inside that nothing may touch, shape (m, 2) each.
    cost
        Of using one; 0 for what lies in the shed anyway. Least total cost is sought, then
        the fewest containers that cost something.
    count
        How many there are; None: as many as are wanted.
    """

    id: str
    outline: FloatArray
    blocked: tuple[FloatArray, ...] = ()
    cost: float = 1.0
    count: int | None = None

    @property
    def area(self) -> float:
        """What items may cover of one."""
        blocked = shapely.union_all([Polygon(b) for b in self.blocked])
        return float(Polygon(self.outline).difference(blocked).area)


@dataclass(frozen=True, slots=True, kw_only=True)
class NestPlacement(Pose):
    """Where one item lies: ``number`` counts the containers of a kind from 0."""

    item: str
    container: str
    number: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Problem:
    """What is to be placed, and where.

    Parameters
    ----------
    items, containers
        Tuples; their order decides ties, so hand them over sorted.
    simplify
        How far an outline may be widened to save vertices, in the unit of the coordinates. The
        widened outline covers the true one, so a valid layout stays valid. 0: not at all.
    """

    items: tuple[Item, ...]
    containers: tuple[Container, ...]
    simplify: float = 0.0

    def __post_init__(self) -> None:
        for what, names in (
            ("items", [i.id for i in self.items]),
            ("containers", [c.id for c in self.containers]),
        ):
            if len(set(names)) != len(names):
                raise ValueError(f"{what} need unique ids")


@dataclass(frozen=True, slots=True, kw_only=True)
class Nest:
    """A layout without overlaps.

    ``length`` is the used length in strip mode, else 0; ``cost`` the cost of the containers used;
    ``work`` the passes spent, ``found_after`` those that a strip's layout took from bottom-left on.
    """

    placements: tuple[NestPlacement, ...]
    unplaced: tuple[str, ...] = ()
    cost: float = 0.0
    length: float = 0.0
    work: int = 0
    found_after: int = 0
    stopped_by: StopReason = StopReason.WORK_DONE

    @property
    def used(self) -> tuple[tuple[str, int], ...]:
        """Containers in use, (kind, number), sorted."""
        return tuple(sorted({(p.container, p.number) for p in self.placements}))


Progress = Callable[[Nest], None]
"""Told every better layout as soon as it is found, in the caller's process and thread."""


def _ignore(nest: Nest) -> None:
    del nest


@dataclass(slots=True, kw_only=True)
class Budget:
    """What a call may spend, and who is told.

    Parameters
    ----------
    passes
        Work: a pass visits every overlapping item once. The same problem, seed, passes and
        workers give the same layout, bit for bit, unless the deadline cut the search short.
    deadline
        Safety net, and the way to interrupt.
    seed, stream
        Source of chance; calls that should differ take different streams.
    workers
        Independent searches, of which the best result counts.
    progress
        Called with every better layout (from the caller's thread only).
    executor
        Where more than one worker runs; None: processes started for the call.
    """

    passes: int
    deadline: Deadline = field(default_factory=Deadline)
    seed: int = 0
    stream: str = "nesting"
    workers: int = 1
    progress: Progress = _ignore
    executor: Executor | None = None

    def part(self, k: int, n: int) -> Budget:
        """Return round k of n: its share of the passes, with a stream of its own."""
        return replace(
            self,
            passes=self.passes * (k + 1) // n - self.passes * k // n,
            stream=f"{self.stream}/round {k}",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Rect:
    """A rectangle to pack; sides in whole units."""

    width: int
    height: int
    can_turn: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RectBin:
    """A bin to pack into; sides in whole units."""

    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RectPlace:
    """Where a rectangle lies: its bin, lower left corner, and whether it's turned a quarter."""

    bin: int
    x: int
    y: int
    turned: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RectPacking:
    """Places by rectangle; None for one that found none. ``top`` is that of the last bin."""

    places: tuple[RectPlace | None, ...]
    left: int
    top: int
    work: int

    @property
    def is_complete(self) -> bool:
        """Whether every rectangle has its place."""
        return all(p is not None for p in self.places)
