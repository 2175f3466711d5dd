"""Putting cut-up containers together again: no room is wasted, so angles and edges must match.

The room that is left is a polygon. In a layout without waste exactly one item lies in each of its
corners along the side that leaves it, with a corner of its own; what is left of the angle is again
made up of items' corners. So at the corner with the fewest such items they are tried one by one,
those first that lie along most of the room's edge, and the rest of the room is filled likewise.
Sums of few angles are believed in before sums of many. (Depth-first search with the most
constrained place first, as for puzzles of cells; Knuth 2000, Dancing links, from memory.)
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import Polygon

from nestcut.geometry.pose import move_point
from nestcut.model.pose import Pose
from nestcut.nesting.exact.corners import (
    Corner,
    Shape,
    cleaned,
    corners_of,
    moved,
    own_corner,
    shape_of,
)
from nestcut.nesting.problem import FloatArray, IntArray, Item, NestPlacement
from nestcut.tolerances.noise import (
    COUNT_SHARE,
    SAME_ANGLE_RAD,
    SAME_CORNER_SHARE,
    SAME_SIDE_SHARE,
    STRAIGHT_SLACK_RAD,
)

MOST_SUMS = 3_000_000
"""Sums of angles that are listed; beyond, sums of fewer."""

MOST_MEETING = 5
"""Corners of items that meet in one of the room's."""

FIRST_NODES = 150
"""Nodes of the first try."""

RARER = 4
"""Tries with corners of two items for one with those of three, and so on."""

MORE_NODES = 1.05
"""Factor on them from one try to the next."""

CORNER, LARGE, CHANCE = 0.2, 0.5, 0.3
"""What orders placings beside the share of their outline that lies along the room's: corners that
the room has more afterwards, their share of its area, and chance. Of four mixes tried on one set of
30 pieces this was the only one that put it together. [-]"""

MOST_TRIED = 40
"""Placings that are tried at one corner."""


@dataclass(frozen=True, slots=True)
class _Placed:
    """One item's kind and pose in its container."""

    kind: int
    number: int
    pose: Pose


