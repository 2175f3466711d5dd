"""Typed getters over parsed TOML that record findings and go on.

A getter that can't give what was asked for records a finding, marks its table as unsound and
returns a harmless stand-in, so that one reading meets every fault.  Keys nobody asked for are
unknown keys; ``close`` reports them with the nearest known one.  What counts where a key is absent
stands in :mod:`nestcut.jobfile.schema`; a caller that works it out hands it in.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Any, TypeVar

from nestcut.facts import Names, Slope
from nestcut.gate import MAX_LENGTH_MM
from nestcut.jobfile.asked import AskedTable, repr_toml
from nestcut.jobfile.schema.records import Key, Need, What
from nestcut.units import (
    LengthError,
    LengthStyle,
    Unit,
    parse_length_mm,
    parse_signed_mm,
    parse_slope,
    unit_named,
)

Choice = TypeVar("Choice", bound=StrEnum)

STAND_IN_MM = 1.0
_MEANT = {
    "both": "pair",
    "pairs": "pair",
    "two": "pair",
    "left": "port",
    "right": "starboard",
    "lengthwise": "along",
    "crosswise": "across",
    "inside": "back",
    "front": "good face",
    "feet": "ft",
    "strap": "butt strap",
    "butt": "butt strap",
}
"""What words of the shop mean, where a choice has another word for it."""

_EXAMPLES = {"name": "side", "material": "ply", "drawing": "hull.dxf", "label": "side"}
"""Texts to show in remedies, by key."""


class Missing(StrEnum):
    """What a getter does when the key is absent."""

    IS_A_FAULT = "fault"
    """Unless the schema says what counts then."""


@dataclass(slots=True)
class Table(AskedTable):
    """One TOML table while it's being read: a getter for each kind of value."""

    def fields(self) -> dict[str, Any]:
        """Read the keys that the schema sends into the table's record as they are: by field.

        A length without a usual value must be above 0.  A key that may be absent and has no usual
        value leaves its field at the record's own default.
        """
        keys = () if self.schema is None else self.schema.keys
        return {
            key.into: self._field(key)
            for key in keys
            if key.into
            and (self.has(key.name) or key.need is Need.NEEDED or key.default is not None)
        }

    def _field(self, key: Key) -> object:
        if isinstance(key.choices, type) and issubclass(key.choices, StrEnum):
            return self.choice(key.name, key.choices)
        read: dict[What, Callable[[str], object]] = {
            What.TEXT: self.text,
            What.COUNT: self.count,
            What.PRICE: self.money_minor,
            What.LENGTH: self.positive if key.default is None else self.length,
            What.POINTS: self.points,
        }
        return read[key.what](key.name)

    # -- texts and choices ----------------------------------------------------------------------

    def text(self, key: str, default: str | Missing = Missing.IS_A_FAULT) -> str:
        """Text of ``key``."""
        value = self.value(key)
        if value is None:
            if isinstance(default, Missing):
                usual = self.usual(key)
                if usual is None:
                    self.absent(key, "text")
                return usual or ""
            return default
        if not isinstance(value, str):
            example = _EXAMPLES.get(key, "...")
            shown = "a table" if isinstance(value, Mapping) else repr_toml(value)
            self.fault(
                key,
                "JOB-005",
                "JOB-223",
                shown=shown,
                key=key,
                example=example,
            )
            return ""
        is_asked = isinstance(default, Missing) and self.usual(key) is None
        if is_asked and self.is_unanswered(key, value):
            return ""
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """List of texts; a single text counts as a list of one."""
        value = self.value(key)
        if value is None:
            return ()
        items = value if isinstance(value, list) else [value]
        if not all(isinstance(item, str) for item in items):
            self.mistyped(key, value, 'a list of words in quotes such as ["one", "two"]')
            return ()
        return tuple(str(item) for item in items)

    def choice(
        self, key: str, kind: type[Choice], default: Choice | Missing = Missing.IS_A_FAULT
    ) -> Choice:
        """One of the words of ``kind``.

        Parameters
        ----------
        key
            The key to read.
        kind
            The words that may stand there.
        default
            What holds where the key is absent; else the schema's default, or a fault.
        """
        value = self.value(key)
        words = [member.value for member in kind]
        stand_in = next(iter(kind))
        if value is None:
            if isinstance(default, Missing):
                usual = self.usual(key)
                if usual is not None:
                    return kind(usual)
                self.absent(key, f"choice ({', '.join(words)})")
                return stand_in
            return default
        if self.is_unanswered(key, value, ", ".join(words)):
            return stand_in
        text = str(value).strip().lower().replace("_", " ")
        if issubclass(kind, Unit):
            text = unit_named(text) or text  # inch and feet are as good as in and ft
        for member in kind:
            if text == member.value:
                return member
        near = difflib.get_close_matches(text, words, n=1, cutoff=0.6)
        near = [w for w in (_MEANT.get(text), *near) if w in words]
        shown, known = repr_toml(value), Names(tuple(words))
        if near:
            self.fault(key, "JOB-008", "JOB-252", shown=shown, choices=known, near=near[0])
        else:
            self.fault(key, "JOB-008", "JOB-251", shown=shown, choices=known)
        return stand_in

    # -- numbers --------------------------------------------------------------------------------

    def count(self, key: str, default: int | Missing = Missing.IS_A_FAULT, least: int = 1) -> int:
        """Whole number of at least ``least``.

        Parameters
        ----------
        key
            The key to read.
        default
            What holds where the key is absent; else the schema's default, or a fault.
        least
            Smallest number allowed; it also stands in for one at fault.
        """
        value = self.value(key)
        if value is None:
            if isinstance(default, Missing):
                usual = self.usual(key)
                if usual is not None:
                    return int(usual)
                self.absent(key, "count")
                return least
            return default
        if self.is_unanswered(key, value):
            return least
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= 100_000:
            self.mistyped(key, value, f"a whole number from {least} to 100000")
            return least
        return value

    def number(
        self,
        key: str,
        default: float | Missing = Missing.IS_A_FAULT,
        low: float = float("-inf"),
        high: float = float("inf"),
    ) -> float:
        """Plain number between ``low`` and ``high``.

        Parameters
        ----------
        key
            The key to read.
        default
            What holds where the key is absent; else the schema's default, or a fault. [-]
        low, high
            Smallest and greatest number allowed. [-]
        """
        value = self.value(key)
        if value is None:
            if isinstance(default, Missing):
                usual = self.usual(key)
                if usual is not None:
                    return float(usual)
                self.absent(key, "number")
                return max(low, min(high, 0.0))
            return default
        if (
            isinstance(value, bool)
            or not isinstance(value, int | float | Decimal)
            or not low <= value <= high
        ):
            span = "" if low == float("-inf") else f" from {low:g} to {high:g}"
            self.no_number(key, value, f"a number{span}")
            usual = self.usual(key)  # a sound figure: what is made of it is no second fault
            return max(low, min(high, 0.0)) if usual is None else float(usual)
        return float(value)

    def money_minor(self, key: str) -> int:
        """Price in minor units; 0 where absent."""
        value = self.value(key)
        if value is None:
            return 0
        if isinstance(value, bool) or not isinstance(value, int | Decimal | float):
            self.mistyped(key, value, "a price such as 62.50")
            return 0
        amount = Decimal(str(value))
        if not amount.is_finite() or not 0 <= amount <= 10_000_000:
            self.mistyped(key, value, "a price such as 62.50")
            return 0
        return int((amount * 100).to_integral_value())

    def slope(self, key: str, default: float | Missing = Missing.IS_A_FAULT) -> float:
        """Scarf slope, run per unit of thickness."""
        value = self.value(key)
        if isinstance(default, Missing):
            default = float(parse_slope(self.usual(key) or "8:1"))
        if value is None or self.is_unanswered(key, value):
            return default
        try:
            slope = float(parse_slope(value))
        except ValueError as error:
            self.fault(key, "JOB-006", "JOB-231", fault=str(error))
            return default
        if not 1 <= slope <= 50:
            self.fault(key, "JOB-007", "JOB-241", slope=Slope(slope))
            return default
        return slope

    # -- lengths --------------------------------------------------------------------------------

    def length(self, key: str, default: float | Missing = Missing.IS_A_FAULT) -> float:
        """Length of at least 0. [mm]"""
        value = self.value(key)
        return self._usual_mm(key, default) if value is None else self.read_length(key, value)

    def positive(self, key: str, default: float | Missing = Missing.IS_A_FAULT) -> float:
        """Length above 0. [mm]"""
        length = self.length(key, default)
        if length <= 0:
            self.fault(
                key,
                "JOB-007",
                "JOB-242",
                shown=repr_toml(self.data.get(key)),
            )
            return STAND_IN_MM
        return length

    def signed(self, key: str, default: float | Missing = Missing.IS_A_FAULT) -> float:
        """Length that may be negative: a coordinate. [mm]"""
        value = self.value(key)
        return self._usual_mm(key, default) if value is None else self.read_signed(key, value)

    def _usual_mm(self, key: str, default: float | Missing) -> float:
        """What counts where a length isn't written. [mm]"""
        if not isinstance(default, Missing):
            return default
        usual = self.usual(key)
        if usual is not None:
            return float(parse_length_mm(usual))
        self.absent(key, "length")
        return STAND_IN_MM

    def lengths(self, key: str) -> tuple[float, ...]:
        """List of lengths of at least 0; empty where absent. [mm]"""
        value = self.value(key)
        if value is None:
            return ()
        items = value if isinstance(value, list) else [value]
        return tuple(self.read_length(f"{key}[{i}]", item) for i, item in enumerate(items))

    def point(
        self, key: str, default: tuple[float, float] | Missing = Missing.IS_A_FAULT
    ) -> tuple[float, float]:
        """Pair of coordinates ``[x, y]``. [mm]"""
        value = self.value(key)
        if value is None:
            if isinstance(default, Missing):
                self.absent(key, "point [x, y]")
                return (0.0, 0.0)
            return default
        return self.read_point(key, value)

    def points(self, key: str) -> tuple[tuple[float, float], ...]:
        """List of points; empty where absent. [mm]"""
        value = self.value(key)
        if value is None:
            return ()
        if not isinstance(value, list):
            self.mistyped(key, value, "a list of points [[x, y], ...]")
            return ()
        return tuple(self.read_point(f"{key}[{i}]", item) for i, item in enumerate(value))

    def signed_lengths(self, key: str) -> tuple[float, ...]:
        """List of lengths that may be negative; empty where absent. [mm]"""
        value = self.value(key)
        if value is None:
            return ()
        items = value if isinstance(value, list) else [value]
        return tuple(self.read_signed(f"{key}[{i}]", item) for i, item in enumerate(items))

    def read_length(self, key: str, value: object) -> float:
        """Read one value as a length of at least 0. [mm]"""
        if self.is_unanswered(key, value):
            return STAND_IN_MM
        try:
            return self._within(key, value, float(parse_length_mm(value, bare=self.bare)))
        except LengthError as error:
            return self._unreadable(key, error)

    def read_signed(self, key: str, value: object) -> float:
        """Read one value as a length with a sign. [mm]"""
        if self.is_unanswered(key, value):
            return STAND_IN_MM
        try:
            return self._within(key, value, float(parse_signed_mm(value, bare=self.bare)))
        except LengthError as error:
            return self._unreadable(key, error)

    def _within(self, key: str, value: object, length_mm: float) -> float:
        """Return a length, or tell that it is beyond any boat and give the stand-in. [mm]"""
        if abs(length_mm) <= MAX_LENGTH_MM:
            return length_mm
        self.told(key, "LIM-008", word=repr_toml(value))
        return STAND_IN_MM

    def _unreadable(self, key: str, error: LengthError) -> float:
        """Record what is no length; the stand-in. [mm]"""
        is_inch = self.book.style is LengthStyle.INCH
        if error.own_remedy:
            self.fault(key, "JOB-006", "JOB-232", fault=str(error), remedy=error.own_remedy)
        else:
            self.fault(key, "JOB-006", "JOB-233" if is_inch else "JOB-234", fault=str(error))
        return STAND_IN_MM

    def read_point(self, key: str, value: object) -> tuple[float, float]:
        """Read one value as a point. [mm]"""
        if not isinstance(value, list) or len(value) != 2:
            self.mistyped(key, value, "a point [x, y]")
            return (0.0, 0.0)
        return (self.read_signed(f"{key}[0]", value[0]), self.read_signed(f"{key}[1]", value[1]))

    # -- tables in tables -----------------------------------------------------------------------

    def table(self, key: str) -> Table | None:
        """Sub-table; None where absent or no table."""
        value = self.value(key)
        if value is None:
            return None
        if not isinstance(value, Mapping):
            self.mistyped(key, value, "a table")
            return None
        return Table(value, self.where(key), self.book, self.bare)

    def tables(self, key: str) -> tuple[Table, ...]:
        """List of sub-tables, numbered from 1 in their paths; a single one has no number."""
        value = self.value(key)
        if value is None:
            return ()
        items = value if isinstance(value, list) else [value]
        found: list[Table] = []
        for number, item in enumerate(items, start=1):
            path = f"{self.where(key)}[{number}]" if isinstance(value, list) else self.where(key)
            if isinstance(item, Mapping):
                found.append(Table(item, path, self.book, self.bare))
            else:
                self.mistyped(f"{key}[{number}]", item, "a table")
        return tuple(found)
