"""How marking-out numbers are chosen and written: rounding, spacing, allowed distance."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from nestcut.model.job import MarkingWish, Notation
from nestcut.papers.view import Figures
from nestcut.tolerances import FLATNESS_MM
from nestcut.tolerances.lengths import EXACT_MM
from nestcut.tolerances.noise import NOISE, WHOLE_SLACK
from nestcut.units import (
    GAUGE_FINEST,
    INCH_MM,
    TAPE_FINEST,
    LengthStyle,
    SetBy,
    format_feet_inches,
    format_feet_inches_eighths,
    format_mm,
    nearest_mm,
    place_step_mm,
    to_step,
)

__all__ = ["INCH_MM", "MarkingRule", "Notation", "held", "marking_rule"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkingRule:
    """How points are chosen and written.

    Parameters
    ----------
    steps_mm
        Roundings to try, coarsest first; each divides the one before. [mm]
    spacing_mm
        Distance between the squared lines to begin with; a multiple of the first step. [mm]
    allowed_mm
        Greatest distance from the true edge, rounding and flattening included. [mm]
    flatness_mm
        How far the outline that is marked may itself be from the drawing's true curve. [mm]
    """

    notation: Notation
    steps_mm: tuple[float, ...]
    spacing_mm: float
    allowed_mm: float
    flatness_mm: float = FLATNESS_MM
    within_mm: tuple[float, float, float, float] | None = None
    """Least x and y, greatest x and y of the sheet that places are given on: none is printed
    beside it. None: figures of a piece by itself. [mm]"""

    def written(self, length_mm: float) -> str:
        """Print a rounded length as tables do; inches carry their signs, mm go bare."""
        match self.notation:
            case Notation.MM:
                return format_mm(length_mm, decimals=1)
            case Notation.INCH:
                return format_feet_inches(length_mm, GAUGE_FINEST)
            case Notation.OFFSETS:
                return format_feet_inches_eighths(length_mm)

    @property
    def figures(self) -> Figures:
        """How the sheets' pages print what isn't set off with a tape: trim lines, bevels."""
        if self.notation is Notation.MM:
            return Figures(LengthStyle.MM)
        return Figures(LengthStyle.INCH, round(INCH_MM / self.steps_mm[0]))

    def halved(self, diameter_mm: float) -> str:
        """Print a radius whose diameter is a drill's: half of one may fall between two steps."""
        if self.notation is Notation.MM:
            return format_mm(diameter_mm / 2.0, decimals=2)
        if self.notation is Notation.INCH:
            return format_feet_inches(diameter_mm / 2.0, 2 * GAUGE_FINEST)
        return self.written(diameter_mm / 2.0)

    def tolerance(self, length_mm: float) -> str:
        """Print how near a line keeps, rounded up: hundredths of a mm, 64ths of an inch."""
        if self.notation is Notation.MM:
            return f"{math.ceil(length_mm * 100.0 - NOISE) / 100.0:.2f} mm"
        steps = math.ceil(length_mm / INCH_MM * GAUGE_FINEST - NOISE)
        return format_feet_inches(steps * INCH_MM / GAUGE_FINEST, GAUGE_FINEST)

    def rounded(self, length_mm: float, level: int = 0) -> float:
        """Round to the step of a level; 0 is the coarsest. [mm]"""
        return to_step(length_mm, self.steps_mm[level])

    def rounded_on(self, axis: int, length_mm: float, level: int) -> float:
        """Round a coordinate; no figure is beside the sheet. [mm]

        Parameters
        ----------
        axis
            0 for x, 1 for y.
        length_mm
            The coordinate. [mm]
        level
            Of the step; 0 is the coarsest.
        """
        if self.within_mm is None:
            return self.rounded(length_mm, level)
        between = (self.within_mm[axis], self.within_mm[axis + 2])
        return held(self.rounded(length_mm, level), between, self.steps_mm[level])

    @property
    def place_step_mm(self) -> float:
        """Between two figures of places on a sheet, as its own page has them. [mm]"""
        if self.notation is Notation.OFFSETS:
            return self.steps_mm[0]
        return place_step_mm(self.figures.style, self.figures.fraction)

    @property
    def round_mm(self) -> float:
        """Between figures that are easily found on a tape: 10 mm or an inch. [mm]"""
        return 10.0 if self.notation is Notation.MM else INCH_MM

    def sized(self, length_mm: float, by: SetBy) -> float:
        """Round a size that isn't set with a tape: trims and diameters, alike on all papers. [mm]

        Offsets can't be written finer than their sixteenths, nor half a diameter.
        """
        if self.notation is Notation.OFFSETS:
            step = self.steps_mm[0] * (2.0 if by is SetBy.DRILL else 1.0)
            return to_step(length_mm, step)
        style = LengthStyle.MM if self.notation is Notation.MM else LengthStyle.INCH
        return nearest_mm(length_mm, by, style)


