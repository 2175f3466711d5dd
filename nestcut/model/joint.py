"""Joints: what the builder allows (rules) and what a plan holds (joints)."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nestcut.facts import Fact
from nestcut.model.curves import Point
from nestcut.tolerances.lengths import RULE_MM
from nestcut.trade import joints as trade


class JointKind(StrEnum):
    """How two pieces of one part are joined."""

    SCARF = "scarf"
    BUTT_STRAP = "butt strap"
    KEYED = "keyed"
    """Interlocking outline for router cutting."""
    HALF_LAP = "half lap"
    """Half of the thickness taken from either piece, in rails and frames."""


class JointAxis(StrEnum):
    """Which way a part is divided: the joint line crosses this axis of the drawing."""

    LENGTH = "length"
    """Pieces follow each other along x; the joint line runs along y."""
    WIDTH = "width"
    """Pieces lie side by side in y; the joint runs along the part."""


class Face(StrEnum):
    """A face of a piece."""

    GOOD = "good face"
    BACK = "back"


class Word(StrEnum):
    """Whose word the place of a joint is."""

    GIVEN = "given"
    """The job says it, as the plans do."""
    CHOSEN = "chosen"
    """nestcut chose it: the plans' designer should see it."""


class Accept(StrEnum):
    """Which joints a job lets pass."""

    SOUND = "sound joint"
    WEAK = "weak joint"
    """Steeper slopes and narrower straps than practice allows: said on every page."""


class Lines(StrEnum):
    """What lines marked across a part mean to its joints: frames, bulkheads, folds."""

    AVOIDED = "avoided"
    IGNORED = "ignored"
    """The job says that nothing must be kept clear."""


class LapFacing(StrEnum):
    """Which way the lap of a scarf shows on the good face."""

    EITHER = "either"
    AFT = "aft"
    """The feather edge on the good face points to the end away from the reference end."""
    FORWARD = "forward"


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepClear:
    """A stretch of a part where no joint may lie. [mm] from the part's reference end."""

    from_mm: float
    to_mm: float
    reason: str

    @property
    def half_width_mm(self) -> float:
        """Half of its length along the part. [mm]"""
        return (self.to_mm - self.from_mm) / 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRule:
    """How a part may be joined.

    Parameters
    ----------
    kind
        Kind of joint.
    accept
        Whether a weak joint may be made.
    slope
        Run per unit of thickness, 8 for "8:1". [-]
    axis
        Which way the part is divided.
    at_mm
        Given positions: the middle of each overlap from the reference end. [mm]
        None: the positions are free and the search chooses them.
    keep_clear
        Stretches without joints.
    lines
        Whether joints that nestcut chooses keep clear of lines marked across the part.
    min_piece_mm
        Least length of a piece, overlaps included. [mm]
    max_joints
        Most joints in one part; None: no limit.
    stagger_mm
        Least distance between this part's joints and those of its twin or its neighbours. [mm]
    is_stagger_said
        Whether the job says the distance; else nestcut keeps one that it may give up.
    stagger_with
        Names of neighbouring parts (the part's own twin is always one where stagger > 0).
    lap_facing
        Which way laps face on the good face.
    strap_width_thicknesses
        Width of a butt strap in panel thicknesses. [-]
    strap_face
        Face the strap is glued to.
    strap_margin_mm
        How far the strap stops short of the panel's edges, for what is glued there. [mm]
    run_out
        Solid wood cut along a curve: the grain may run out at an edge at most 1 in this. [-]
    key_bit_mm, key_clearance_mm
        Diameter of the router bit and clearance of a keyed joint. [mm]
    """

    kind: JointKind = JointKind.SCARF
    accept: Accept = Accept.SOUND
    slope: float = trade.SLOPE_PLYWOOD.value
    axis: JointAxis = JointAxis.LENGTH
    at_mm: tuple[float, ...] | None = None
    keep_clear: tuple[KeepClear, ...] = ()
    lines: Lines = Lines.AVOIDED
    min_piece_mm: float = 0.0
    max_joints: int | None = None
    stagger_mm: float = 0.0
    is_stagger_said: bool = False
    stagger_with: tuple[str, ...] = ()
    lap_facing: LapFacing = LapFacing.EITHER
    strap_width_thicknesses: float = trade.STRAP_WIDTH_THICKNESSES.value
    strap_face: Face = Face.BACK
    strap_margin_mm: float = trade.STRAP_MARGIN_MM.value
    run_out: float = trade.RUN_OUT.value
    key_bit_mm: float = trade.KEY_BIT_MM.value
    key_clearance_mm: float = trade.KEY_CLEARANCE_MM.value

    @property
    def word(self) -> Word:
        """Whose word the places are."""
        return Word.CHOSEN if self.at_mm is None else Word.GIVEN


@dataclass(frozen=True, slots=True, kw_only=True)
class JointEnd:
    """What one piece carries of a joint.

    ``line`` is the middle of the overlap on the piece, ``planed`` the face that is sloped away,
    both in the piece's own frame; ``overlap_mm`` is included in the piece's outline.
    """

    joint: str
    kind: JointKind
    line: tuple[Point, Point]
    planed: Face | None
    overlap_mm: float


class Measured(StrEnum):
    """What of a joint is held against a rule."""

    KEEP_CLEAR = "keep clear"
    """Distance of the overlap from a stretch without joints; negative: how far it reaches in."""
    STAGGER = "stagger"
    """Distance from the nearest joint of the twin or a neighbour, middle to middle."""
    LEAST_PIECE = "least piece"
    """Length of the shorter of the joint's two pieces, overlaps included."""
    CLEAR_WOOD = "clear wood"
    """Length between this overlap and the next one."""
    MOST_JOINTS = "most joints"
    """Joints in this copy of the part; the limit is the most."""
    RUN_OUT = "run-out"
    """Grain of the worse of the two pieces, the run in "1 in run"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How a joint stands to one rule.

    Parameters
    ----------
    measured
        What is measured.
    what
        The stretch, neighbour or piece that it is measured to.
    has, limit
        Value and limit; mm, but for numbers of joints and run-outs.  To a stretch without joints
        both are counted from its middle, so that the limit says how much is kept for it.
    """

    measured: Measured
    what: str
    has: float
    limit: float

    @property
    def is_kept(self) -> bool:
        """Whether the rule is kept, to a hundredth."""
        if self.measured is Measured.MOST_JOINTS:
            return self.has <= self.limit
        return self.has >= self.limit - RULE_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A joint of a plan.

    ``at_mm`` is the middle of the overlap along the part from its reference end; ``pieces`` are
    the ids of the two pieces, the one nearer the reference end first.
    """

    id: str
    part: str
    hand: str | None
    copy: int
    kind: JointKind
    slope: float
    thickness_mm: float
    at_mm: float
    overlap_mm: float
    part_length_mm: float
    pieces: tuple[str, str]
    planed: tuple[Face | None, Face | None] = (None, None)
    axis: JointAxis = JointAxis.LENGTH
    word: Word = Word.GIVEN
    is_weak: bool = False
    """Made only since the job accepts a weak joint."""
    number: int = 1
    """Which joint of its copy it is, from 1 at the reference end."""
    rule_findings: tuple[Fact, ...] = ()
    """Rules that it breaks, by the finding that says so."""
    distances: tuple[tuple[str, float], ...] = ()
    """(what, distance in mm) to the part's other end and to the ends of both pieces; before the
    whole plan is known also to keep-clear stretches and staggered neighbours."""
    standings: tuple[Standing, ...] = ()
    """How it stands to every rule that its part has."""
