"""Where the material goes: every sheet and board divided into shares that add up as printed.

A sheet is divided without overlap, in this order: pieces, then the saw's kerf round them, offcuts
to keep, edge trim, keep-outs, and what is left is waste.  Figures are whole steps (0.001 m2 or
0.01 ft2, thousandths, cents), divided by largest remainder, so that rows and columns add up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.geometry.usable import usable_area
from nestcut.model.plan import BuyLine
from nestcut.model.stock import BoardStock
from nestcut.papers.view import BoardView, Figures, Keep, PlanView, SheetView, keeps_of, shared_out

ARC_SEGMENTS = 4
"""Segments per quarter circle when the kerf is drawn round a piece."""


class Share(StrEnum):
    """What a part of a sheet or board becomes."""

    PIECES = "pieces"
    KERF = "kerf"
    OFFCUTS = "offcuts kept"
    TRIM = "trim"
    KEEP_OUT = "kept out"
    WASTE = "waste"


SHARES = tuple(Share)


@dataclass(frozen=True, slots=True)
class UsageLine:
    """One sheet, board, material or the job; tuples follow :data:`SHARES` and add up.

    ``shares_mm2`` are the areas themselves, ``area_steps`` the same in steps of
    :attr:`Figures.area_grain_mm2`, ``thousandths`` of its area, ``money_minor`` of what was paid.
    """

    label: str
    stock: str
    material: str
    shares_mm2: tuple[float, ...]
    area_steps: tuple[int, ...]
    money_minor: tuple[int, ...]

    @property
    def thousandths(self) -> tuple[int, ...]:
        """Shares of the whole area, from the areas before they were rounded."""
        return shared_out(1000, self.shares_mm2)

    @property
    def area_total(self) -> int:
        """Whole area in steps."""
        return sum(self.area_steps)

    @property
    def money_total(self) -> int:
        """Whole price in minor units."""
        return sum(self.money_minor)


@dataclass(frozen=True, slots=True)
class Usage:
    """All usage figures of a plan; ``over`` are sheets and boards bought that nothing is cut from.

    Its lines and ``deliveries_minor`` add up to what the buying list comes to.
    """

    sheets: tuple[UsageLine, ...]
    boards: tuple[UsageLine, ...]
    over: tuple[UsageLine, ...]
    sheet_materials: tuple[UsageLine, ...]
    board_materials: tuple[UsageLine, ...]
    job: UsageLine
    deliveries_minor: int

    @property
    def lines(self) -> tuple[UsageLine, ...]:
        """Every line, single ones first, then sums."""
        return (
            *self.sheets,
            *self.boards,
            *self.over,
            *self.sheet_materials,
            *self.board_materials,
            self.job,
        )


def usage_of(view: PlanView, figures: Figures) -> Usage:
    """Divide every sheet and board of a plan and add up by material and for the job."""
    rules = view.verified.job.cutting
    views = tuple(s for s in view.sheets if not s.is_beside_rails)  # those are among the boards
    sheets = tuple(
        _line(
            s.label,
            s.layout.stock,
            s.layout.stock
            if isinstance(s.stock, BoardStock)
            else _material_name(s.material, s.layout.thickness_mm, figures),
            sheet_shares_mm2(s, rules.on(s.stock).kerf_mm, keeps_of(s, rules, figures)),
            s.price_minor,
            figures,
        )
        for s in views
    )
    boards = tuple(
        _line(
            b.label,
            b.layout.stock,
            b.layout.stock,
            board_shares_mm2(b, rules.on(b.stock).kerf_mm),
            b.price_minor,
            figures,
        )
        for b in view.boards
    )
    sawn = tuple(
        line for line, s in zip(sheets, views, strict=True) if isinstance(s.stock, BoardStock)
    )
    wide = {b.name for b in view.verified.job.board_stocks}
    over = tuple(_over(b, view, figures) for b in view.verified.plan.buy if b.over)
    flat = (*(x for x in sheets if x not in sawn), *(x for x in over if x.stock not in wide))
    # a board is a board, whatever is sawn from it
    long = (*sawn, *boards, *(x for x in over if x.stock in wide))
    return Usage(
        sheets,
        boards,
        over,
        _by_material(flat),
        _by_material(long),
        _sum("whole job", "", (*sheets, *boards, *over)),
        sum(d.fee_minor for d in view.verified.plan.deliveries),
    )


def _over(line: BuyLine, view: PlanView, figures: Figures) -> UsageLine:
    """What is bought beyond need is kept, whole."""
    sheets = {s.name: s for s in view.verified.job.sheet_stocks}
    sheet = sheets.get(line.stock)
    material = (
        line.stock if sheet is None else _material_name(sheet.material, sheet.thickness_mm, figures)
    )
    area = line.over * line.length_mm * line.width_mm
    shares = tuple(area if s is Share.OFFCUTS else 0.0 for s in SHARES)
    price = line.over * line.price_minor
    return _line(f"{line.over} over", line.stock, material, shares, price, figures)


def usage_notes(usage: Usage, figures: Figures) -> tuple[str, ...]:
    """What isn't in the rows or needs a word: spares, and what bringing it all costs."""
    notes = []
    if usage.over:
        notes.append("What is over (spares, the rest of packs) is kept whole.")
    if usage.deliveries_minor:
        together = usage.job.money_total + usage.deliveries_minor
        notes.append(
            f"Deliveries, {figures.money(usage.deliveries_minor)}, are in no row; with them it is "
            f"{figures.money(together)}."
        )
    return tuple(notes)