@dataclass(slots=True)
class Jigsaw:
    """One search for layouts of equal containers that leave nothing free.

    Parameters
    ----------
    items
        What is to be placed.
    outline
        Of the container, shape (n, 2).
    count
        How many containers there are; items and containers have the same area.
    rng
        Decides ties.
    """

    items: tuple[Item, ...]
    outline: FloatArray
    count: int
    rng: np.random.Generator
    kinds: list[list[int]] = field(init=False, default_factory=list)
    shapes: list[Shape] = field(init=False, default_factory=list)
    full: list[_Placed] = field(init=False, default_factory=list)
    nodes: int = field(init=False, default=0)
    _side: float = field(init=False)
    _of: IntArray = field(init=False)
    _corner: IntArray = field(init=False)
    _angle: FloatArray = field(init=False)
    _sums: list[FloatArray] = field(init=False)
    _areas: list[FloatArray] = field(init=False)
    _left: list[int] = field(init=False)
    _stack: list[_Placed] = field(init=False)
    _most: int = field(init=False, default=0)
    _is_over: Callable[[], bool] = field(init=False)

    def __post_init__(self) -> None:
        self._side = float(np.ptp(self.outline, axis=0).max())
        self._gather_kinds()
        pairs = [(s, k) for s, shape in enumerate(self.shapes) for k in range(len(shape.ring))]
        self._of = np.array([s for s, _ in pairs])
        self._corner = np.array([k for _, k in pairs])
        self._angle = np.array([self.shapes[s].angle[k] for s, k in pairs])
        self._sums = self._sums_of_angles()
        self._areas = self._sums_of_areas()

    def _gather_kinds(self) -> None:
        """Sort the items by outline and freedom."""
        known: dict[tuple[bytes, ...], int] = {}
        for i, item in enumerate(self.items):
            rings = (item.outline, *item.holes)
            key = (*(r.tobytes() for r in rings), repr((item.turns, item.lies)).encode())
            if key not in known:
                known[key] = len(self.kinds)
                self.kinds.append([])
                self.shapes += [shape_of(known[key], item, lie) for lie in item.lies]
            self.kinds[known[key]].append(i)

    def _sums_of_areas(self) -> list[FloatArray]:
        """Sorted areas of one item, of one or two, of up to three."""
        single = np.array([s.polygon.area for s in self.shapes])
        sums = [np.sort(single)]
        while len(sums) < 3 and len(sums[-1]) * len(single) <= MOST_SUMS // 10:
            more = np.add.outer(sums[-1], single).ravel()
            sums.append(np.unique(np.concatenate((sums[-1], more))))
        return sums

    def _sums_of_angles(self) -> list[FloatArray]:
        """Sorted sums of one, two, ... angles below a half-turn."""
        single = np.unique(np.round(self._angle[self._angle < math.pi], 9))
        sums = [single]
        while len(sums) < MOST_MEETING and len(sums[-1]) * len(single) <= MOST_SUMS:
            more = np.add.outer(sums[-1], single).ravel()
            more = more[more < math.pi + STRAIGHT_SLACK_RAD]
            sums.append(np.unique(np.round(np.concatenate((sums[-1], more)), 9)))
        return sums

    def solve(self, most_nodes: int, is_over: Callable[[], bool]) -> bool:
        """Fill all containers, by so many nodes or until told that it's over.

        Says whether that worked; ``full`` has what was filled of the most containers.
        """
        limit = float(FIRST_NODES)
        self._is_over = is_over
        tries = 0
        while self.nodes < most_nodes and not is_over():
            tries += 1
            for depth in range(min(1, len(self._sums) - 1), len(self._sums)):
                # corners where few items meet are the rule: the more meet, the rarer it's tried
                if tries % RARER ** max(0, depth - 1):
                    continue
                self._left = [len(k) for k in self.kinds]
                self._stack = []
                self._most = min(most_nodes, self.nodes + int(limit))
                if self._fill([Polygon(self.outline)], 0, depth):
                    return True
            limit *= MORE_NODES
        return False

    def _fill(self, room: list[Polygon], number: int, depth: int) -> bool:
        """Fill the rest of container ``number``, then those after it."""
        if not room:
            if number + 1 > (self.full[-1].number + 1 if self.full else 0):
                self.full = list(self._stack)
                # a full container is no coincidence: what led to it stands
                self._most = max(self._most, self.nodes + FIRST_NODES)
            if number + 1 == self.count:
                return True
            return self._fill([Polygon(self.outline)], number + 1, depth)
        self.nodes += 1
        if self.nodes >= self._most or self._is_over():
            return False
        room = sorted(room, key=lambda p: p.area)
        for kind, pose, rest in self._placings(room[0], depth):
            self._left[kind] -= 1
            self._stack.append(_Placed(kind, number, pose))
            if self._fill([*rest, *room[1:]], number, depth):
                return True
            self._stack.pop()
            self._left[kind] += 1
            if self.nodes >= self._most:
                return False
        return False

    def _placings(self, room: Polygon, depth: int) -> Iterator[tuple[int, Pose, list[Polygon]]]:
        """Return what can lie in the corner that leaves least choice, the snuggest first."""
        found = self._fitting(room, depth)
        if not found:
            return
        placed = np.array([moved(s, p) for s, p in found])
        outside = shapely.area(shapely.difference(placed, room))
        smallest = min(s.polygon.area for s in self.shapes if self._left[s.kind] > 0)
        ranked = []
        for (shape, pose), polygon, out in zip(found, placed, outside, strict=True):
            if out > SAME_SIDE_SHARE * self._side * polygon.length:
                continue
            rest = cleaned(room.difference(polygon), SAME_SIDE_SHARE * self._side)
            if rest is not None and self._can_be_filled(rest, smallest, depth):
                ranked.append((self._standing(room, polygon, rest), shape.kind, pose, rest))
        ranked.sort(key=lambda r: -r[0])
        for _, kind, pose, rest in ranked[:MOST_TRIED]:
            yield kind, pose, rest

    def _fitting(self, room: Polygon, depth: int) -> list[tuple[Shape, Pose]]:
        """Return what angles and sides let lie in the corner where the fewest angles do."""
        free = np.array([self._left[s.kind] > 0 for s in self.shapes])[self._of]
        least: tuple[int, Corner, IntArray] | None = None
        for corner in corners_of(room):
            if corner.angle > math.pi - SAME_ANGLE_RAD:
                continue
            rest = corner.angle - self._angle
            fitting = np.flatnonzero(free & self._may_remain(rest, depth))
            if least is None or len(fitting) < least[0]:
                least = (len(fitting), corner, fitting)
        if least is None:
            return []
        _, corner, fitting = least
        found = []
        for c in fitting.tolist():
            shape, k = self.shapes[self._of[c]], int(self._corner[c])
            pose = self._pose(shape, k, corner) if self._match(shape, k, corner, depth) else None
            if pose is not None:
                found.append((shape, pose))
        return found

    def _standing(self, room: Polygon, polygon: Polygon, rest: list[Polygon]) -> float:
        """How well a placing fits: the more, the sooner it's tried."""
        shared = room.length + polygon.length - sum(p.length for p in rest)
        more = sum(len(p.exterior.coords) - 1 for p in rest) - len(room.exterior.coords)
        chance = CHANCE * self.rng.uniform()
        snug = shared / polygon.length
        return float(snug - CORNER * more + LARGE * polygon.area / room.area + chance)

    def _may_remain(self, rest: FloatArray, depth: int) -> np.ndarray:
        """Whether angles that are left are none, or sums of so many angles of items."""
        sums = self._sums[depth]
        at = np.clip(np.searchsorted(sums, rest), 1, len(sums) - 1) if len(sums) > 1 else 0
        near = np.minimum(np.abs(sums[at] - rest), np.abs(sums[np.maximum(at, 1) - 1] - rest))
        none, some = np.abs(rest) < SAME_ANGLE_RAD, (near < SAME_ANGLE_RAD) & (rest > 0.0)
        return np.asarray(none | some)

    def _match(self, shape: Shape, k: int, corner: Corner, depth: int) -> bool:
        """Whether the item's edge ends at the side's end, or where other items can begin."""
        slack = SAME_SIDE_SHARE * self._side
        over = shape.length[k] - corner.ahead
        turn = shape.angle[(k + 1) % len(shape.ring)]
        if over > slack:
            return corner.next_angle > math.pi
        if over < -slack:
            return bool(turn > math.pi or self._may_remain(np.array([math.pi - turn]), depth)[0])
        rest = corner.next_angle - turn
        if rest < -SAME_ANGLE_RAD:
            return False
        return rest > math.pi or bool(self._may_remain(np.array([rest]), depth)[0])

    def _can_be_filled(self, rest: list[Polygon], smallest: float, depth: int) -> bool:
        """Whether what is left has room for some item, and corners for items' corners."""
        if not all(self._area_is_there(p.area, smallest) for p in rest):
            return False
        angles = np.array([c.angle for p in rest for c in corners_of(p)])
        convex = angles[angles < math.pi - SAME_ANGLE_RAD]
        return bool(self._may_remain(convex, depth).all())

    def _area_is_there(self, area: float, smallest: float) -> bool:
        """Whether a room so small that few items fill it has the area of such items."""
        few = int(area / smallest * (1.0 + COUNT_SHARE))
        if few == 0:
            return False
        if few > len(self._areas):
            return True
        sums = self._areas[few - 1]
        at = int(np.searchsorted(sums, area))
        near = min(abs(float(sums[k]) - area) for k in (max(0, at - 1), min(at, len(sums) - 1)))
        return near < SAME_CORNER_SHARE * self._side**2

    def _pose(self, shape: Shape, k: int, corner: Corner) -> Pose | None:
        """Lay the item's corner k into the room's along its side, if it may be turned so."""
        turn = math.degrees(corner.along - shape.along[k]) % 360.0
        turns = self.items[self.kinds[shape.kind][0]].turns
        stray = [abs((turn - c + 180.0) % 360.0 - 180.0) for c in turns.centres_deg]
        if min(stray) > turns.span_deg + math.degrees(SAME_ANGLE_RAD):
            return None
        if turns.is_discrete:
            turn = turns.centres_deg[int(np.argmin(stray))] % 360.0
        at = move_point(own_corner(shape, k), Pose(shape.lie, turn))
        return Pose(shape.lie, turn, (corner.at[0] - at[0], corner.at[1] - at[1]))

    def placements(self, container: str) -> tuple[NestPlacement, ...]:
        """Return the items of the containers that were filled, in their own frames."""
        stacks = [list(k) for k in self.kinds]
        return tuple(
            NestPlacement(
                item=self.items[stacks[p.kind].pop()].id,
                container=container,
                number=p.number,
                lie=p.pose.lie,
                turn_deg=p.pose.turn_deg,
                shift_mm=p.pose.shift_mm,
            )
            for p in self.full
        )
