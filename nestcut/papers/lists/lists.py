"""The lists: what is cut, what is bought, how it is joined, where it goes. Rows of texts.

PDF and CSV print the same rows; the CSV files carry plain millimetres beside the builder's units.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from nestcut.joints.arithmetic import scarf_angle_deg
from nestcut.joints.kinds import KINDS
from nestcut.model.curves import Point
from nestcut.model.joint import Face, Joint, JointRule
from nestcut.model.part import Timing
from nestcut.papers.view import (
    SIZE_WORDS,
    BoardPiece,
    BoardView,
    Figures,
    PlacedPiece,
    PlanView,
    allowance_words,
    bevel_words,
    code_of,
    joint_work_words,
    joints_words_short,
    planing_words,
    rail_allowance_words,
    rail_angle_words,
    rail_joint_words,
    seam_joints,
)
from nestcut.units import format_slope


@dataclass(frozen=True, slots=True)
class Seat:
    """Where a rail lies in its board: from the marked end and from the edge, and the board. [mm]"""

    board_mm: float
    along_mm: tuple[float, float]
    across_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class CutRow:
    """One piece of the cut list; ``place`` is the sheet or board, ``turn`` its number there.

    ``name`` is the piece in words, ``code`` what drawings write after the part's name.
    """

    place: str
    stock: str
    turn: int
    piece: str
    name: str
    code: str
    part: str
    hand: str
    copy: int
    count: int
    share: int
    n_shares: int
    material: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    lies: str
    timing: str
    joints: str
    bevels: str
    allowance_mm: float
    allowance: str
    note: str
    is_face_told: bool = True
    seat: Seat | None = None
    is_cut: bool = False
    """Whether it lay cut when this plan was made."""
    planing: str = ""
    """How a rail's section comes out of a thicker board."""
    planed_from_mm: float | None = None
    joint_work: str = ""
    """What is done at its joints alone: whose word their places are stands with the joints."""


def cut_rows(view: PlanView, figures: Figures) -> tuple[CutRow, ...]:
    """Every piece in the order of sheets and boards and of cutting on each."""
    found = [
        (
            (sheet.layout.board, placed.number),
            _flat_row(sheet.label, sheet.layout.stock, placed, view, figures),
        )
        for sheet in view.sheets
        for placed in sheet.placed
    ]
    found += [
        ((board.index, cut.number), _rail_row(board, cut, view, figures))
        for board in view.boards
        for cut in board.cuts
    ]
    # sheets have no board's number and stay before them, as they come
    boards = sorted((f for f in found if f[0][0]), key=lambda f: f[0])
    rows = [row for key, row in found if not key[0]] + [row for _, row in boards]
    return tuple(replace(r, is_cut=view.is_cut(r.piece)) for r in rows)


def _flat_row(
    place: str, stock: str, placed: PlacedPiece, view: PlanView, figures: Figures
) -> CutRow:
    piece = placed.piece
    return CutRow(
        place=place,
        stock=stock,
        turn=placed.number,
        piece=piece.id,
        name=view.name_of(piece.id),
        code=code_of(piece, placed.count),
        part=piece.part,
        hand=piece.hand.value if piece.hand else "",
        copy=piece.copy,
        count=placed.count,
        share=piece.share,
        n_shares=piece.n_shares,
        material=piece.material,
        thickness_mm=piece.thickness_mm,
        length_mm=placed.size_mm[0],
        width_mm=placed.size_mm[1],
        is_face_told=placed.is_face_told,
        lies=_lies(placed),
        timing=piece.timing.value if piece.timing is Timing.AFTER_DRY_FIT else "",
        joints="; ".join(joints_words_short(placed.ends)).replace("  ", " "),
        joint_work="; ".join(joint_work_words(end) for end in placed.ends),
        bevels="; ".join(bevel_words(placed, figures)),
        allowance_mm=placed.part.allowance_mm if placed.part else 0.0,
        allowance=allowance_words(placed, figures),
        note=piece.note,
    )


def _lies(placed: PlacedPiece) -> str:
    """Which face is in sight, or where that is all one, whether the outline is the drawn one."""
    is_up = placed.placement.is_face_up
    if placed.is_face_told:
        return "good face up" if is_up else "good face down"
    return "either face, as drawn" if is_up else "either face, mirrored"


