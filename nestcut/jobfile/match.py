"""Which material a part or rail is cut from, where the builder left it open."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Facts, Length, Names, fact
from nestcut.jobfile.records import JobText, PartText
from nestcut.model.part import CutFrom, RailPart, SheetPart
from nestcut.model.stock import BoardStock, SheetStock
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.trade.boards import MOST_PLANED_MM


def fill_material(part: PartText | SheetPart, text: JobText) -> str | Finding:
    """Material of a part: as written, or the only one sold in its thickness; else a finding."""
    where = text.paths.get(part.name, part.name)
    stock: tuple[SheetStock | BoardStock, ...] = (
        text.sheets if part.cut_from is CutFrom.SHEET else text.boards
    )
    fitting = [
        s
        for s in stock
        if abs(s.thickness_mm - part.thickness_mm) < SAME_LENGTH_MM
        and part.material in {"", s.material}
    ]
    entry = "[[sheet]]" if part.cut_from is CutFrom.SHEET else "[[board]]"
    wanted = (part.name, part.material, part.thickness_mm)
    return _only_kind(where, wanted, fitting, entry, text)


def fill_rail_material(rail: RailPart, text: JobText) -> str | Finding:
    """Material of a rail: as written, or the only board of its thickness; else a finding."""
    like = [b for b in text.boards if rail.material in {"", b.material}]
    fitting = [
        b for b in like if min(abs(b.thickness_mm - s) for s in rail.sawn_mm) < SAME_LENGTH_MM
    ]
    where = text.paths.get(rail.name, rail.name)
    if not fitting and rail.planed_from_mm is None:
        thicker = _thicker(rail, like)
        if thicker is not None:
            return replace(_planed(f"{where}.planed_from", rail, *thicker), file=text.file)
    wanted = (rail.name, rail.material, rail.planed_from_mm or rail.thickness_mm)
    return _only_kind(where, wanted, fitting, "[[board]]", text)


def _thicker(rail: RailPart, boards: Iterable[BoardStock]) -> tuple[float, BoardStock] | None:
    """Return the side and the board from which it is planed down with the least work, if any is."""
    sides = (rail.thickness_mm, rail.width_mm)
    able = [
        (b.thickness_mm - side, side, b)
        for b in boards
        for side in sides
        if 0.0 < b.thickness_mm - side <= MOST_PLANED_MM.value
        and _can_be_had(b)
        and side == max(s for s in sides if s <= b.thickness_mm)
    ]
    if not able:
        return None
    _, side, board = min(able, key=lambda a: (a[0], a[2].name))
    return side, board


def _planed(where: str, rail: RailPart, side_mm: float, board: BoardStock) -> Finding:
    """Ask whether a rail is planed down from the nearest thicker board."""
    return finding(
        "JOB-111",
        Severity.QUESTION,
        where,
        name=rail.name,
        material=board.material,
        thickness=Length(side_mm),
        board=Length(board.thickness_mm),
        off=Length(board.thickness_mm - side_mm),
    )


def _only_kind(
    where: str,
    wanted: tuple[str, str, float],
    fitting: Iterable[SheetStock | BoardStock],
    entry: str,
    text: JobText,
) -> str | Finding:
    """Return the only material among stock that fits; else what is to be done."""
    kind = _judged(where, wanted, list(fitting), entry, text)
    return kind if isinstance(kind, str) else replace(kind, file=text.file)


def _judged(
    where: str,
    wanted: tuple[str, str, float],
    fitting: list[SheetStock | BoardStock],
    entry: str,
    text: JobText,
) -> str | Finding:
    name, _, thickness = wanted
    if not fitting:
        return _no_stock(where, wanted, entry, text)
    kinds = sorted({s.material for s in fitting if _can_be_had(s)})
    if not kinds:
        stocks = Names(tuple(f"'{s.name}'" for s in fitting))
        return finding("JOB-023", Severity.ERROR, where, name=name, stocks=stocks)
    if len(kinds) > 1:
        several = Names(tuple(kinds))
        thick = Length(thickness)
        return finding(
            "JOB-017", Severity.QUESTION, where, name=name, thickness=thick, materials=several
        )
    return kinds[0]


def _no_stock(where: str, wanted: tuple[str, str, float], entry: str, text: JobText) -> Finding:
    name, material, thickness = wanted
    stock: Iterable[SheetStock | BoardStock] = text.sheets if entry == "[[sheet]]" else text.boards
    there = sorted({(s.thickness_mm, s.material) for s in stock})
    told = tuple(fact("JNT-312", material=m, thickness=Length(t)) for t, m in there)
    values = {"name": name, "material": material or "any material", "entry": entry}
    code = "JOB-016" if told else "JOB-057"
    thick = Length(thickness)
    return finding(code, Severity.ERROR, where, **values, thickness=thick, there=Facts(told))


def _can_be_had(stock: SheetStock | BoardStock) -> bool:
    """Whether there is at least one, to hand or to buy."""
    if isinstance(stock, SheetStock):
        return stock.count is None or stock.count > 0
    return any(offer.count is None or offer.count > 0 for offer in stock.lengths)
