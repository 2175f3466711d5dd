"""Bounds on boards that both rails and sawn parts could come from.

Whatever carries both carries each of them, so no plan of both costs less than the least that either
needs alone.  What is proven of one kind alone stays true of boards that the other can't use.
"""

from __future__ import annotations

from nestcut.facts import fact
from nestcut.model.job import Job
from nestcut.model.plan import BoardLayout, Bound, BuyLine, Counted, SheetLayout
from nestcut.model.stock import BoardStock
from nestcut.planning.totals import draw_up_buying_list

Wood = tuple[str, float]
"""Material and thickness. [mm]"""
_MM3_PER_CM3 = 1000.0


def bounds_together(
    job: Job,
    rails: tuple[Bound, ...],
    sawn: tuple[Bound, ...],
    layouts: tuple[tuple[SheetLayout, ...], tuple[BoardLayout, ...]],
) -> tuple[Bound, ...]:
    """Return the bounds of rails and of sawn parts, drawn together where both could share boards.

    Parameters
    ----------
    rails, sawn
        What was proven of each kind alone.
    layouts
        Boards that parts are sawn from, and boards with rails.
    """
    woods = {w for b in sawn if (w := wood_of(b.name, job.board_stocks)) is not None}
    woods |= {_wood(b) for b in job.board_stocks if any(s.stock == b.name for s in layouts[0])}
    both = [b for b in rails if b.measure is not Counted.JOINTS and woods & _woods(b, job)]
    shared = {w for b in both for w in _woods(b, job)} & woods
    lines = draw_up_buying_list(job, *layouts)
    joined = [
        _joined(
            job,
            [b for b in both if _material(b, job) == material],
            [b for b in sawn if wood_of(b.name, job.board_stocks) in shared],
            [w for w in shared if w[0] == material],
            lines,
        )
        for material in dict.fromkeys(_material(b, job) for b in both)
    ]
    return (
        *joined,
        *(b for b in rails if b not in both),
        *(b for b in sawn if wood_of(b.name, job.board_stocks) not in shared),
    )


def _joined(
    job: Job,
    rails: list[Bound],
    sawn: list[Bound],
    woods: list[Wood],
    lines: tuple[BuyLine, ...],
) -> Bound:
    """One bound on all boards of a material that rails and sawn parts could share."""
    names = {n for b in rails for n in b.name.split(", ")}
    own = [b for b in job.board_stocks if b.name in names or _wood(b) in woods]
    measure = rails[0].measure
    used = sum(
        (line.count - line.over) * _weight(line, measure)
        for line in lines
        if line.stock in {b.name for b in own}
    )
    alone = sum(b.lower for b in rails)
    by_wood = (max((_least_of(b, measure, job, wood) for b in sawn), default=0.0) for wood in woods)
    return Bound(
        name=", ".join(b.name for b in own),
        measure=measure,
        lower=min(max(alone, sum(by_wood)), float(used)),
        used=float(used),
        reason=fact("BRD-121"),
    )


def _weight(line: BuyLine, measure: Counted) -> int:
    if measure is Counted.MONEY:
        return line.price_minor
    if measure is Counted.BOARDS:
        return 1
    return round(line.length_mm * line.width_mm * line.thickness_mm / _MM3_PER_CM3)


def _least_of(bound: Bound, measure: Counted, job: Job, wood: Wood) -> float:
    """What sawn parts of one wood need alone, in the measure of the rails.

    They were laid out on what rails leave of boards to hand; where there are such, nothing is said.
    """
    boards = [b for b in job.board_stocks if _wood(b) == wood]
    offers = [o for b in boards for o in b.lengths]
    if wood_of(bound.name, job.board_stocks) != wood or not all(o.is_to_buy for o in offers):
        return 0.0
    if bound.measure is measure:
        return bound.lower
    if bound.measure in {Counted.SHEETS, Counted.SHEETS_TO_BUY}:
        if measure is Counted.MONEY:
            return bound.lower * min(o.price_minor for o in offers)
        return bound.lower if measure is Counted.BOARDS else 0.0
    return 0.0


def wood_of(name: str, boards: tuple[BoardStock, ...]) -> Wood | None:
    """Return the wood that a bound on sawn parts speaks of: by its name, or one board's."""
    return next(
        (
            _wood(b)
            for b in boards
            if name == f"{b.material} {b.thickness_mm:g} mm" or name.startswith(f"{b.name}, ")
        ),
        None,
    )


def _wood(board: BoardStock) -> Wood:
    return board.material, board.thickness_mm


def _woods(bound: Bound, job: Job) -> set[Wood]:
    names = bound.name.split(", ")
    return {_wood(b) for b in job.board_stocks if b.name in names}


def _material(bound: Bound, job: Job) -> str:
    return next(material for material, _ in sorted(_woods(bound, job)))
