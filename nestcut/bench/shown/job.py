"""What the page is shown of a job: plain values, in the job's units, beside what was written."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from nestcut import door
from nestcut.bench.answers import Refused
from nestcut.bench.files import EditError, tables_as_written
from nestcut.bench.shown.paths import Plain, closed_path, open_path
from nestcut.tolerances import SAME_LENGTH_MM

_LINE = re.compile(r"line \d+.*")
_PLACE = re.compile(r"(\w+)\[(\d+)\]")


def job_view(read: door.Understanding, text: str) -> Plain:
    """Return what was understood of a job, with everything as it was written beside it."""
    job = read.job
    speech = door.speech_of(job)
    found = (*read.findings, *misfits(read))
    try:
        written: Any = tables_as_written(text)
        is_readable = True
    except EditError:
        written, is_readable = {}, False
        # the text as such is at fault: what was made of the rest of it only leads astray
        found = tuple(f for f in found if _LINE.fullmatch(f.where)) or found
    return {
        "name": job.name,
        "units": job.style.value,
        "currency": job.currency,
        "readable": is_readable,
        "usable": read.is_usable and not door.blocking(misfits(read)),
        "written": _plain(written),
        "parts": [_part(p, speech) for p in job.sheet_parts],
        "rails": [_rail(r, speech) for r in job.rail_parts],
        "sheets": [_sheet_stock(s, speech) for s in job.sheet_stocks],
        "boards": [_board_stock(b, speech) for b in job.board_stocks],
        "kerf": speech.length(job.cutting.kerf_mm),
        "findings": [finding_view(f, speech) for f in found],
    }


def misfits(read: door.Understanding) -> tuple[door.Finding, ...]:
    """Return what is plainly larger than all its stock, other questions being open or not."""
    return door.find_misfits(read.job) if read.is_usable else door.find_oversize(read.job)


def finding_view(finding: door.Finding, speech: door.Speech) -> Plain:
    """Return a finding with the table of the job file that it points at, where it names one."""
    record = door.finding_record(finding, speech)
    place = _PLACE.match(finding.where)
    record["table"] = [place[1], int(place[2]) - 1] if place else None
    record["blocking"] = finding.is_blocking
    record["about"] = finding.about
    record["settle"] = _settled_by(finding, speech)
    return record


_ANSWERS = {"JOB-111": "board"}
"""Questions that one press answers, and the value that is the answer."""


def _settled_by(finding: door.Finding, speech: door.Speech) -> str:
    """Return what the key that a question points at is set to by one press; mostly nothing."""
    answer = dict(finding.values).get(_ANSWERS.get(finding.code, ""))
    if not isinstance(answer, door.Length):
        return ""
    said = speech.length(answer.mm)
    exact = abs(float(door.parse_length_mm(said)) - answer.mm) < SAME_LENGTH_MM
    return said if exact else f"{answer.mm:g} mm"


def refused(findings: Iterable[door.Finding], speech: door.Speech | None = None) -> Refused:
    """Return what is raised where findings stand in the way."""
    return Refused([finding_view(f, speech or door.Speech()) for f in findings])


def pictures(fragments: Iterable[Any], job: Path) -> dict[str, tuple[str, str]]:
    """Return title and SVG of each picture of what was understood, by its name."""
    made = {f.name: (f.title, str(f.svg)) for f in fragments}
    for part, svg in door.fairness_pictures(job):
        made[f"fairness-{part}"] = (f"{part}: how its edges bend, teeth as long as the bend", svg)
    return made


def _part(part: Any, speech: door.Speech) -> Plain:
    points = part.shape.outline.points
    xs, ys = [x for x, _ in points], [y for _, y in points]
    rings = [points, *(h.points for h in part.shape.holes)]
    return {
        "name": part.name,
        "size": speech.size((max(xs) - min(xs), max(ys) - min(ys))),
        "thickness": speech.length(part.thickness_mm),
        "material": part.material,
        "count": part.count,
        "hands": part.hands.value,
        "grain": part.grain.value,
        "turn": part.turning.value,
        "allowance": speech.length(part.allowance_mm) if part.allowance_mm else "",
        "joint": _rule(part.joint, speech),
        "d": " ".join(closed_path(r) for r in rings),
        "marks": " ".join(open_path(m.points) for m in part.shape.marks),
        "box": [min(xs), min(ys), max(xs), max(ys)],
    }


def _rail(rail: Any, speech: door.Speech) -> Plain:
    return {
        "name": rail.name,
        "section": speech.size((rail.thickness_mm, rail.width_mm)),
        "section_mm": sorted((rail.thickness_mm, rail.width_mm)),
        "length": speech.length(rail.length_mm),
        "length_mm": rail.length_mm,
        "material": rail.material,
        "count": rail.count,
        "hands": rail.hands.value,
        "joint": _rule(rail.joint, speech),
    }


def _rule(joint: Any, speech: door.Speech) -> Plain | None:
    return joint and {
        "kind": joint.kind.value,
        "slope": speech.say(door.Slope(joint.slope)),
        "at": None if joint.at_mm is None else [speech.length(a) for a in joint.at_mm],
        "at_mm": None if joint.at_mm is None else list(joint.at_mm),
        "keep_clear": [
            [
                k.from_mm,
                k.to_mm,
                k.reason,
                f"{speech.length(k.from_mm)} to {speech.length(k.to_mm)}",
            ]
            for k in joint.keep_clear
        ],
        "most": joint.max_joints,
        "least": speech.length(joint.min_piece_mm) if joint.min_piece_mm else "",
    }


def _sheet_stock(stock: Any, speech: door.Speech) -> Plain:
    return {
        "name": stock.name,
        "material": stock.material,
        "thickness": speech.length(stock.thickness_mm),
        "size": speech.size((stock.length_mm, stock.width_mm)),
        "length_mm": stock.length_mm,
        "width_mm": stock.width_mm,
        "outline_mm": [list(p) for p in stock.outline] if stock.outline else None,
        "barred_mm": [_box_of(k) for k in stock.keep_outs],
        "price": speech.money(stock.price_minor) if stock.is_to_buy else "",
        "count": stock.count,
    }


def _box_of(keep_out: Any) -> Plain:
    xs, ys = zip(*keep_out.points, strict=True)
    return {"from": [min(xs), min(ys)], "to": [max(xs), max(ys)], "why": keep_out.reason}


def _board_stock(stock: Any, speech: door.Speech) -> Plain:
    return {
        "name": stock.name,
        "material": stock.material,
        "section": speech.size((stock.thickness_mm, stock.width_mm)),
        "section_mm": sorted((stock.thickness_mm, stock.width_mm)),
        "lengths": [
            {
                "length": speech.length(b.length_mm),
                "length_mm": b.length_mm,
                "price": speech.money(b.price_minor) if b.is_to_buy else "",
                "count": b.count,
            }
            for b in stock.lengths
        ],
    }


def _plain(value: Any) -> Any:
    """Numbers and dates as JSON can have them."""
    if isinstance(value, dict):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, list):
        return [_plain(v) for v in value]
    return value if isinstance(value, str | int | float | bool) else str(value)
