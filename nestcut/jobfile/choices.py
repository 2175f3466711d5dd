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


class RailJoints(StrEnum):
    """Whether a rail may be joined at all."""

    ALLOWED = "allowed"
    NONE = "none"
