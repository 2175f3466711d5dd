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
        s.material
        for s in stock
        if abs(s.thickness_mm - thickness) < SAME_LENGTH_MM and part.material in {"", s.material}
    ]
    if not fitting:
        return _no_stock(part.name, where, part.material, thickness, stock)
    kinds = sorted(set(fitting))
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
        b.material
        for b in boards
        if rail.material in {"", b.material}
        and min(abs(b.thickness_mm - rail.thickness_mm), abs(b.thickness_mm - rail.width_mm))
        < SAME_LENGTH_MM
    ]
    if not fitting:
        return _no_stock(rail.name, rail.name, rail.material, rail.thickness_mm, boards)
    kinds = sorted(set(fitting))
    if len(kinds) > 1:
        return Finding(
            code="JOB-017",
            severity=Severity.QUESTION,
            where=rail.name,
            message=f"'{rail.name}' names no material, and several boards are as thick.",
            remedy=f"Add material = ... ({', '.join(kinds)}).",
        )
    return kinds[0]


def _no_stock(
    name: str,
    where: str,
    material: str,
    thickness_mm: float,
    stock: Iterable[SheetStock | BoardStock],
) -> Finding:
    there = sorted({f"{s.material} {s.thickness_mm:g} mm" for s in stock}) or ["none at all"]
    wanted = f"{material} {thickness_mm:g} mm".strip()
    return Finding(
        code="JOB-016",
        severity=Severity.ERROR,
        where=where,
        message=f"no stock for '{name}' ({wanted}).",
        remedy=f"Add the stock, or use one that is there: {', '.join(there)}.",
    )
