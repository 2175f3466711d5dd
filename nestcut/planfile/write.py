"""A verified plan to the text of plan.json."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict

from nestcut.errors import Finding
from nestcut.geometry.polygons import ring_area_mm2
from nestcut.geometry.pose import move_shape
from nestcut.model.held import Held, with_held
from nestcut.model.job import Job
from nestcut.model.joint import Joint
from nestcut.model.part import SheetPart
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.plan import (
    BoardCut,
    BoardLayout,
    Bound,
    BuyLine,
    Plan,
    Reserve,
    SheetLayout,
    Unplaced,
    VerifiedPlan,
)
from nestcut.model.pose import Placement
from nestcut.model.shape import Shape
from nestcut.planfile.codec import converter, written_fact
from nestcut.planfile.seal import seal_of
from nestcut.words import Speech, speech_of, tell, tell_fact

FORMAT = "nestcut plan"
VERSION = 1


def placed_shape(piece: SheetPiece, placement: Placement) -> Shape:
    """Return a piece's shape in its sheet's frame."""
    return move_shape(piece.shape, placement)


def plan_to_json(verified: VerifiedPlan) -> str:
    """Write a plan down.

    Returns
    -------
    str
        JSON text, one record a line, byte-identical for the same plan.
    """
    return _lines(plan_document(verified))


def plan_document(verified: VerifiedPlan) -> dict[str, object]:
    """Return a plan as plain JSON values, key by key as the file holds them."""
    job, plan = verified.job, verified.plan
    speech = speech_of(job)
    sheets, boards, usage = layout_figures(plan)
    document: dict[str, object] = {
        "format": FORMAT,
        "version": VERSION,
        "job": {
            "name": job.name,
            "file": job.file,
            "sha256": job.written_sha256 or job.sha256,
            "says": job.sha256,
        },
        "seed": plan.seed,
        "effort": plan.effort,
        "workers": plan.workers,
        "seconds": None if plan.seconds_limit is None else float(plan.seconds_limit),
        "repeatable": plan.is_repeatable,
        "stopped_by": plan.stopped_by.value,
        "kerf_mm": job.cutting.kerf_mm,
        "gap_mm": job.cutting.gap_mm,
        "sheets": sheets,
        "boards": boards,
        "joints": [_joint(j, speech) for j in plan.joints],
        "unplaced": [_unplaced(u, speech) for u in plan.unplaced],
        "bounds": {b.name: _bound(b, speech) for b in plan.bounds},
        "buy": [_buy(b) for b in plan.buy],
        "usage": usage,
        "findings": [_finding(f, speech) for f in plan.findings],
        "pieces": [_piece(p) for p in plan.pieces],
        "rail_pieces": [_rail_piece(p) for p in plan.rail_pieces],
        "added_parts": [_part(p) for p in plan.added_parts],
        **({"already_cut": list(plan.already_cut)} if plan.already_cut else {}),
        "notes": [{**written_fact(n), "text": tell_fact(n, speech)} for n in plan.notes],
        "checks": [tell_fact(c, speech) for c in verified.checks],
        "stock": _stock(job, plan),
    }
    if plan.deliveries:
        document["deliveries"] = [
            {"supplier": d.supplier, "fee": d.fee_minor / 100} for d in plan.deliveries
        ]
    if plan.reserves:
        document["reserves"] = [_reserve(r, speech) for r in plan.reserves]
    if not plan.held.is_empty:
        document["held"] = converter().unstructure(plan.held)
    if not plan.otherwise.is_nothing:
        document["otherwise"] = converter().unstructure(plan.otherwise)
    if plan.continues:
        document["continues"] = plan.continues
    document["seal"] = seal_of(document)
    return document


def _stock(job: Job, plan: Plan) -> dict[str, object]:
    """What the layouts are cut from, in full: a later job may know nothing of it any more."""
    used = {s.stock for s in plan.sheets} | {b.stock for b in plan.boards}
    job = with_held(job, plan.held)
    encoded: dict[str, object] = converter().unstructure(
        Held(
            sheets=tuple(s for s in job.sheet_stocks if s.name in used),
            boards=tuple(b for b in job.board_stocks if b.name in used),
        )
    )
    return encoded


def _finding(finding: Finding, speech: Speech) -> dict[str, object]:
    """Return a finding with its sentence in the job's own units."""
    encoded: dict[str, object] = converter().unstructure(finding)
    told = tell(finding, speech)
    encoded["message"], encoded["remedy"] = told.message, told.remedy
    if not finding.values:
        del encoded["values"]
    return encoded


