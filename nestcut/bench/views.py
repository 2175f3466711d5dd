"""What the page is shown: plain values made from a job and its plan, in the job's units."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from nestcut import door
from nestcut.bench.answers import Refused
from nestcut.bench.edits import EditError, tables_as_written

_PLACE = re.compile(r"(\w+)\[(\d+)\]")
Plain = dict[str, Any]


def job_view(read: door.Understanding, text: str) -> Plain:
    """Return what was understood of a job, with everything as it was written beside it."""
    job = read.job
    speech = door.speech_of(job)
    try:
        written: Any = tables_as_written(text)
    except EditError:
        written = {}
    return {
        "name": job.name,
        "units": job.style.value,
        "currency": job.currency,
        "usable": read.is_usable and not door.blocking(misfits(read)),
        "written": _plain(written),
        "parts": [_part(p, speech) for p in job.sheet_parts],
        "rails": [_rail(r, speech) for r in job.rail_parts],
        "sheets": [_sheet_stock(s, speech) for s in job.sheet_stocks],
        "boards": [_board_stock(b, speech) for b in job.board_stocks],
        "kerf": speech.length(job.cutting.kerf_mm),
        "findings": [finding_view(f, speech) for f in (*read.findings, *misfits(read))],
    }


def misfits(read: door.Understanding) -> tuple[door.Finding, ...]:
    """Return what is plainly larger than all its stock, of a job that could be planned else."""
    return door.find_misfits(read.job) if read.is_usable else ()


def finding_view(finding: door.Finding, speech: door.Speech) -> Plain:
    """Return a finding with the table of the job file that it points at, where it names one."""
    record = door.finding_record(finding, speech)
    place = _PLACE.match(finding.where)
    record["table"] = [place[1], int(place[2]) - 1] if place else None
    record["blocking"] = finding.is_blocking
    record["about"] = finding.about
    return record


def refused(findings: Iterable[door.Finding], speech: door.Speech | None = None) -> Refused:
    """Return what is raised where findings stand in the way."""
    return Refused([finding_view(f, speech or door.Speech()) for f in findings])


def plan_view(job: door.Job, plan: door.Plan) -> Plain:
    """Return a plan as the page draws it: every sheet and board with its pieces."""
    speech = door.speech_of(job)
    pieces = {p.id: p for p in plan.pieces}
    rails = {p.id: p for p in plan.rail_pieces}
    price = {(b.stock, b.length_mm): b for b in plan.buy}
    return {
        "cost": speech.money(round(100 * door.money(plan))),
        "complete": plan.is_complete,
        "cut": list(plan.already_cut),
        "names": door.names_in_words(job, plan),
        "unplaced": [
            {"piece": u.piece, "reason": door.tell_fact(u.reason, speech)} for u in plan.unplaced
        ],
        "sheets": [
            {
                "number": s.number,
                "stock": s.stock,
                "size": speech.size((s.length_mm, s.width_mm)),
                "length_mm": s.length_mm,
                "width_mm": s.width_mm,
                "outline": _path(s.outline) if s.outline else None,
                "trim_mm": s.edge_trim_mm,
                "barred": [{"d": _path(k.points), "why": k.reason} for k in s.barred],
                "offcuts": [[*o.from_mm, *o.to_mm] for o in s.offcuts],
                "pieces": [_placed(pieces[p.piece], p, speech) for p in s.placements],
            }
            for s in plan.sheets
        ],
        "boards": [
            {
                "number": n,
                "stock": b.stock,
                "size": speech.length(b.length_mm),
                "length_mm": b.length_mm,
                "width_mm": b.width_mm,
                "cuts": [
                    {
                        "piece": c.piece,
                        "part": rails[c.piece].part,
                        "from_mm": c.from_mm,
                        "to_mm": c.to_mm,
                        "rip_mm": [c.rip_from_mm, c.rip_to_mm],
                        "length": speech.length(c.to_mm - c.from_mm),
                    }
                    for c in b.cuts
                ],
            }
            for n, b in enumerate(plan.boards, start=1)
        ],
        "joints": [
            {
                "part": j.part,
                "hand": j.hand,
                "kind": j.kind.value,
                "at": speech.length(j.at_mm),
                "at_mm": j.at_mm,
                "overlap": speech.length(j.overlap_mm),
                "slope": speech.say(door.Slope(j.slope)),
                "pieces": list(j.pieces),
            }
            for j in plan.joints
        ],
        "buy": [
            {
                "stock": b.stock,
                "size": speech.length(b.length_mm),
                "count": b.count,
                "to_hand": b.to_hand,
                "total": speech.money(b.price_minor * b.count),
            }
            for b in price.values()
        ],
        "bounds": [
            {
                "name": b.name,
                "lower": door.tell_fact(b.lower_told, speech),
                "used": door.tell_fact(b.used_told, speech),
                "least": b.is_proven_optimal,
            }
            for b in plan.bounds
        ],
        "notes": [door.tell_fact(n, speech) for n in plan.notes],
    }


def pictures(fragments: Iterable[Any], job: Path) -> dict[str, tuple[str, str]]:
    """Return title and SVG of each picture of what was understood, by its name."""
    made = {f.name: (f.title, str(f.svg)) for f in fragments}
    for part, svg in door.fairness_pictures(job):
        made[f"fairness-{part}"] = (f"{part}: how its edges bend, teeth as long as the bend", svg)
    return made


def figures(job: door.Job, plan: door.Plan) -> Plain:
    """Return what tells one plan from another at a glance."""
    speech = door.speech_of(job)
    sizes = [
        (o.to_mm[0] - o.from_mm[0], o.to_mm[1] - o.from_mm[1])
        for s in plan.sheets
        for o in s.offcuts
    ]
    largest = max(sizes, key=lambda s: s[0] * s[1], default=None)
    return {
        "cost": speech.money(round(100 * door.money(plan))),
        "sheets": len(plan.sheets),
        "boards": len(plan.boards),
        "joints": len(plan.joints),
        "offcut": speech.size(largest) if largest else "",
        "offcut_mm2": largest[0] * largest[1] if largest else 0.0,
        "minor": plan.cost_minor,
        "complete": plan.is_complete,
    }


def _placed(piece: Any, placement: Any, speech: door.Speech) -> Plain:
    shape = door.placed_shape(piece, placement)
    rings = [shape.outline.points, *(h.points for h in shape.holes)]
    xs = [x for x, _ in shape.outline.points]
    ys = [y for _, y in shape.outline.points]
    return {
        "piece": piece.id,
        "part": piece.part,
        "hand": piece.hand,
        "d": " ".join(_path(r) for r in rings),
        "box": [min(xs), min(ys), max(xs), max(ys)],
        "size": speech.size((max(xs) - min(xs), max(ys) - min(ys))),
        "face_down": not placement.is_face_up,
        "turn_deg": placement.turn_deg,
        "shift_mm": list(placement.shift_mm),
    }


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
        "d": " ".join(_path(r) for r in rings),
        "marks": " ".join(_open_path(m.points) for m in part.shape.marks),
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
        "keep_clear": [[k.from_mm, k.to_mm, k.reason] for k in joint.keep_clear],
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


def progress_view(job: door.Job, progress: door.Progress) -> Plain:
    """Return where a search stands: one line in words, and its figures."""
    speech = door.speech_of(job)
    cost, bound = progress.cost_minor, progress.bound_minor
    return {
        "line": door.progress_line(progress, speech),
        "phase": progress.phase.value,
        "share": round(progress.share, 3),
        "counts": [[door.name_line(c.name, speech), c.count, c.least] for c in progress.counts],
        "cost": speech.money(cost) if cost else "",
        "bound": speech.money(bound) if bound else "",
    }


def glance(job: door.Job, plan: door.Plan) -> Plain:
    """Return the layouts of a plan under way, small: outlines, without names."""
    pieces = {p.id: p for p in plan.pieces}
    return {
        "cost": door.speech_of(job).money(round(100 * door.money(plan))),
        "sheets": [
            {
                "stock": s.stock,
                "length_mm": s.length_mm,
                "width_mm": s.width_mm,
                "d": "".join(
                    _path(door.placed_shape(pieces[p.piece], p).outline.points)
                    for p in s.placements
                ),
            }
            for s in plan.sheets
        ],
        "boards": [
            {
                "stock": b.stock,
                "length_mm": b.length_mm,
                "width_mm": b.width_mm,
                "cuts": [[c.from_mm, c.rip_from_mm, c.to_mm, c.rip_to_mm] for c in b.cuts],
            }
            for b in plan.boards
        ],
    }


def _path(points: Any) -> str:
    """Return a closed line as SVG has it; the page turns y up."""
    return "M" + "L".join(f"{x:.1f},{y:.1f}" for x, y in points) + "Z"


def _open_path(points: Any) -> str:
    return "M" + "L".join(f"{x:.1f},{y:.1f}" for x, y in points)


def _plain(value: Any) -> Any:
    """Numbers and dates as JSON can have them."""
    if isinstance(value, dict):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, list):
        return [_plain(v) for v in value]
    return value if isinstance(value, str | int | float | bool) else str(value)
