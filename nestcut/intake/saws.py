"""Which saw cuts which stock, where several are named."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TypeVar

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Names
from nestcut.jobfile.records import JobText
from nestcut.model.part import CutFrom, RailPart, SheetPart
from nestcut.model.stock import BoardStock, Saw, SheetStock
from nestcut.tolerances import SAME_LENGTH_MM

Stock = TypeVar("Stock", SheetStock, BoardStock)


def with_saws(
    text: JobText, parts: Iterable[SheetPart], rails: Iterable[RailPart]
) -> tuple[tuple[SheetStock, ...], tuple[BoardStock, ...]]:
    """Sheets and boards with the saw that cuts them.

    Stock that names none is cut with what the parts that may come from it name; where these differ,
    the saw that takes most rules, so that every cut has its room.
    """
    wishes: list[tuple[str, tuple[float, ...], str, CutFrom]] = [
        (p.material, (p.thickness_mm,), text.part_saws.get(p.name, ""), p.cut_from) for p in parts
    ]
    wishes += [
        (r.material, r.sawn_mm, text.part_saws.get(r.name, ""), CutFrom.BOARD) for r in rails
    ]

    def cut(stock: Stock, source: CutFrom) -> Stock:
        own = text.stock_saws.get(stock.name, "")
        if own:
            return replace(stock, saw=text.saws.get(own))
        names = {
            saw
            for material, sizes, saw, cut_from in wishes
            if material == stock.material
            and cut_from is source
            and any(abs(t - stock.thickness_mm) < SAME_LENGTH_MM for t in sizes)
        }
        known = [text.saws[n] for n in sorted(names) if n in text.saws]
        if not known:
            return stock
        if "" in names:
            rules = text.cutting
            known.append(Saw(name="", kerf_mm=rules.kerf_mm, gap_mm=rules.gap_mm))
        return replace(stock, saw=max(known, key=lambda s: (s.kerf_mm + s.gap_mm, s.kerf_mm)))

    return (
        tuple(cut(s, CutFrom.SHEET) for s in text.sheets),
        tuple(cut(b, CutFrom.BOARD) for b in text.boards),
    )


def unknown_saws(text: JobText) -> tuple[Finding, ...]:
    """Name saws that stock or parts ask for although none is called so."""
    names = Names(tuple(text.saws) or ("none has a name",))
    asked = {**text.stock_saws, **text.part_saws}
    return tuple(
        replace(finding("JOB-061", Severity.ERROR, where, name=saw, saws=names), file=text.file)
        for where, saw in asked.items()
        if saw and saw not in text.saws
    )
