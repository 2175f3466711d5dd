"""What a job file says, before any drawing is opened."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from nestcut.errors import Finding
from nestcut.geometry.edges import Side
from nestcut.jobfile.choices import DoubtfulHoles, Halves
from nestcut.jobfile.tables import Table
from nestcut.model.curves import Point
from nestcut.model.job import CuttingRules, MarkingWish
from nestcut.model.joint import Face
from nestcut.model.part import (
    PartTerms,
    RailPart,
)
from nestcut.model.stock import BoardStock, Saw, SheetStock, Supplier
from nestcut.units import LengthStyle, Unit


class OutlineBy(StrEnum):
    """How the builder points at an outline in a drawing."""

    LAYER = "layer"
    LABEL = "label"
    BLOCK = "block"
    HANDLE = "handle"
    NUMBER = "outline"
    """Its number in the picture, and of how many: ``"7 of 12"``."""
    ONLY = "only"
    """The drawing holds one outline."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnSource:
    """The outline is in a drawing."""

    file: str
    by: OutlineBy
    name: str = ""
    halves: Halves | None = None
    """None: not said."""
    doubtful_holes: tuple[str, ...] = ()
    """"cut", "leave", or the names of those to cut; empty: not said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberSource:
    """The outline is given by numbers; ``table`` is read by the shapes room."""

    table: Table
    halves: Halves = Halves.WHOLE


@dataclass(frozen=True, slots=True, kw_only=True)
class BevelText:
    """A bevel as written, with the sides of the part or the point that tell its edge.

    ``path`` is its key path, for findings.
    """

    path: str
    sides: tuple[Side, ...]
    near: Point | None
    larger: Face
    tilt_deg: tuple[float, float] | None
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartText(PartTerms):
    """A flat part as written; ``source`` tells where its outline comes from."""

    path: str
    file: str
    source: DrawnSource | NumberSource
    is_hand_written: bool
    """Whether ``drawn`` was written, or is only what usually counts."""
    layers: int
    is_axis_written: bool
    """Whether the joint says along which size pieces follow each other."""
    joint_places: Table | None = None
    """The joint's table where its places can be known only with the part's outline."""
    edge_bevels: tuple[BevelText, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingText:
    """How one drawing is read, where it differs."""

    file: str
    path: str = ""
    """Its key path, for findings."""
    unit: Unit | None = None
    is_unit_at_fault: bool = False
    """Whether a unit is written that isn't answered or not understood: that is told there."""
    join_gap_mm: float | None = None
    doubtful_holes: DoubtfulHoles | None = None
    halves: Halves | None = None
    no_parts: tuple[str, ...] = ()
    """Outlines that are no parts, as a part's ``outline`` would name them."""
    layer_gaps: tuple[tuple[str, float], ...] = ()
    """Gaps of single layers: (layer, gap). [mm]"""
    is_sound: bool = True
    """Whether all of it is answered and understood; else its parts can't be looked for yet."""
    has_open_gaps: bool = False
    """Whether a layer's gap isn't answered or understood: what it closes isn't there yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingRules:
    """How drawings are read."""

    folder: str = ""
    unit: Unit | None = None
    is_unit_at_fault: bool = False
    """Whether a unit is written that isn't answered or not understood: that is told there."""
    join_gap_mm: float = 0.1
    single: tuple[DrawingText, ...] = ()
    """Drawings that are read otherwise."""

    def of(self, file: str) -> DrawingText:
        """What is said of one drawing alone; nothing where it has no table."""
        return next((d for d in self.single if d.file == file), DrawingText(file=file))


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """How much was written, understood or not; figures that weren't understood are None. [mm]"""

    parts: int
    rails: int
    sheets: int
    boards: int
    kerf_mm: float | None
    gap_mm: float | None

    @property
    def is_anything(self) -> bool:
        """Whether there is anything to echo."""
        counts = (self.parts, self.rails, self.sheets, self.boards)
        return any(counts) or self.kerf_mm is not None


@dataclass(slots=True)
class JobText:
    """Everything a job file says; ``shape_tables`` are entries for the shapes room."""

    name: str
    file: str
    sha256: str
    cutting: CuttingRules
    saws: dict[str, Saw]
    """Saws by name."""
    drawings: DrawingRules
    style: LengthStyle
    fraction: int
    currency: str
    marking: MarkingWish
    sheets: tuple[SheetStock, ...]
    boards: tuple[BoardStock, ...]
    parts: tuple[PartText, ...]
    rails: tuple[RailPart, ...]
    written: Written
    paths: dict[str, str] = field(default_factory=dict)
    """Key paths of parts and rails, by name."""
    missed_shapes: tuple[Table, ...] = ()
    """``[part.shape]`` tables of parts at fault elsewhere: their own faults are told as well."""
    drawings_named: tuple[str, ...] = ()
    """Drawings that parts name, sound or not."""
    failed: frozenset[str] = frozenset()
    failed_drawn: tuple[DrawnSource, ...] = ()
    """Outlines that parts at fault point at: they are spoken for all the same."""
    """Names of parts that are written but at fault."""
    assumed: list[str] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    shape_tables: tuple[tuple[str, Table], ...] = ()
    stock_saws: dict[str, str] = field(default_factory=dict)
    """Names of saws that stock asks for, by the stock's name."""
    part_saws: dict[str, str] = field(default_factory=dict)
    """Names of saws that parts and rails ask for, by their names."""
    rail_lines: tuple[tuple[str, Table], ...] = ()
    """Rails whose length is taken along a named line: (rail, its ``along`` table)."""
    rail_places: tuple[tuple[str, Table], ...] = ()
    """Rails whose joints have places that only their line tells: (rail, its ``joint`` table)."""
    suppliers: tuple[Supplier, ...] = ()
    lines: tuple[str, ...] = ()
    """The file as it is written."""
    written_sha256: str = ""
    """Digest of the file's bytes; ``sha256`` is that of what it says."""

    def says(self, sha256: str) -> bool:
        """Whether a digest that a plan holds is of this job as it is."""
        return sha256 in {self.sha256, self.written_sha256 or self.sha256}
