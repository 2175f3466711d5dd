"""Fair tables of offsets of invented boats, from closed forms, and readings misread on purpose."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from scipy.interpolate import CubicSpline

from nestcut.shapes.table.doubts import Row

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
    return _as_typed(rng, x, readings)


def _as_typed(
    rng: np.random.Generator, x: np.ndarray, readings: dict[tuple[str, str], np.ndarray]
) -> Boat:
    """Readings rounded to eighths of an inch or to millimetres."""
    unit = EIGHTH_MM if rng.uniform() < 0.6 else 1.0
    names = tuple(str(i) for i in range(len(x)))
    rows = tuple(
        Row(line, view, names, tuple(x.tolist()), tuple((np.round(y / unit) * unit).tolist()))
        for (line, view), y in readings.items()
    )
    return Boat(rows)


def batten_boat(rng: np.random.Generator, stations: int) -> Boat:
    """Lines as battens bent over three ducks, their ends held; at times a knuckle between."""
    long = float(rng.uniform(2400, 6500))
    x = np.linspace(0.0, long, stations)
    u = x / long
    beam, depth = rng.uniform(0.1, 0.17) * long, rng.uniform(0.08, 0.14) * long
    stern, bow = rng.uniform(0.45, 0.95), rng.choice([0.01, rng.uniform(0.25, 0.65)])
    widest = rng.uniform(0.4, 0.55)

    def batten(aft: float, middle: float, fore: float, at: float) -> np.ndarray:
        begin = (middle - aft) / at * rng.uniform(1.4, 2.0)
        end = (fore - middle) / (1.0 - at) * rng.uniform(1.4, 2.2)
        bent = CubicSpline([0.0, at, 1.0], [aft, middle, fore], bc_type=((1, begin), (1, end)))
        return np.asarray(bent(u))

    sheer_b = batten(stern * beam, beam, bow * beam, widest)
    share = rng.uniform(0.72, 0.92)
    chine_b = batten(
        stern * beam * share * rng.uniform(0.92, 1.03),
        beam * share,
        bow * beam * share * rng.uniform(0.7, 1.0),
        widest + rng.uniform(-0.04, 0.04),
    )
    low, spring = rng.uniform(0.3, 0.5), rng.uniform(0.15, 0.6) * depth
    sheer_h = batten(depth + spring * rng.uniform(0.1, 0.5), depth, depth + spring, low)
    rocker = rng.uniform(0.1, 0.5) * depth
    lowest = rng.uniform(0.4, 0.6)
    chine_h = batten(rocker * rng.uniform(0.2, 1.0), 0.0, rocker * rng.uniform(0.6, 1.3), lowest)
    chine_h = chine_h + 5.0
    readings = {
        ("sheer", "heights"): sheer_h,
        ("chine", "heights"): chine_h,
        ("sheer", "half-breadths"): sheer_b,
        ("chine", "half-breadths"): chine_b,
    }
    if rng.uniform() < 0.5:
        at = rng.uniform(0.3, 0.7)
        readings["knuckle", "heights"] = chine_h + (sheer_h - chine_h) * (at + 0.05 * u)
        readings["knuckle", "half-breadths"] = chine_b + (sheer_b - chine_b) * min(1.0, 1.2 * at)
    return _as_typed(rng, x, readings)


def arc_boat(rng: np.random.Generator, stations: int) -> Boat:
    """Flat-bottomed boats whose sides lean one angle; sharp at one end or both, or cut off."""
    long = float(rng.uniform(2400, 6500))
    x = np.linspace(0.0, long, stations)
    u = x / long
    beam, depth = rng.uniform(0.1, 0.16) * long, rng.uniform(0.08, 0.13) * long
    stern, sharp = rng.uniform(0.0, 0.35), rng.choice([1.0, rng.uniform(0.7, 0.9)])
    plan = np.sin(math.pi * np.clip(stern + (1.0 - stern) * u * sharp, 0.0, 1.0))
    lean = math.tan(math.radians(rng.uniform(10.0, 35.0)))
    chine_h = rng.uniform(0.05, 0.5) * depth * (2.0 * u - 1.0) ** 2
    sheer_h = depth + rng.uniform(0.1, 0.6) * depth * (2.0 * u - rng.uniform(0.8, 1.1)) ** 2
    chine_b = np.maximum(beam * np.abs(plan) ** rng.uniform(0.8, 1.1) - lean * depth / 2.0, 10.0)
    return _as_typed(
        rng,
        x,
        {
            ("sheer", "heights"): sheer_h,
            ("chine", "heights"): chine_h + 3.0,
            ("sheer", "half-breadths"): chine_b + lean * (sheer_h - chine_h),
            ("chine", "half-breadths"): chine_b,
        },
    )


def round_boat(rng: np.random.Generator, stations: int) -> Boat:
    """Waterlines of b (1 - |2u - 1|^p) (1 - z^q), a closed form in the manner of Wigley's hull."""
    long = float(rng.uniform(2400, 6500))
    x = np.linspace(0.0, long, stations)
    u = rng.uniform(0.03, 0.2) + x / long * rng.uniform(0.75, 0.8)
    beam, depth = rng.uniform(0.09, 0.16) * long, rng.uniform(0.08, 0.13) * long
    plan, q = 1.0 - np.abs(2.0 * u - 1.0) ** rng.uniform(1.8, 2.6), rng.uniform(1.6, 3.0)
    rise = (2.0 * u - 1.0) ** 2
    readings = {
        ("sheer", "heights"): depth * (1.0 + rng.uniform(0.1, 0.5) * rise),
        ("sheer", "half-breadths"): beam * plan * (1.0 + rng.uniform(0.0, 0.1) * rise),
        ("keel", "heights"): rng.uniform(0.05, 0.3)
        * depth
        * np.abs(2.0 * u - 1.0) ** rng.uniform(1.9, 2.5),
    }
    for k in range(int(rng.integers(1, 4))):
        z = 0.75 - 0.25 * k
        readings[f"waterline {k + 1}", "half-breadths"] = beam * plan * (1.0 - z**q)
    return _as_typed(rng, x, readings)


HULLS: tuple[Callable[[np.random.Generator, int], Boat], ...] = (
    fair_boat,
    batten_boat,
    arc_boat,
    round_boat,
)
"""Families of hulls; the model of doubts was written on the first."""


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
