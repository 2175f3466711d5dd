"""Sheets and what lies on them, as papers show it: pieces in the order in which they are cut."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

from shapely.geometry import Polygon

from nestcut.facts import fact
from nestcut.geometry.polygons import bounds_mm, ring_area_mm2
from nestcut.geometry.pose import move_points, move_shape, move_vector
from nestcut.joints.arithmetic import scarf_angle_deg
from nestcut.joints.division import with_allowance
from nestcut.joints.straps import strap_bearings
from nestcut.model.curves import Point
from nestcut.model.joint import Face, Joint, JointEnd, JointKind, Word
from nestcut.model.part import CutFrom, Faces, SheetPart
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import BoardLayout, SheetLayout
from nestcut.model.pose import Placement, Pose
from nestcut.model.shape import Shape
from nestcut.model.stock import BoardStock, GoodFaces, SheetGrain, SheetStock, Usable
from nestcut.papers.view.base_line import base_line_pose
from nestcut.papers.view.ends import end_notes
from nestcut.papers.view.sizes import TapeSize, size_along, size_of, tape_size
from nestcut.words import Speech, safe_name, tell_fact


@dataclass(frozen=True)
class EndView:
    """A joint end as it lies on the sheet; ``line`` is the middle of the overlap.

    ``key`` is the joint's short name on all papers, ``J3``.
    """

    joint: str
    key: str
    kind: JointKind
    slope: float
    overlap_mm: float
    planed: Face | None
    line: tuple[Point, Point]
    word: Word = Word.GIVEN
    is_weak: bool = False

    @property
    def angle_deg(self) -> float:
        """Angle of the cut to the face, atan(1/slope). [deg]"""
        return scarf_angle_deg(self.slope)


@dataclass(frozen=True)
class PlacedPiece:
    """One flat piece where it lies; ``shape`` is in the sheet's frame. ``number`` is its turn."""

    number: int
    piece: SheetPiece
    part: SheetPart | None
    placement: Placement
    shape: Shape
    ends: tuple[EndView, ...]
    is_face_told: bool = True
    """Whether it matters which face is up: not where both are good, or the part takes either."""

    @cached_property
    def polygon(self) -> Polygon:
        """The piece with its holes on the sheet. [mm]"""
        return Polygon(self.shape.outline.points, [h.points for h in self.shape.holes])

    @cached_property
    def box_mm(self) -> tuple[float, float, float, float]:
        """Least and greatest x and y on the sheet: (x0, y0, x1, y1). [mm]"""
        return bounds_mm(self.shape.outline.points)

    @cached_property
    def size_mm(self) -> tuple[float, float]:
        """Long and short side as a tape finds them, allowance and overlaps included. [mm]

        A curved piece on a board is turned until it fits its board, so there it's as it lies.
        """
        if self.piece.cut_from is CutFrom.BOARD:
            return size_of(self.shape)
        return self._tape_size.long_mm, self._tape_size.short_mm

    @cached_property
    def _tape_size(self) -> TapeSize:
        part = self.part
        if self.piece.n_shares == 1 or part is None:
            return tape_size(self.piece.shape)
        # pieces of a joined part are marked out from one line: their whole part's
        turn = math.radians(base_line_pose(with_allowance(part)).turn_deg)
        way = (math.cos(turn), -math.sin(turn))
        is_mirrored = self.piece.hand is not None and self.piece.hand is not part.drawn
        return size_along(self.piece.shape, (way[0], -way[1]) if is_mirrored else way)

    @cached_property
    def is_across(self) -> bool:
        """Whether the long side runs more across the sheet than along it."""
        if self.piece.cut_from is CutFrom.BOARD:
            return False
        x, y = move_vector(self._tape_size.way, self.placement)
        return self._tape_size.is_long and abs(y) > abs(x)

    @property
    def is_face_up(self) -> bool:
        """Whether its good face is up on the sheet."""
        return self.placement.is_face_up

    @property
    def count(self) -> int:
        """How many of this part and hand there are."""
        return self.part.count if self.part else 1


