"""Every sheet, board, piece and joint of a plan as papers show it, worked out once.

CSV, PDF, SVG and HTML all read these records, so they can't disagree.  Sheets are numbered through
the whole job in the plan's order, and so are boards; pieces are numbered on each sheet in the order
in which they're best cut.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from shapely.geometry import Polygon

from nestcut.boards import SawCut, Sawing, Wood, every_cut, sawing_of
from nestcut.facts import fact
from nestcut.geometry.polygons import bounds_mm, ring_area_mm2
from nestcut.geometry.pose import move_points, move_shape
from nestcut.joints.arithmetic import scarf_angle_deg
from nestcut.joints.straps import strap_bearings
from nestcut.model.curves import Point
from nestcut.model.joint import Face, Joint, JointEnd, JointKind, Word
from nestcut.model.part import CutFrom, Faces, RailPart, SheetPart, Timing
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.plan import BoardCut, BoardLayout, SheetLayout, VerifiedPlan
from nestcut.model.pose import Placement, Pose
from nestcut.model.shape import Shape
from nestcut.model.stock import BoardStock, Defect, GoodFaces, SheetGrain, SheetStock, Usable
from nestcut.papers.view.ends import end_notes
from nestcut.papers.view.prices import Prices
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.tolerances.lengths import SAME_BOARD_MM
from nestcut.trade.boards import KEPT_END_MM
from nestcut.words import Speech, safe_name, tell_fact
from nestcut.words.piece_names import names_in_words

MIN_KEPT_END_MM = KEPT_END_MM.value
"""A clear board end at least this long counts as kept, shorter ones as waste. [mm]"""


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
        """Length and width over all as drawn, allowance and overlaps included. [mm]

        A curved piece on a board is turned until it fits its board, so there it's as it lies.
        """
        if self.piece.cut_from is CutFrom.BOARD:
            return size_of(self.shape)
        return size_of(self.piece.shape)

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

    @property
    def material(self) -> str:
        """Material of the stock."""
        return self.stock.material

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


@dataclass(frozen=True)
class BoardPiece:
    """One rail piece in its board; ``number`` counts from the board's marked end."""

    number: int
    piece: RailPiece
    part: RailPart | None
    cut: BoardCut


@dataclass(frozen=True)
class BoardView:
    """One board with its pieces; ``index`` numbers it through the job."""

    index: int
    layout: BoardLayout
    stock: BoardStock | None
    price_minor: int
    cuts: tuple[BoardPiece, ...]
    sawing: Sawing
    kerf_mm: float

    @cached_property
    def saw_cuts(self) -> tuple[SawCut, ...]:
        """Every cut in its order, to the last one; none where cuts right through don't part it."""
        board = Wood((0.0, self.layout.length_mm), (0.0, self.layout.width_mm))
        kept = None
        if self.clear_end_mm >= MIN_KEPT_END_MM:
            kept = self.layout.length_mm - self.end_trim_mm - self.clear_end_mm
        return every_cut(self.sawing, board, self.kerf_mm, self.end_trim_mm, kept)

    @property
    def material(self) -> str:
        """Material of the stock."""
        return self.stock.material if self.stock else ""

    @property
    def end_trim_mm(self) -> float:
        """What comes off each end before measuring. [mm]"""
        return self.stock.end_trim_mm if self.stock else 0.0

    @property
    def edge_trim_mm(self) -> float:
        """What comes off each edge before ripping. [mm]"""
        return self.stock.edge_trim_mm if self.stock else 0.0

    @property
    def defects(self) -> tuple[Defect, ...]:
        """Knots and the like of the length that this board is, from its marked end."""
        lengths = self.stock.lengths if self.stock else ()
        alike = [b for b in lengths if abs(b.length_mm - self.layout.length_mm) < SAME_BOARD_MM]
        fitting = [
            b.defects
            for b in alike
            if all(
                c.cut.to_mm <= d.from_mm + SAME_LENGTH_MM
                or c.cut.from_mm >= d.to_mm - SAME_LENGTH_MM
                for c in self.cuts
                for d in b.defects
            )
        ]
        return max(fitting, key=len, default=())

    @property
    def clear_end_mm(self) -> float:
        """Length of the full-width end that nothing is cut from. [mm]"""
        last = max((c.cut.to_mm for c in self.cuts), default=0.0)
        return max(0.0, self.layout.length_mm - self.end_trim_mm - last)

    @property
    def label(self) -> str:
        """How other pages call it."""
        return f"Board {self.index}"

    @property
    def stem(self) -> str:
        """File name without its ending."""
        return file_stem(self.index, self.layout.stock)


@dataclass(frozen=True)
class PlanView:
    """The whole plan as papers show it."""

    verified: VerifiedPlan
    sheets: tuple[SheetView, ...]
    boards: tuple[BoardView, ...]

    @cached_property
    def sheet_parts(self) -> dict[str, SheetPart]:
        """Flat parts by name, straps included."""
        added = self.verified.plan.added_parts
        return {p.name: p for p in (*self.verified.job.sheet_parts, *added)}

    @cached_property
    def joints(self) -> tuple[tuple[str, Joint], ...]:
        """Every joint with its short name, ``("J1", joint)``, in the plan's order."""
        return tuple((f"J{k}", j) for k, j in enumerate(self.verified.plan.joints, start=1))

    @cached_property
    def joint_keys(self) -> dict[str, str]:
        """Short name of each joint by its id."""
        return {joint.id: key for key, joint in self.joints}

    @cached_property
    def rail_parts(self) -> dict[str, RailPart]:
        """Rails by name."""
        return {p.name: p for p in self.verified.job.rail_parts}

    @cached_property
    def _names(self) -> dict[str, str]:
        """Each piece's name in words by its id."""
        return names_in_words(self.verified.job, self.verified.plan)

    def is_cut(self, piece: str) -> bool:
        """Whether a piece lay cut when this plan was made."""
        return piece in self.verified.plan.already_cut

    def name_of(self, piece: str) -> str:
        """A piece's name in words, as all lists have it; what isn't known keeps its id."""
        return self._names.get(piece, piece)


