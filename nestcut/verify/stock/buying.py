"""Does everything add up: each piece placed once, stock not overdrawn, the buying list right?"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from fractions import Fraction

from nestcut.errors import Finding
from nestcut.facts import Money
from nestcut.model.job import Job
from nestcut.model.plan import BuyLine, Plan
from nestcut.model.stock import BoardStock, SheetStock, Spare
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.verify.findings import differences, objection
from nestcut.verify.stock.shed import Layout, hand_serves, may_be


def check_buying(job: Job, plan: Plan) -> list[Finding]:
    """Check counts over the whole plan."""
    return [*_check_placed_once(plan), *_check_to_hand(job, plan), *_check_lines(job, plan)]


def _check_placed_once(plan: Plan) -> list[Finding]:
    places: Counter[str] = Counter()
    for layout in plan.sheets:
        places.update(p.piece for p in layout.placements)
    for board in plan.boards:
        places.update(c.piece for c in board.cuts)
    places.update(u.piece for u in plan.unplaced)
    ids = [p.id for p in plan.pieces] + [p.id for p in plan.rail_pieces]
    found = [objection("VER-040", name) for name in ids if places[name] == 0]
    found += [objection("VER-041", n, times=places[n]) for n in ids if places[n] > 1]
    found += [objection("VER-054", u.piece) for u in plan.unplaced if u.piece not in set(ids)]
    return found


def _layouts(plan: Plan) -> tuple[Layout, ...]:
    """Every sheet and board once; one that carries rails and sawn parts is among the rails'."""
    rails = {b.number for b in plan.boards}
    return (*plan.boards, *(s for s in plan.sheets if s.board not in rails))


def _is_of(layout: Layout, stock: str, length_mm: float) -> bool:
    return layout.stock == stock and abs(layout.length_mm - length_mm) < SAME_LENGTH_MM


def _check_to_hand(job: Job, plan: Plan) -> list[Finding]:
    """No more of a stock is used than there is, board by board where some have defects."""
    found: list[Finding] = []
    for sheet in job.sheet_stocks:
        used = sum(_is_of(s, sheet.name, sheet.length_mm) for s in plan.sheets)
        if sheet.count is not None and used > sheet.count + sheet.held:
            has = sheet.count + sheet.held
            found.append(objection("VER-042", sheet.name, used=used, has=has))
    for board in job.board_stocks:
        for length in sorted({b.length_mm for b in board.lengths}):
            used, served = _served(board, length, plan)
            if served < used:
                found.append(objection("VER-042", board.name, used=used, has=served))
    return found


def _served(board: BoardStock, length_mm: float, plan: Plan) -> tuple[int, int]:
    """Return how many boards of one length are used, and how many can be had that serve so."""
    layouts = [s for s in _layouts(plan) if _is_of(s, board.name, length_mm)]
    offers = [b for b in board.lengths if abs(b.length_mm - length_mm) < SAME_LENGTH_MM]
    # what suits no board at all is said where it is cut
    used = [x for x in layouts if any(may_be(x, board, o) for o in offers)]
    if any(o.count is None for o in offers):
        return len(used), len(used)
    return len(used), hand_serves(board, length_mm, used)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Need:
    """What of one stock is used, to hand and missing, and how the yard sells it."""

    length_mm: float
    used: int
    hand: int
    price_minor: int
    pack: int
    most: int | None

    @property
    def missing(self) -> int:
        return self.used - self.hand

    def bought(self, spares: int) -> int:
        """Whole packs for what is missing and for spares, as far as the yard has so many."""
        wanted = self.missing + (spares if self.missing else 0)
        count = math.ceil(wanted / self.pack) * self.pack
        return count if self.most is None else min(count, max(self.most, self.missing))


