"""A plan's digest: whose ticks and labels these are, whatever its file is called."""

from __future__ import annotations

import hashlib

from nestcut.model.plan import Plan


def plan_digest(plan: Plan) -> str:
    """Short digest of what is cut where: ticks belong to one plan, whatever its file is called."""
    lines = [
        f"{p.piece}\t{s.stock}\t{s.number}\t{p.turn_deg!r}\t{p.shift_mm!r}"
        for s in plan.sheets
        for p in s.placements
    ]
    lines += [
        f"{c.piece}\t{b.stock}\t{b.number}\t{c.from_mm!r}\t{c.rip_from_mm!r}"
        for b in plan.boards
        for c in b.cuts
    ]
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()[:16]