def held(at_mm: float, between_mm: tuple[float, float], step_mm: float) -> float:
    """Return the figure nearest a place that lies between two edges. [mm]

    Parameters
    ----------
    at_mm
        A figure, on the step.
    between_mm
        The edges, lower one first.
    step_mm
        Between two figures.
    """
    low, high = between_mm
    if at_mm < low - EXACT_MM:
        return math.ceil(low / step_mm - WHOLE_SLACK) * step_mm
    if at_mm > high + EXACT_MM:
        return math.floor(high / step_mm + WHOLE_SLACK) * step_mm
    return at_mm


def marking_rule(
    style: LengthStyle, fraction: int = 16, wish: MarkingWish | None = None
) -> MarkingRule:
    """Return the rule for papers in a style: 1 mm kept, in mm or in ``1/fraction`` in.

    What the builder wishes goes before that.

    Parameters
    ----------
    fraction
        Smallest part of an inch written, as its denominator.
    wish
        What the job asks for; None: nothing.
    """
    wish = wish or MarkingWish()
    usual = Notation.MM if style is LengthStyle.MM else Notation.INCH
    rule = {
        Notation.MM: metric_rule(),
        Notation.INCH: inch_rule(fraction=fraction),
        Notation.OFFSETS: offsets_rule(),
    }[wish.notation or usual]
    step = rule.steps_mm[0]
    spacing = rule.spacing_mm if wish.spacing_mm is None else wish.spacing_mm
    return replace(
        rule,
        spacing_mm=max(1, round(spacing / step)) * step,
        allowed_mm=rule.allowed_mm if wish.allowed_mm is None else wish.allowed_mm,
    )


def metric_rule(*, spacing_mm: float = 200.0, allowed_mm: float = 1.0) -> MarkingRule:
    """Whole millimetres; a half or a tenth only where a whole one would miss."""
    return MarkingRule(
        notation=Notation.MM,
        steps_mm=(1.0, 0.5, 0.1),
        spacing_mm=spacing_mm,
        allowed_mm=allowed_mm,
    )


def inch_rule(
    *, fraction: int = 16, spacing_in: float = 8.0, allowed_mm: float = 1.0
) -> MarkingRule:
    """``1/fraction`` in; 1/32, the finest on a tape, only where that would miss.

    Parameters
    ----------
    fraction
        Smallest part of an inch written, as its denominator.
    spacing_in
        Between points along a curve. [in]
    allowed_mm
        How far a batten through them may be off. [mm]
    """
    finer = tuple(f for f in (2 * fraction, 4 * fraction) if f <= TAPE_FINEST)
    return MarkingRule(
        notation=Notation.INCH,
        steps_mm=tuple(INCH_MM / f for f in (fraction, *finer)),
        spacing_mm=spacing_in * INCH_MM,
        allowed_mm=allowed_mm,
    )


def offsets_rule(*, spacing_in: float = 8.0, allowed_mm: float = INCH_MM / 8.0) -> MarkingRule:
    """Feet-inches-eighths, ``+`` for a sixteenth. It can't be written finer, so 1/8 in is kept."""
    return MarkingRule(
        notation=Notation.OFFSETS,
        steps_mm=(INCH_MM / 16.0,),
        spacing_mm=spacing_in * INCH_MM,
        allowed_mm=allowed_mm,
    )
