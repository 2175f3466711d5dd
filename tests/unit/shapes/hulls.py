"""Fair tables of offsets of invented boats, from closed forms, and readings misread on purpose."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from nestcut.shapes.doubts import Row

EIGHTH_MM = 25.4 / 8.0
SLIPS_IN = (1.0, 2.0, 3.0, 4.0, 6.0, 10.0, 12.0)
"""A figure of inches misread, or one of feet."""


@dataclass(frozen=True)
class Boat:
    """A fair table; ``rows`` are as a builder types them. [mm]"""

    rows: tuple[Row, ...]


def fair_boat(rng: np.random.Generator, stations: int) -> Boat:
    """Skiffs, punts and canoe sterns: beam, sheer, flare, rocker and entry drawn at random."""
    long = float(rng.uniform(2400, 6000))
    beam = float(rng.uniform(0.11, 0.17)) * long
    depth = float(rng.uniform(0.08, 0.13)) * long
    x = np.linspace(0.0, long, stations)
    u = x / long
    middle, stern = rng.uniform(0.4, 0.5), rng.uniform(0.55, 0.9)
    bow = rng.choice([0.02, rng.uniform(0.3, 0.6)])
    fullness = rng.uniform(1.8, 2.6)

    def breadth(at: np.ndarray, top: float) -> np.ndarray:
        fore = np.clip((at - middle) / (1.0 - middle), 0.0, 1.0)
        aft = np.clip((middle - at) / middle, 0.0, 1.0)
        return np.asarray(top * (1.0 - (1.0 - bow) * fore**fullness - (1.0 - stern) * aft**2.0))

    flare = rng.uniform(0.10, 0.25) * depth
    sheer_b = breadth(u, beam)
    chine_b = breadth(u, beam - flare) * (1.0 - rng.uniform(0.0, 0.15) * u**3)
    low, spring = rng.uniform(0.35, 0.55), rng.uniform(0.2, 0.6) * depth
    sheer_h = depth + spring * ((u - low) / (1.0 - low)) ** 2
    rocker = rng.uniform(0.1, 0.5) * depth
    chine_h = rocker * np.abs((u - 0.45) / 0.55) ** rng.uniform(2.0, 2.6)
    readings = {
        ("sheer", "heights"): sheer_h,
        ("chine", "heights"): chine_h,
        ("sheer", "half-breadths"): sheer_b,
        ("chine", "half-breadths"): chine_b,
    }
    if rng.uniform() < 0.4:
        keel = chine_h * rng.uniform(0.6, 0.8) - rng.uniform(0.05, 0.15) * depth * np.sin(
            math.pi * u
        )
        readings[("keel", "heights")] = keel + 0.2 * depth
    unit = EIGHTH_MM if rng.uniform() < 0.6 else 1.0
    names = tuple(str(i) for i in range(stations))
    rows = tuple(
        Row(line, view, names, tuple(x.tolist()), tuple((np.round(y / unit) * unit).tolist()))
        for (line, view), y in readings.items()
    )
    return Boat(rows)


def misread(rng: np.random.Generator, boat: Boat) -> tuple[Boat, tuple[str, str, str]]:
    """Boat with one reading misread by an inch or more, and which it is."""
    k = int(rng.integers(len(boat.rows)))
    row = boat.rows[k]
    i = int(rng.integers(len(row.x)))
    slip = 25.4 * float(rng.choice(SLIPS_IN)) * float(rng.choice([-1.0, 1.0]))
    if row.y[i] + slip < 0.0:
        slip = -slip
    wrong = replace(row, y=(*row.y[:i], row.y[i] + slip, *row.y[i + 1 :]))
    return Boat((*boat.rows[:k], wrong, *boat.rows[k + 1 :])), (row.line, row.view, row.stations[i])
