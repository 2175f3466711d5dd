"""A plan: which piece is cut where, from what, with which joints, and what has to be bought.

A placement maps a piece's own frame (seen from its good face) to the sheet's frame.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

from nestcut.errors import Finding
from nestcut.facts import Fact, Money, Volume, fact
from nestcut.model.curves import Point
from nestcut.model.held import NOTHING_HELD, Held
from nestcut.model.job import Job
from nestcut.model.joint import Joint
from nestcut.model.otherwise import AS_ASKED, Otherwise
from nestcut.model.part import SheetPart
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.pose import Placement
from nestcut.model.stock import BoardLength, BoardStock, KeepOut, SheetStock, Usable, rectangle
from nestcut.tolerances import VERIFY_MM
from nestcut.tolerances.noise import NOISE


class StopReason(StrEnum):
    """Why the search ended."""

    PROVEN = "nothing better is possible"
    WORK_DONE = "the work limit was reached"
    TIME_UP = "the time limit was reached"
    INTERRUPTED = "interrupted"


@dataclass(frozen=True, slots=True, kw_only=True)
class Offcut:
    """A rectangle of a sheet that is left over and worth keeping."""

    from_mm: Point
    to_mm: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetLayout:
    """One sheet (or one board from which curved pieces are cut) and what is cut from it."""

    stock: str
    number: int
    length_mm: float
    width_mm: float
    thickness_mm: float
    outline: tuple[Point, ...] | None
    edge_trim_mm: float
    keep_outs: tuple[KeepOut, ...]
    placements: tuple[Placement, ...]
    offcuts: tuple[Offcut, ...] = ()
    end_trim_mm: float = 0.0
    spent: tuple[KeepOut, ...] = ()
    """What was sawn out and is spoilt: nothing can be cut there again."""
    board: int = 0
    """Of a board: its number among boards, which a layout of rails on the same board has too."""

    @property
    def barred(self) -> tuple[KeepOut, ...]:
        """Where nothing can be cut: what the stock bars and what is spent."""
        return (*self.keep_outs, *self.spent)

    def usable(self, stock: SheetStock | BoardStock) -> Usable:
        """What can be used of it: what its stock allows, but for what is barred on it alone."""
        if isinstance(stock, BoardStock):
            made = stock.usable(BoardLength(length_mm=self.length_mm))
        else:
            made = stock.usable
        return replace(made, barred=tuple(dict.fromkeys((*made.barred, *self.barred))))


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardCut:
    """One rail piece in a board: along from/to, across rip_from/rip_to."""

    piece: str
    from_mm: float
    to_mm: float
    rip_from_mm: float
    rip_to_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardLayout:
    """One board and what is cut from it."""

    stock: str
    number: int
    length_mm: float
    width_mm: float
    thickness_mm: float
    cuts: tuple[BoardCut, ...]
    spent: tuple[BoardCut, ...] = ()
    """What was sawn out and is spoilt."""
    blanks: tuple[BoardCut, ...] = ()
    """Rectangles from which parts are sawn, as the sheet layout of this board has them."""

    @property
    def taken(self) -> tuple[BoardCut, ...]:
        """All that is parted from it, whole or spoilt."""
        return (*self.cuts, *self.blanks, *self.spent)

    def round_blanks(self, reason: str) -> tuple[KeepOut, ...]:
        """All of it that is no blank, in rectangles of its whole length or less."""
        ends = sorted(
            {0.0, self.length_mm, *(x for b in self.blanks for x in (b.from_mm, b.to_mm))}
        )
        found: list[KeepOut] = []
        for x0, x1 in pairwise(sorted({0.0, self.length_mm, *ends})):
            here = [b for b in self.blanks if b.from_mm < x1 and b.to_mm > x0]
            sides = sorted((b.rip_from_mm, b.rip_to_mm) for b in here)
            lows = [0.0, *(high for _, high in sides)]
            highs = [*(low for low, _ in sides), self.width_mm]
            found += [
                KeepOut(points=rectangle((x0, low), (x1, high)), reason=reason)
                for low, high in zip(lows, highs, strict=True)
                if high > low
            ]
        return tuple(found)


def each_once(
    sheets: Iterable[SheetLayout], boards: Iterable[BoardLayout]
) -> tuple[BoardLayout | SheetLayout, ...]:
    """Return every sheet and board once, boards with rails first: some carry sawn parts as well."""
    with_rails = tuple(boards)
    known = {b.number for b in with_rails}
    return (*with_rails, *(s for s in sheets if s.board not in known))


@dataclass(frozen=True, slots=True, kw_only=True)
class Unplaced:
    """A piece that no stock was left for."""

    piece: str
    reason: Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class Free:
    """A rectangle that is kept free: where it lies in the frame of its sheet. [mm]

    Parameters
    ----------
    stock
        Name of the sheet's stock.
    sheet
        Number of the sheet; 0: a whole one to hand that nothing is cut from.
    """

    stock: str
    sheet: int
    from_mm: Point
    to_mm: Point


def is_within(rectangle: Offcut | Free, other: Offcut) -> bool:
    """Whether a rectangle lies within another, as far as anyone can measure."""
    return all(
        inner >= outer - VERIFY_MM
        for inner, outer in zip(rectangle.from_mm, other.from_mm, strict=True)
    ) and all(
        inner <= outer + VERIFY_MM
        for inner, outer in zip(rectangle.to_mm, other.to_mm, strict=True)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Reserve:
    """What became of the rectangle that a job wants kept free in sheets of one kind of wood.

    ``free`` is where it lies; None: it is given up, and ``given_up`` says why.
    """

    material: str
    thickness_mm: float
    free: Free | None = None
    given_up: Fact | None = None


class Counted(StrEnum):
    """What a bound counts, as plan files name it."""

    SHEETS = "sheets"
    SHEETS_TO_BUY = "sheets to buy"
    BOARDS = "boards"
    JOINTS = "joints"
    MONEY = "money"
    """Of one material. [minor units]"""
    MONEY_IN_ALL = "money in all"
    """Of all that is bought, deliveries included. [minor units]"""
    WOOD = "cm3 of wood"
    """Where boards of several sizes have no prices. [cm3]"""


_COUNTS = {
    Counted.SHEETS: "PLN-111",
    Counted.SHEETS_TO_BUY: "PLN-112",
    Counted.BOARDS: "PLN-113",
    Counted.JOINTS: "PLN-114",
}
_MM3_PER_CM3 = 1000.0


def _amount(measure: Counted, amount: float) -> Fact:
    if measure in {Counted.MONEY, Counted.MONEY_IN_ALL}:
        return fact("PLN-115", cost=Money(round(amount)))
    if measure is Counted.WOOD:
        return fact("PLN-116", wood=Volume(amount * _MM3_PER_CM3))
    return fact(_COUNTS[measure], n=round(amount))


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """How good the plan is for one material: ``lower`` is proven, ``used`` is what it takes.

    ``reason`` says what proves it.
    """

    name: str
    measure: Counted
    lower: float
    used: float
    reason: Fact | None = None
    said: Fact | None = None
    """Its name where a length is in it, for readers of either system."""

    @property
    def lower_told(self) -> Fact:
        """What is proven, in what is counted."""
        return _amount(self.measure, self.lower)

    @property
    def used_told(self) -> Fact:
        """What the plan takes, in what is counted."""
        return _amount(self.measure, self.used)

    @property
    def gap_told(self) -> Fact:
        """What lies between, in what is counted."""
        return _amount(self.measure, self.used - self.lower)

    @property
    def is_proven_optimal(self) -> bool:
        """Whether no plan can use less."""
        return self.lower >= self.used - NOISE


@dataclass(frozen=True, slots=True, kw_only=True)
class BuyLine:
    """One line of the buying list; ``length_mm`` tells boards of one section apart."""

    stock: str
    count: int
    price_minor: int
    length_mm: float
    width_mm: float
    thickness_mm: float
    to_hand: int = 0
    """How many of the kind come out of the shed."""
    over: int = 0
    """How many of those bought nothing is cut from: spares, and the rest of a pack."""
    supplier: str = ""
    """Who sells it; empty: nobody is named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What a supplier asks for bringing what is bought there. [minor units]"""

    supplier: str
    fee_minor: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything that is decided, before it's verified."""

    seed: int
    effort: str
    workers: int
    seconds_limit: float | None
    stopped_by: StopReason
    pieces: tuple[SheetPiece, ...]
    rail_pieces: tuple[RailPiece, ...]
    sheets: tuple[SheetLayout, ...]
    boards: tuple[BoardLayout, ...]
    joints: tuple[Joint, ...]
    unplaced: tuple[Unplaced, ...]
    bounds: tuple[Bound, ...]
    buy: tuple[BuyLine, ...]
    findings: tuple[Finding, ...] = ()
    added_parts: tuple[SheetPart, ...] = ()
    """Parts that nobody asked for but the joints need: butt straps."""
    already_cut: tuple[str, ...] = ()
    """Ids of pieces that lay cut when this plan was made: they stay where they were."""
    notes: tuple[Fact, ...] = ()
    """What the search has to say, such as the price of a joint avoided."""
    deliveries: tuple[Delivery, ...] = ()
    """What bringing it all costs, besides the buying list."""
    held: Held = NOTHING_HELD
    """Of a plan made again: what lies in the shed for it, bought already."""
    reserves: tuple[Reserve, ...] = ()
    """Of a job that wants a rectangle kept free: one for each kind of sheets that is cut from."""
    otherwise: Otherwise = AS_ASKED
    """What it takes otherwise than the job file says."""
    continues: str = ""
    """Of a plan made again: digest of the layouts of the one that it goes on from."""

    @property
    def stock_used(self) -> tuple[BoardLayout | SheetLayout, ...]:
        """Every sheet and board that something is cut from, once."""
        return each_once(self.sheets, self.boards)

    @property
    def cost_minor(self) -> int:
        """What has to be paid: the buying list and its deliveries. [minor units]"""
        bought = sum(b.price_minor * b.count for b in self.buy)
        return bought + sum(d.fee_minor for d in self.deliveries)

    @property
    def is_repeatable(self) -> bool:
        """Whether the same input, seed and effort give the same plan again."""
        return self.stopped_by in {StopReason.PROVEN, StopReason.WORK_DONE}

    @property
    def is_complete(self) -> bool:
        """Whether every piece has its place."""
        return not self.unplaced


@dataclass(frozen=True, slots=True, kw_only=True)
class VerifiedPlan:
    """A plan that the verifier has proven against its job; only this is written down."""

    job: Job
    plan: Plan
    checks: tuple[Fact, ...]
    """What was looked at, and how many of it, for the front page."""
