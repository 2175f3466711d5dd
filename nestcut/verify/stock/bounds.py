"""What a bound says is used is used, no bound lies above it, and its reason is none but true.

Bounds by area are worked out again (:mod:`nestcut.verify.stock.reasons`).  That nothing less is
possible where a search proved it is the search's own proof; it is not proven again here.
"""

from __future__ import annotations

from collections.abc import Sequence

from nestcut.errors import Finding
from nestcut.facts import Fact, Length, Value
from nestcut.model.job import Job
from nestcut.model.plan import Bound, Counted, Plan
from nestcut.model.stock import BoardStock, SheetStock
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.tolerances.noise import SOLVER_SLACK
from nestcut.units import format_mm
from nestcut.verify.findings import objection
from nestcut.verify.stock.reasons import check_apart, check_reasons
from nestcut.verify.stock.shed import Layout, hand_serves

_JOINTS = "joints in "


def check_bounds(job: Job, plan: Plan) -> list[Finding]:
    """Check every bound: its figures, and what it says of its proof."""
    return check_figures(job, plan) or [*check_reasons(job, plan), *check_apart(job, plan)]


def check_figures(job: Job, plan: Plan) -> list[Finding]:
    """Check the figures of every bound."""
    found: list[Finding] = []
    for bound in plan.bounds:
        used = _used(job, plan, bound)
        if bound.said is not None and not _is_its_name(job, bound.name, bound.said):
            found.append(objection("VER-072", bound.name, what="how it is called"))
        elif used is None:
            found.append(objection("VER-049", bound.name, measure=bound.measure.value))
        elif abs(used - bound.used) > SOLVER_SLACK:
            found.append(objection("VER-048", bound.name, has=f"{bound.used:g}", needs=f"{used:g}"))
        elif not 0.0 <= bound.lower <= bound.used + SOLVER_SLACK:
            found.append(
                objection("VER-044", bound.name, lower=f"{bound.lower:g}", used=f"{bound.used:g}")
            )
    return found


def _is_its_name(job: Job, name: str, said: Fact) -> bool:
    """Whether what readers are told a bound is of is what its name says."""
    told = dict(said.values)
    match said.code:
        case "SHT-105":
            kinds = {(s.material, s.thickness_mm) for s in job.sheet_stocks}
            kinds |= {(b.material, b.thickness_mm) for b in job.board_stocks}
            known = [k for k in kinds if name == f"{k[0]} {k[1]:g} mm"]
            return (told["material"], _mm(told["thickness"])) in known
        case "SHT-106":
            lengths = {
                offer.length_mm
                for board in job.board_stocks
                if board.name == told["board"]
                for offer in board.lengths
                if name.startswith(f"{board.name}, {format_mm(offer.length_mm, decimals=1)} mm")
            }
            return _mm(told["length"]) in lengths
        case _:
            return False


def _mm(told: Value) -> float | None:
    return told.mm if isinstance(told, Length) else None


def _used(job: Job, plan: Plan, bound: Bound) -> float | None:
    """Return what a bound's kind of stock comes to; None where there is no such kind."""
    if bound.measure is Counted.MONEY_IN_ALL:
        fees = sum(d.fee_minor for d in plan.deliveries)
        return float(fees + sum(b.count * b.price_minor for b in plan.buy))
    boards = {b.name: b for b in job.board_stocks}
    names = bound.name.removeprefix(_JOINTS).split(", ")
    if bound.measure is Counted.JOINTS:
        return _joints(job, plan, names) if set(names) <= set(boards) else None
    if set(names) <= set(boards) and any(b.stock in names for b in plan.boards):
        rails = {b.number for b in plan.boards}
        sawn = [s for s in plan.sheets if s.board not in rails]
        return _sum([boards[n] for n in names], bound.measure, [*plan.boards, *sawn])
    sheets = [s for s in job.sheet_stocks if bound.name in _names(s)]
    if sheets:
        group = [
            s
            for s in job.sheet_stocks
            if (s.material, s.thickness_mm) == (sheets[0].material, sheets[0].thickness_mm)
        ]
        return _of_sheets(plan, group, bound.measure)
    curved = [b for b in job.board_stocks if bound.name in _names(b) or _begins(bound.name, b)]
    if curved:
        return _sum(curved, bound.measure, list(plan.sheets))
    return None


def _names(stock: SheetStock | BoardStock) -> set[str]:
    return {stock.name, f"{stock.material} {stock.thickness_mm:g} mm"}


def _begins(name: str, board: BoardStock) -> bool:
    return name.startswith(f"{board.name}, ")


def _joints(job: Job, plan: Plan, names: list[str]) -> float:
    """Joints that were chosen in the rails that are cut from these boards."""
    free = {p.name for p in job.rail_parts if p.joint is not None and p.joint.at_mm is None}
    parts = {p.id: p.part for p in plan.rail_pieces}
    own = {parts[c.piece] for b in plan.boards if b.stock in names for c in b.cuts}
    return float(sum(j.part in own & free for j in plan.joints))


def _of_sheets(plan: Plan, stocks: list[SheetStock], measure: Counted) -> float | None:
    bought = [
        s
        for s in stocks
        if s.count is None
        for _ in range(sum(x.stock == s.name for x in plan.sheets) - s.held)
    ]
    if measure is Counted.MONEY:
        return float(sum(s.price_minor for s in bought))
    return float(len(bought)) if measure in {Counted.SHEETS, Counted.SHEETS_TO_BUY} else None


def _sum(boards: list[BoardStock], measure: Counted, layouts: Sequence[Layout]) -> float | None:
    """Money, boards or wood bought."""
    total = 0.0
    for board in boards:
        for length in {o.length_mm for o in board.lengths}:
            offers = [o for o in board.lengths if o.length_mm == length]
            own = [
                x
                for x in layouts
                if x.stock == board.name and abs(x.length_mm - length) < SAME_LENGTH_MM
            ]
            bought = len(own) - hand_serves(board, length, own)
            price = next((o.price_minor for o in offers if o.count is None), 0)
            match measure:
                case Counted.MONEY:
                    total += bought * price
                case Counted.BOARDS | Counted.SHEETS | Counted.SHEETS_TO_BUY:
                    total += bought
                case Counted.WOOD:
                    wood = round(length * board.width_mm * board.thickness_mm / 1000.0)
                    total += bought * wood
                case _:
                    return None
    return total
