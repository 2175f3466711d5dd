"""What a drawing's numbers measure: the file's word, the builder's word, or a question."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nestcut.drawings.records import ReadOptions
from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Length, Names
from nestcut.trade import shop as trade
from nestcut.units import MM_PER, Unit

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

_HEADER_UNITS = {1: Unit.INCH, 2: Unit.FOOT, 4: Unit.MM, 5: Unit.CM, 6: Unit.M}
"""Source: DXF reference, header variable $INSUNITS."""

_OTHER_UNITS = {
    3: "miles", 7: "kilometres", 8: "microinches", 9: "mils", 10: "yards", 11: "angstroms",
    12: "nanometres", 13: "microns", 14: "decimetres", 15: "decametres", 16: "hectometres",
    17: "gigametres", 18: "astronomical units", 19: "light years", 20: "parsecs",
    21: "US survey feet",
}  # fmt: skip

SMALL_MM, LARGE_MM = trade.BOAT_DRAWING_MM.low, trade.BOAT_DRAWING_MM.high

ABSURD_UNIT = "DXF-012"
"""Code of the question whether the file's own unit can be right."""

ABSURD_MM = 20.0
"""A drawing whose longest outline is shorter than this can't be a boat's at all. [mm]"""


@dataclass(frozen=True, slots=True)
class Scale:
    """What the file says of its unit: a unit, the name of an odd one, or nothing."""

    said: Unit | str | None
    unit: Unit | None
    """The unit that is taken; None while only the builder knows."""
    assumed: Unit = Unit.MM
    """The unit in which it is read until then: limits of gaps and small things need a size."""

    @property
    def mm_per_unit(self) -> float:
        """What one drawing unit measures, or seems to. [mm]"""
        return float(MM_PER[self.unit or self.assumed])


def scale_of(said: Unit | str | None, options: ReadOptions) -> Scale:
    """Return the unit that is taken: the job's for this drawing, the file's, the job's for all."""
    if options.unit is not None:
        return Scale(said, options.unit)
    return Scale(said, said if isinstance(said, Unit) else options.silent_unit)


def header_unit(document: Document) -> Unit | str | None:
    """Return the header's unit; the name of one that no boat is drawn in; None if it is silent.

    Ask only where the file itself names one: the library fills the header up with defaults of its
    own, which are nobody's word.
    """
    if "$INSUNITS" not in document.header:
        return None
    try:
        code = int(document.header["$INSUNITS"])
    except (TypeError, ValueError, OverflowError):
        return None
    return _HEADER_UNITS.get(code) or _OTHER_UNITS.get(code)


def unit_findings(
    file: str, scale: Scale, options: ReadOptions, longest: tuple[float, ...]
) -> list[Finding]:
    """Return what there is to say about the unit.

    Parameters
    ----------
    file
        The drawing's name.
    scale
        What is said and taken.
    options
        What the job says.
    longest
        Lengths of the two longest outlines; may be fewer. [drawing units]
    """
    made: list[Finding] = []
    unit, said = scale.unit, scale.said
    top = longest[0] if longest else 0.0
    if unit is None:
        why = f"says its unit is {said}" if said else "doesn't say its unit"
        if longest:
            made.append(finding("DXF-010", Severity.QUESTION, file, why=why,
                            choices=Names(choices(longest)),
                            assumed=scale.assumed.value))  # fmt: skip
    elif options.unit is not None and isinstance(said, Unit) and said is not unit:
        made.append(finding("DXF-011", Severity.WARNING, file, said=said.value, asked=unit.value,
                            longest=_length(top, unit)))  # fmt: skip
    elif top:
        mm = top * float(MM_PER[unit])
        is_absurd = not ABSURD_MM <= mm <= LARGE_MM
        if is_absurd and options.unit is None:
            sizes = Names(choices(longest))
            made.append(finding(ABSURD_UNIT, Severity.QUESTION, file, file=file, unit=unit.value,
                                longest=_length(top, unit), choices=sizes))  # fmt: skip
        elif not SMALL_MM <= mm <= LARGE_MM:
            made.append(finding("DXF-013", Severity.WARNING, file, unit=unit.value,
                                longest=_length(top, unit)))  # fmt: skip
    return [replace(f, file=file) for f in made]


def likely_unit(longest_units: float) -> Unit:
    """Return the first unit that makes a boat's part of the longest outline; mm if none does."""
    high = trade.LONG_PART_MM.value
    fits = (u for u in Unit if SMALL_MM <= longest_units * float(MM_PER[u]) <= high)
    return next(fits, Unit.MM)


def choices(longest: tuple[float, ...]) -> tuple[str, ...]:
    """Return for each unit that gives a size of this world what the longest outlines would be."""
    if not longest:
        return ("no outline whose size could tell",)
    for low, high in ((SMALL_MM, trade.LONG_PART_MM.value), (ABSURD_MM, LARGE_MM)):
        made = _choices_within(longest, low, high)
        if made:
            return made
    return ("no unit that is usual gives it a size of this world",)


def _choices_within(longest: tuple[float, ...], low_mm: float, high_mm: float) -> tuple[str, ...]:
    made = []
    for unit in Unit:
        size = longest[0] * float(MM_PER[unit])
        if low_mm <= size <= high_mm:
            lengths = " and ".join(_said(n * float(MM_PER[unit])) for n in longest[:2])
            made.append(f'"{unit.value}": the longest outlines are {lengths}')
    return tuple(made)


def _length(units: float, unit: Unit) -> Length:
    return Length(units * float(MM_PER[unit]))


def _said(mm: float) -> str:
    """Say a length to someone who measures in either world: mm, and inches or feet."""
    inches = mm / 25.4
    other = f"{inches:.3g} in" if inches < 36.0 else f"{inches / 12.0:.3g} ft"
    return f"{mm:,.0f} mm ({other})"
