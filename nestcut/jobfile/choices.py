"""Choices that only the job file knows."""

from __future__ import annotations

from enum import StrEnum


class Halves(StrEnum):
    """Whether a part is given whole, or half of it up to its centre line."""

    WHOLE = "no"
    MIRRORED = "mirror"


class DoubtfulHoles(StrEnum):
    """What becomes of closed lines inside parts that may be no holes."""

    CUT = "cut"
    LEAVE = "leave"


class CountedFrom(StrEnum):
    """From where places along a part are counted."""

    START = "start"
    """Along the part, from the end that its drawing starts at."""
    BOW = "bow"
    """Along the part, from its bow end."""
    STERN = "stern"
    TABLE = "table"
    """Along the boat, as the table of offsets counts."""


class RailJoints(StrEnum):
    """Whether a rail may be joined at all."""

    ALLOWED = "allowed"
    NONE = "none"
