"""What the page is shown of a plan, whole or under way: every sheet and board with its pieces."""

from __future__ import annotations

from typing import Any

from nestcut import door
from nestcut.bench.shown.paths import Plain, closed_path


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
                "outline": closed_path(s.outline) if s.outline else None,
                "trim_mm": s.edge_trim_mm,
                "barred": [{"d": closed_path(k.points), "why": k.reason} for k in s.barred],
                "offcuts": [[*o.from_mm, *o.to_mm] for o in s.offcuts],
                "pieces": [_placed(pieces[p.piece], p, speech) for p in s.placements],
            }
            for s in plan.sheets
        ],
        "boards": [
            {
                "number": b.number,
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
            for b in plan.boards
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
        # what was found of the job itself stands with the job
        "told": [door.finding_record(f, speech) for f in plan.findings if f not in job.findings],
    }


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
                    closed_path(door.placed_shape(pieces[p.piece], p).outline.points)
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


def _placed(piece: Any, placement: Any, speech: door.Speech) -> Plain:
    shape = door.placed_shape(piece, placement)
    rings = [shape.outline.points, *(h.points for h in shape.holes)]
    xs = [x for x, _ in shape.outline.points]
    ys = [y for _, y in shape.outline.points]
    return {
        "piece": piece.id,
        "part": piece.part,
        "hand": piece.hand,
        "d": " ".join(closed_path(r) for r in rings),
        "box": [min(xs), min(ys), max(xs), max(ys)],
        "size": speech.size((max(xs) - min(xs), max(ys) - min(ys))),
        "face_down": not placement.is_face_up,
        "turn_deg": placement.turn_deg,
        "shift_mm": list(placement.shift_mm),
    }
