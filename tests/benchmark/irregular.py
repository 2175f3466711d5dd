"""Irregular polygons on a strip and on equal sheets, checked by shapely alone."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from nestcut.model.pose import Lie
from nestcut.nesting.problem import FREE, Budget, Container, Item, Nest, Problem, Turns
from nestcut.search.settings import Deadline
from tests.benchmark.outcome import Instance, Outcome, Spend

OVERLAP_AREA = 1e-7
"""Overlap that counts as none, as a share of the items' area. [-]"""

OVERHANG = 1e-7
"""Sticking out that counts as none, as a share of the container's side. [-]"""


def compile_kernels() -> None:
    """Let numba compile or load the engine's kernels, which would else go off the first search."""
    from nestcut.nesting.separating.bins import pack_bins
    from nestcut.nesting.strips.strip import pack_strip

    corner = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [1.0, 1.0], [1.0, 2.0], [0.0, 2.0]])
    for turns in (Turns(centres_deg=(0.0, 180.0)), FREE):
        items = tuple(Item(id=str(k), outline=corner, turns=turns) for k in range(3))
        pack_strip(items, 3.0, Budget(passes=10))
        sheet = Container(id="sheet", outline=np.array([[0.0, 0.0], [5, 0], [5, 3], [0, 3]]))
        pack_bins(Problem(items=items, containers=(sheet,)), Budget(passes=10))


def items_of(instance: Instance) -> tuple[Item, ...]:
    """Return an instance's pieces, one by one."""
    angles = instance["allowed_rotations_deg"]
    turns = (
        FREE if angles is None or None in angles else Turns(centres_deg=tuple(map(float, angles)))
    )
    lies = (Lie.FACE_UP, Lie.FACE_DOWN) if instance.get("reflection_allowed") else (Lie.FACE_UP,)
    return tuple(
        Item(
            id=f"{piece['id']}.{k}",
            outline=np.array(piece["points"], dtype=float),
            holes=tuple(np.array(hole, dtype=float) for hole in piece.get("holes", ())),
            turns=turns,
            lies=lies,
        )
        for piece in instance["pieces"]
        for k in range(piece.get("quantity", 1))
    )


def area_of(item: Item) -> float:
    """Area of an item without its holes."""
    return float(Polygon(item.outline, item.holes).area)


def check(
    items: tuple[Item, ...], nest: Nest, width: float, height: float, allowed: list[float] | None
) -> bool:
    """Whether a layout is complete, inside width x height, without overlap, in allowed turns."""
    by_id = {i.id: i for i in items}
    if sorted(p.item for p in nest.placements) != sorted(by_id):
        return False
    slack = OVERHANG * max(width, height)
    total = sum(map(area_of, items))
    overlap = 0.0
    for container in sorted({(p.container, p.number) for p in nest.placements}):
        placed = []
        for p in nest.placements:
            if (p.container, p.number) != container:
                continue
            if allowed is not None and not any(abs(p.turn_deg - a) < 1e-9 for a in allowed):
                return False
            shape = Polygon(by_id[p.item].outline, by_id[p.item].holes)
            if not p.is_face_up:
                shape = affinity.scale(shape, -1.0, 1.0, origin=(0, 0))
            shape = affinity.rotate(shape, p.turn_deg, origin=(0, 0))
            shape = affinity.translate(shape, *p.shift_mm)
            x0, y0, x1, y1 = shape.bounds
            if x0 < -slack or y0 < -slack or x1 > width + slack or y1 > height + slack:
                return False
            placed.append(shape)
        tree = shapely.STRtree(placed)
        first, second = tree.query(placed, predicate="intersects")
        for i, j in zip(first, second, strict=True):
            if i < j:
                overlap += placed[i].intersection(placed[j]).area
    return bool(overlap <= OVERLAP_AREA * total)


def strip(instance: Instance, known: Instance | None, spend: Spend) -> Outcome:
    """Shortest length on a strip of fixed height."""
    from nestcut.nesting.strips.strip import bottom_left_strip, pack_strip

    items = items_of(instance)
    height = float(instance["strip_height"])
    plain = bottom_left_strip(items, height)
    budget = Budget(
        passes=10**9,
        deadline=Deadline(spend.seconds, spend.clock),
        seed=spend.seed,
        workers=spend.workers,
        executor=spend.executor,
    )
    nest = pack_strip(items, height, budget)
    area = sum(map(area_of, items))
    return Outcome(
        pieces=len(items),
        value=nest.length,
        bound=area / height,
        best=_best_length(instance, known, area / height),
        verified=check(items, nest, nest.length, height, instance["allowed_rotations_deg"]),
        beside={
            "density": round(area / height / nest.length, 5),
            "plain": plain.length,
            "plain_verified": check(
                items, plain, plain.length, height, instance["allowed_rotations_deg"]
            ),
            "passes": nest.work,
        },
    )


def bins(instance: Instance, known: Instance | None, spend: Spend) -> Outcome:
    """Fewest equal sheets."""
    from nestcut.nesting.separating.bins import first_layout, pack_bins

    items = items_of(instance)
    width, height = float(instance["bin_width"]), float(instance["bin_height"])
    sheet = np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
    problem = Problem(items=items, containers=(Container(id="sheet", outline=sheet),))
    budget = Budget(
        passes=10**9,
        deadline=Deadline(spend.seconds, spend.clock),
        seed=spend.seed,
        workers=spend.workers,
        executor=spend.executor,
    )
    plain = first_layout(quarter_turns(problem), Budget(passes=0))
    nest = pack_bins(problem, budget)
    area = sum(map(area_of, items))
    entry = known or {}
    best = instance.get("optimum_bins") or entry.get("optimum_sheets")
    allowed = instance["allowed_rotations_deg"]
    return Outcome(
        pieces=len(items),
        value=len(nest.used),
        bound=math.ceil(area / (width * height) - 1e-9),
        best=float(best) if best else None,
        verified=check(items, nest, width, height, allowed),
        beside={
            "simple": entry.get("simple_first_fit_sheets"),
            "plain": len(plain.used),
            "passes": nest.work,
        },
    )


def quarter_turns(problem: Problem) -> Problem:
    """Return the problem with free items restricted to quarter turns, for the plain method."""
    quarters = Turns(centres_deg=(0.0, 90.0, 180.0, 270.0))
    return replace(
        problem,
        items=tuple(
            replace(i, turns=quarters) if not i.turns.is_discrete else i for i in problem.items
        ),
    )


def _best_length(
    instance: Instance, known: dict[str, Any] | None, area_length: float
) -> float | None:
    for key in ("known_optimum_length", "cut_from_length"):
        if instance.get(key):
            return float(instance[key])
    if known is None:
        return None
    for key in ("optimum_length", "optimum_length_from_memory"):
        if known.get(key):
            return float(known[key])
    if known.get("best_density_pct"):
        return area_length / (float(known["best_density_pct"]) / 100.0)
    return None
