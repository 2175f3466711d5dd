"""Every sheet, board, piece and joint of a plan as papers show it, worked out once.

CSV, PDF, SVG and HTML all read these records, so they can't disagree.  Sheets are numbered through
the whole job in the plan's order, and so are boards; pieces are numbered on each sheet in the order
in which they're best cut.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from shapely.geometry import box

from nestcut.boards import BoardAtSaw, SawCut, Sawing, Wood, named_blanks, sawing_of
from nestcut.model.joint import Joint
from nestcut.model.part import RailPart, SheetPart
from nestcut.model.piece import RailPiece
from nestcut.model.plan import BoardCut, BoardLayout, VerifiedPlan
from nestcut.model.stock import (
    BoardStock,
    Defect,
)
from nestcut.papers.view.cutting_order import in_cutting_order
from nestcut.papers.view.placed import (
    PlacedPiece,
    SheetView,
    file_stem,
    in_blanks,
    lying,
    place_piece,
)
from nestcut.papers.view.prices import Prices
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.tolerances.lengths import SAME_BOARD_MM
from nestcut.words.piece_names import names_in_words


@dataclass(frozen=True)
class BoardPiece:
    """One rail piece in its board; ``number`` counts from the board's marked end."""

    number: int
    piece: RailPiece
    part: RailPart | None
    cut: BoardCut


@dataclass(frozen=True)
class BlankView:
    """A rectangle of a board from which parts are sawn; numbered among the board's pieces."""

    number: int
    cut: BoardCut
    sawn: tuple[PlacedPiece, ...]


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
    blanks: tuple[BlankView, ...] = ()

    @property
    def parted(self) -> tuple[BoardCut, ...]:
        """All rectangles that come off it."""
        return (*(c.cut for c in self.cuts), *(b.cut for b in self.blanks))

    @cached_property
    def saw_cuts(self) -> tuple[SawCut, ...]:
        """Every cut in its order, to the last one; none where cuts right through don't part it."""
        return self._at_saw.saw_cuts

    @property
    def keep_mm(self) -> tuple[float, float] | None:
        """Where the full-width end worth keeping begins, behind the blade, and where it ends. [mm]

        Measured from the marked end, as it is before any cut; without what comes off the far end.
        """
        return self._at_saw.keep_mm

    @cached_property
    def keeps(self) -> tuple[Wood, ...]:
        """All that is kept of it once every cut is made, the full-width end first."""
        return self._at_saw.kept()

    @property
    def strips(self) -> tuple[Wood, ...]:
        """What is kept of it beside the full-width end: strips beside and behind its pieces."""
        return tuple(w for w in self.keeps if w.along_mm != self.keep_mm)

    @property
    def _at_saw(self) -> BoardAtSaw:
        return BoardAtSaw(
            layout=self.layout,
            sawing=self.sawing,
            kerf_mm=self.kerf_mm,
            end_trim_mm=self.end_trim_mm,
            edge_trim_mm=self.edge_trim_mm,
        )

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
                c.to_mm <= d.from_mm + SAME_LENGTH_MM or c.from_mm >= d.to_mm - SAME_LENGTH_MM
                for c in self.parted
                for d in b.defects
            )
        ]
        return max(fitting, key=len, default=())

    @property
    def label(self) -> str:
        """How other pages call it."""
        return f"Board {self.index}"

    @property
    def stem(self) -> str:
        """File name without its ending."""
        return file_stem(self.index, self.layout.stock)


@dataclass(frozen=True, eq=False)
class PlanView:
    """The whole plan as papers show it; each is only itself, so what is made of it can be kept."""

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
    parts |= {p.name: lying(p, parts) for p in parts.values() if p.strap_of is not None}
    rail_parts = {p.name: p for p in job.rail_parts}
    joints = {j.id: (f"J{k}", j) for k, j in enumerate(plan.joints, start=1)}
    prices = Prices(verified)
    total = {True: len({*(b.number for b in plan.boards), *(s.board for s in plan.sheets)} - {0})}
    total[False] = sum(not s.board for s in plan.sheets)
    with_rails = {b.number: b for b in plan.boards}
    sheets: list[SheetView] = []
    for index, layout in enumerate(plan.sheets, start=1):
        beside = with_rails.get(layout.board)
        if beside is None:
            stock, price = prices.next(layout.stock, layout.length_mm)
        else:
            stock, price = prices.stock(layout.stock), 0  # paid for with its rails
        placed = tuple(
            place_piece(pieces[p.piece], parts.get(pieces[p.piece].part), p, joints, stock)
            for p in layout.placements
        )
        is_board = isinstance(stock, BoardStock)
        count = 1 + sum(not isinstance(s.stock, BoardStock) for s in sheets)
        sheet = SheetView(
            index=index,
            layout=layout if beside is None else in_blanks(layout, beside),
            stock=stock,
            price_minor=price,
            placed=placed,
            label=f"Board {layout.board}" if is_board else f"Sheet {count}",
            total=total[is_board],
            is_beside_rails=beside is not None,
        )
        after = 0 if beside is None else len(beside.taken)
        sheets.append(replace(sheet, placed=in_cutting_order(sheet, job.cutting, after)))
    sawn = {s.layout.board: s.placed for s in sheets if s.is_beside_rails}
    boards = []
    for board in plan.boards:
        stock, price = prices.next(board.stock, board.length_mm)
        wood = stock if isinstance(stock, BoardStock) else None
        saw = job.cutting if wood is None else job.cutting.on(wood)
        blanks = named_blanks(board)
        sawing = sawing_of((*board.cuts, *blanks), saw.kerf_mm)
        numbered = list(enumerate(sawing.cuts, start=1))
        views = tuple(
            BoardPiece(k, rails[c.piece], rail_parts.get(rails[c.piece].part), c)
            for k, c in numbered
            if c not in blanks
        )
        from_blanks = tuple(
            BlankView(k, c, _within(c, sawn[board.number])) for k, c in numbered if c in blanks
        )
        boards.append(
            BoardView(
                index=board.number,
                layout=board,
                stock=wood,
                price_minor=price,
                cuts=views,
                sawing=sawing,
                kerf_mm=saw.kerf_mm,
                blanks=from_blanks,
            )
        )
    return PlanView(verified, tuple(sheets), tuple(boards))


def _within(blank: BoardCut, placed: tuple[PlacedPiece, ...]) -> tuple[PlacedPiece, ...]:
    """The parts that are sawn from a blank."""
    area = box(blank.from_mm, blank.rip_from_mm, blank.to_mm, blank.rip_to_mm)
    return tuple(p for p in placed if area.contains(p.polygon.centroid))
