"""Tables that give both sides of a boat: port and starboard held against each other.

A boat is symmetrical about its centre line, so a line measured on both sides gives every reading
twice.  Readings that agree are averaged; of two that don't, the one with which the line's third
differences are smaller is used, and both are named.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from nestcut.shapes.fair.fairness import READING_MM, contrasts_of

Row = tuple[float | None, ...]
V = TypeVar("V")

_SIDE = re.compile(r"(?P<line>.+?)[\s,(]+(?P<side>port|starboard|stbd)\.?\)?")
_ALIKE_MM = 4.0 * READING_MM
"""Two readings of one point that are nearer than this differ by how they were measured. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """Two readings of one point that can't both be right. [mm]

    ``station`` and ``row`` are places in the table; ``row`` is the doubted reading's.
    """

    line: str
    view: str
    station: int
    row: int
    used_mm: float
    doubted_mm: float
    doubted: str


def made_one(
    readings: Mapping[tuple[str, V], Row], rows: Mapping[tuple[str, V], int], x: tuple[float, ...]
) -> tuple[dict[tuple[str, V], Row], dict[tuple[str, V], int], tuple[Apart, ...]]:
    """Put rows such as ``sheer port`` and ``sheer starboard`` together as ``sheer``.

    Parameters
    ----------
    readings, rows
        Readings [mm] and numbers of rows, by line and view; a row without its other side stays.
    x
        Where the stations are. [mm]
    """
    sides: dict[tuple[str, V], dict[str, tuple[str, V]]] = {}
    for name, view in readings:
        found = _SIDE.fullmatch(name)
        if found is not None:
            side = "port" if found["side"] == "port" else "starboard"
            sides.setdefault((found["line"], view), {})[side] = (name, view)
    pairs = {k: v for k, v in sides.items() if len(v) == len(_SIDES) and k not in readings}
    merged: dict[tuple[str, V], Row] = {}
    numbers: dict[tuple[str, V], int] = {}
    apart: list[Apart] = []
    gone = {key: whole for whole, both in pairs.items() for key in both.values()}
    for key, row in readings.items():
        whole = gone.get(key)
        if whole is None:
            merged[key], numbers[key] = row, rows[key]
        elif whole not in merged:
            both = {side: readings[own] for side, own in pairs[whole].items()}
            merged[whole], told = _one(both, x)
            numbers[whole] = rows[pairs[whole]["port"]]
            apart += [
                Apart(
                    line=whole[0],
                    view=str(whole[1]),
                    station=i,
                    row=rows[pairs[whole][doubted]],
                    used_mm=used,
                    doubted_mm=wrong,
                    doubted=doubted,
                )
                for i, used, wrong, doubted in told
            ]
    return merged, numbers, tuple(apart)


_SIDES = ("port", "starboard")


def _one(
    both: Mapping[str, Row], x: tuple[float, ...]
) -> tuple[Row, list[tuple[int, float, float, str]]]:
    """One row of two, and where they don't agree: station, used, doubted, which side that is."""
    one: list[float | None] = []
    for port, starboard in zip(both["port"], both["starboard"], strict=True):
        seen = [v for v in (port, starboard) if v is not None]
        one.append(sum(seen) / len(seen) if seen else None)
    pairs = enumerate(zip(both["port"], both["starboard"], strict=True))
    odd = [i for i, (p, s) in pairs if p is not None and s is not None and abs(p - s) > _ALIKE_MM]
    sound = [i for i, v in enumerate(one) if v is not None and i not in odd]
    told = []
    for i in odd:
        places = sorted((*sound, i))
        bends = {
            side: _bend([(x[k], (both[side][i] if k == i else one[k]) or 0.0) for k in places])
            for side in _SIDES
        }
        used, doubted = sorted(_SIDES, key=lambda side: (bends[side], side))
        one[i] = both[used][i]
        told.append((i, both[used][i] or 0.0, both[doubted][i] or 0.0, doubted))
    return tuple(one), told


def _bend(points: list[tuple[float, float]]) -> float:
    """How unfair a row is: its third differences, squared and summed up; 0 where it has none."""
    if len(points) < _FEWEST:
        return 0.0
    x, y = (np.array([p[k] for p in points]) for k in (0, 1))
    return float(np.sum((contrasts_of(x) @ y) ** 2))


_FEWEST = 4
"""Third differences need four readings."""
