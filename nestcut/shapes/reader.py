"""What this room asks of a table of readings.

The job file's tables answer it; so can a test or another source of numbers.  A getter that can't
give what is asked records a finding itself and returns a harmless stand-in, so that all faults of
an entry are met in one go; ``is_sound`` tells afterwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from typing import Protocol, TypeVar

from nestcut.model.curves import Point

Choice = TypeVar("Choice", bound=StrEnum)


class ShapeReader(Protocol):
    """Typed access to one table of readings; lengths come out in mm."""

    @property
    def is_sound(self) -> bool:
        """Whether nothing was at fault so far."""

    def where(self, key: str) -> str:
        """Key path of ``key``, for findings."""

    def has(self, key: str) -> bool:
        """Whether the key was written."""

    def fault(self, key: str, code: str, message: str, remedy: str) -> None:
        """Record a fault of ``key``."""

    def text(self, key: str, default: str = ...) -> str:
        """Text."""

    def texts(self, key: str) -> tuple[str, ...]:
        """List of texts; empty where absent."""

    def choice(self, key: str, kind: type[Choice], default: Choice = ...) -> Choice:
        """One of the words of ``kind``."""

    def count(self, key: str, default: int = ..., least: int = ...) -> int:
        """Whole number."""

    def number(self, key: str, default: float = ..., low: float = ..., high: float = ...) -> float:
        """Plain number."""

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

    def offsets(self, key: str) -> tuple[float, ...]:
        """List of readings in feet-inches-eighths; empty where absent. [mm]"""

    def tables(self, key: str) -> Sequence[ShapeReader]:
        """List of sub-tables; empty where absent."""

    def close(self) -> None:
        """Report keys that nobody asked for."""
