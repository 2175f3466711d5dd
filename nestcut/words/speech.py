"""How lengths, areas, angles and money are said to one reader."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from nestcut.facts import (
    Angle,
    Area,
    Fact,
    Facts,
    Length,
    Lengths,
    Measure,
    Money,
    Names,
    Share,
    Size,
    Slope,
    Spot,
    Value,
    Volume,
)
from nestcut.model.job import Job
from nestcut.units import (
    GAUGE_FINEST,
    INCH_MM,
    SMALL_BELOW_MM,
    LengthStyle,
    format_length,
    format_mm,
    format_size,
    format_slope,
    format_small,
)

MM2_PER_SQUARE_FOOT = 304.8**2
MM3_PER_CUBIC_FOOT = 304.8**3
_NO_DECIMALS_FROM_MM = 100.0
"""Above this a tenth of a millimetre is nobody's business. [mm]"""
_HUNDREDTHS_BELOW_MM = 10.0
"""Thicknesses and kerfs are said to a hundredth: 6.35 mm is a quarter of an inch. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Speech:
    """Units, finest fraction of an inch, and currency of whoever reads."""

    style: LengthStyle = LengthStyle.MM
    fraction: int = 16
    currency: str = ""

    def length(self, length_mm: float) -> str:
        """A length with its unit, small ones in mm to a tenth."""
        if self.style is LengthStyle.MM:
            return f"{_mm(length_mm)} mm"
        if 0.0 < abs(length_mm) < 0.5 * INCH_MM / GAUGE_FINEST:
            return f'{length_mm / INCH_MM:.3f}"'  # no fraction is so fine, and it isn't nothing
        if abs(length_mm) < SMALL_BELOW_MM:
            return format_small(length_mm, self.fraction)
        return format_length(length_mm, self.style, self.fraction)

    def lengths(self, lengths_mm: Iterable[float]) -> str:
        """Lengths in a row, with the unit once."""
        if self.style is LengthStyle.MM:
            return ", ".join(_mm(x) for x in lengths_mm) + " mm"
        return ", ".join(format_size(x, self.style, self.fraction) for x in lengths_mm)

    def size(self, sides_mm: Iterable[float]) -> str:
        """Sides of a rectangle, with the unit once: ``2440 x 1220 mm``."""
        if self.style is LengthStyle.MM:
            return " x ".join(_mm(x) for x in sides_mm) + " mm"
        return " x ".join(format_size(x, self.style, self.fraction) for x in sides_mm)

    def spot(self, x_mm: float, y_mm: float) -> str:
        """A point: along and across."""
        if self.style is LengthStyle.MM:
            return f"({_mm(x_mm)}, {_mm(y_mm)}) mm"
        return f"({self.length(x_mm)}, {self.length(y_mm)})"

    def area(self, area_mm2: float) -> str:
        """An area with its unit."""
        if self.style is LengthStyle.INCH:
            return f"{area_mm2 / MM2_PER_SQUARE_FOOT:.1f} ft\u00b2"
        return f"{area_mm2 / 1e6:.2f} m\u00b2"

    def volume(self, volume_mm3: float) -> str:
        """A volume with its unit."""
        if self.style is LengthStyle.INCH:
            return f"{volume_mm3 / MM3_PER_CUBIC_FOOT:.2f} ft\u00b3"
        return f"{volume_mm3 / 1e9:.3f} m\u00b3"

    def money(self, minor: float) -> str:
        """An amount with its currency, where one is named."""
        return f"{minor / 100:.2f} {self.currency}".strip()

    def say(self, value: Value) -> str:
        """Say a value in words."""
        if isinstance(value, int | str):
            return str(value)
        if isinstance(value, Fact | Facts):
            raise TypeError(f"{value!r} is told by its sentence")
        return f"{value:g}" if isinstance(value, float) else self._measure(value)

    def _measure(self, value: Measure) -> str:  # noqa: PLR0911 - one line a kind of measure
        match value:
            case Length():
                return self.length(value.mm)
            case Lengths():
                return self.lengths(value.mm)
            case Size():
                return self.size(value.mm)
            case Spot():
                return self.spot(*value.mm)
            case Area():
                return self.area(value.mm2)
            case Volume():
                return self.volume(value.mm3)
            case Angle():
                return f"{value.deg:.1f}".removesuffix(".0") + "\u00b0"
            case Slope():
                return format_slope(value.run)
            case Money():
                return self.money(value.minor)
            case Share():
                return f"{100 * value.part:.0f} %"
            case Names():
                return ", ".join(value.names)


def _mm(length_mm: float) -> str:
    size = abs(length_mm)
    decimals = 0 if size >= _NO_DECIMALS_FROM_MM else 1 if size >= _HUNDREDTHS_BELOW_MM else 2
    return format_mm(length_mm, decimals=decimals)


def speech_of(job: Job) -> Speech:
    """Return how a job's own reader is spoken to."""
    return Speech(style=job.style, fraction=job.fraction, currency=job.currency)
