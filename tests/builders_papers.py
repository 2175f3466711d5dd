"""Verified plans made by hand, for papers: a small one, a whole boat of 60 pieces, random ones.

Nothing here is searched for; pieces are set on shelves.
"""

from __future__ import annotations

import math

import numpy as np

from nestcut.errors import Finding, Severity
from nestcut.facts import Facts, Length, fact
from nestcut.model.job import CuttingRules, Job
from nestcut.model.part import Faces, Hands, SheetPart, Turning
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import (
    Bound,
    BuyLine,
    Counted,
    Offcut,
    Plan,
    SheetLayout,
    StopReason,
    Unplaced,
    VerifiedPlan,
)
from nestcut.model.pose import Lie, Placement
from nestcut.model.shape import Shape
from nestcut.model.stock import BoardLength, BoardStock, KeepOut, SheetStock
from nestcut.units import LengthStyle
from tests.builders_boat import (
    boat_parts,
    joints_of,
    part,
    pieces_of,
    rails_and_boards,
    rectangle,
    ring,
)

SHEET = (2440.0, 1220.0)
GAP = 5.0


def shelved(
    pieces: list[SheetPiece], stock: SheetStock
) -> list[tuple[list[Placement], tuple[Offcut, ...]]]:
    """Set pieces on shelves, tallest first; one list of placements a sheet."""

    def size(p: SheetPiece) -> tuple[float, float]:
        xs = [q[0] for q in p.shape.outline.points]
        ys = [q[1] for q in p.shape.outline.points]
        return max(xs) - min(xs), max(ys) - min(ys)

    sheets: list[tuple[list[Placement], tuple[Offcut, ...]]] = []
    trim = stock.edge_trim_mm
    x, y, height = trim, trim, 0.0
    placed: list[Placement] = []

    def finish() -> None:
        top = y + height + GAP
        spare = (
            Offcut(from_mm=(trim, top), to_mm=(stock.length_mm - trim, stock.width_mm - trim)),
        )
        keep = stock.width_mm - trim - top > 100.0
        sheets.append((list(placed), spare if keep else ()))

    for piece in sorted(pieces, key=lambda p: (-size(p)[1], p.id)):
        length, width = size(piece)
        if x + length > stock.length_mm - trim:
            x, y, height = trim, y + height + GAP, 0.0
        if y + width > stock.width_mm - trim:
            y -= GAP if height == 0.0 else 0.0
            finish()
            placed, x, y, height = [], trim, trim, 0.0
        xs = [q[0] for q in piece.shape.outline.points]
        ys = [q[1] for q in piece.shape.outline.points]
        turn, lie = 0.0, Lie.FACE_UP
        shift = (x - min(xs), y - min(ys))
        if piece.turning is Turning.HALF and len(placed) % 3 == 2:
            turn, shift = 180.0, (x + max(xs), y + max(ys))
        elif piece.faces is Faces.EITHER and len(placed) % 2:
            lie, shift = Lie.FACE_DOWN, (x + max(xs), y - min(ys))
        placed.append(Placement(piece=piece.id, lie=lie, turn_deg=turn, shift_mm=shift))
        x, height = x + length + GAP, max(height, width)
    if placed:
        finish()
    return sheets


def ply(thickness: float, price: int) -> SheetStock:
    return SheetStock(
        name=f"ply {thickness:g} mm",
        material="okoume ply",
        thickness_mm=thickness,
        length_mm=SHEET[0],
        width_mm=SHEET[1],
        price_minor=price,
        edge_trim_mm=5.0,
        keep_outs=(
            KeepOut(
                points=((2380, 1160), (2440, 1160), (2440, 1220), (2380, 1220)),
                reason="split corner",
            ),
        )
        if thickness == 9
        else (),
    )


def whole_boat(style: LengthStyle = LengthStyle.MM) -> VerifiedPlan:
    """About sixty flat pieces and some rails, in three thicknesses."""
    return plan_for(
        "Beach boat <4.7 m> & dinghy",
        boat_parts(),
        [ply(6, 6250), ply(9, 7990), ply(18, 12900)],
        style,
    )


def small_plan(style: LengthStyle = LengthStyle.MM) -> VerifiedPlan:
    """A few pieces, one of each trouble."""
    names = {"side panel", "transom", "quarter knee", "pad"}
    parts = [p for p in boat_parts() if p.name in names]
    return plan_for("small boat", parts, [ply(6, 6250), ply(9, 7990), ply(18, 12900)], style)


