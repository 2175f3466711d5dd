"""Flat parts as they were understood, a row each."""

from __future__ import annotations

from dataclasses import dataclass

from nestcut.geometry.rings import shape_area_mm2, true_bounds_mm
from nestcut.joints.kinds import KINDS
from nestcut.model.job import Job
from nestcut.model.part import Hands, SheetPart
from nestcut.tolerances.lengths import WHOLE_MM
from nestcut.units import format_length, format_mm, format_slope

PIECES_OF = {Hands.NONE: 1, Hands.PAIR: 2, Hands.PORT: 1, Hands.STARBOARD: 1}
"""How many a part's count of one comes to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """One part as understood. Sizes in mm, area in mm2 each."""

    name: str
    pieces: int
    count: int
    hand: str
    length_mm: float
    width_mm: float
    area_mm2: float
    thickness_mm: float
    material: str
    grain: str
    turn: str
    holes: int
    allowance_mm: float
    joint: str
    cut_from: str


def part_rows(job: Job) -> tuple[PartRow, ...]:
    """Describe every flat part."""
    return tuple(_row(job, p) for p in job.sheet_parts)


def _row(job: Job, part: SheetPart) -> PartRow:
    x0, y0, x1, y1 = true_bounds_mm(part.shape.outline)
    joint = "must come out whole"
    if part.joint is not None:
        slope = f" {format_slope(part.joint.slope)}" if KINDS[part.joint.kind].laps else ""
        at = part.joint.at_mm
        places = (
            "where it suits" if at is None else "at " + ", ".join(length_in(job, a) for a in at)
        )
        joint = f"{part.joint.kind}{slope} {places}"
    return PartRow(
        name=part.name,
        pieces=part.count * PIECES_OF[part.hands],
        count=part.count,
        hand=part.hands.value,
        length_mm=round(x1 - x0, 3),
        width_mm=round(y1 - y0, 3),
        area_mm2=round(shape_area_mm2(part.shape), 3),
        thickness_mm=part.thickness_mm,
        material=part.material,
        grain=part.grain.value,
        turn=part.turning.value,
        holes=len(part.shape.holes),
        allowance_mm=part.allowance_mm,
        joint=joint,
        cut_from=part.cut_from.value,
    )


def length_in(job: Job, length_mm: float) -> str:
    """Write a length in the units of a job, to a tenth of a millimetre."""
    if job.style == "mm" and abs(length_mm - round(length_mm)) > WHOLE_MM:
        return f"{format_mm(length_mm, decimals=1)} mm"
    return format_length(length_mm, job.style, job.fraction)
