"""A job: everything that is asked for in one run."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from nestcut.errors import Finding
from nestcut.model.part import RailPart, SheetPart
from nestcut.model.stock import BoardStock, Saw, SheetStock, Supplier
from nestcut.tolerances import FLATNESS_MM
from nestcut.units import LengthStyle


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingRules:
    """How the usual saw works and how fine curves are followed. Pieces keep kerf + gap apart."""

    kerf_mm: float
    gap_mm: float = 0.0
    flatness_mm: float = FLATNESS_MM
    reserve_mm: tuple[float, float] | None = None
    """Size of a rectangle to keep free for remaking a part, where one is wanted. [mm]"""

    @property
    def clearance_mm(self) -> float:
        """Least distance between two pieces. [mm]"""
        return self.kerf_mm + self.gap_mm

    def on(self, *stocks: SheetStock | BoardStock | None) -> CuttingRules:
        """Rules on stock that is cut with saws of its own: those of the one that takes most."""
        saws = [s.saw for s in stocks if s is not None and s.saw is not None]
        usual = [Saw(name="", kerf_mm=self.kerf_mm, gap_mm=self.gap_mm)]
        among = saws + (usual if len(saws) < len(stocks) or not stocks else [])
        widest = max(among, key=lambda s: (s.kerf_mm + s.gap_mm, s.kerf_mm))
        return replace(self, kerf_mm=widest.kerf_mm, gap_mm=widest.gap_mm)


class Notation(StrEnum):
    """How marking-out numbers are written."""

    MM = "mm"
    INCH = "inch"
    """Feet, inches and fractions."""
    OFFSETS = "feet-inches-eighths"
    """As tables of offsets are written, to a sixteenth: ``2-3-4+``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkingWish:
    """What the builder wants of the marking-out tables; None: as usual.

    Parameters
    ----------
    notation
        How numbers are written; usually as all lengths are shown.
    spacing_mm
        Distance between the squared lines to begin with. [mm]
    allowed_mm
        How far a line drawn from the numbers may be from the true edge. [mm]
    """

    notation: Notation | None = None
    spacing_mm: float | None = None
    allowed_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Parts, stock and rules; every length already in mm.

    Parameters
    ----------
    sha256
        Digest of what the job file says, its comments and spaces left out.
    written_sha256
        Digest of the file's bytes: plans made before 30 November 2026 know their job by it.
    """

    name: str
    file: str
    sha256: str
    cutting: CuttingRules
    sheet_stocks: tuple[SheetStock, ...] = ()
    board_stocks: tuple[BoardStock, ...] = ()
    sheet_parts: tuple[SheetPart, ...] = ()
    rail_parts: tuple[RailPart, ...] = ()
    style: LengthStyle = LengthStyle.MM
    fraction: int = 16
    """Finest fraction of an inch that papers print."""
    currency: str = ""
    marking: MarkingWish = MarkingWish()
    assumed: tuple[str, ...] = ()
    """What nobody said and was therefore assumed, printed on the front page."""
    findings: tuple[Finding, ...] = ()
    suppliers: tuple[Supplier, ...] = ()
    """Yards that ask for bringing an order."""
    written_sha256: str = ""

    def says(self, sha256: str) -> bool:
        """Whether a digest that a plan holds is of this job as it is."""
        return sha256 in {self.sha256, self.written_sha256 or self.sha256}

    def stock_named(self, name: str) -> SheetStock | BoardStock:
        """Return the sheets, else the boards, of this name.

        Raises
        ------
        KeyError
            If the job has none.
        """
        stocks: tuple[SheetStock | BoardStock, ...] = (*self.sheet_stocks, *self.board_stocks)
        for stock in stocks:
            if stock.name == name:
                return stock
        raise KeyError(name)