def plan_for(
    name: str, parts: list[SheetPart], stocks: list[SheetStock], style: LengthStyle
) -> VerifiedPlan:
    pieces = [p for q in parts for p in pieces_of(q)]
    sheets: list[SheetLayout] = []
    buy: list[BuyLine] = []
    for stock in stocks:
        mine = [p for p in pieces if p.thickness_mm == stock.thickness_mm]
        made = shelved(mine, stock)
        for number, (placements, offcuts) in enumerate(made, start=len(sheets) + 1):
            sheets.append(
                SheetLayout(
                    stock=stock.name,
                    number=number,
                    length_mm=stock.length_mm,
                    width_mm=stock.width_mm,
                    thickness_mm=stock.thickness_mm,
                    outline=stock.outline,
                    edge_trim_mm=stock.edge_trim_mm,
                    keep_outs=stock.keep_outs,
                    placements=tuple(placements),
                    offcuts=offcuts,
                )
            )
        if made:
            buy.append(
                BuyLine(
                    stock=stock.name,
                    count=len(made),
                    price_minor=stock.price_minor,
                    length_mm=stock.length_mm,
                    width_mm=stock.width_mm,
                    thickness_mm=stock.thickness_mm,
                )
            )
    rails, rail_pieces, boards, rail_joints = rails_and_boards()
    board_stock = BoardStock(
        name="pine 20 x 95",
        material="pine",
        thickness_mm=20.0,
        width_mm=95.0,
        lengths=(BoardLength(length_mm=3000.0, price_minor=840),),
        end_trim_mm=10.0,
    )
    buy.append(
        BuyLine(
            stock=board_stock.name,
            count=len(boards),
            price_minor=840,
            length_mm=3000.0,
            width_mm=95.0,
            thickness_mm=20.0,
        )
    )
    job = Job(
        name=name,
        file="boat.toml",
        sha256="0" * 64,
        cutting=CuttingRules(kerf_mm=2.0, gap_mm=3.0),
        sheet_stocks=tuple(stocks),
        board_stocks=(board_stock,),
        sheet_parts=tuple(parts),
        rail_parts=tuple(rails),
        style=style,
        currency="EUR",
        assumed=(
            "the saw takes 2 mm and pieces keep 3 mm more apart",
            "scarf slope 8:1 in plywood, since the job doesn't say",
        ),
    )
    plan = Plan(
        seed=0,
        effort="normal",
        workers=1,
        seconds_limit=None,
        stopped_by=StopReason.WORK_DONE,
        pieces=tuple(pieces),
        rail_pieces=tuple(rail_pieces),
        sheets=tuple(sheets),
        boards=tuple(boards),
        joints=(*(j for p in parts if p.joint for j in joints_of(p)), *rail_joints),
        unplaced=(
            Unplaced(
                piece="spare pad 1",
                reason=fact("SHT-104", material="pad", thickness=Length(4.0), hand=1),
            ),
        ),
        bounds=(
            Bound(
                name="okoume ply, 6 mm",
                measure=Counted.SHEETS,
                lower=2,
                used=2,
                reason=fact("SHT-111"),
            ),
            Bound(name="okoume ply, 9 mm", measure=Counted.SHEETS, lower=2, used=3),
        ),
        buy=tuple(buy),
        findings=(
            Finding(
                code="JNT-004",
                severity=Severity.WARNING,
                where="side panel P1",
                values=(("has", 2), ("most", 1)),
            ),
        ),
    )
    return VerifiedPlan(
        job=job,
        plan=plan,
        checks=(
            fact("CHK-005", pairs=3, where=Facts((fact("PLN-111", n=1),))),
            fact("CHK-012", lines=2),
        ),
    )


def random_plan(seed: int) -> VerifiedPlan:
    """Random convex and long parts, some tiny, some with hostile names."""
    draw = np.random.default_rng(seed)
    parts = []
    for k in range(int(draw.integers(3, 18))):
        corners = int(draw.integers(3, 9))
        length = float(draw.choice([40.0, 120.0, 400.0, 1100.0, 2300.0])) * float(
            draw.uniform(0.5, 1)
        )
        width = min(length, float(draw.choice([25.0, 90.0, 300.0, 600.0]))) * float(
            draw.uniform(0.5, 1)
        )
        angles = sorted(draw.uniform(0, 2 * math.pi, corners).tolist())
        points = [(length / 2 * math.cos(a), width / 2 * math.sin(a)) for a in angles]
        area = sum(
            p[0] * q[1] - q[0] * p[1] for p, q in zip(points, points[1:] + points[:1], strict=True)
        )
        shape = Shape(ring(points)) if area > 200.0 else rectangle(length, width)
        name = str(
            draw.choice(
                [
                    "floor",
                    "=cmd|x",
                    "<b>knee</b>",
                    "Spant Größe",
                    "шпангоут",
                    "very long name of a part that fits nowhere",
                ]
            )
        )
        parts.append(
            part(
                f"{name} {k}",
                shape,
                9,
                count=int(draw.integers(1, 4)),
                hands=Hands.PAIR if draw.random() < 0.3 else Hands.NONE,
                faces=Faces.EITHER,
            )
        )
    style = LengthStyle.INCH if draw.random() < 0.5 else LengthStyle.MM
    return plan_for(f"random {seed}", parts, [ply(9, 7990)], style)
