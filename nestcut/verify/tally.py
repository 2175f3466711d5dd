"""What was looked at, and how many of it: only what there was to look at is told."""

from __future__ import annotations

from nestcut.facts import Fact, Facts, fact
from nestcut.model.job import Job
from nestcut.model.plan import Plan


def tally(job: Job, plan: Plan) -> tuple[Fact, ...]:
    """Return a fact for each check that had anything to look at."""
    rows: list[Fact] = []

    def looked_at(code: str, where: Facts | None = None, **numbers: int) -> None:
        if any(numbers.values()):
            rows.append(
                fact(code, **numbers) if where is None else fact(code, where=where, **numbers)
            )

    n_parts = len(job.sheet_parts) + len(job.rail_parts)
    looked_at("CHK-001", pieces=len(plan.pieces) + len(plan.rail_pieces), parts=n_parts)
    looked_at("CHK-002", unplaced=len(plan.unplaced))
    shapes = {p.shape for p in plan.pieces}
    rings = [r for s in shapes for r in (s.outline, *s.holes)]
    curves = sum(len(r.curves) or len(r.points) for r in rings)
    looked_at("CHK-003", curves=curves, outlines=len(rings))
    looked_at("CHK-004", marks=sum(len(p.shape.marks) for p in plan.pieces))
    placed = [len(s.placements) for s in plan.sheets]
    where = _stock_of(job, plan)
    looked_at("CHK-005", where, pairs=sum(n * (n - 1) // 2 for n in placed))
    looked_at("CHK-006", pieces=sum(placed))
    looked_at("CHK-007", cuts=sum(len(b.cuts) for b in plan.boards), boards=len(plan.boards))
    defects = sum(len(s.keep_outs) for s in plan.sheets) + sum(
        len(o.defects) for b in job.board_stocks for o in b.lengths
    )
    looked_at("CHK-008", areas=defects)
    looked_at("CHK-009", joints=len(plan.joints), rules=sum(len(j.standings) for j in plan.joints))
    added = {p.name for p in plan.added_parts}
    looked_at("CHK-010", straps=sum(p.part in added for p in plan.pieces))
    offcuts = sum(len(s.offcuts) for s in plan.sheets)
    reserves = sum(r.free is not None for r in plan.reserves)
    if reserves:
        looked_at("CHK-014", where, offcuts=offcuts, reserves=reserves)
    else:
        looked_at("CHK-011", where, offcuts=offcuts)
    looked_at("CHK-012", lines=len(plan.buy))
    looked_at("CHK-013", bounds=len(plan.bounds))
    return tuple(rows)


def _stock_of(job: Job, plan: Plan) -> Facts:
    """So many sheets, and so many boards from which curved parts are sawn."""
    wide = {b.name for b in job.board_stocks}
    boards = sum(s.stock in wide for s in plan.sheets)
    counts = (("PLN-111", len(plan.sheets) - boards), ("PLN-113", boards))
    return Facts(tuple(fact(code, n=n) for code, n in counts if n))
