"""How numbers are printed: lengths, areas, money, shares, weights, in the builder's own units."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from nestcut.tolerances.lengths import EXACT_MM
from nestcut.tolerances.noise import NOISE
from nestcut.units import (
    TAPE_FINEST,
    LengthStyle,
    SetBy,
    format_feet_inches,
    format_length,
    format_mm,
    format_size,
    format_small,
    inch_step,
    is_metric,
    place_step_mm,
    to_step,
)
from nestcut.words import Speech

MM2_PER_M2 = 1e6
MM2_PER_FT2 = 304.8**2
KG_PER_LB = 0.45359237
L_PER_US_GALLON = 3.785411784
"""Exact by definition (pound and gallon: International agreement 1959, NIST SP 811)."""


@dataclass(frozen=True, slots=True)
class Figures:
    """The style that one set of papers is printed in."""

    style: LengthStyle
    fraction: int = 16
    currency: str = ""

    @property
    def speech(self) -> Speech:
        """How sentences are said on these papers."""
        return Speech(style=self.style, fraction=self.fraction, currency=self.currency)

    @property
    def step_mm(self) -> float:
        """Between two figures that lengths are printed to. [mm]"""
        return 25.4 / self.fraction if self.style is LengthStyle.INCH else 1.0

    def size(self, length_mm: float) -> str:
        """Print a length for a column whose head names the unit."""
        return format_size(length_mm, self.style, self.fraction)

    def place(self, length_mm: float) -> str:
        """Print a place on a sheet or a board, on all pages alike, as finely as a tape shows.

        Half millimetres, or what :func:`place_step_mm` says: two cuts make a width.
        """
        at_mm = to_step(length_mm, self.place_step_mm)
        if self.style is LengthStyle.MM:
            return format_mm(at_mm, decimals=1)
        return format_feet_inches(at_mm, max(self.fraction, TAPE_FINEST))

    @property
    def place_step_mm(self) -> float:
        """Between two figures of places on a sheet or a board. [mm]"""
        return place_step_mm(self.style, self.fraction)

    @property
    def tail(self) -> str:
        """What follows a figure without its unit: nothing on inch papers, which mark each one."""
        return " mm" if self.style is LengthStyle.MM else ""

    def length(self, length_mm: float) -> str:
        """Print a length with its unit."""
        return format_length(length_mm, self.style, self.fraction)

    def fine(self, length_mm: float) -> str:
        """Print a small length with its unit, true to 0.1 mm.

        What is metric by nature, as a kerf of 2 mm, carries both units on inch papers, and so does
        on metric ones what is sold in inches.
        """
        if self.style is LengthStyle.INCH:
            return format_small(length_mm, self.fraction)
        words = f"{format_mm(length_mm, decimals=_decimals(length_mm))} mm"
        if _is_sold_in_inches(length_mm):
            return f"{words} ({format_length(length_mm, LengthStyle.INCH, SOLD_IN)})"
        return words

    def near(self, length_mm: float) -> str:
        """Print a small length that is worked to, to half a millimetre or what a gauge shows."""
        if self.style is LengthStyle.INCH:
            return format_feet_inches(length_mm, inch_step(length_mm, SetBy.GAUGE, self.fraction))
        return f"{format_mm(to_step(length_mm, 0.5), decimals=1)} mm"

    def exact(self, length_mm: float) -> str:
        """Print a tolerance: mm to a hundredth, or thousandths of an inch."""
        if self.style is LengthStyle.INCH:
            return f'{length_mm / 25.4:.3f}"'
        return f"{length_mm:.2f} mm"

    def thickness(self, length_mm: float) -> str:
        """Print a thickness: metric stock carries both units on inch papers."""
        return self.fine(length_mm)

    def called(self, length_mm: float) -> str:
        """Print a thickness as stock is called by it, in columns where it only tells stock apart.

        Metric stock stays metric on inch papers; heads and buying lists say both.
        """
        if self.style is LengthStyle.INCH and is_metric(length_mm, self.fraction):
            return f"{format_mm(length_mm, decimals=1)} mm"
        return self.fine(length_mm)

    def pair(self, a_mm: float, b_mm: float) -> str:
        """Print length x width with the unit once."""
        return f"{self.size(a_mm)} x {self.size(b_mm)}{self.tail}"

    def stock(self, a_mm: float, b_mm: float) -> str:
        """Print length x width of a sheet, a board or an offcut as finely as places on them.

        What reaches from edge to edge, or fills a board, has the same figure on all pages.
        """
        return f"{self.place(a_mm)} x {self.place(b_mm)}{self.tail}"

    def cut(self, length_mm: float) -> str:
        """Print what is measured on a piece, without its unit, to the same step on all papers.

        As places on its sheet: two papers that round one length, one to a whole millimetre or a
        sixteenth, one to half of that, print two figures, and sums of the coarser don't close.
        """
        return self.place(length_mm)

    def cut_pair(self, a_mm: float, b_mm: float) -> str:
        """Print a piece's length x width with the unit once."""
        return f"{self.cut(a_mm)} x {self.cut(b_mm)}{self.tail}"

    @property
    def step_words(self) -> str:
        """What lengths are rounded to: papers say so where a tape is set by them."""
        return "mm" if self.style is LengthStyle.MM else f'1/{self.fraction}"'

    @property
    def place_words(self) -> str:
        """What places are rounded to."""
        if self.style is LengthStyle.MM:
            return f"{self.place_step_mm:g} mm"
        return f'1/{max(self.fraction, TAPE_FINEST)}"'

    @property
    def area_unit(self) -> str:
        """Unit of areas: m2, or square feet beside inches."""
        return "m²" if self.style is LengthStyle.MM else "ft²"

    @property
    def area_grain_mm2(self) -> float:
        """Smallest step in which areas are printed: 0.001 m2 or 0.01 ft2. [mm2]"""
        return MM2_PER_M2 / 1000.0 if self.style is LengthStyle.MM else MM2_PER_FT2 / 100.0

    def area_steps(self, steps: int) -> str:
        """Print an area given in steps of :attr:`area_grain_mm2`, without its unit."""
        return f"{steps / 1000:.3f}" if self.style is LengthStyle.MM else f"{steps / 100:.2f}"

    def area(self, area_mm2: float) -> str:
        """Print an area with its unit."""
        return f"{self.area_steps(round(area_mm2 / self.area_grain_mm2))} {self.area_unit}"

    def money(self, minor: int) -> str:
        """Print money given in minor units, with the job's currency where it has one."""
        sign = "-" if minor < 0 else ""
        text = f"{sign}{abs(minor) // 100}.{abs(minor) % 100:02d}"
        return f"{text} {self.currency}".strip()

    def weights(self, kilograms: tuple[float, float]) -> str:
        """Print a range of weights outwards to two figures: no more is known of any wood."""
        unit, each = ("kg", 1.0) if self.style is LengthStyle.MM else ("lb", KG_PER_LB)
        low, high = (k / each for k in kilograms)
        least, most = _two_figures(low, math.floor), _two_figures(high, math.ceil)
        return f"{least} {unit}" if least == most else f"{least} to {most} {unit}"

    def volume(self, litres: float) -> str:
        """Print a volume of paint or resin, rounded up: tins aren't sold by the drop."""
        if self.style is LengthStyle.MM:
            return f"{math.ceil(litres * 10 - NOISE) / 10:.1f} l"
        return f"{math.ceil(litres / L_PER_US_GALLON * 10 - NOISE) / 10:.1f} US gal"