def plan_view(verified: VerifiedPlan) -> PlanView:
    """Work out what papers show of a plan."""
    job, plan = verified.job, verified.plan
    pieces = {p.id: p for p in plan.pieces}
    rails = {p.id: p for p in plan.rail_pieces}
    parts = {p.name: p for p in (*job.sheet_parts, *plan.added_parts)}
    parts |= {p.name: _lying(p, parts) for p in parts.values() if p.strap_of is not None}
    rail_parts = {p.name: p for p in job.rail_parts}
    joints = {j.id: (f"J{k}", j) for k, j in enumerate(plan.joints, start=1)}
    prices = Prices(verified)
    sheets: list[SheetView] = []
    for index, layout in enumerate(plan.sheets, start=1):
        stock, price = prices.next(layout.stock, layout.length_mm)
        placed = [
            _placed(pieces[p.piece], parts.get(pieces[p.piece].part), p, joints, stock)
            for p in layout.placements
        ]
        is_board = isinstance(stock, BoardStock)
        count = 1 + sum(isinstance(s.stock, BoardStock) is is_board for s in sheets)
        label = f"Board {len(plan.boards) + count}" if is_board else f"Sheet {count}"
        sheets.append(SheetView(index, layout, stock, price, _in_cutting_order(placed), label, 0))
    curved = sum(isinstance(s.stock, BoardStock) for s in sheets)
    sheets = [
        replace(
            s,
            total=len(plan.boards) + curved
            if isinstance(s.stock, BoardStock)
            else len(sheets) - curved,
        )
        for s in sheets
    ]
    boards = []
    for index, board in enumerate(plan.boards, start=1):
        stock, price = prices.next(board.stock, board.length_mm)
        wood = stock if isinstance(stock, BoardStock) else None
        saw = job.cutting if wood is None else job.cutting.on(wood)
        sawing = sawing_of(board.cuts, saw.kerf_mm)
        views = tuple(
            BoardPiece(k, rails[c.piece], rail_parts.get(rails[c.piece].part), c)
            for k, c in enumerate(sawing.cuts, start=1)
        )
        boards.append(BoardView(index, board, wood, price, views, sawing, saw.kerf_mm))
    return PlanView(verified, tuple(sheets), tuple(boards))


def _placed(
    piece: SheetPiece,
    part: SheetPart | None,
    placement: Placement,
    joints: dict[str, tuple[str, Joint]],
    stock: SheetStock | BoardStock | None,
) -> PlacedPiece:
    pose = placement
    ends = tuple(_end_view(e, pose, joints, piece.thickness_mm) for e in piece.ends)
    notes = (_with_strap(piece, joints), *(() if part is None else end_notes(piece, part)))
    piece = replace(piece, note="; ".join(n for n in notes if n))
    has_back = not (isinstance(stock, SheetStock) and stock.good_faces is GoodFaces.BOTH)
    # a slope or a bevel lies on one face of the piece: which is up is to be known then
    is_told = (has_back and piece.faces is Faces.GOOD_UP) or bool(ends)
    is_told = is_told or bool(part and part.edge_bevels)
    return PlacedPiece(0, piece, part, placement, move_shape(piece.shape, pose), ends, is_told)


def _lying(strap: SheetPart, parts: dict[str, SheetPart]) -> SheetPart:
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


def _in_cutting_order(placed: list[PlacedPiece]) -> tuple[PlacedPiece, ...]:
    """Number the pieces of a sheet.

    From the end away from the marking-out corner back to it, so that what is still to be cut stays
    supported and keeps its corner; what lies in a hole comes before the piece round it; pieces that
    wait for the dry fit come last. Common practice, no source.
    """

    def turn(p: PlacedPiece) -> tuple[int, float, float, str]:
        late = int(p.piece.timing is Timing.AFTER_DRY_FIT)
        return (late, -round(p.box_mm[2], 3), round(p.box_mm[1], 3), p.piece.id)

    def place(p: PlacedPiece) -> tuple[tuple[int, float, float, str], int, str]:
        for other in placed:
            if other is not p and any(
                Polygon(h.points).contains(p.polygon) for h in other.shape.holes
            ):
                return (min(turn(other), turn(p)), 0, p.piece.id)
        return (turn(p), 1, p.piece.id)

    ordered = sorted(placed, key=place)
    return tuple(replace(p, number=k) for k, p in enumerate(ordered, start=1))


def size_of(shape: Shape) -> tuple[float, float]:
    """Length and width of a shape over all, along x and y of its own frame. [mm]"""
    x0, y0, x1, y1 = bounds_mm(shape.outline.points)
    return x1 - x0, y1 - y0


def file_stem(index: int, stock: str) -> str:
    """Name of a sheet's or board's files without the ending, ``03-6-mm-ply``."""
    return f"{index:02d}-{safe_name(stock)}"
