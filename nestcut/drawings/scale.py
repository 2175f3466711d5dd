"""What a drawing's numbers measure: the header's word, the builder's word, or a question."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nestcut.errors import Finding, Severity
from nestcut.trade.shop import BOAT_DRAWING_MM
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

SMALL_MM, LARGE_MM = BOAT_DRAWING_MM.low, BOAT_DRAWING_MM.high
"""Longest outline of a boat's drawing, at least and at most. [mm]"""


def header_unit(document: Document) -> Unit | str | None:
    """Return the header's unit; the name of one that no boat is drawn in; None if it is silent."""
    if "$INSUNITS" not in document.header:
        return None
    try:
        code = int(document.header["$INSUNITS"])
    except (TypeError, ValueError, OverflowError):
        return None
    return _HEADER_UNITS.get(code) or _OTHER_UNITS.get(code)


def unit_findings(
    file: str, said: Unit | str | None, asked: Unit | None, longest: float
) -> list[Finding]:
    """Return what there is to say about the unit; ``longest`` is a length in drawing units."""
    if asked is not None:
        if isinstance(said, Unit) and said is not asked:
            return [
                Finding(
                    code="DXF-011",
                    severity=Severity.WARNING,
                    where=file,
                    message=f"the file's header says {said}, the job says {asked}, which is taken: "
                    f"the longest outline is {_size(longest, asked)}.",
                    remedy="Take the unit out of the job if the header is right.",
                    file=file,
                )
            ]
        return _plausible(file, asked, longest)
    if isinstance(said, Unit):
        return _plausible(file, said, longest)
    why = f"says {said}" if said else "names no unit"
    return [
        Finding(
            code="DXF-010",
            severity=Severity.QUESTION,
            where=file,
            message=f"the drawing {why}. {_choices(longest)}",
            remedy="Say which in the job: unit under [drawings].",
            file=file,
        )
    ]


def _plausible(file: str, unit: Unit, longest: float) -> list[Finding]:
    length = longest * float(MM_PER[unit])
    if not longest or SMALL_MM <= length <= LARGE_MM:
        return []
    word = "small" if length < SMALL_MM else "large"
    return [
        Finding(
            code="DXF-012",
            severity=Severity.WARNING,
            where=file,
            message=f"the longest outline is {_size(longest, unit)}: very {word} for a boat. "
            f"{_choices(longest)}",
            remedy="If the unit is wrong, say the right one in the job: unit under [drawings].",
            file=file,
        )
    ]


def _choices(longest: float) -> str:
    if not longest:
        return "It holds no outline whose size could tell."
    sizes = ", ".join(f"in {_NAMES[unit]} {_size(longest, unit)}" for unit in Unit)
    return f"Its longest outline would be {sizes}."


_NAMES = {
    Unit.MM: "mm",
    Unit.CM: "cm",
    Unit.M: "m",
    Unit.INCH: "inches",
    Unit.FOOT: "feet",
}


def _size(longest: float, unit: Unit) -> str:
    mm = longest * float(MM_PER[unit])
    if mm < 1000.0:
        return f"{mm:.4g} mm"
    return f"{mm / 1000.0:.4g} m" if mm < 1e6 else f"{mm / 1e6:.4g} km"
