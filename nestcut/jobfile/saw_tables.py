"""The tables of saws: what the usual one takes, others by name, and which tables ask for them."""

from __future__ import annotations

from nestcut.errors import Severity
from nestcut.facts import Length
from nestcut.jobfile.book import FindingBook
from nestcut.jobfile.tables import Table
from nestcut.model.job import CuttingRules
from nestcut.model.stock import Saw
from nestcut.tolerances import FLATNESS_MM
from nestcut.tolerances.lengths import LEAST_FLATNESS_MM
from nestcut.units import LengthStyle

_KERF = {LengthStyle.MM: "2 mm", LengthStyle.INCH: "1/8in"}
"""A kerf to show how it is written."""
_MOST_KERF_MM, _MOST_GAP_MM = 25.0, 500.0
"""More is a slip of the unit. [mm]"""


def read_cutting(root: Table, assumed: list[str]) -> CuttingRules:
    """Rules of the usual saw, which is the first."""
    tables = root.tables("saw")
    if not tables:
        if root.value("saw") is None:
            root.told("saw", "JOB-058", example=_KERF[root.book.style])
        return CuttingRules(kerf_mm=0.0)
    saw = tables[0]
    drawings = root.table("drawings")
    flatness = FLATNESS_MM if drawings is None else drawings.positive("flatness", FLATNESS_MM)
    if flatness < LEAST_FLATNESS_MM and drawings is not None:
        drawings.told("flatness", "LIM-009", least=Length(LEAST_FLATNESS_MM))
        flatness = FLATNESS_MM
    reserve = saw.lengths("reserve")
    if saw.has("reserve") and (len(reserve) != 2 or min(reserve) <= 0):
        saw.told("reserve", "JOB-059")
    if not saw.has("gap"):
        assumed.append("no extra gap between pieces: only the kerf is kept")
    usual = _read_saw(saw)
    return CuttingRules(
        kerf_mm=usual.kerf_mm,
        gap_mm=usual.gap_mm,
        flatness_mm=flatness,
        reserve_mm=(reserve[0], reserve[1]) if len(reserve) == 2 else None,
    )


def read_saws(root: Table) -> dict[str, Saw]:
    """Saws by name, beside the usual one; doubled names are told."""
    saws: dict[str, Saw] = {}
    for number, table in enumerate(root.tables("saw")):
        fresh = Table(table.data, table.path, FindingBook(table.book.file), table.bare)
        saw = _read_saw(fresh if number == 0 else table)  # the first one is read already
        if saw.name in saws or (number and not saw.name):
            table.told("name", "JOB-060", name=saw.name)
        if saw.name:
            saws[saw.name] = saw
    return saws


def _read_saw(table: Table) -> Saw:
    saw = Saw(name=table.text("name"), kerf_mm=table.length("kerf"), gap_mm=table.length("gap"))
    if saw.kerf_mm > _MOST_KERF_MM:
        table.told("kerf", "JOB-056", width=Length(saw.kerf_mm))
    if saw.gap_mm > _MOST_GAP_MM:
        table.told("gap", "JOB-056", width=Length(saw.gap_mm))
    if saw.kerf_mm == 0:
        table.book.tell("JOB-024", table.where("kerf"), Severity.WARNING)
    table.close()
    return saw


def saws_asked(root: Table, entry: str) -> dict[str, str]:
    """Names of the saws that tables of one kind ask for, by the tables' names."""
    tables = [t for t in root.tables(entry) if "saw" in t.data]
    return {str(t.data.get("name")): t.text("saw") for t in tables}
