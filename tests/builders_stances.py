"""Plans whose parts say which way they stand, and have bevels, notes and allowances by chance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from nestcut.geometry.edges import Side, stretches_facing
from nestcut.model.joint import Face
from nestcut.model.part import Bearings, EdgeBevel, Outside, SheetPart, Towards
from nestcut.model.plan import VerifiedPlan

WORDS = (
    "trim after the dry fit round the whole of the upper edge and nowhere else",
    "glue two layers",
    "mind the limber holes: they are drilled once the frame stands, from forward aft",
    "",
)


def with_everything(verified: VerifiedPlan, seed: int) -> VerifiedPlan:
    """Give the flat parts of a plan bearings, bevels and notes."""
    rng = np.random.default_rng(seed)
    parts = tuple(_given(part, rng) for part in verified.job.sheet_parts)
    notes = {part.name: part.note for part in parts}
    pieces = tuple(replace(p, note=notes.get(p.part, p.note)) for p in verified.plan.pieces)
    return replace(
        verified,
        job=replace(verified.job, sheet_parts=parts),
        plan=replace(verified.plan, pieces=pieces),
    )


def _given(part: SheetPart, rng: np.random.Generator) -> SheetPart:
    flat = (Towards.UNSAID, Towards.RIGHT, Towards.LEFT, Towards.GOOD, Towards.BACK)
    high = (Towards.UNSAID, Towards.TOP, Towards.BOTTOM)
    bevels = []
    for side in Side:
        lines = stretches_facing(part.shape, side)
        if not lines or rng.random() < 0.6:
            continue
        low, top = sorted(float(v) for v in rng.integers(3, 40, 2))
        bevels.append(
            EdgeBevel(
                name=f"{side} edge",
                lines=lines,
                larger=list(Face)[rng.integers(2)],
                tilt_deg=(low, top),
                at_ends_deg=tuple((low, top) for _ in lines),
            )
        )
    return replace(
        part,
        bearings=Bearings(
            forward=flat[rng.integers(len(flat))],
            up=high[rng.integers(len(high))],
            outside=list(Outside)[rng.integers(3)],
        ),
        edge_bevels=tuple(bevels),
        note=WORDS[rng.integers(len(WORDS))],
    )
