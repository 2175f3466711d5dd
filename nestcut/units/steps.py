"""To which step a printed size is rounded: the one place that decides it, for all papers.

Rounding is always to the nearest step.  The step follows from what the builder sets the size with,
not from the page that it stands on: two papers that name one size name it alike.

All steps are common practice, no source:

* tapes and folding rules show sixteenths, the better ones thirty-seconds, none sixty-fourths;
* steel rules, combination squares, callipers and feelers show sixty-fourths, and sixteenths of a
  bevel in thin ply would be off by half of it;
* fractional drills come in sixty-fourths up to half an inch, wider bits in thirty-seconds, and from
  an inch upwards in sixteenths; metric ones in halves of a millimetre.
"""

from __future__ import annotations

import math
from enum import StrEnum
from fractions import Fraction

from nestcut.units.lengths import LengthStyle, format_feet_inches, format_mm

INCH_MM = 25.4
"""An inch, International yard and pound agreement of 1959. [mm]"""
TAPE_FINEST = 32
"""Finest step on a tape. [parts of an inch]"""
GAUGE_FINEST = 64
"""Finest step on rules of steel, callipers and small drills. [parts of an inch]"""
SMALL_BELOW_MM = INCH_MM
"""What is shorter is set with gauge, rule or calliper; a tape takes over from here. [mm]"""
_DRILL_STEPS = ((INCH_MM / 2.0, GAUGE_FINEST), (INCH_MM, 32))
"""Up to such a diameter [mm] drills come in such steps [parts of an inch]; see above."""
_DRILL_BEYOND = 16
_METRIC_DRILL_MM = 0.5
_HALF_DECIMALS = 5
"""A step's share beyond these decimals is noise. [-]"""
NEAR_MM = 0.1
"""A size this near to a step of inches is that step. [mm]"""
EXACT_MM = INCH_MM / GAUGE_FINEST / 1000.0
"""A size this near to a finest step is written in it: more than float noise. [mm]"""


class SetBy(StrEnum):
    """What a size is set or measured with."""

    TAPE = "tape"
    """Lengths, widths, places on a sheet."""
    GAUGE = "gauge"
    """Trims, bevel depths, kerfs, thicknesses: anything small that isn't bored."""
    DRILL = "drill"
    """Diameters of holes."""


def inch_step(length_mm: float, by: SetBy, fraction: int = 16) -> int:
    """Return the step that a size is rounded to, as its denominator.

    Parameters
    ----------
    length_mm
        The size. [mm]
    fraction
        What the builder asks lengths in, as its denominator; nothing is printed coarser.
    """
    size_mm = abs(length_mm)
    if by is SetBy.DRILL:
        own = next((step for up_to, step in _DRILL_STEPS if size_mm <= up_to), _DRILL_BEYOND)
        return max(own, fraction)
    if by is SetBy.GAUGE and size_mm < SMALL_BELOW_MM:
        return max(GAUGE_FINEST, fraction)
    return fraction


def to_step(length_mm: float, step_mm: float) -> float:
    """Return the nearest multiple of a step, halves upwards. [mm]

    Noise of floats decides no half: one place that two papers work out on two ways is one figure.

    Parameters
    ----------
    step_mm
        Between two figures. [mm]
    """
    return math.floor(round(length_mm / step_mm, _HALF_DECIMALS) + 0.5) * step_mm


def place_step_mm(style: LengthStyle, fraction: int = 16) -> float:
    """Between two figures at which places on a sheet are printed, on all papers. [mm]

    As finely as a folding rule or tape shows: what is said of one place on two pages, or follows
    from two figures of one, then agrees.

    Parameters
    ----------
    fraction
        As in :func:`inch_step`.
    """
    return INCH_MM / max(fraction, TAPE_FINEST) if style is LengthStyle.INCH else 0.5


def nearest_mm(length_mm: float, by: SetBy, style: LengthStyle, fraction: int = 16) -> float:
    """Return the size that is printed for a length. [mm]

    Parameters
    ----------
    length_mm
        The length. [mm]
    fraction
        As in :func:`inch_step`.
    """
    if style is LengthStyle.INCH:
        step_mm = INCH_MM / inch_step(length_mm, by, fraction)
    else:
        step_mm = _METRIC_DRILL_MM if by is SetBy.DRILL else 0.1
    return to_step(length_mm, step_mm)


def format_small(length_mm: float, fraction: int = 16) -> str:
    """Print a small size in inches.

    What is metric by nature, as ply of 6 mm or a trim of 10 mm, carries both: ``10 mm (25/64")``.

    Parameters
    ----------
    length_mm
        The size. [mm]
    fraction
        As in :func:`inch_step`.
    """
    words = format_feet_inches(length_mm, inch_step(length_mm, SetBy.GAUGE, fraction))
    return (
        f"{format_mm(length_mm, decimals=1)} mm ({words})"
        if is_metric(length_mm, fraction)
        else words
    )


def is_metric(length_mm: float, fraction: int = 16) -> bool:
    """Whether a size is metric by nature: whole tenths of a millimetre, and no step of inches.

    Blades of 3.2 mm are near enough to 1/8 in, though.  What is reckoned, as a gap of 3.53 mm, is
    neither: in an inch job nobody hears millimetres of it.

    Parameters
    ----------
    length_mm
        The size. [mm]
    fraction
        As in :func:`inch_step`.
    """
    is_near = off_step_mm(length_mm, fraction) <= NEAR_MM
    has_step = is_near or off_step_mm(length_mm, GAUGE_FINEST) <= EXACT_MM
    return not has_step and abs(10.0 * length_mm - round(10.0 * length_mm)) < 10.0 * EXACT_MM


def off_step_mm(length_mm: float, fraction: int) -> float:
    """How far a length is from the nearest ``1/fraction`` in. [mm]"""
    steps = Fraction(length_mm) / Fraction(254, 10) * fraction
    return float(abs(steps - round(steps)) * Fraction(254, 10) / fraction)