def layout_figures(
    plan: Plan,
) -> tuple[list[dict[str, object]], list[dict[str, object]], dict[str, object]]:
    """Return the records of sheets and boards with the areas used, and the shares of all."""
    pieces = {p.id: p for p in plan.pieces}
    rail_pieces = {p.id: p for p in plan.rail_pieces}
    sheets = [_sheet(layout, pieces) for layout in plan.sheets]
    boards = [_board(layout, rail_pieces) for layout in plan.boards]
    return sheets, boards, _usage(sheets, boards)


def _rounded(points: Sequence[tuple[float, float]]) -> list[list[float]]:
    """Coordinates to a nanometre: enough for any checker, and no float noise to read."""
    return [[round(x, 6) + 0.0, round(y, 6) + 0.0] for x, y in points]


def _sheet(layout: SheetLayout, pieces: dict[str, SheetPiece]) -> dict[str, object]:
    placements: list[dict[str, object]] = []
    used = 0.0
    for placement in layout.placements:
        piece = pieces[placement.piece]
        shape = placed_shape(piece, placement)
        used += ring_area_mm2(shape.outline.points)
        used += sum(ring_area_mm2(h.points) for h in shape.holes)  # holes run clockwise
        placements.append(
            {
                "part": piece.part,
                "piece": piece.id,
                "hand": piece.hand,
                "face_down": not placement.is_face_up,
                "turn_deg": placement.turn_deg,
                "shift_mm": list(placement.shift_mm),
                "outline": _rounded(shape.outline.points),
                "holes": [_rounded(h.points) for h in shape.holes],
            }
        )
    whole = layout.length_mm * layout.width_mm
    if layout.outline is not None:
        whole = abs(ring_area_mm2(layout.outline))
    return {
        "stock": layout.stock,
        "number": layout.number,
        "length_mm": layout.length_mm,
        "width_mm": layout.width_mm,
        "thickness_mm": layout.thickness_mm,
        "outline": None if layout.outline is None else [list(p) for p in layout.outline],
        "edge_trim_mm": layout.edge_trim_mm,
        "end_trim_mm": layout.end_trim_mm,
        "keep_out": [[list(p) for p in k.points] for k in layout.keep_outs],
        "keep_out_reasons": [k.reason for k in layout.keep_outs],
        **(
            {"spent": [{"points": list(k.points), "why": k.reason} for k in layout.spent]}
            if layout.spent
            else {}
        ),
        "placements": placements,
        "offcuts": [[list(o.from_mm), list(o.to_mm)] for o in layout.offcuts],
        "used_mm2": round(used, 3),
        "usage": round(used / whole, 6),
        **({"board": layout.board} if layout.board else {}),
    }


def _board(layout: BoardLayout, pieces: dict[str, RailPiece]) -> dict[str, object]:
    cuts = [
        {
            "part": pieces[c.piece].part,
            "piece": c.piece,
            "from_mm": c.from_mm,
            "to_mm": c.to_mm,
            "rip_from_mm": c.rip_from_mm,
            "rip_to_mm": c.rip_to_mm,
        }
        for c in layout.cuts
    ]
    used = sum((c.to_mm - c.from_mm) * (c.rip_to_mm - c.rip_from_mm) for c in layout.cuts)
    return {
        "stock": layout.stock,
        "number": layout.number,
        "length_mm": layout.length_mm,
        "width_mm": layout.width_mm,
        "thickness_mm": layout.thickness_mm,
        "cuts": cuts,
        **({"spent": [asdict(c) for c in layout.spent]} if layout.spent else {}),
        "used": round(used, 3),
        "usage": round(used / (layout.length_mm * layout.width_mm), 6),
        **({"blanks": [_blank(c) for c in layout.blanks]} if layout.blanks else {}),
    }


