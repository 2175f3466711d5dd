"""Rails with their cuts, stock and money that go together, and are untrue."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

from nestcut.errors import Severity, finding
from nestcut.facts import Length, Size, fact
from nestcut.model.job import Job
from nestcut.model.plan import Counted, Offcut, Plan
from tests.damage.changes import damage, with_pieces, with_rails


@damage
def rails_wider_with_their_cuts(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for part in dict.fromkeys(p.part for p in plan.rail_pieces):
        own = {p.id: replace(p, width_mm=p.width_mm - 2.0) for p in plan.rail_pieces
               if p.part == part}  # fmt: skip
        yield with_rails(plan, own)


@damage
def rails_thinner_with_their_cuts(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for part in dict.fromkeys(p.part for p in plan.rail_pieces):
        own = {p.id: replace(p, thickness_mm=p.thickness_mm - 1.0) for p in plan.rail_pieces
               if p.part == part}  # fmt: skip
        yield with_rails(plan, own)


@damage
def rails_short_with_their_cuts(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for part in dict.fromkeys(p.part for p in plan.rail_pieces):
        own = {
            p.id: replace(p, length_mm=p.length_mm - 10.0, to_mm=p.to_mm - 10.0)
            for p in plan.rail_pieces
            if p.part == part
        }
        yield with_rails(plan, own)


@damage
def kerf_between_rails_forgotten(job: Job, plan: Plan) -> Iterator[Plan]:
    for number, board in enumerate(plan.boards):
        cuts = list(board.cuts)
        for k, cut in enumerate(cuts):
            behind = [
                c for c in cuts
                if c.rip_from_mm == cut.rip_from_mm and 0.0 < cut.from_mm - c.to_mm < 10.0
            ]  # fmt: skip
            if behind:
                by = cut.from_mm - behind[0].to_mm
                cuts[k] = replace(cut, from_mm=cut.from_mm - by, to_mm=cut.to_mm - by)
                boards = list(plan.boards)
                boards[number] = replace(board, cuts=tuple(cuts))
                if job.cutting.kerf_mm > 0.0:
                    yield replace(plan, boards=tuple(boards))
                return


@damage
def reserve_said_to_lie_elsewhere(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, reserve in enumerate(plan.reserves):
        free = reserve.free
        if free is not None:
            (x0, y0), (x1, y1) = free.from_mm, free.to_mm
            there = replace(free, from_mm=(x0 - 300.0, y0), to_mm=(x1 - 300.0, y1))
            reserves = list(plan.reserves)
            reserves[k] = replace(reserve, free=there)
            yield replace(plan, reserves=tuple(reserves))


@damage
def reserve_given_up_and_said_so(job: Job, plan: Plan) -> Iterator[Plan]:
    size_mm = job.cutting.reserve_mm
    for k, reserve in enumerate(plan.reserves):
        if reserve.free is not None and size_mm is not None:
            of, thick = reserve.material, Length(reserve.thickness_mm)
            why = fact("SHT-120", material=of, thickness=thick, size=Size(size_mm))
            reserves = list(plan.reserves)
            reserves[k] = replace(reserve, free=None, given_up=why)
            sold = [
                s.name for s in job.sheet_stocks
                if (s.material, s.thickness_mm) == (of, reserve.thickness_mm) and s.is_to_buy
            ]  # fmt: skip
            told = finding("SHT-003", Severity.WARNING, sold[0])
            yield replace(plan, reserves=tuple(reserves), findings=(*plan.findings, told))


@damage
def price_with_its_total(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, line in enumerate(plan.buy):
        if line.price_minor:
            buy = list(plan.buy)
            buy[k] = replace(line, price_minor=line.price_minor - 100)
            yield replace(plan, buy=tuple(buy))


@damage
def one_empty_sheet_too_many(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, line in enumerate(plan.buy):
        sheet = next((s for s in plan.sheets if s.stock == line.stock), None)
        if sheet is not None and line.count:
            empty = replace(sheet, placements=(), offcuts=(), number=len(plan.sheets) + 1)
            buy = list(plan.buy)
            buy[k] = replace(line, count=line.count + 1)
            yield replace(plan, sheets=(*plan.sheets, empty), buy=tuple(buy))
            return


@damage
def one_more_or_less_bought(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, line in enumerate(plan.buy):
        for by in (1, -1):
            if line.count + by >= 0:
                buy = list(plan.buy)
                buy[k] = replace(line, count=line.count + by)
                yield replace(plan, buy=tuple(buy))


@damage
def stock_to_hand_bought(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, line in enumerate(plan.buy):
        if line.to_hand:
            buy = list(plan.buy)
            buy[k] = replace(line, count=line.count + line.to_hand, to_hand=0)
            yield replace(plan, buy=tuple(buy))


@damage
def offcut_over_the_pieces(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    sheet = plan.sheets[0]
    whole = Offcut(from_mm=(10.0, 10.0), to_mm=(sheet.length_mm - 10.0, sheet.width_mm - 10.0))
    yield replace(plan, sheets=(replace(sheet, offcuts=(whole,)), *plan.sheets[1:]))


@damage
def a_piece_left_out(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    gone = plan.pieces[-1].id
    sheets = tuple(
        replace(s, placements=tuple(p for p in s.placements if p.piece != gone))
        for s in plan.sheets
    )
    yield replace(plan, pieces=plan.pieces[:-1], sheets=sheets)


@damage
def a_note_of_a_part_changed(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in plan.pieces[:1]:
        yield with_pieces(plan, {piece.id: replace(piece, note="cut two")})


@damage
def smaller_sheet_throughout(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for sheet in plan.sheets[:1]:
        sheets = tuple(
            replace(s, length_mm=s.length_mm + 20.0) if s.stock == sheet.stock else s
            for s in plan.sheets
        )
        buy = tuple(
            replace(b, length_mm=b.length_mm + 20.0) if b.stock == sheet.stock else b
            for b in plan.buy
        )
        yield replace(plan, sheets=sheets, buy=buy)


@damage
def price_with_its_total_and_bounds(job: Job, plan: Plan) -> Iterator[Plan]:
    """A sheet or board dearer by one, in the list as in every bound that counts it."""
    del job
    for k, line in enumerate(plan.buy):
        if not line.count:
            continue
        buy = list(plan.buy)
        buy[k] = replace(line, price_minor=line.price_minor + 1)
        bounds = tuple(
            replace(b, used=b.used + line.count, lower=b.lower + line.count)
            if b.measure is Counted.MONEY_IN_ALL
            or (b.measure is Counted.MONEY and line.stock in b.name)
            else b
            for b in plan.bounds
        )
        yield replace(plan, buy=tuple(buy), bounds=bounds)


@damage
def a_rectangle_to_keep_200_mm_short(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, sheet in enumerate(plan.sheets):
        for n, keep in enumerate(sheet.offcuts):
            (x0, y0), (x1, y1) = keep.from_mm, keep.to_mm
            by = (200.0, 0.0) if x1 - x0 >= y1 - y0 else (0.0, 200.0)
            short = Offcut(from_mm=keep.from_mm, to_mm=(x1 - by[0], y1 - by[1]))
            if min(short.to_mm[0] - x0, short.to_mm[1] - y0) <= 0.0:
                continue
            offcuts = (*sheet.offcuts[:n], short, *sheet.offcuts[n + 1 :])
            sheets = list(plan.sheets)
            sheets[k] = replace(sheet, offcuts=offcuts)
            yield replace(plan, sheets=tuple(sheets))


@damage
def pieces_exchanged_between_sheets(job: Job, plan: Plan) -> Iterator[Plan]:
    """Each lies where the other did; they are of other parts, or other sizes."""
    del job
    shapes = {p.id: p.shape for p in plan.pieces}
    lying = [(k, p) for k, s in enumerate(plan.sheets) for p in s.placements]
    for (k, a), (m, b) in itertools.pairwise(lying):
        if k == m or shapes[a.piece] == shapes[b.piece]:
            continue
        named = {a.piece: b.piece, b.piece: a.piece}
        yield replace(
            plan,
            sheets=tuple(
                replace(
                    s,
                    placements=tuple(
                        replace(p, piece=named.get(p.piece, p.piece)) for p in s.placements
                    ),
                )
                for s in plan.sheets
            ),
        )


@damage
def rail_pieces_counted_10_mm_further_on(job: Job, plan: Plan) -> Iterator[Plan]:
    """Their lengths stay; where they begin and end along their rail is told otherwise."""
    del job
    for part in dict.fromkeys(p.part for p in plan.rail_pieces):
        yield with_rails(
            plan,
            {
                p.id: replace(p, from_mm=p.from_mm + 10.0, to_mm=p.to_mm + 10.0)
                for p in plan.rail_pieces
                if p.part == part
            },
        )
