"""``bevels = [...]`` of a part: words, or tables that name an edge."""

from __future__ import annotations

from collections.abc import Mapping

from nestcut.geometry.edges import Side
from nestcut.jobfile.asked import repr_toml
from nestcut.jobfile.records import BevelText
from nestcut.jobfile.tables import Table
from nestcut.model.joint import Face

MOST_TILT_DEG = 80.0
"""A bevel flatter than this to the face is a misreading. [deg]"""
_EXAMPLE = 'bevels = [{ edge = "bottom", larger = "good face", tilt = 12 }]'


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
                f"{repr_toml(item)} is neither words in quotes nor a bevel's table.",
                f"Write for example {_EXAMPLE}.",
            )
    return tuple(words), tuple(placed)


def _read_bevel(table: Table) -> BevelText:
    sides = _read_sides(table)
    near = table.point("near") if table.has("near") else None
    if (near is not None) == bool(sides) and table.is_sound:
        what = "no edge is named" if near is None else "the edge is named twice"
        table.fault(
            "edge",
            "JOB-011",
            f"{what}.",
            "Write edge = with bottom, right, top or left (or a list of them), or near = [x, y], "
            "a point by the edge in the part's drawing.",
        )
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
                f"{repr_toml(item)} is not one of the choices.",
                f"Choose from: {', '.join(known)}.",
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
            f"{repr_toml(value)} is no angle off square.",
            f"Write degrees from 0 to {MOST_TILT_DEG:g}, or two of them where the bevel changes "
            "along the edge: tilt = [8, 15].",
        )
        return None
    return tilts[0], tilts[-1]
