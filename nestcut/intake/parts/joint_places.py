"""Places of joints that name a station, or are counted from the bow, along the part itself."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nestcut.facts import Length, Names
from nestcut.geometry.rings import true_bounds_mm
from nestcut.jobfile.choices import CountedFrom
from nestcut.jobfile.tables import Table
from nestcut.model.joint import JointAxis, JointRule, KeepClear
from nestcut.model.part import End, SheetPart, bow_end
from nestcut.model.shape import MarkUse
from nestcut.shapes.known import Known
from nestcut.shapes.ruler import Ruler
from nestcut.trade.joints import KEEP_CLEAR_WITHIN_MM

_Span = tuple[float, float]
"""Least and greatest place along a part, from its start. [mm]"""


def with_places(rule: JointRule, table: Table, scale: Scale) -> JointRule:
    """Rule with the places of its table read on the part's own scale.

    Faults are recorded with the table.
    """
    usual = table.choice("measured_from", CountedFrom)
    at = None
    if table.has("at"):
        read = [scale.place(table, f"at[{i}]", v, usual) for i, v in enumerate(table.plain("at"))]
        at = tuple(sorted((low + high) / 2.0 for low, high in (p for p in read if p is not None)))
    stretches = []
    if not isinstance(table.value("keep_clear"), str):
        stretches = [_stretch(t, usual, scale) for t in table.tables("keep_clear")]
    table.close()
    kept = tuple(s for s in stretches if s is not None)
    return replace(rule, at_mm=at, keep_clear=(*rule.keep_clear, *kept))


def _stretch(table: Table, usual: CountedFrom, scale: Scale) -> KeepClear | None:
    """A stretch about a place, or between two."""
    counted = table.choice("measured_from", CountedFrom) if table.has("measured_from") else usual
    why = table.text("why")
    if table.has("at"):
        within = table.length("within", KEEP_CLEAR_WITHIN_MM.value)
        spans = [scale.place(table, "at", table.value("at"), counted)]
    else:
        within, ends = 0.0, ("from", "to")
        for key in ends:
            if not table.has(key):
                table.absent(key, "length or station")
        spans = [scale.place(table, k, table.value(k), counted) for k in ends if table.has(k)]
    table.close()
    known = [s for s in spans if s is not None]
    if not table.is_sound or len(known) < len(spans):
        return None
    low, high = min(s[0] for s in known), max(s[1] for s in known)
    return KeepClear(from_mm=low - within, to_mm=high + within, reason=why)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """A part's own scale, and the names of places on it.

    ``marks`` are lines across the part by their labels.
    """

    ruler: Ruler
    known: Known
    marks: dict[str, _Span]

    def place(self, table: Table, key: str, value: object, counted: CountedFrom) -> _Span | None:
        """Read a station's name or a length; None where it is at fault, which is told. [mm]

        Parameters
        ----------
        key
            Key of the table, for faults.
        value
            As it is written there.
        """
        if isinstance(value, str) and self._is_name(value):
            return self._named(table, key, value)
        n_told = len(table.book.findings)
        length = table.read_length(key, value)
        if len(table.book.findings) > n_told:
            return None
        if counted is CountedFrom.TABLE:
            if self.known.table is None:
                table.told(key, "JOB-103")
                return None
            return self._forward(table, key, value, self.known.table.forward_mm(length))
        return self._along(table, key, length, counted)

    def _is_name(self, value: str) -> bool:
        name = value.strip().lower()
        is_station = self.known.station_mm(value) is not None or name.startswith("station")
        return is_station or name in self.marks

    def _named(self, table: Table, key: str, value: str) -> _Span | None:
        """Where a line across the part, or a station, lies along it."""
        name = value.strip().lower()
        for called in (name, f"station {name}"):
            if called in self.marks:
                return self.marks[called]
        forward = self.known.station_mm(value)
        if forward is not None:
            return self._forward(table, key, value, forward)
        names = Names(self.known.station_names or ("none so far",))
        table.told(key, "JOB-102", name=value, stations=names)
        return None

    def _forward(self, table: Table, key: str, value: object, forward_mm: float) -> _Span | None:
        of_forward = self.ruler.of_forward
        if of_forward is None:
            table.told(key, "JOB-104", place=str(value))
            return None
        span = of_forward(forward_mm)
        if span is None:
            table.told(key, "JOB-105", place=str(value))
        return span

    def _along(
        self, table: Table, key: str, length_mm: float, counted: CountedFrom
    ) -> _Span | None:
        bow = self.ruler.bow
        if counted is not CountedFrom.START and bow is End.UNSAID:
            table.told(key, "JOB-106", end=str(counted))
            return None
        is_far = (counted is CountedFrom.BOW and bow is End.FAR) or (
            counted is CountedFrom.STERN and bow is End.START
        )
        if length_mm > self.ruler.length_mm:
            whole = Length(self.ruler.length_mm)
            table.told(key, "JOB-107", place=Length(length_mm), length=whole)
            return None
        at = self.ruler.length_mm - length_mm if is_far else length_mm
        return at, at


def scale_of_part(part: SheetPart, ruler: Ruler | None, known: Known) -> Scale:
    """Scale of a flat part, along the size that its pieces follow."""
    axis = JointAxis.LENGTH if part.joint is None else part.joint.axis
    along = 0 if axis is JointAxis.LENGTH else 1
    bounds = true_bounds_mm(part.shape.outline)
    start, size = bounds[along], bounds[along + 2] - bounds[along]
    marks: dict[str, _Span] = {}
    for mark in part.shape.marks:
        if mark.use is MarkUse.PLAIN and mark.label:
            places = [p[along] - start for p in mark.points]
            marks.setdefault(mark.label.strip().lower(), (min(places), max(places)))
    bow = bow_end(part.bearings, axis)
    if ruler is None or axis is JointAxis.WIDTH:
        return Scale(ruler=Ruler(length_mm=size, bow=bow), known=known, marks=marks)
    return Scale(ruler=replace(ruler, bow=bow), known=known, marks=marks)


def said_start(table: Table) -> End:
    """Which end of a rail without a line lies towards the bow, by what its joint is counted from.

    Such a rail is straight and looks alike from both ends: it starts where the job counts from.
    """
    match table.data.get("measured_from"):
        case CountedFrom.BOW:
            return End.START
        case CountedFrom.STERN:
            return End.FAR
        case _:
            return End.UNSAID


def scale_of_rail(ruler: Ruler, known: Known) -> Scale:
    """Scale of a rail."""
    return Scale(ruler=ruler, known=known, marks={})
