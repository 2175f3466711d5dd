"""A plan's digest: whose ticks and labels these are, whatever its file is called."""

from __future__ import annotations

import hashlib

from nestcut.model.plan import Plan
from nestcut.papers.view.rows import PlanView


def plan_digest(view: PlanView) -> str:
    """Short digest of what is cut where: ticks belong to one plan, whatever its file is called."""
    return layouts_digest(view.verified.plan)


def layouts_digest(plan: Plan) -> str:
    """As :func:`plan_digest`, of a plan alone."""
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