def _blank(cut: BoardCut) -> dict[str, object]:
    """A rectangle of a board from which parts are sawn: they stand among the sheets."""
    return {k: v for k, v in asdict(cut).items() if k != "piece"}


def _joint(joint: Joint, speech: Speech) -> dict[str, object]:
    encoded: dict[str, object] = converter().unstructure(joint)
    encoded["broken_rules"] = encoded.pop("rule_findings")
    told = [tell_fact(f, speech) for f in joint.rule_findings]
    return {**encoded, "rule_findings": told}


def _unplaced(unplaced: Unplaced, speech: Speech) -> dict[str, object]:
    why = unplaced.reason
    return {
        "piece": unplaced.piece,
        "reason": tell_fact(why, speech),
        "why": written_fact(why),
    }


def _reserve(reserve: Reserve, speech: Speech) -> dict[str, object]:
    of = {"material": reserve.material, "thickness_mm": reserve.thickness_mm}
    free, why = reserve.free, reserve.given_up
    if free is not None:
        place = {"stock": free.stock, "sheet": free.sheet}
        return {**of, **place, "from_mm": list(free.from_mm), "to_mm": list(free.to_mm)}
    if why is None:
        return {**of}
    return {**of, "reason": tell_fact(why, speech), "why": written_fact(why)}


def _bound(bound: Bound, speech: Speech) -> dict[str, object]:
    return {
        "lower": float(bound.lower),
        "used": float(bound.used),
        "proven_optimal": bound.is_proven_optimal,
        "measure": bound.measure,
        "reason": "" if bound.reason is None else tell_fact(bound.reason, speech),
        **({"why": written_fact(bound.reason)} if bound.reason is not None else {}),
        **({"said": written_fact(bound.said)} if bound.said is not None else {}),
    }


def _buy(line: BuyLine) -> dict[str, object]:
    return {
        "stock": line.stock,
        "count": line.count,
        "price": line.price_minor / 100,
        "total": line.price_minor * line.count / 100,
        "length_mm": line.length_mm,
        "width_mm": line.width_mm,
        "thickness_mm": line.thickness_mm,
        "to_hand": line.to_hand,
        "over": line.over,
        "supplier": line.supplier,
    }


def _usage(sheets: list[dict[str, object]], boards: list[dict[str, object]]) -> dict[str, object]:
    def share(rows: list[dict[str, object]], used_key: str) -> float | None:
        whole = used = 0.0
        for row in rows:
            part = float(row[used_key])  # type: ignore[arg-type]
            used += part
            usage = float(row["usage"])  # type: ignore[arg-type]
            whole += part / usage if usage else float(row["length_mm"]) * float(row["width_mm"])  # type: ignore[arg-type]
        return round(used / whole, 6) if whole else None

    return {
        "sheets": len(sheets),
        "boards": len(boards),
        "sheets_used": share(sheets, "used_mm2"),
        "boards_used": share(boards, "used"),
    }


def _piece(piece: SheetPiece) -> dict[str, object]:
    encoded: dict[str, object] = converter().unstructure(piece)
    if piece.net == piece.shape:
        encoded["net"] = None  # most pieces carry no allowance; said once is enough
    return encoded


def _part(part: SheetPart) -> dict[str, object]:
    encoded: dict[str, object] = converter().unstructure(part)
    return encoded


def _rail_piece(piece: RailPiece) -> dict[str, object]:
    encoded: dict[str, object] = converter().unstructure(piece)
    return encoded


def _lines(document: dict[str, object]) -> str:
    """JSON with one line a key, lists of records with one line a record."""

    def compact(value: object) -> str:
        return json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)

    rows: list[str] = []
    for key, value in document.items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            body = ",\n  ".join(compact(item) for item in value)
            rows.append(f"{compact(key)}: [\n  {body}\n ]")
        else:
            rows.append(f"{compact(key)}: {compact(value)}")
    return "{\n " + ",\n ".join(rows) + "\n}\n"
