"""How a plan's papers are used, in words: of what it hasn't, nothing is said."""

from __future__ import annotations

from nestcut.model.part import Timing
from nestcut.papers.lists.lists import rows_by_supplier
from nestcut.papers.view import Figures, PlanView, bevel_words, bevels_of
from nestcut.words.how_to_use import Has, how_to_use


def use_words(view: PlanView, figures: Figures) -> tuple[str, ...]:
    """Say how to use the papers, the same on paper and on the screen."""
    return how_to_use(_needs(view, figures))


def _needs(view: PlanView, figures: Figures) -> frozenset[Has]:
    """What the plan has that its papers have words for."""
    job, plan = view.verified.job, view.verified.plan
    spare_mm = [p.allowance_mm for p in view.sheet_parts.values()]
    spare_mm += [p.allowance_mm for p in job.rail_parts]
    has = {
        Has.SHEETS: bool(view.sheets),
        Has.BOARDS: bool(view.boards),
        Has.JOINTS: bool(plan.joints),
        Has.KEEPS: any(s.layout.offcuts for s in view.sheets) or any(b.keeps for b in view.boards),
        Has.TO_HAND: any(r.to_hand for _, listed in rows_by_supplier(view) for r in listed),
        Has.TRIM: any(mm > 0.0 for mm in spare_mm),
        Has.AFTER_DRY_FIT: any(p.timing is Timing.AFTER_DRY_FIT for p in plan.pieces),
        **_bevels(view, figures),
    }
    return frozenset(what for what, is_there in has.items() if is_there)


def _bevels(view: PlanView, figures: Figures) -> dict[Has, bool]:
    """Which bevels there are, and which ends their words name."""
    bevelled = [(p, bevels_of(p)) for s in view.sheets for p in s.placed]
    bevelled = [(p, views) for p, views in bevelled if views]
    trimmed = [p.part is not None and p.part.allowance_mm > 0.0 for p, _ in bevelled]
    words = " ".join(w for p, _ in bevelled for w in bevel_words(p, figures))
    return {
        Has.BEVELS: not all(trimmed),
        Has.BEVELS_TO_TRIM: any(trimmed),
        Has.DOWN: "DOWN end" in words,
        Has.AFT: "AFT end" in words,
    }