@dataclass(frozen=True)
class SheetView:
    """One sheet with its pieces in cutting order; ``index`` numbers it through the job."""

    index: int
    layout: SheetLayout
    stock: SheetStock | BoardStock
    price_minor: int
    placed: tuple[PlacedPiece, ...]
    label: str
    """How all papers call it: ``Sheet 3``; a board with curved pieces is a board too."""
    total: int
    """How many sheets, or boards, there are."""
    is_beside_rails: bool = False
    """Whether rails come from the same board: where they lie nothing is to be sawn."""

    @property
    def material(self) -> str:
        """Material of the stock."""
        return self.stock.material

    @property
    def has_back(self) -> bool:
        """Whether one of its faces isn't good."""
        return _has_back(self.stock)

    @property
    def usable(self) -> Usable:
        """What can be used of it."""
        return self.layout.usable(self.stock)

    @property
    def outline(self) -> tuple[Point, ...]:
        """The sheet's real outline, counter-clockwise. [mm]"""
        if self.layout.outline:
            points = self.layout.outline
            return points if ring_area_mm2(points) > 0 else points[::-1]
        length, width = self.layout.length_mm, self.layout.width_mm
        return ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))

    @property
    def grain_deg(self) -> float:
        """Direction of the face grain on the sheet: 0 along its length, 90 across. [deg]"""
        across = isinstance(self.stock, SheetStock) and self.stock.grain is SheetGrain.ALONG_WIDTH
        return 90.0 if across else 0.0

    @property
    def stem(self) -> str:
        """File name without its ending: ``03-6-mm-ply``."""
        return file_stem(self.index, self.layout.stock)


def in_blanks(layout: SheetLayout, board: BoardLayout) -> SheetLayout:
    """A board's sawn parts, all but their blanks barred: that is drawn with its rails."""
    return replace(layout, keep_outs=board.round_blanks("see its rails"))


def place_piece(
    piece: SheetPiece,
    part: SheetPart | None,
    placement: Placement,
    joints: dict[str, tuple[str, Joint]],
    stock: SheetStock | BoardStock | None,
) -> PlacedPiece:
    """Return a piece where it lies, with all that is told of it; its number comes later.

    Parameters
    ----------
    joints
        Each joint with its short name, by its id.
    """
    pose = placement
    ends = tuple(_end_view(e, pose, joints, piece.thickness_mm) for e in piece.ends)
    notes = (_with_strap(piece, joints), *(() if part is None else end_notes(piece, part)))
    piece = replace(piece, note="; ".join(n for n in notes if n))
    # a slope or a bevel lies on one face of the piece: which is up is to be known then
    is_told = (_has_back(stock) and piece.faces is Faces.GOOD_UP) or bool(ends)
    is_told = is_told or bool(part and part.edge_bevels)
    return PlacedPiece(0, piece, part, placement, move_shape(piece.shape, pose), ends, is_told)


def _has_back(stock: SheetStock | BoardStock | None) -> bool:
    return not (isinstance(stock, SheetStock) and stock.good_faces is GoodFaces.BOTH)


def lying(strap: SheetPart, parts: dict[str, SheetPart]) -> SheetPart:
    """A strap that says which way it lies in the boat."""
    panel = None if strap.strap_of is None else parts.get(strap.strap_of.part)
    if panel is None or strap.strap_of is None:
        return strap
    return replace(strap, bearings=strap_bearings(panel.bearings, strap.strap_of.face))


def _with_strap(piece: SheetPiece, joints: dict[str, tuple[str, Joint]]) -> str:
    """Return a piece's note; a strap says its joint as all papers name it, ``strap over J3``."""
    strap = piece.strap_of
    if strap is None:
        return piece.note
    hand = piece.hand.value if piece.hand else ""
    said = fact("JNT-222", joint=strap.joint, part=strap.part, face=strap.face.value)
    for key, joint in joints.values():
        whose = (joint.part, joint.hand or "", joint.copy, joint.number)
        if whose == (strap.part, hand, piece.copy, strap.joint):
            said = fact("JNT-221", joint=key, face=strap.face.value)
    return tell_fact(said, Speech())  # no figure in it has a unit


def _end_view(
    end: JointEnd, pose: Pose, joints: dict[str, tuple[str, Joint]], thickness_mm: float
) -> EndView:
    key, joint = joints.get(end.joint, (end.joint, None))
    slope = joint.slope if joint else end.overlap_mm / thickness_mm
    a, b = move_points(end.line, pose)
    told = (joint.word, joint.is_weak) if joint else ()
    return EndView(end.joint, key, end.kind, slope, end.overlap_mm, end.planed, (a, b), *told)


def file_stem(index: int, stock: str) -> str:
    """Name of a sheet's or board's files without the ending, ``03-6-mm-ply``."""
    return f"{index:02d}-{safe_name(stock)}"
