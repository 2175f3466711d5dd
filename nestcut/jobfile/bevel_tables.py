"""``bevels = [...]`` of a part: words, or tables that name an edge."""

from __future__ import annotations

from collections.abc import Mapping

from nestcut.facts import Names
from nestcut.geometry.edges import Side
from nestcut.jobfile.asked import repr_toml
from nestcut.jobfile.records import BevelText
from nestcut.jobfile.tables import Table
from nestcut.model.joint import Face

MOST_TILT_DEG = 80.0
"""A bevel flatter than this to the face is a misreading. [deg]"""


def read_bevels(table: Table) -> tuple[tuple[str, ...], tuple[BevelText, ...]]:
    """Read a part's bevels: those in words alone, and those that name their edge."""
    value = table.value("bevels")
    items = value if isinstance(value, list) else [] if value is None else [value]
    words: list[str] = []
    placed: list[BevelText] = []
    for number, item in enumerate(items, start=1):
        key = f"bevels[{number}]"
        if isinstance(item, str):
            words.append(item)
        elif isinstance(item, Mapping):
            entry = Table(item, table.where(key), table.book, table.bare)
            placed.append(_read_bevel(entry))
            table.is_sound = table.is_sound and entry.is_sound
        else:
            table.fault(
                key,
                "JOB-005",
                "JOB-226",
                shown=repr_toml(item),
            )
    return tuple(words), tuple(placed)


def _read_bevel(table: Table) -> BevelText:
    sides = _read_sides(table)
    near = table.point("near") if table.has("near") else None
    if (near is not None) == bool(sides) and table.is_sound:
        table.fault("edge", "JOB-011", "JOB-266" if near is None else "JOB-267")
    bevel = BevelText(
        path=table.path,
        sides=sides,
        near=near,
        larger=table.choice("larger", Face),
        tilt_deg=_read_tilt(table),
        words=table.text("words"),
    )
    table.close()
    return bevel


def _read_sides(table: Table) -> tuple[Side, ...]:
    value = table.value("edge")
    items = value if isinstance(value, list) else [] if value is None else [value]
    known = {side.value: side for side in Side}
    sides: list[Side] = []
    for item in items:
        side = known.get(str(item).strip().lower())
        if side is None:
            table.fault(
                "edge",
                "JOB-008",
                "JOB-251",
                shown=repr_toml(item),
                choices=Names(tuple(known)),
            )
        elif side not in sides:
            sides.append(side)
    return tuple(sides)


def _read_tilt(table: Table) -> tuple[float, float] | None:
    """Tilt at both ends as written: one number, or two where it changes along the edge. [deg]"""
    value = table.value("tilt")
    if value is None:
        return None
    items = value if isinstance(value, list) and len(value) == 2 else [value]
    try:
        tilts = [float(str(v)) for v in items]
    except ValueError:
        tilts = []
    if not tilts or not all(0.0 < t <= MOST_TILT_DEG for t in tilts):
        table.fault(
            "tilt",
            "JOB-007",
            "JOB-244",
            shown=repr_toml(value),
            most=f"{MOST_TILT_DEG:g}",
        )
        return None
    return tilts[0], tilts[-1]
