"""Kind ``boards``: lengths from equal boards, fewest boards, through the call that plans use."""

from __future__ import annotations

import time
from collections import Counter
from itertools import pairwise

from nestcut.boards import BoardsOutcome, JointPreference, cut_boards
from nestcut.model.job import CuttingRules
from nestcut.model.part import RailPart
from nestcut.model.stock import BoardLength, BoardStock
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from tests.benchmark.outcome import Instance, Outcome, Spend

THICKNESS, WIDTH = 20.0, 95.0


def boards(instance: Instance, known: Instance | None, spend: Spend) -> Outcome:
    """Cut one instance; its lengths are taken as mm, every length an unjoined rail."""
    kerf = float(instance.get("kerf", 0.0))
    rails = tuple(
        RailPart(
            name=f"rail {k}",
            material="pine",
            thickness_mm=THICKNESS,
            width_mm=WIDTH,
            length_mm=float(item["length"]),
            count=int(item["quantity"]),
        )
        for k, item in enumerate(instance["items"], start=1)
    )
    length = float(instance["stock_length"])
    stock = BoardStock(
        name="board",
        material="pine",
        thickness_mm=THICKNESS,
        width_mm=WIDTH,
        lengths=(BoardLength(length_mm=length),),
    )
    settings = Settings(
        seed=spend.seed, effort=Effort.THOROUGH, seconds=spend.seconds, workers=spend.workers
    )
    begin = time.process_time()
    outcome = cut_boards(
        rails,
        (stock,),
        CuttingRules(kerf_mm=kerf),
        JointPreference.CHEAPEST,
        settings,
        Deadline(seconds=spend.seconds),
        Silent(),
    )
    taken = time.process_time() - begin
    best = instance.get("optimum_bins") or (known or {}).get("optimum")
    return Outcome(
        pieces=sum(rail.count for rail in rails),
        value=len(outcome.layouts),
        bound=outcome.bounds[0].lower if outcome.bounds else None,
        best=best,
        verified=is_valid(outcome, rails, length, kerf),
        beside={
            "first_fit": first_fit_decreasing(rails, length, kerf),
            "stopped_by": outcome.stopped_by.name,
            "processor_s": round(taken, 2),
        },
    )


def is_valid(
    outcome: BoardsOutcome, rails: tuple[RailPart, ...], length: float, kerf: float
) -> bool:
    """Count every piece and measure every board anew, by the cuts alone."""
    slack = 1e-6
    wanted = Counter({rail.name: rail.count for rail in rails})
    lengths = {rail.name: rail.length_mm for rail in rails}
    owner = {piece.id: piece.part for piece in outcome.pieces}
    got: Counter[str] = Counter()
    for board in outcome.layouts:
        cuts = sorted(board.cuts, key=lambda c: c.from_mm)
        got.update(owner[c.piece] for c in cuts)
        if cuts[0].from_mm < -slack or cuts[-1].to_mm > length + slack:
            return False
        if any(b.from_mm - a.to_mm < kerf - slack for a, b in pairwise(cuts)):
            return False
        if any(abs(c.to_mm - c.from_mm - lengths[owner[c.piece]]) > slack for c in cuts):
            return False
    names = [c.piece for board in outcome.layouts for c in board.cuts]
    return got == wanted and len(names) == len(set(names)) and not outcome.unplaced


def first_fit_decreasing(rails: tuple[RailPart, ...], length: float, kerf: float) -> int:
    """Boards that the plain method needs: longest first, into the first board with room."""
    room: list[float] = []
    for size in sorted((r.length_mm for r in rails for _ in range(r.count)), reverse=True):
        for k, left in enumerate(room):
            if size + kerf <= left + 1e-9:
                room[k] -= size + kerf
                break
        else:
            room.append(length - size)
    return len(room)
