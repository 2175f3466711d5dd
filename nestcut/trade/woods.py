"""Woods: what they weigh, air dry, and how far a sheet bends cold."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise

from nestcut.trade.figure import COMMON_PRACTICE, Figure, Span

_KG = "kg/m3"


@dataclass(frozen=True, slots=True)
class Wood:
    """A wood by the words that its name must have, all of them, and its usual density."""

    words: frozenset[str]
    density: Span


def _wood(words: str, low: float, high: float) -> Wood:
    return Wood(frozenset(words.split()), Span(low, high, _KG, COMMON_PRACTICE))


WOODS: tuple[Wood, ...] = (
    _wood("okoume ply", 450.0, 550.0),
    _wood("okoume", 400.0, 550.0),
    _wood("douglas fir", 480.0, 560.0),
    _wood("fir", 380.0, 560.0),
    _wood("lauan", 450.0, 650.0),
    _wood("red meranti", 400.0, 770.0),
    _wood("meranti", 400.0, 850.0),
    _wood("sapele", 600.0, 690.0),
    _wood("mahogany", 480.0, 850.0),
    _wood("red cedar", 330.0, 390.0),
    _wood("cedar", 330.0, 580.0),
    _wood("spruce", 370.0, 480.0),
    _wood("larch", 520.0, 650.0),
    _wood("pine", 380.0, 700.0),
    _wood("oak", 600.0, 800.0),
    _wood("ash", 550.0, 720.0),
    _wood("ply", 450.0, 750.0),
)
"""Most particular first. A genus has the span of the species that are sold under its name."""

_SAME_WORD = {
    "gaboon": "okoume",
    "okume": "okoume",
    "okoumé": "okoume",
    "sapelli": "sapele",
    "plywood": "ply",
}


def density_of(material: str) -> Span | None:
    """Return the usual density of a wood by the words of its name; None: no figure. [kg/m3]"""
    found = {_SAME_WORD.get(w, w) for w in re.findall(r"[^\W\d_]+", material.lower())}
    return next((w.density for w in WOODS if w.words <= found), None)


BEND_SOURCE = "FAA AC 43.13-1B, Table 1-2 (birch and mahogany aircraft plywood, grain across)"
BEND_RADII_MM: tuple[tuple[float, float], ...] = tuple(
    (thick * 25.4, radius * 25.4)
    for thick, radius in ((0.125, 12.0), (0.190, 21.0), (0.250, 31.0), (0.375, 54.0))
)
"""Thickness and least radius of a cold bend, face grain square to the bend's axis: the stiffer
way, which is the safe one. [mm]  Source: :data:`BEND_SOURCE`."""

BEND_EXPONENT = Figure(1.4, "-")
"""Beyond the table the radius grows as this power of the thickness, as its rows do."""


BEND_STEP_MM = Figure(50.0, "mm")
"""Radii are told in steps of this: the table is of aircraft plywood, not of yours."""


def least_bend_radius_mm(thickness_mm: float) -> float:
    """Return the least radius that plywood of a thickness is usually bent to, cold. [mm]

    Between the table's rows on a straight line, outside them by :data:`BEND_EXPONENT`.
    """
    first, last = BEND_RADII_MM[0], BEND_RADII_MM[-1]
    for end in (first,) if thickness_mm <= first[0] else (last,) if thickness_mm >= last[0] else ():
        return end[1] * float((thickness_mm / end[0]) ** BEND_EXPONENT.value)
    for (t0, r0), (t1, r1) in pairwise(BEND_RADII_MM):
        if thickness_mm <= t1:
            return r0 + (r1 - r0) * (thickness_mm - t0) / (t1 - t0)
    raise AssertionError(thickness_mm)
