"""Numbered sets by family, turns and variety, dealt out to a part to tune on and one to look at."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from itertools import count, product
from typing import Any

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from nestcut.search.streams import stream
from tests.benchmark.made import cutting, marine

Cutter = Callable[[float, float, int, np.random.Generator], list[Polygon]]
"""Cuts a rectangle (width, height) into about so many pieces."""


class Part(StrEnum):
    """What a set may be used for."""

    TUNE = "tune"
    LOOK = "look"


class Aim(StrEnum):
    """What is to be least: the length of a strip, or the number of sheets."""

    STRIP = "strip"
    SHEETS = "sheets"


class Variety(StrEnum):
    """Whether a small pattern comes again and again, or every piece is of a kind of its own.

    Of SHORT ones some pieces are left out: what they were cut from is a layout that may be beaten.
    """

    FEW = "few"
    MANY = "many"
    SHORT = "short"


def _halving(profile: cutting.Profile) -> Cutter:
    def cut(width: float, height: float, pieces: int, rng: np.random.Generator) -> list[Polygon]:
        return cutting.cut_up(shapely.box(0.0, 0.0, width, height), pieces, profile, rng)

    return cut


FAMILIES: dict[str, Cutter] = {
    "straight": _halving(cutting.straight),
    "curved": _halving(cutting.curved),
    "toothed": _halving(cutting.toothed),
    "cells": partial(cutting.cells, bevel=0.0),
    "bevels": partial(cutting.cells, bevel=0.7),
    "frames": marine.frames,
    "rings": marine.rings,
    "knees": marine.knees,
    "panels": marine.panels,
}

TURNS: dict[str, tuple[float, ...] | None] = {
    "none": (0.0,),
    "half": (0.0, 180.0),
    "quarter": (0.0, 90.0, 180.0, 270.0),
    "free": None,
}

SERIALS = 4
"""Sets of each sort, one half to tune on."""

KEPT = 0.9
"""Share of the pieces that a short set keeps. [-]"""

SIDE = 1000.0
"""Height of a strip, and side of a sheet."""


@dataclass(frozen=True, slots=True)
class Sort:
    """One set's place in the table. ``serial`` counts from 0; even ones are there to tune on."""

    aim: Aim
    family: str
    turns: str
    variety: Variety
    serial: int

    @property
    def part(self) -> Part:
        """What the set may be used for."""
        return Part.TUNE if self.serial % 2 == 0 else Part.LOOK

    @property
    def name(self) -> str:
        """Name of the set, and of its stream of chance."""
        return f"{self.aim}-{self.family}-{self.turns}-{self.variety}-{self.serial}"


def sorts() -> Iterator[Sort]:
    """All sorts of sets, in a fixed order."""
    for choice in product(Aim, FAMILIES, TURNS, Variety, range(SERIALS)):
        yield Sort(*choice)


def make(sort: Sort) -> dict[str, Any]:
    """Make a set in the form of the benchmark's instance files, what it was cut from included."""
    for attempt in count():
        with suppress(ValueError):  # a piece with a needle that turning has made to cross itself
            return _made(sort, stream(2026, sort.name, attempt))
    raise AssertionError("counting never ends")


def _made(sort: Sort, rng: np.random.Generator) -> dict[str, Any]:
    """Make a set by this stream of chance."""
    cut, angles = FAMILIES[sort.family], TURNS[sort.turns]
    sheets = int(rng.integers(3, 7)) if sort.aim is Aim.SHEETS else 1
    width = SIDE if sort.aim is Aim.SHEETS else SIDE * float(rng.uniform(0.8, 1.6))
    shapes: list[tuple[Polygon, int]] = []
    if sort.variety is Variety.FEW:
        across, down = (2, 2) if sort.aim is Aim.SHEETS else (3, 2)
        tile = cut(width / across, SIDE / down, int(rng.integers(3, 6)), rng)
        shapes = [(p, across * down * sheets) for p in tile]
    else:
        pieces = int(rng.integers(7, 13)) if sort.aim is Aim.SHEETS else int(rng.integers(16, 33))
        shapes = [(p, 1) for _ in range(sheets) for p in cut(width, SIDE, pieces, rng)]
    if sort.variety is Variety.SHORT:
        order = rng.permutation(len(shapes)).tolist()
        shapes = [shapes[k] for k in sorted(order[: round(KEPT * len(shapes))])]
    wide = {"bin_width": width, "bin_height": SIDE, "optimum_bins": sheets}
    known = "cut_from_length" if sort.variety is Variety.SHORT else "known_optimum_length"
    long = {"strip_height": SIDE, known: width}
    return {
        "kind": "irregular_bin" if sort.aim is Aim.SHEETS else "irregular_strip",
        "name": sort.name,
        "allowed_rotations_deg": None if angles is None else list(angles),
        **(wide if sort.aim is Aim.SHEETS else long),
        "pieces": [
            {"id": f"p{k}", "quantity": many, **_rings(_turned(shape, angles, rng))}
            for k, (shape, many) in enumerate(shapes)
        ],
    }


def _turned(shape: Polygon, angles: tuple[float, ...] | None, rng: np.random.Generator) -> Polygon:
    """Turn a piece as somebody may have drawn it, exactly by quarters."""
    if angles is None:
        return affinity.rotate(shape, float(rng.uniform(0.0, 360.0)), origin=(0, 0))
    quarter = round(float(rng.choice(angles)) / 90.0)
    c, s = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter]
    return affinity.affine_transform(shape, [c, -s, s, c, 0, 0])


def _rings(shape: Polygon) -> dict[str, Any]:
    """Outline and holes from the corner of the box on, without corners on straight edges."""
    x0, y0, *_ = shape.bounds
    at_corner = affinity.translate(shape, -x0, -y0)
    ring = shapely.geometry.polygon.orient(_straightened(at_corner))
    return {
        "points": [list(p) for p in ring.exterior.coords[:-1]],
        "holes": [[list(p) for p in hole.coords[:-1]] for hole in ring.interiors],
    }


def _straightened(shape: Polygon) -> Polygon:
    simple = shape.simplify(1e-9 * SIDE)
    if not isinstance(simple, Polygon) or not simple.is_valid:
        raise ValueError("a made piece is no simple polygon")
    return simple
