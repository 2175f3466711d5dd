"""Drawings as the page shows them: each outline to be clicked, what it is taken for, and why."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from nestcut import door
from nestcut.bench.shown.paths import Plain, closed_path, open_path

_MOST_TEXTS = 400
"""So many of a drawing's own texts are shown. [-]"""
_RING = ", ring "
"""What stands before a ring's letter in the place of a finding."""
_ASKED_BESIDE = {"DXF-034"}
"""Codes of remarks that the page has a question for, beside the outline. [-]"""
_TEXT_WIDE, _TEXT_ROOM = 0.6, 0.15
"""Width of a letter by its height, and how far texts may widen the picture, by its size. [-]"""
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
    likely = [o.box_mm for o in outlines if o.judgement.verdict.value != "not a part"]
    return {
        "file": on.file,
        "of": drawing.numbered,
        "box": _with_texts(_round_all(boxes), drawing.labels[:_MOST_TEXTS]),
        "outlines": [
            _outline(o, on.parts.get(o.number), speech)
            | {"declined": o.number in on.no_parts, "closed": door.is_closed_by_job(drawing, o)}
            for o in sorted(outlines, key=lambda o: -o.area_mm2)
        ],
        "gaps": _gaps(drawing.findings),
        "texts": [
            {"at": list(t.at_mm), "words": t.text, "height": t.height_mm}
            for t in drawing.labels[:_MOST_TEXTS]
            if t.seen.value == "shown"
        ],
        "loose": [open_path(line) for line in on.loose],
        "rings": [
            {
                "at": list(f.at_mm),
                "letter": f.where.rpartition(_RING)[2] if _RING in f.where else "",
                "words": door.tell(f, speech).message,
                "blocking": f.is_blocking,
                "gap": "setting" in dict(f.values),
            }
            for f in drawing.findings
            if f.at_mm is not None and f.code not in _ASKED_BESIDE
        ],
        "unit": str(drawing.unit.value) if drawing.unit is not None else "",
        "sizes": []
        if drawing.unit is not None
        else _sizes(likely or boxes, drawing.mm_per_unit, speech),
    }


def _outline(outline: Any, part: int | None, speech: door.Speech) -> Plain:
    x0, y0, x1, y1 = outline.box_mm
    judged = outline.judgement
    rings = (outline.shape.outline, *outline.shape.holes)
    return {
        "number": outline.number,
        "name": outline.name,
        "part": part,
        "d": " ".join(closed_path(r.points) for r in rings),
        "box": [x0, y0, x1, y1],
        "size": speech.size((x1 - x0, y1 - y0)),
        "verdict": judged.verdict.value,
        "kind": judged.kind.value if judged.kind is not None else "",
        "why": [door.tell_fact(f, speech) for f in judged.reasons],
        "said": door.said_terms(outline),
        "half": outline.half_of is not None,
        "whole": _whole(outline, speech),
        "rail": _rail(outline, speech),
        "labels": list(outline.labels),
        "doubts": [d.number for d in outline.doubts],
    }


def _rail(outline: Any, speech: door.Speech) -> Plain | None:
    """What a ``[[rail]]`` says of it, where its label names a section of solid wood."""
    said = door.said_rail(outline)
    if said is None:
        return None
    thickness, width, length = (speech.length(mm) for mm in said)
    return {"section": [thickness, width], "length": length}


def _whole(outline: Any, speech: door.Speech) -> Plain | None:
    """The outline as it is once its half is mirrored; None: it is no half."""
    line = outline.half_of
    if line is None:
        return None
    (ax, ay), (bx, by) = line.start, line.end
    size = (bx - ax) ** 2 + (by - ay) ** 2
    if not size:
        return None

    def over(p: tuple[float, float]) -> tuple[float, float]:
        along = ((p[0] - ax) * (bx - ax) + (p[1] - ay) * (by - ay)) / size
        foot = (ax + along * (bx - ax), ay + along * (by - ay))
        return 2 * foot[0] - p[0], 2 * foot[1] - p[1]

    points = outline.shape.outline.points
    other = [over(p) for p in points]
    xs, ys = zip(*points, *other, strict=True)
    return {
        "d": f"{closed_path(points)} {closed_path(other)}",
        "box": [min(xs), min(ys), max(xs), max(ys)],
        "size": speech.size((max(xs) - min(xs), max(ys) - min(ys))),
    }


def _gaps(findings: Any) -> list[Plain]:
    """Each layer whose lines nearly meet: the setting that closes its gaps, names, how many."""
    layers: dict[str, Plain] = {}
    for item in findings:
        values = dict(item.values)
        if "setting" not in values:
            continue
        at = layers.setdefault(
            item.layer, {"layer": item.layer, "names": [], "least": 0.0, "gaps": 0, "others": 0}
        )
        least = values.get("least")
        if isinstance(least, door.Length):
            at["gaps"] += 1
            at["others"] = max(at["others"], int(str(values["others"])))
        wide = least.mm if isinstance(least, door.Length) else 0.0
        if wide >= at["least"]:
            at |= {"least": wide, "setting": values["setting"]}
        if "name" in values and values["name"] not in at["names"]:
            at["names"].append(values["name"])
    return list(layers.values())


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


def _with_texts(box: list[float], texts: Any) -> list[float]:
    """Box with what is written beside the outlines, but not what stands far off."""
    x0, y0, x1, y1 = box
    room = _TEXT_ROOM * max(x1 - x0, y1 - y0)
    for text in texts:
        x, y = text.at_mm
        end_x, end_y = x + _TEXT_WIDE * text.height_mm * len(text.text), y + text.height_mm
        is_near = x0 - room <= x <= end_x <= x1 + room and y0 - room <= y <= end_y <= y1 + room
        if text.seen.value == "shown" and is_near:
            box = [min(box[0], x), min(box[1], y), max(box[2], end_x), max(box[3], end_y)]
    return box


def _round_all(boxes: list[tuple[float, float, float, float]]) -> list[float]:
    """Box round all boxes; a unit square where there are none."""
    if not boxes:
        return [0.0, 0.0, 1.0, 1.0]
    low_x, low_y, high_x, high_y = zip(*boxes, strict=True)
    return [min(low_x), min(low_y), max(high_x), max(high_y)]
