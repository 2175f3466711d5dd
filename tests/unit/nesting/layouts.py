"""Checks of layouts by shapely, and small problems, for the tests of the nesting engine."""

from __future__ import annotations

import numpy as np
from shapely.geometry import Polygon

from nestcut.geometry.pose import move_point
from nestcut.model.pose import Pose
from nestcut.nesting.problem import Container, FloatArray, Item, Nest, Problem, Turns


def box(width: float, height: float) -> FloatArray:
    return np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])


ELL = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 1.0], [1.0, 1.0], [1.0, 3.0], [0.0, 3.0]])
DART = np.array([[0.0, 0.0], [3.0, 0.0], [1.2, 1.2], [0.0, 3.0]])
RING = np.array([[0.0, 0.0], [6.0, 0.0], [6.0, 6.0], [0.0, 6.0]])
RING_HOLE = np.array([[1.0, 1.0], [5.0, 1.0], [5.0, 5.0], [1.0, 5.0]])


def placed(item: Item, pose: Pose) -> Polygon:
    rings = [
        [move_point((float(p[0]), float(p[1])), pose) for p in r]
        for r in (item.outline, *item.holes)
    ]
    return Polygon(rings[0], rings[1:])


def faults(problem: Problem, nest: Nest, slack: float = 1e-6) -> list[str]:
    """What is wrong with a layout; lengths of overlap up to ``slack`` are let pass."""
    found = []
    items = {i.id: i for i in problem.items}
    containers = {c.id: c for c in problem.containers}
    named = sorted([*(p.item for p in nest.placements), *nest.unplaced])
    if named != sorted(items):
        found.append(f"items named {named}")
    for used in nest.used:
        container = containers[used[0]]
        if container.count is not None and used[1] >= container.count:
            found.append(f"there is no container {used}")
        free = Polygon(container.outline).buffer(slack)
        shapes = []
        for p in nest.placements:
            if (p.container, p.number) != used:
                continue
            item = items[p.item]
            shape = placed(item, p)
            if p.lie not in item.lies or not allowed(item.turns, p.turn_deg):
                found.append(f"{p.item} is turned {p.turn_deg}, {p.lie}")
            if not free.covers(shape):
                found.append(f"{p.item} sticks out of {used}")
            if any(Polygon(b).buffer(-slack).intersects(shape) for b in container.blocked):
                found.append(f"{p.item} lies on a blocked area")
            shapes.append((p.item, shape))
        for k, (name, shape) in enumerate(shapes):
            found.extend(
                f"{name} overlaps {other}"
                for other, second in shapes[:k]
                if shape.buffer(-slack).intersection(second.buffer(-slack)).area > 0.0
            )
    return found


def allowed(turns: Turns, turn_deg: float) -> bool:
    return any(
        abs((turn_deg - c + 180.0) % 360.0 - 180.0) <= turns.span_deg + 1e-9
        for c in turns.centres_deg
    )


def sheet(width: float, height: float, *, cost: float = 1.0, count: int | None = None) -> Container:
    return Container(id="sheet", outline=box(width, height), cost=cost, count=count)


def assert_valid(problem: Problem, nest: Nest) -> None:
    assert faults(problem, nest) == []
