"""What the yard sells and what lies in the shed: sheets and boards."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nestcut.model.curves import Point


class SheetGrain(StrEnum):
    """Which way a sheet's face grain runs."""

    ALONG_LENGTH = "along"
    ALONG_WIDTH = "across"


class GoodFaces(StrEnum):
    """How many faces of a sheet may be seen in the boat."""

    ONE = "one"
    BOTH = "both"


@dataclass(frozen=True, slots=True, kw_only=True)
class Saw:
    """A saw by name: what its blade takes, and the extra room beside it. [mm]"""

    name: str
    kerf_mm: float
    gap_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Spare:
    """What is bought beyond what is cut: so many, and so large a share of what is bought. [-]"""

    count: int = 0
    share: float = 0.0


NO_SPARE = Spare()
"""Nothing beyond what is cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplier:
    """A yard; what it asks for bringing an order, however large. [minor units]"""

    name: str
    delivery_minor: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepOut:
    """An area of a sheet that no piece may touch, in the sheet's frame."""

    points: tuple[Point, ...]
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetStock:
    """Sheets of one kind.

    The frame has its origin at the marking-out corner, x along ``length_mm``, y across, seen from
    the good face.

    Parameters
    ----------
    name, material
        Name printed everywhere; material that parts ask for.
    thickness_mm
        Thickness as parts name it. [mm]
    length_mm, width_mm
        Smallest measured size. [mm]
    price_minor
        Price each, in minor units; 0 for what is already to hand.
    count
        How many there are; None: buy as many as are needed.
    outline
        Real outline of an irregular offcut; None for a whole rectangle.
    edge_trim_mm
        Strip along every edge that isn't used. [mm]
    actual_thickness_mm
        Measured thickness, where it differs from the name (slots, bevels). [mm]
    seams_mm
        Of sheets joined before marking out: middles of the scarfs along the length. [mm]
    seam_overlap_mm
        How long each of these scarfs is. [mm]
    """

    name: str
    material: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    price_minor: int = 0
    count: int | None = None
    outline: tuple[Point, ...] | None = None
    edge_trim_mm: float = 0.0
    keep_outs: tuple[KeepOut, ...] = ()
    grain: SheetGrain = SheetGrain.ALONG_LENGTH
    good_faces: GoodFaces = GoodFaces.ONE
    actual_thickness_mm: float | None = None
    seams_mm: tuple[float, ...] = ()
    seam_overlap_mm: float = 0.0
    saw: Saw | None = None
    """What it is cut with; None: the job's usual saw."""
    held: int = 0
    """How many lie in the shed for a plan that is being cut, besides ``count``."""
    supplier: str = ""
    """Who sells it; empty: nobody is named."""
    pack: int = 1
    """It is sold in packs of so many; the price is that of each."""
    most: int | None = None
    """No more than so many can be bought; None: no limit."""
    spare: Spare = NO_SPARE
    """What is bought beyond what is cut."""

    @property
    def is_to_buy(self) -> bool:
        """Whether more of it can be bought."""
        return self.count is None

    @property
    def seam_bands_mm(self) -> tuple[tuple[float, float], ...]:
        """Where its scarfs begin and end along it, one for each seam. [mm]"""
        half = self.seam_overlap_mm / 2.0
        return tuple((s - half, s + half) for s in self.seams_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Defect:
    """A stretch of a board that no piece may contain. [mm] from the board's marked end."""

    from_mm: float
    to_mm: float
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardLength:
    """One length of a board: on sale (``count`` None) or to hand."""

    length_mm: float
    price_minor: int = 0
    count: int | None = None
    defects: tuple[Defect, ...] = ()
    held: int = 0
    """How many lie in the shed for a plan that is being cut, besides ``count``."""
    pack: int = 1
    """It is sold in packs of so many; the price is that of each."""
    most: int | None = None
    """No more than so many can be bought; None: no limit."""

    @property
    def is_to_buy(self) -> bool:
        """Whether more of it can be bought."""
        return self.count is None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardStock:
    """Boards of one section, in one or more lengths. ``end_trim_mm`` comes off both ends."""

    name: str
    material: str
    thickness_mm: float
    width_mm: float
    lengths: tuple[BoardLength, ...]
    end_trim_mm: float = 0.0
    edge_trim_mm: float = 0.0
    saw: Saw | None = None
    """What it is cut with; None: the job's usual saw."""
    supplier: str = ""
    """Who sells them; empty: nobody is named."""
    spare: Spare = NO_SPARE
    """What is bought beyond what is cut, of the longest length that is bought."""