def _spares(spare: Spare, missing: int) -> int:
    share = Fraction(spare.share).limit_denominator(1000) * missing
    return spare.count + -(-share.numerator // share.denominator)


def _line(stock: SheetStock | BoardStock, need: _Need, spares: int, price_minor: int) -> BuyLine:
    bought = need.bought(spares)
    return BuyLine(
        stock=stock.name,
        count=bought,
        to_hand=need.hand,
        price_minor=price_minor,
        length_mm=need.length_mm,
        width_mm=stock.width_mm,
        thickness_mm=stock.thickness_mm,
        over=bought - need.missing,
        supplier=stock.supplier if bought else "",
    )


def _wanted_lines(job: Job, plan: Plan) -> list[BuyLine]:
    """What must be bought, to hand first, in the order of the job."""
    lines: list[BuyLine] = []
    for s in job.sheet_stocks:
        used = sum(_is_of(x, s.name, s.length_mm) for x in plan.sheets)
        need = _Need(
            length_mm=s.length_mm,
            used=used,
            hand=used if s.count is not None else min(used, s.held),
            price_minor=s.price_minor,
            pack=s.pack,
            most=s.most,
        )
        price = s.price_minor if s.count is None else 0
        lines.append(_line(s, need, _spares(s.spare, need.missing), price))
    for b in job.board_stocks:
        needs = [_need_of(b, length, plan) for length in sorted({o.length_mm for o in b.lengths})]
        missing = sum(n.missing for n in needs)
        last = max((n.length_mm for n in needs if n.missing), default=0.0)
        for n in needs:
            spares = _spares(b.spare, missing) if n.length_mm == last else 0
            lines.append(_line(b, n, spares, n.price_minor))
    return [line for line in lines if line.count + line.to_hand > 0]


def _need_of(board: BoardStock, length_mm: float, plan: Plan) -> _Need:
    offers = [o for o in board.lengths if o.length_mm == length_mm]
    sold = [o for o in offers if o.count is None]
    layouts = [x for x in _layouts(plan) if _is_of(x, board.name, length_mm)]
    return _Need(
        length_mm=length_mm,
        used=len(layouts),
        hand=hand_serves(board, length_mm, layouts),
        price_minor=sold[0].price_minor if sold else 0,
        pack=sold[0].pack if sold else 1,
        most=sold[0].most if sold else None,
    )


def _check_limits(job: Job, lines: list[BuyLine]) -> list[Finding]:
    """No more is bought than a yard has."""
    limits = {(s.name, s.length_mm): s.most for s in job.sheet_stocks}
    for b in job.board_stocks:
        limits |= {(b.name, o.length_mm): o.most for o in b.lengths if o.count is None}
    found = []
    for line in lines:
        most = limits.get((line.stock, line.length_mm))
        if most is not None and line.count - line.over > most:
            used = line.count - line.over
            found.append(objection("VER-042", line.stock, used=used, has=most))
    return found


def _check_deliveries(job: Job, plan: Plan, lines: list[BuyLine]) -> list[Finding]:
    """Every yard that something is bought from brings it once, for what it asks."""
    yards = {line.supplier for line in lines if line.count > 0}
    wanted = [
        (s.name, s.delivery_minor)
        for s in job.suppliers
        if s.name in yards and s.delivery_minor != 0
    ]
    have = [(d.supplier, d.fee_minor) for d in plan.deliveries]
    if have == wanted:
        return []
    told = sum(fee for _, fee in have), sum(fee for _, fee in wanted)
    return [objection("VER-065", "buying list", has=Money(told[0]), needs=Money(told[1]))]


def _check_lines(job: Job, plan: Plan) -> list[Finding]:
    wanted = _wanted_lines(job, plan)
    found = [*_check_limits(job, wanted), *_check_deliveries(job, plan, wanted)]
    if found:
        return found
    if [(b.stock, b.length_mm) for b in plan.buy] != [(b.stock, b.length_mm) for b in wanted]:
        return [objection("VER-055", "buying list", has=len(plan.buy), needs=len(wanted))]
    return [
        objection("VER-043", have.stock, what=what, has=has, needs=needs)
        for have, want in zip(plan.buy, wanted, strict=True)
        for what, has, needs in differences(have, want)
    ]