def _rail_row(board: BoardView, cut: BoardPiece, view: PlanView, figures: Figures) -> CutRow:
    piece = cut.piece
    over = cut.part.allowance_mm if cut.part else 0.0
    joints = [rail_joint_words(end, view).replace("  ", " ") for end in piece.ends]
    return CutRow(
        place=board.label,
        stock=board.layout.stock,
        turn=cut.number,
        piece=piece.id,
        name=view.name_of(piece.id),
        code=code_of(piece, cut.part.count if cut.part else 1),
        part=piece.part,
        hand=piece.hand.value if piece.hand else "",
        copy=piece.copy,
        count=cut.part.count if cut.part else 1,
        share=piece.share,
        n_shares=piece.n_shares,
        material=piece.material,
        thickness_mm=piece.thickness_mm,
        length_mm=piece.length_mm,
        width_mm=piece.width_mm,
        lies="",
        timing="",
        joints="; ".join(joints),
        joint_work="; ".join(joints),
        bevels=rail_angle_words(cut.part.end_angles_deg) if cut.part else "",
        allowance_mm=over,
        allowance=rail_allowance_words(piece, over, figures),
        note=piece.note,
        planing=planing_words(piece, figures),
        planed_from_mm=piece.planed_from_mm,
        seat=Seat(
            board_mm=board.layout.length_mm,
            along_mm=(cut.cut.from_mm, cut.cut.to_mm),
            across_mm=(cut.cut.rip_from_mm, cut.cut.rip_to_mm),
        ),
    )


def size_words(figures: Figures) -> str:
    """What the sizes in lists are, and what they are rounded to."""
    near = f"to the nearest {figures.place_words}"
    return f"{SIZE_WORDS}; joint overlaps and allowances included; {near}."


@dataclass(frozen=True, slots=True)
class BuyRow:
    """One line of the buying list."""

    stock: str
    material: str
    kind: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    to_buy: int
    to_hand: int
    each_minor: int
    together_minor: int
    over: int = 0
    """How many of those bought nothing is cut from."""
    supplier: str = ""

    @property
    def count_words(self) -> str:
        """How many to buy, and how many of them are spares or the rest of a pack."""
        if not self.over:
            return str(self.to_buy)
        return f"{self.to_buy}, {self.over} over"

    @property
    def price_note(self) -> str:
        """Why a line has no price: it is to hand, or the job gives none."""
        if not self.to_buy:
            return "to hand"
        return "" if self.each_minor else NO_PRICE


def planed_words(view: PlanView, stock: str, figures: Figures) -> str:
    """Say which rails are planed from a stock's boards: ``plane 20 to 18 mm (gunwale)``.

    Parameters
    ----------
    stock
        Name of the boards' stock.
    """
    rails: dict[str, list[str]] = {}
    for cut in (c for b in view.boards if b.layout.stock == stock for c in b.cuts):
        words = planing_words(cut.piece, figures)
        if words and cut.piece.part not in rails.setdefault(words, []):
            rails[words].append(cut.piece.part)
    return "; ".join(f"{words} ({', '.join(names)})" for words, names in rails.items())


def stock_words(row: BuyRow, view: PlanView, figures: Figures) -> str:
    """Return the stock's name, and what of it is planed down."""
    planed = planed_words(view, row.stock, figures)
    return f"{row.stock}: {planed}" if planed else row.stock


def buy_rows(view: PlanView) -> tuple[BuyRow, ...]:
    """What to buy and what the shed gives, sheets first."""
    job = view.verified.job
    sheets = {s.name: s.material for s in job.sheet_stocks}
    boards = {b.name: b.material for b in job.board_stocks}
    rows = [
        BuyRow(
            stock=line.stock,
            material=sheets.get(line.stock, boards.get(line.stock, "")),
            kind="board" if line.stock in boards else "sheet",
            thickness_mm=line.thickness_mm,
            length_mm=line.length_mm,
            width_mm=line.width_mm,
            to_buy=line.count,
            to_hand=line.to_hand,
            each_minor=line.price_minor,
            together_minor=line.count * line.price_minor,
            over=line.over,
            supplier=line.supplier,
        )
        for line in view.verified.plan.buy
    ]
    yards = list(dict.fromkeys(r.supplier for r in rows if r.supplier))
    order = {yard: k for k, yard in enumerate(yards)}
    return tuple(sorted(rows, key=lambda r: (order.get(r.supplier, len(order)), r.kind == "board")))


def rows_by_supplier(view: PlanView) -> tuple[tuple[str, tuple[BuyRow, ...]], ...]:
    """The buying list yard by yard; what nobody is named for, and what is to hand, comes last."""
    rows = buy_rows(view)
    yards = dict.fromkeys(r.supplier for r in rows)
    return tuple((yard, tuple(r for r in rows if r.supplier == yard)) for yard in yards)


