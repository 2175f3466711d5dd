"""Saw settings where two sloping panels meet: tilt of the blade, angle of the gauge.

Everything follows from the panels' outward unit normals.  A mitre divides the corner so that both
pieces are equally deep in it; a butted end is cut along the inside face of the panel that laps it.
For N equal sides that slope p from flat these give M = atan(cos p tan(180/N)) and
B = asin(sin p sin(180/N)), the compound mitre of saw handbooks; for four sides tilted t from
upright a butted end tilts asin(sin^2 t).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from nestcut.tolerances import ANGLE_DEG
from nestcut.tolerances.lengths import SEEN_DEG
from nestcut.trade.shop import SAW_TILT_DEG

Floats = NDArray[np.float64]

SAW_LIMIT_DEG = SAW_TILT_DEG.value
"""Most saws tilt no further. [deg]"""


class CornerJoint(StrEnum):
    """How two panels meet in a corner."""

    MITRE = "mitre"
    BUTT = "butt"


class PanelFace(StrEnum):
    """A face of a box panel."""

    OUTSIDE = "outside"
    INSIDE = "inside"
    BOTH = "both"
    """Square edge: the faces are alike."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bevel:
    """One edge of a panel.

    Parameters
    ----------
    edge
        Name of the edge, such as ``"fore end"``.
    tilt_deg
        Tilt of the blade from square to the face. [deg]
    gauge_deg
        Angle of the cut in the face from square to the panel's level edges; 0 for those. [deg]
    longer
        Face that reaches further at this edge.
    allowance_mm
        How much further: thickness x tan(tilt). [mm]
    """

    edge: str
    tilt_deg: float
    gauge_deg: float
    longer: PanelFace
    allowance_mm: float

    @property
    def is_beyond_saw(self) -> bool:
        """Whether the bevel must be planed: no usual saw tilts that far."""
        return self.tilt_deg > SAW_LIMIT_DEG + ANGLE_DEG

    def __str__(self) -> str:
        """In words, for the cut list."""
        if self.longer is PanelFace.BOTH:
            cut = "square edge"
        else:
            cut = f"tilt {self.tilt_deg:.1f}\u00b0, {self.longer} face longer"
        gauge = (
            f", its line {self.gauge_deg:.1f}\u00b0 off square across the face"
            if self.gauge_deg > SEEN_DEG
            else ""
        )
        planed = " (beyond the saw: plane it)" if self.is_beyond_saw else ""
        return f"{self.edge}: {cut}{gauge}{planed}"


def outward_normal(direction: tuple[float, float], lean_deg: float) -> Floats:
    """Unit normal of a panel that faces ``direction`` and leans outward by ``lean_deg``. [-]"""
    lean = math.radians(lean_deg)
    x, y = direction
    return np.array([math.cos(lean) * x, math.cos(lean) * y, -math.sin(lean)])
