"""Which material a part or rail is cut from, where the builder left it open."""

from __future__ import annotations

from collections.abc import Iterable

from nestcut.errors import Finding, Severity
from nestcut.jobfile.records import PartText
from nestcut.model.part import CutFrom, RailPart, SheetPart
from nestcut.model.stock import BoardStock, SheetStock
from nestcut.tolerances import SAME_LENGTH_MM


def fill_material(
    part: PartText | SheetPart, sheets: tuple[SheetStock, ...], boards: tuple[BoardStock, ...]
) -> str | Finding:
    """Material of a part: as written, or the only one sold in its thickness; else a finding."""
    thickness = part.thickness_mm
    where = part.path if isinstance(part, PartText) else part.name
    stock: tuple[SheetStock | BoardStock, ...] = (
        sheets if part.cut_from is CutFrom.SHEET else boards
    )
    fitting = [
        s
        for s in stock
        if abs(s.thickness_mm - thickness) < SAME_LENGTH_MM and part.material in {"", s.material}
    ]
    if not fitting:
        entry = "[[sheet]]" if part.cut_from is CutFrom.SHEET else "[[board]]"
        return _no_stock(part.name, where, f"{part.material} {thickness:g} mm", entry, stock)
    kinds = sorted({s.material for s in fitting if _can_be_had(s)})
    if not kinds:
        return _none_left(part.name, where, fitting)
    if len(kinds) > 1:
        return Finding(
            code="JOB-017",
            severity=Severity.QUESTION,
            where=where,
            message=f"'{part.name}' names no material, and several are {thickness:g} mm thick.",
            remedy=f"Add material = ... ({', '.join(kinds)}).",
        )
    return kinds[0]


def fill_rail_material(rail: RailPart, boards: tuple[BoardStock, ...]) -> str | Finding:
    """Material of a rail: as written, or the only board of its thickness; else a finding."""
    fitting = [
        b
        for b in boards
        if rail.material in {"", b.material}
        and min(abs(b.thickness_mm - rail.thickness_mm), abs(b.thickness_mm - rail.width_mm))
        < SAME_LENGTH_MM
    ]
    if not fitting:
        wanted = f"{rail.material} {rail.thickness_mm:g} mm"
        return _no_stock(rail.name, rail.name, wanted, "[[board]]", boards)
    kinds = sorted({b.material for b in fitting if _can_be_had(b)})
    if not kinds:
        return _none_left(rail.name, rail.name, fitting)
    if len(kinds) > 1:
        return Finding(
            code="JOB-017",
            severity=Severity.QUESTION,
            where=rail.name,
            message=f"'{rail.name}' names no material, and several boards are as thick.",
            remedy=f"Add material = ... ({', '.join(kinds)}).",
        )
    return kinds[0]


def _can_be_had(stock: SheetStock | BoardStock) -> bool:
    """Whether there is at least one, to hand or to buy."""
    if isinstance(stock, SheetStock):
        return stock.count is None or stock.count > 0
    return any(offer.count is None or offer.count > 0 for offer in stock.lengths)


def _none_left(name: str, where: str, fitting: Iterable[SheetStock | BoardStock]) -> Finding:
    stocks = ", ".join(f"'{s.name}'" for s in fitting)
    return Finding(
        code="JOB-023",
        severity=Severity.ERROR,
        where=where,
        message=f"there is nothing to cut '{name}' from: {stocks} has count = 0.",
        remedy='Write how many are to hand, or count = "buy".',
    )


def _no_stock(
    name: str,
    where: str,
    wanted: str,
    entry: str,
    stock: Iterable[SheetStock | BoardStock],
) -> Finding:
    there = sorted({f"{s.material} {s.thickness_mm:g} mm" for s in stock})
    wanted = wanted.strip()
    remedy = f"Add a {entry} of {wanted}."
    if there:
        remedy = f"Add a {entry} of it, or use what is there: {', '.join(there)}."
    return Finding(
        code="JOB-016",
        severity=Severity.ERROR,
        where=where,
        message=f"no stock for '{name}' ({wanted}).",
        remedy=remedy,
    )
