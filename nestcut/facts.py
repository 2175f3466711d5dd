"""Facts: a code and the values that belong to it, before anyone has put them into words.

Findings, notes, reasons and progress are facts.  A room that meets one says which it is and hands
over typed values; :mod:`nestcut.words` makes a sentence of them in the units of whoever reads.
Nothing of ours is imported here, so every room may import this one.  Nobody reads a sentence back.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Length:
    """A length. [mm]"""

    mm: float


@dataclass(frozen=True, slots=True)
class Lengths:
    """Lengths in a row. [mm]"""

    mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Size:
    """A rectangle's two sides, or three sides of a block. [mm]"""

    mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Spot:
    """A point in a drawing or on a sheet. [mm]"""

    mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Area:
    """An area. [mm2]"""

    mm2: float


@dataclass(frozen=True, slots=True)
class Volume:
    """A volume. [mm3]"""

    mm3: float


@dataclass(frozen=True, slots=True)
class Angle:
    """An angle. [deg]"""

    deg: float


@dataclass(frozen=True, slots=True)
class Slope:
    """The run of a slope for a rise of one: 8 for 8:1. [-]"""

    run: float


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in minor units (cents) of the job's currency."""

    minor: float


@dataclass(frozen=True, slots=True)
class Share:
    """A share of a whole, 0 to 1. [-]"""

    part: float


@dataclass(frozen=True, slots=True)
class Names:
    """Names in a row, as the builder wrote them."""

    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Fact:
    """Something that is so: a stable code and its values.

    Parameters
    ----------
    code
        Stable name, such as ``"JNT-201"``.
    values
        Values by name; the sentence of this code names each of them.
    """

    code: str
    values: Values = ()

    def __getitem__(self, name: str) -> Value:
        """Return the value of that name; KeyError where there is none."""
        return dict(self.values)[name]


@dataclass(frozen=True, slots=True)
class Facts:
    """Facts in a row, of which a sentence tells one after the other."""

    facts: tuple[Fact, ...] = ()


Measure = Length | Lengths | Size | Spot | Area | Volume | Angle | Slope | Money | Share | Names
"""What needs a reader's units or ways to be said."""

Value = Measure | Fact | Facts | int | float | str
"""What a fact may carry; a bare number is a count or a figure without unit, a text is a name.

A fact within a fact is a clause of its sentence: what is said in several sentences is said once.
"""

MEASURES = (Length, Lengths, Size, Spot, Area, Volume, Angle, Slope, Money, Share, Names)
"""The kinds of values that aren't plain counts, figures or names."""

Values = tuple[tuple[str, "Value"], ...]
"""Values by name, in the order in which they were given."""


def fact(code: str, **values: Value) -> Fact:
    """Return a fact with its values by name."""
    return Fact(code, tuple(values.items()))