def _two_figures(value: float, rounding: Callable[[float], int]) -> str:
    """Round to two significant figures, up or down."""
    if value <= 0.0:
        return "0"
    decimals = 1 - math.floor(math.log10(value))
    step = 10.0**decimals
    rounded = rounding(round(value * step, 6)) / step
    return f"{rounded:.{max(0, decimals)}f}"


SOLD_IN = 16
"""What is sold in inches comes in sixteenths. [parts of an inch]"""


def _is_sold_in_inches(length_mm: float) -> bool:
    """Whether a length is a sixteenth of an inch or several, to the last bit, and no whole mm."""
    parts = length_mm / 25.4 * SOLD_IN
    is_whole_mm = abs(length_mm - round(length_mm)) < EXACT_MM
    return abs(parts - round(parts)) * 25.4 / SOLD_IN < EXACT_MM and not is_whole_mm


def _decimals(length_mm: float) -> int:
    """Tenths of a mm; hundredths where a length is a round number of those: 6.35."""
    return 2 if abs(length_mm * 100 - round(length_mm * 100)) < EXACT_MM else 1


def per_mille(thousandths: int) -> str:
    """Print tenths of a per cent, ``12.3 %``, from thousandths."""
    return f"{thousandths / 10:.1f} %"


def shared_out(total: int, weights: Sequence[float]) -> tuple[int, ...]:
    """Divide ``total`` in whole units after ``weights`` so that the parts add up to it exactly.

    Largest remainders first (Hamilton's apportionment); equal remainders in the given order. All
    zero weights give all to the last.
    """
    whole = math.fsum(weights)
    if whole <= 0:
        return (*(0 for _ in weights[:-1]), total) if weights else ()
    exact = [total * w / whole for w in weights]
    shares = [math.floor(e) for e in exact]
    by_rest = sorted(range(len(exact)), key=lambda k: (shares[k] - exact[k], k))
    for k in by_rest[: total - sum(shares)]:
        shares[k] += 1
    return tuple(shares)
