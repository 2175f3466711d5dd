"""A piece moved by hand: how it would lie, and what the plan is then."""

from __future__ import annotations

from typing import Any

from nestcut import door
from nestcut.bench import messages
from nestcut.bench.answers import NotHere


def _clearance_mm(job: door.Job, stock: str) -> float:
    """What pieces keep apart on a stock: it may have a saw of its own. [mm]"""
    sheet = next((s for s in job.sheet_stocks if s.name == stock), None)
    board = next((b for b in job.board_stocks if b.name == stock), None)
    return job.cutting.on(sheet or board).clearance_mm


def pushed(
    job: door.Job, plan: door.Plan, message: messages.Push
) -> tuple[dict[str, Any], door.Moved | None]:
    """Push a piece or set it down; say how it lies, and give the changed plan where it was judged.

    NotHere if the plan has no such piece or sheet.
    """
    pieces = {p.id: p for p in plan.pieces}
    sheets = {s.number: s for s in plan.sheets}
    if message.piece not in pieces or message.sheet not in sheets or len(message.shift_mm) != 2:
        raise NotHere("there is no such piece or sheet")
    piece, sheet = pieces[message.piece], sheets[message.sheet]
    if piece.id in plan.already_cut:
        told = {"piece": piece.id, "shift_mm": message.shift_mm, "fits": False}
        return {**told, "objections": ["It is cut already."]}, None
    lie = door.Lie.FACE_DOWN if message.face_down else door.Lie.FACE_UP
    wanted = door.Placement(
        piece=piece.id,
        lie=lie,
        turn_deg=message.turn_deg % 360.0,
        shift_mm=(message.shift_mm[0], message.shift_mm[1]),
    )
    now = next((p for p in sheet.placements if p.piece == piece.id), None)
    at = wanted
    speech = door.speech_of(job)
    if now is not None and (now.lie, now.turn_deg) == (wanted.lie, wanted.turn_deg):
        bench = door.Bench.of(sheet, pieces, piece.id, _clearance_mm(job, sheet.stock))
        slid = door.slide_to(bench, piece, now, wanted.shift_mm)
        at = slid or wanted
        if slid is not None and not message.keeps:
            # Under the pointer the bench's word must do; once it's put down the verifier's counts.
            return {
                "piece": piece.id,
                "shift_mm": list(at.shift_mm),
                "fits": True,
                "objections": [],
            }, None
    moved = door.put_down(job, plan, at, sheet.number)
    answer = {
        "piece": piece.id,
        "shift_mm": list(at.shift_mm),
        "fits": moved.stands,
        "objections": [door.tell(o, speech).message for o in moved.objections][:3],
    }
    return answer, moved
