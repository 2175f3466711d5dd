"""What a number of the trade is made of."""

from __future__ import annotations

from dataclasses import dataclass

COMMON_PRACTICE = "common practice, no source"
"""The source of what builders do and nobody has laid down."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One number of the trade.

    Parameters
    ----------
    value
        In ``unit``.
    unit
        ``"mm"``, ``"deg"``, ``"-"`` for a ratio, ``"kg/m3"``, ``"pieces"``, ...
    source
        Standard or handbook with its place, or :data:`COMMON_PRACTICE`.
    """

    value: float
    unit: str
    source: str = COMMON_PRACTICE


@dataclass(frozen=True, slots=True)
class Span:
    """Least and greatest of a number that varies; ``unit`` and ``source`` as of :class:`Figure`."""

    low: float
    high: float
    unit: str
    source: str = COMMON_PRACTICE
