"""``joint`` tables of parts and rails to joint rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from typing import TypeGuard

from nestcut.errors import Severity
from nestcut.facts import Length, Slope
from nestcut.jobfile.book import FindingBook
from nestcut.jobfile.tables import Table
from nestcut.joints.arithmetic import plank_stagger_mm
from nestcut.joints.kinds import KINDS, Weakness
from nestcut.model.joint import (
    Accept,
    Face,
    JointAxis,
    JointKind,
    JointRule,
    KeepClear,
    LapFacing,
    Lines,
)
from nestcut.model.part import Hands
from nestcut.trade import joints as trade
from nestcut.units import LengthError, LengthStyle, parse_length_mm

_NONE = "none"
"""What stands in place of keep_clear = [] where nothing must be kept clear."""
_LEAST_STRAP = 1.0
"""Narrower straps were meant in another unit. [-]"""


def read_joint(table: Table | None, default_slope: float, thickness_mm: float) -> JointRule | None:
    """Read a ``joint`` table of a part so thick; None where absent or faulty. [mm]

    Parameters
    ----------
    default_slope
        Slope of a scarf unless said, run over thickness.
    thickness_mm
        Of the part. [mm]
    """
    if table is None:
        return None
    is_open = places_are_open(table)
    at = None if not table.has("at") else () if is_open else table.lengths("at")
    rule = JointRule(
        kind=table.choice("kind", JointKind, JointKind.SCARF),
        accept=table.choice("accept", Accept),
        slope=table.slope("slope", default_slope),
        axis=table.choice("along", JointAxis, JointAxis.LENGTH),
        at_mm=at,
        keep_clear=() if is_open else _read_stretches(table),
        lines=Lines.IGNORED if _says_none(table) else Lines.AVOIDED,
        min_piece_mm=table.length("least_piece", 0.0),
        max_joints=table.count("most_joints", least=0) if table.has("most_joints") else None,
        stagger_mm=_read_stagger(table),
        is_stagger_said=table.has("stagger") or table.has("stagger_frames"),
        stagger_with=table.texts("stagger_with"),
        lap_facing=table.choice("lap", LapFacing, LapFacing.EITHER),
        strap_width_thicknesses=_read_strap_width(table, thickness_mm),
        strap_face=table.choice("strap_face", Face, Face.BACK),
        strap_margin_mm=table.length("strap_margin"),
        run_out=table.slope("run_out"),
        key_bit_mm=table.positive("bit"),
        key_clearance_mm=table.length("key_clearance"),
    )
    if not is_open:
        table.close()
    written = table.value("at")
    if at is not None and any(b <= a for a, b in pairwise(at)):
        table.fault(
            "at",
            "JOB-015",
            "JOB-291",
            shown="; ".join(map(str, written)) if isinstance(written, list) else str(written),
        )
    _refuse_weak(table, rule)
    if at is None and table.value("keep_clear") in (None, ""):
        ask_what_is_kept_clear(table.book, table.where("keep_clear"))
    return rule if table.is_sound else None


_CLEAR = {LengthStyle.MM: ("1.2 m", "100 mm"), LengthStyle.INCH: ("4ft", "4in")}


def ask_what_is_kept_clear(book: FindingBook, where: str) -> None:
    """Ask where no joint may lie, with an example in the units that the job shows.

    Parameters
    ----------
    where
        Key path of the answer.
    """
    at, within = _CLEAR[book.style]
    book.tell("JOB-091", where, Severity.QUESTION, at=at, within=within)


_PLACES = ("at", "from", "to")


def places_are_open(table: Table) -> bool:
    """Whether places of joints are known only with the part's outline and the table of offsets.

    They are where they name a station, or are counted otherwise than from the part's start.
    """
    stretches = table.data.get("keep_clear")
    written = [table.data]
    written += [t for t in stretches if isinstance(t, Mapping)] if _is_list(stretches) else []
    if isinstance(stretches, Mapping):
        written.append(stretches)
    if any("measured_from" in each for each in written):
        return True
    values = (each.get(key) for each in written for key in _PLACES)
    return any(_may_be_station(v) for value in values for v in _listed(value))


def _is_list(value: object) -> TypeGuard[list[object]]:
    return isinstance(value, list)


def _listed(value: object) -> list[object]:
    return value if isinstance(value, list) else [value]


def _may_be_station(value: object) -> bool:
    """Whether a value is text that isn't a length by itself."""
    if not isinstance(value, str) or not value.strip():
        return False
    try:
        parse_length_mm(value)
    except LengthError:
        return True
    return False


