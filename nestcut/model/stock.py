"""What the yard sells and what lies in the shed: sheets and boards."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

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
class Usable:
    """What can be used of one sheet, or of one board as a sheet; its stock makes it.

    Every rule about how much of a sheet can be used stands in ``SheetStock.usable`` (and
    ``BoardStock.usable``): whoever lays out, divides, pushes, measures what is left or draws a
    trim line asks for this record, and ``geometry/usable`` makes areas of it.  The verifier alone
    works it out by itself.

    Parameters
    ----------
    length_mm, width_mm
        The whole sheet. [mm]
    outline
        Real outline of an irregular offcut; None for a whole rectangle. [mm]
    trim_mm
        Strip along every edge of the outline that isn't used. [mm]
    low_mm, high_mm
        Corners of the upright rectangle outside of which nothing is used. [mm]
    barred
        Areas inside it that no piece may touch.
    """

    length_mm: float
    width_mm: float
    outline: tuple[Point, ...] | None
    trim_mm: float
    low_mm: Point
    high_mm: Point
    barred: tuple[KeepOut, ...] = ()

    @property
    def deepest_trim_mm(self) -> float:
        """The widest strip along an edge of the rectangle that isn't used. [mm]"""
        (x0, y0), (x1, y1) = self.low_mm, self.high_mm
        return max(x0, y0, self.length_mm - x1, self.width_mm - y1)

    @property
    def is_trimmed(self) -> bool:
        """Whether any strip along an edge isn't used."""
        return max(self.trim_mm, self.deepest_trim_mm) > 0.0


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
    def usable(self) -> Usable:
        """What can be used of one sheet: its trim off every edge, its keep-outs barred."""
        trim = self.edge_trim_mm
        return Usable(
            length_mm=self.length_mm,
            width_mm=self.width_mm,
            outline=self.outline,
            trim_mm=trim,
            low_mm=(trim, trim),
            high_mm=(self.length_mm - trim, self.width_mm - trim),
            barred=self.keep_outs,
        )

    def rest(self, **now: Any) -> SheetStock:
        """Return a part of one sheet as a sheet to hand, with these fields.

        It keeps what its sheet is made of; what came from the yard or went with the sheet's own
        edges is gone: seller, price and number, trim, seams.
        """
        gone: dict[str, Any] = {
            "price_minor": 0,
            "count": 1,
            "held": 0,
            "supplier": "",
            "pack": 1,
            "most": None,
            "spare": NO_SPARE,
            "edge_trim_mm": 0.0,
            "seams_mm": (),
            "seam_overlap_mm": 0.0,
        }
        return replace(self, **(gone | now))

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

    def usable(self, length: BoardLength) -> Usable:
        """What curved pieces can be cut from on one board of this length, taken as a sheet."""
        ends, edges = max(self.end_trim_mm, self.edge_trim_mm), self.edge_trim_mm
        return Usable(
            length_mm=length.length_mm,
            width_mm=self.width_mm,
            outline=None,
            trim_mm=edges,
            low_mm=(ends, edges),
            high_mm=(length.length_mm - ends, self.width_mm - edges),
            barred=self.areas_of(length.defects),
        )

    def areas_of(self, defects: tuple[Defect, ...]) -> tuple[KeepOut, ...]:
        """Return the stretches that no piece may contain as areas of a sheet."""
        return tuple(
            KeepOut(points=rectangle((d.from_mm, 0.0), (d.to_mm, self.width_mm)), reason=d.reason)
            for d in defects
        )


def rectangle(low_mm: Point, high_mm: Point) -> tuple[Point, ...]:
    """Return the corners of an upright rectangle, counter-clockwise from the low one. [mm]"""
    (x0, y0), (x1, y1) = low_mm, high_mm
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
