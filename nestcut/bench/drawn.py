"""Drawings as the page shows them: each outline to be clicked, what it is taken for, and why."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from nestcut import door

Plain = dict[str, Any]

_UNITS_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
_SMALLEST_MM, _LARGEST_MM = 60.0, 15_000.0
"""Between these lies the longest side of a small boat's largest part. [mm]"""


def drawings_view(job: Path, speech: door.Speech) -> list[Plain]:
    """Return every drawing that a job names, with its outlines and which parts they are."""
    return [_drawing(on, speech) for on in door.drawings_on_table(job)]


def _drawing(on: Any, speech: door.Speech) -> Plain:
    drawing = on.drawing
    outlines = [o for o in (*drawing.outlines, *drawing.offered) if o.number]
    boxes = [o.box_mm for o in outlines]
    return {
        "file": on.file,
        "of": drawing.numbered,
        "box": _round_all(boxes),
        "outlines": [
            _outline(o, on.parts.get(o.number), speech)
            for o in sorted(outlines, key=lambda o: -o.area_mm2)
        ],
        "loose": ["M" + "L".join(f"{x:.2f},{y:.2f}" for x, y in line) for line in on.loose],
        "rings": [
            {"at": list(f.at_mm), "words": door.tell(f, speech).message, "blocking": f.is_blocking}
            for f in drawing.findings
            if f.at_mm is not None
        ],
        "unit": str(drawing.unit.value) if drawing.unit is not None else "",
        "sizes": [] if drawing.unit is not None else _sizes(boxes, drawing.mm_per_unit, speech),
    }


def _outline(outline: Any, part: int | None, speech: door.Speech) -> Plain:
    x0, y0, x1, y1 = outline.box_mm
    judged = outline.judgement
    rings = (outline.shape.outline, *outline.shape.holes)
    return {
        "number": outline.number,
        "name": outline.name,
        "part": part,
        "d": " ".join(_ring(r.points) for r in rings),
        "box": [x0, y0, x1, y1],
        "size": speech.size((x1 - x0, y1 - y0)),
        "verdict": judged.verdict.value,
        "kind": judged.kind.value if judged.kind is not None else "",
        "why": [door.tell_fact(f, speech) for f in judged.reasons],
        "said": door.said_terms(outline),
        "half": outline.half_of is not None,
        "labels": list(outline.labels),
        "doubts": [d.number for d in outline.doubts],
    }


def _sizes(
    boxes: list[tuple[float, float, float, float]], per_unit: float, speech: door.Speech
) -> list[Plain]:
    """What the two largest outlines measure in each unit that a boat's drawing may be in."""
    sides = sorted(
        (((x1 - x0) / per_unit, (y1 - y0) / per_unit) for x0, y0, x1, y1 in boxes), key=max
    )[-2:]
    if not sides:
        return []
    longest = max(max(s) for s in sides)
    return [
        {"unit": unit, "sizes": [speech.size((a * mm, b * mm)) for a, b in reversed(sides)]}
        for unit, mm in _UNITS_MM.items()
        if _SMALLEST_MM <= longest * mm <= _LARGEST_MM
    ]


def _round_all(boxes: list[tuple[float, float, float, float]]) -> list[float]:
    """Box round all boxes; a unit square where there are none."""
    if not boxes:
        return [0.0, 0.0, 1.0, 1.0]
    low_x, low_y, high_x, high_y = zip(*boxes, strict=True)
    return [min(low_x), min(low_y), max(high_x), max(high_y)]


def _ring(points: Any) -> str:
    return "M" + "L".join(f"{x:.2f},{y:.2f}" for x, y in points) + "Z"