def _read_strap_width(table: Table, thickness_mm: float) -> float:
    """Width of a strap in thicknesses, which may be written as a length. [-]"""
    most = trade.MOST_STRAP_THICKNESSES.value
    if not isinstance(table.value("strap_width"), str):
        return table.number("strap_width", low=_LEAST_STRAP, high=most)
    width = table.positive("strap_width")
    wide = width / thickness_mm
    if table.is_sound and not _LEAST_STRAP <= wide <= most:
        table.told("strap_width", "JOB-096", width=Length(width), thickness=Length(thickness_mm),
                   least=f"{_LEAST_STRAP:g}", most=f"{most:g}")  # fmt: skip
    return wide


def apart_from_the_twin(rule: JointRule, thickness_mm: float, hands: Hands) -> JointRule:
    """Stagger a part's joints with the other hand's where nobody says anything of their places.

    Parameters
    ----------
    thickness_mm
        Of the part. [mm]
    """
    if rule.at_mm is not None or rule.is_stagger_said or hands is not Hands.PAIR:
        return rule
    taken = 2.0 * KINDS[rule.kind].reach_mm(rule, thickness_mm)
    return replace(rule, stagger_mm=trade.TWIN_STAGGER_OVERLAPS.value * taken)


def _refuse_weak(table: Table, rule: JointRule) -> None:
    """Refuse a joint that practice finds too weak, unless the job accepts it."""
    if rule.accept is Accept.WEAK:
        return
    match KINDS[rule.kind].weakness(rule):
        case Weakness.STEEP:
            least = Slope(trade.LEAST_SLOPE.value)
            table.told("slope", "JOB-092", slope=Slope(rule.slope), least=least)
        case Weakness.NARROW:
            least_strap = trade.LEAST_STRAP_THICKNESSES.value
            table.told(
                "strap_width", "JOB-093", wide=rule.strap_width_thicknesses, least=least_strap
            )
        case Weakness.NONE:
            pass


def _says_none(table: Table) -> bool:
    """Whether the job says that there is nothing to keep clear of."""
    value = table.value("keep_clear")
    return value == [] or (isinstance(value, str) and value.strip().lower() == _NONE)


def _read_stretches(table: Table) -> tuple[KeepClear, ...]:
    """Read the stretches without a joint; "none" is as good as an empty list."""
    if str(table.value("keep_clear")).strip().lower() in {_NONE, ""}:
        return ()
    return tuple(_read_keep_clear(t) for t in table.tables("keep_clear"))


def _read_stagger(table: Table) -> float:
    """Read a distance, or a number of frame spaces; without their size it is 5 ft. [mm]"""
    if not table.has("stagger_frames"):
        return table.length("stagger", 0.0)
    if table.has("stagger"):
        table.fault(
            "stagger_frames",
            "JOB-015",
            "JOB-292",
        )
        table.length("stagger")
    space = table.positive("frame_space") if table.has("frame_space") else None
    return plank_stagger_mm(table.count("stagger_frames", 0), space)


def _read_keep_clear(table: Table) -> KeepClear:
    if table.has("at"):
        middle, half = table.length("at"), table.length("within")
        start, end = middle - half, middle + half
    else:
        start, end = table.length("from"), table.length("to")
    why = table.text("why", "keep clear")
    table.close()
    return KeepClear(from_mm=min(start, end), to_mm=max(start, end), reason=why)