def delivery_words(view: PlanView, figures: Figures) -> tuple[str, ...]:
    """What each yard asks for bringing its part of the list."""
    return tuple(
        f"bringing it from {d.supplier}: {figures.money(d.fee_minor)}"
        for d in view.verified.plan.deliveries
    )


def buy_total_minor(view: PlanView) -> int:
    """What the whole buying list costs, deliveries included. [minor units]"""
    return view.verified.plan.cost_minor


NO_PRICE = "no price given"
"""Nothing is sold for 0.00."""
UNKNOWN_COST = "-"
"""Stands in tables for money that nobody told."""
COST_NOTE = f"A dash ({UNKNOWN_COST}) stands where stock is to hand or no price was given."


def price_words(row: BuyRow, figures: Figures) -> tuple[str, str]:
    """A line's price each and together; or why there is none."""
    if not row.each_minor or not row.to_buy:
        return row.price_note, ""
    return figures.money(row.each_minor), figures.money(row.together_minor)


def cost_words(minor: int, figures: Figures) -> str:
    """Print what something cost, or a dash where no price is known."""
    return figures.money(minor) if minor else UNKNOWN_COST


def buy_total_note(view: PlanView) -> str:
    """What has to be said beside the total: nothing to pay, no prices, or some missing."""
    bought = [r for r in buy_rows(view) if r.to_buy]
    priced = [r for r in bought if r.each_minor]
    if not bought:
        return "nothing to buy"
    if not priced:
        return "no prices given"
    return "" if len(priced) == len(bought) else "without what has no price"


def buy_total_words(view: PlanView, figures: Figures) -> str:
    """What the whole buying list costs, in words; says where prices are missing."""
    total, note = buy_total_minor(view), buy_total_note(view)
    if not total:
        return note
    words = (*delivery_words(view, figures), f"together {figures.money(total)}", note)
    return ", ".join(w for w in words if w)


@dataclass(frozen=True, slots=True)
class JointRow:
    """One joint with its short name and the rule that it follows, where the job has one."""

    key: str
    joint: Joint
    rule: JointRule | None = None
    seam: tuple[Point, Point] | None = None
    """Of a seam inside one piece, cut from sheets joined beforehand: its line on the piece."""

    @property
    def kind_words(self) -> str:
        """Kind of joint; a seam is a scarf that lies in a sheet before a piece is cut from it."""
        return "scarf in a joined sheet" if self.seam else self.joint.kind.value

    @property
    def strap_mm(self) -> float | None:
        """Width of a butt strap over all; None for other kinds. [mm]"""
        if not KINDS[self.joint.kind].has_strap:
            return None
        if self.joint.overlap_mm > 0:
            return self.joint.overlap_mm
        if self.rule is None:
            return None
        return self.rule.strap_width_thicknesses * self.joint.thickness_mm

    @property
    def strap_face_words(self) -> str:
        """Which face a strap goes on."""
        if not KINDS[self.joint.kind].has_strap or self.rule is None:
            return ""
        return f"strap on the {self.rule.strap_face.value}"

    @property
    def angle_deg(self) -> float | None:
        """Angle of a scarf's cut to the face; None for other kinds. [deg]"""
        return scarf_angle_deg(self.joint.slope) if KINDS[self.joint.kind].has_angle else None

    @property
    def slope_words(self) -> str:
        """Slope and angle, ``8:1 = 7.1°``; empty for joints without one."""
        if self.angle_deg is None:
            return ""
        return f"{format_slope(self.joint.slope)} = {self.angle_deg:.1f}°"

    def planed_words(self, which: int) -> str:
        """Which face of piece 0 or 1 is sloped away."""
        return {Face.GOOD: "good face", Face.BACK: "back", None: ""}[self.joint.planed[which]]


def joint_rows(view: PlanView) -> tuple[JointRow, ...]:
    """Every joint in the plan's order, then the seams inside pieces, sheet by sheet."""
    rules = {p.name: p.joint for p in view.verified.job.sheet_parts}
    rules |= {p.name: p.joint for p in view.verified.job.rail_parts}
    rows = [JointRow(key, joint, rules.get(joint.part)) for key, joint in view.joints]
    rows += [
        JointRow(f"S{k}", joint, None, line)
        for k, (joint, line) in enumerate(seam_joints(view), start=1)
    ]
    return tuple(rows)
