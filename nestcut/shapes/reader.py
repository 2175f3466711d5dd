"""What this room asks of a table of readings.

The job file's tables answer it; so can a test or another source of numbers.  A getter that can't
give what is asked records a finding itself and returns a harmless stand-in, so that all faults of
an entry are met in one go; ``is_sound`` tells afterwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from typing import Protocol, TypeVar

from nestcut.facts import Value
from nestcut.model.curves import Point
from nestcut.units import Unit

Choice = TypeVar("Choice", bound=StrEnum)


class ShapeReader(Protocol):
    """Typed access to one table of readings; lengths come out in mm."""

    @property
    def bare(self) -> Unit | None:
        """Unit of bare numbers; None where each needs its own."""

    @property
    def is_sound(self) -> bool:
        """Whether nothing was at fault so far."""

    def where(self, key: str) -> str:
        """Key path of ``key``, for findings."""

    def has(self, key: str) -> bool:
        """Whether the key was written."""

    def told(self, key: str, code: str, /, **values: Value) -> None:
        """Record a fault of ``key`` by its code and values.

        Parameters
        ----------
        key
            The key at fault.
        code
            Of the fault, such as ``"SHP-104"``.
        values
            What the code's sentence names.
        """

    def spoil(self) -> None:
        """Make the table useless without telling why: that is told elsewhere."""

    def count_in(self, unit: Unit | None) -> None:
        """Take bare numbers of this table in a unit; None refuses them."""

    def plain(self, key: str) -> tuple[object, ...]:
        """Values of a list as they are written; a single value counts as a list of one."""

    def read_length(self, key: str, value: object) -> float:
        """Read one value as a length of at least 0. [mm]"""

    def read_signed(self, key: str, value: object) -> float:
        """Read one value as a length with a sign. [mm]"""

    def text(self, key: str, default: str = ...) -> str:
        """Text."""

    def texts(self, key: str) -> tuple[str, ...]:
        """List of texts; empty where absent."""

    def choice(self, key: str, kind: type[Choice], default: Choice = ...) -> Choice:
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

    def count(self, key: str, default: int = ..., least: int = ...) -> int:
        """Whole number.

        Parameters
        ----------
        key
            The key to read.
        default
            What holds where the key is absent; else the schema's default, or a fault.
        least
            Smallest number allowed.
        """

    def number(self, key: str, default: float = ..., low: float = ..., high: float = ...) -> float:
        """Plain number.

        Parameters
        ----------
        key
            The key to read.
        default
            What holds where the key is absent; else the schema's default, or a fault. [-]
        low, high
            Smallest and greatest number allowed. [-]
        """

    def length(self, key: str, default: float = ...) -> float:
        """Length of at least 0. [mm]"""

    def positive(self, key: str, default: float = ...) -> float:
        """Length above 0. [mm]"""

    def signed(self, key: str, default: float = ...) -> float:
        """Length that may be negative. [mm]"""

    def lengths(self, key: str) -> tuple[float, ...]:
        """List of lengths; empty where absent. [mm]"""

    def point(self, key: str, default: Point = ...) -> Point:
        """Pair of coordinates. [mm]"""

    def points(self, key: str) -> tuple[Point, ...]:
        """List of points; empty where absent. [mm]"""

    def signed_lengths(self, key: str) -> tuple[float, ...]:
        """List of lengths that may be negative; empty where absent. [mm]"""

    def tables(self, key: str) -> Sequence[ShapeReader]:
        """List of sub-tables; empty where absent."""

    def close(self) -> None:
        """Report keys that nobody asked for."""