def sheet_shares_mm2(sheet: SheetView, kerf_mm: float, keeps: Sequence[Keep]) -> tuple[float, ...]:
    """Areas of one sheet after :data:`SHARES`; they add up to the sheet. [mm2]

    Parameters
    ----------
    kerf_mm
        What the blade takes. [mm]
    keeps
        Offcuts as its page has them: what a first cut leaves beside its pieces isn't kept.
    """
    whole = Polygon(sheet.outline)
    pieces = shapely.union_all([p.polygon for p in sheet.placed])
    regions: list[BaseGeometry] = [pieces.intersection(whole)]
    regions.append(pieces.buffer(kerf_mm, quad_segs=ARC_SEGMENTS))
    regions.append(shapely.union_all([box(*k.from_mm, *k.to_mm) for k in keeps]))
    regions.append(whole.difference(usable_area(sheet.usable)))
    regions.append(shapely.union_all([Polygon(k.points) for k in sheet.layout.barred]))
    areas: list[float] = []
    taken: BaseGeometry = Polygon()
    for region in regions:
        fresh = region.intersection(whole).difference(taken)
        areas.append(float(fresh.area))
        taken = shapely.union(taken, fresh)
    areas.append(max(0.0, float(whole.area) - math.fsum(areas)))
    return tuple(areas)


def board_shares_mm2(board: BoardView, kerf_mm: float) -> tuple[float, ...]:
    """Areas of one board's wide face after :data:`SHARES`; they add up to the board. [mm2]"""
    layout = board.layout
    whole = box(0.0, 0.0, layout.length_mm, layout.width_mm)
    pieces = shapely.union_all(
        [
            *(
                box(c.cut.from_mm, c.cut.rip_from_mm, c.cut.to_mm, c.cut.rip_to_mm)
                for c in board.cuts
            ),
            *(p.polygon for b in board.blanks for p in b.sawn),
        ]
    )
    kerf = pieces.buffer(kerf_mm, join_style="mitre")
    usable = box(
        board.end_trim_mm,
        board.edge_trim_mm,
        layout.length_mm - board.end_trim_mm,
        layout.width_mm - board.edge_trim_mm,
    )
    kept = shapely.union_all(
        [box(w.along_mm[0], w.across_mm[0], w.along_mm[1], w.across_mm[1]) for w in board.keeps]
    )
    areas: list[float] = []
    taken: BaseGeometry = Polygon()
    for region in (pieces, kerf, kept, whole.difference(usable), Polygon()):
        fresh = region.intersection(whole).difference(taken)
        areas.append(float(fresh.area))
        taken = shapely.union(taken, fresh)
    areas.append(max(0.0, float(whole.area) - math.fsum(areas)))
    return tuple(areas)


def _material_name(material: str, thickness_mm: float, figures: Figures) -> str:
    return f"{material}, {figures.called(thickness_mm)}"


def _line(
    label: str,
    stock: str,
    material: str,
    shares_mm2: tuple[float, ...],
    price_minor: int,
    figures: Figures,
) -> UsageLine:
    steps = shared_out(round(math.fsum(shares_mm2) / figures.area_grain_mm2), shares_mm2)
    money = shared_out(price_minor, shares_mm2)
    return UsageLine(label, stock, material, shares_mm2, steps, money)


def _by_material(lines: tuple[UsageLine, ...]) -> tuple[UsageLine, ...]:
    names = sorted({line.material for line in lines})
    return tuple(
        _sum(f"all {name}", name, tuple(x for x in lines if x.material == name)) for name in names
    )


def _sum(label: str, material: str, lines: tuple[UsageLine, ...]) -> UsageLine:
    every = range(len(SHARES))
    shares = tuple(math.fsum(line.shares_mm2[k] for line in lines) for k in every)
    steps = tuple(sum(line.area_steps[k] for line in lines) for k in every)
    money = tuple(sum(line.money_minor[k] for line in lines) for k in every)
    return UsageLine(label, "", material, shares, steps, money)
