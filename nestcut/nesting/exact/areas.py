"""Where nothing may be wasted, areas alone tell which items share a container.

If the items' area fills so many equal containers to the last bit, every container must be full, and
only few sets of items have exactly its area. They are found by depth-first search, the largest
item first; whether a set's shapes go together as well is another question.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from nestcut.search.settings import Deadline
from nestcut.tolerances.noise import FULL_SHARE

MOST_IN_SET = 10
"""Items in one container beyond which areas tell too little."""

MOST_NODES = 2_000_000
"""Steps of the search before it gives up."""

NODES_A_LOOK = 1000
"""Steps between two looks at the clock: some milliseconds."""


def full_sets(
    areas: list[float], capacity: float, deadline: Deadline
) -> list[tuple[int, ...]] | None:
    """Divide items into sets that each have exactly the area ``capacity``.

    Parameters
    ----------
    areas
        Of the items, shape (n,). [mm2]
    capacity
        Area of each set. [mm2]

    Returns
    -------
    Sets of indices, or None if there is no such division or it wasn't found in time.
    """
    order = sorted(range(len(areas)), key=lambda i: (-areas[i], i))
    search = _Division([areas[i] for i in order], capacity, FULL_SHARE * capacity, deadline)
    if not search.next_set():
        return None
    return [tuple(order[k] for k in chosen) for chosen in search.sets]


@dataclass(slots=True)
class _Division:
    """Depth-first search over sets; ``areas`` fall."""

    areas: list[float]
    capacity: float
    slack: float
    deadline: Deadline
    sets: list[tuple[int, ...]] = field(default_factory=list)
    taken: set[int] = field(default_factory=set)
    nodes: int = 0

    def next_set(self) -> bool:
        """Fill the next container, beginning with the largest item that is left."""
        for k in range(len(self.areas)):
            if k not in self.taken:
                self.taken.add(k)
                if self.fill(k + 1, self.capacity - self.areas[k], (k,)):
                    return True
                self.taken.discard(k)
                return False
        return True

    def fill(self, start: int, left: float, chosen: tuple[int, ...]) -> bool:
        """Add items from ``start`` on until the container is full."""
        self.nodes += 1
        if self.nodes % NODES_A_LOOK == 0 and self.deadline.stop_reason() is not None:
            self.nodes = MOST_NODES + 1
        if self.nodes > MOST_NODES:
            return False
        if abs(left) <= self.slack:
            self.sets.append(chosen)
            if self.next_set():
                return True
            self.sets.pop()
            return False
        room = MOST_IN_SET - len(chosen)
        for k in range(start, len(self.areas)):
            area = self.areas[k]
            if area * room < left - self.slack:
                return False
            if k in self.taken or area > left + self.slack:
                continue
            self.taken.add(k)
            if self.fill(k + 1, left - area, (*chosen, k)):
                return True
            self.taken.discard(k)
        return False
