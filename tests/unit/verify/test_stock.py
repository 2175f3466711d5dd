"""Limits of stock from both sides: trims at either end, knots, packs, spares, boards to hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.boards import Rail, divide_rail
from nestcut.facts import Length, Money, Names
from nestcut.model.plan import BoardLayout, Plan
from nestcut.model.stock import BoardLength, Defect, Spare
from nestcut.verify import verify_plan
from nestcut.verify.stock.shed import hand_serves
from tests.builders import a_job, a_part, a_plan, rectangle
from tests.unit.verify.test_told import bound
from tests.unit.verify.untrue.boards import first_board
from tests.unit.verify.untrue.buying import brought_for_money
from tests.unit.verify.untrue.joints import a_band
from tests.unit.verify.untrue.made import codes, first_sheet, joined_twice, kept
from tests.unit.verify.untrue.shared import planned, with_blank


def _moved(plan: Plan, along_mm: float, across_mm: float) -> Plan:
    """The ready board, all that is cut from it further along and across."""
    board: BoardLayout = plan.boards[0]
    cuts = tuple(
        replace(
            c,
            from_mm=c.from_mm + along_mm,
            to_mm=c.to_mm + along_mm,
            rip_from_mm=c.rip_from_mm + across_mm,
            rip_to_mm=c.rip_to_mm + across_mm,
        )
        for c in board.cuts
    )
    return first_board(plan, cuts=cuts)


@pytest.mark.parametrize(
    ("along_mm", "across_mm", "is_on"),
    [
        (10.0, 1.0, True),
        (270.0, 2.0, True),
        (270.1, 1.0, False),
        (280.0, 1.0, False),
        (9.9, 1.0, False),
        (10.0, 2.1, False),
        (10.0, 3.0, False),
        (10.0, 0.9, False),
    ],
)
def test_a_boards_trims_are_kept_at_either_side(
    along_mm: float,
    across_mm: float,
    is_on: bool,  # noqa: FBT001
) -> None:
    """2,120 of 2,400 mm less 10 at each end; 92 of 95 mm less 1 at each edge."""
    stock = replace(a_job().board_stocks[0], end_trim_mm=10.0, edge_trim_mm=1.0)
    job = replace(a_job(), board_stocks=(stock,))
    assert codes(job, _moved(a_plan(), along_mm, across_mm)) == (set() if is_on else {"VER-034"})


@pytest.mark.parametrize(("short_mm", "is_on"), [(10.0, True), (9.9, False), (0.0, False)])
def test_sawn_pieces_keep_clear_of_both_ends_of_their_board(
    short_mm: float,
    is_on: bool,  # noqa: FBT001
) -> None:
    job, plan = a_band()
    stock = replace(job.board_stocks[0], end_trim_mm=10.0)
    job = replace(job, board_stocks=(stock,))
    pieces = {p.id: p for p in plan.pieces}
    for to_far_end in (False, True):
        sheets = []
        for sheet in plan.sheets:
            (place,) = sheet.placements
            xs = [x for x, _ in pieces[place.piece].shape.outline.points]
            x = sheet.length_mm - short_mm - max(xs) if to_far_end else short_mm - min(xs)
            there = replace(place, shift_mm=(x, place.shift_mm[1]))
            sheets.append(replace(sheet, placements=(there,), end_trim_mm=10.0))
        assert ("VER-025" in codes(job, replace(plan, sheets=tuple(sheets)))) is not is_on


USED = len(a_plan().sheets)


@pytest.mark.parametrize(
    ("pack", "most", "spares", "bought"),
    [
        (1, None, 0, USED),
        (1, None, 2, USED + 2),
        (4, None, 0, 4),
        (4, None, 4, 4 * (1 + (USED + 3) // 4)),
        (4, 3, 0, 3),
        (4, 9, 5, 8),
        (4, 7, 5, 7),
        (1, USED, 3, USED),
        (1, USED + 1, 3, USED + 1),
        (5, 5, 9, 5),
    ],
)
def test_packs_and_spares_are_bought_as_far_as_the_yard_has_them(
    pack: int, most: int | None, spares: int, bought: int
) -> None:
    plan = a_plan()
    stock = replace(a_job().sheet_stocks[0], pack=pack, most=most, spare=Spare(count=spares))
    job = replace(a_job(), sheet_stocks=(stock,))
    for count in (bought - 1, bought, bought + 1):
        line = replace(plan.buy[0], count=count, over=count - USED)
        wanted = set() if count == bought else {"VER-043"}
        assert codes(job, replace(plan, buy=(line, *plan.buy[1:]))) == wanted


def test_what_is_brought_is_told_in_money() -> None:
    job, plan = brought_for_money()
    (found,) = (f for f in verify_plan(job, plan).findings if f.code == "VER-065")
    assert dict(found.values)["has"] == Money(100)
    assert dict(found.values)["needs"] == Money(0)


@pytest.mark.parametrize("filled", [Length(1.0), Names(("plate 1",)), "", "-", "nan", "one"])
def test_sheets_filled_are_a_figure(filled: object) -> None:
    """Twelve plates fill 0.99 to 1.01 sheets: no figure is no reason, whatever stands there."""
    plate = a_part("plate", shape=rectangle(610, 405), count=12)
    job = a_job(sheet_parts=(plate,), rail_parts=())
    plan = a_plan(job)
    for said_filled, wanted in (("1.00", set()), (filled, {"VER-072"})):
        told = replace(bound("SHT-117", filled=said_filled), used=float(len(plan.sheets)))
        assert codes(job, replace(plan, bounds=(told,))) == wanted


def test_boards_are_listed_in_the_order_of_their_numbers() -> None:
    job, plan = joined_twice(900.0, 3000.0)
    assert "VER-045" not in codes(job, plan)
    assert "VER-045" in codes(job, replace(plan, boards=plan.boards[::-1]))


@pytest.mark.parametrize(("grown_mm", "wanted"), [(0.0, set()), (0.05, set()), (0.07, {"VER-070"})])
def test_a_blank_is_what_its_part_needs(grown_mm: float, wanted: set[str]) -> None:
    plan = with_blank(grown_mm)
    assert {f.code for f in verify_plan(planned().job, plan).findings} == wanted


def test_no_spares_are_bought_of_what_nothing_is_cut_from() -> None:
    thick = replace(
        a_job().sheet_stocks[0], name="9 mm ply", thickness_mm=9.0, spare=Spare(count=2, share=0.5)
    )
    plan = a_plan()
    job = replace(a_job(), sheet_stocks=(*a_job().sheet_stocks, thick))
    assert codes(job, plan) == set()
    more = replace(plan.buy[0], stock="9 mm ply", count=2, over=2, thickness_mm=9.0)
    assert codes(job, replace(plan, buy=(plan.buy[0], more, *plan.buy[1:]))) == {"VER-055"}


def test_no_more_is_bought_than_the_yard_has() -> None:
    """Of sheets and of boards: as many as it has may be cut, not one more."""
    job, plan = a_job(), a_plan()
    (ply,), (spruce,) = job.sheet_stocks, job.board_stocks
    for most, wanted in ((USED, set()), (USED - 1, {"VER-042"})):
        assert codes(replace(job, sheet_stocks=(replace(ply, most=most),)), plan) == wanted
    for most, wanted in ((1, set()), (0, {"VER-042"})):
        offers = tuple(replace(o, most=most) for o in spruce.lengths)
        limited = replace(job, board_stocks=(replace(spruce, lengths=offers),))
        assert codes(limited, plan) == wanted


@pytest.mark.parametrize("knots", [((100.0,), (2200.0,)), ((100.0,), (100.0, 2200.0))])
def test_all_that_is_cut_from_a_board_is_clear_of_the_knots_of_one_board(
    knots: tuple[tuple[float, ...], ...],
) -> None:
    """Two boards to hand, a knot in each: one piece is clear of the first, one of the second."""
    job = a_job()
    (spruce,) = job.board_stocks
    offers = tuple(
        BoardLength(
            length_mm=spruce.lengths[0].length_mm,
            price_minor=0,
            count=1,
            defects=tuple(Defect(from_mm=x, to_mm=x + 10.0, reason="knot") for x in at),
        )
        for at in knots
    )
    job = replace(job, board_stocks=(replace(spruce, lengths=offers),))
    plan = a_plan()
    board = plan.boards[0]
    second = board.cuts[1]
    along = board.length_mm - second.to_mm
    far = replace(second, from_mm=second.from_mm + along, to_mm=second.to_mm + along)
    paid = (plan.buy[0], replace(plan.buy[1], price_minor=0))
    plan = replace(first_board(plan, cuts=(board.cuts[0], far)), buy=paid)
    assert codes(job, plan) == {"VER-035"}
    (found,) = (f for f in verify_plan(job, kept(job, plan)).findings)
    assert found.where == board.cuts[0].piece


@pytest.mark.parametrize(
    ("count", "held", "served"), [(1, 1, 2), (None, 1, 1), (0, 2, 2), (4, 0, 3)]
)
def test_boards_to_hand_serve_whoever_said_so(count: int | None, held: int, served: int) -> None:
    """Those of the job and those that an earlier plan bought, of three that are wanted."""
    (spruce,) = a_job().board_stocks
    (offer,) = spruce.lengths
    board = replace(spruce, lengths=(replace(offer, count=count, held=held),))
    assert hand_serves(board, offer.length_mm, 3 * a_plan().boards) == served


@pytest.mark.parametrize(
    ("section", "across_mm"),
    [((18.0, 45.0), 45.0), ((45.0, 18.0), 45.0), ((18.0, 19.0), 18.0), ((16.0, 20.0), 16.0)],
)
def test_a_planed_rail_is_sawn_with_its_greater_side_that_the_board_gives(
    section: tuple[float, float], across_mm: float
) -> None:
    """From a board of 20 mm; what is planed comes off the saw as thick as the board."""
    base, made = a_job(sheet_parts=()), a_plan()
    rail = replace(
        base.rail_parts[0],
        thickness_mm=section[0],
        width_mm=section[1],
        length_mm=2000.0,
        joint=None,
        planed_from_mm=20.0,
    )
    pieces, _ = divide_rail(Rail(part=rail, hand=None, copy=1), ())
    for wide_mm, wanted in ((across_mm, set()), (sum(section) - across_mm, {"VER-032"})):
        cut = replace(made.boards[0].cuts[0], piece=pieces[0].id, to_mm=2000.0, rip_to_mm=wide_mm)
        plan = replace(
            made,
            sheets=(),
            pieces=(),
            joints=(),
            rail_pieces=pieces,
            boards=(replace(made.boards[0], cuts=(cut,)),),
            buy=made.buy[1:],
        )
        assert codes(replace(base, rail_parts=(rail,)), plan) == wanted


@pytest.mark.parametrize(("count", "wanted"), [(0, {"VER-042"}), (1, set())])
def test_no_more_boards_are_used_than_lie_there(count: int, wanted: set[str]) -> None:
    job, plan = a_job(), a_plan()
    (spruce,) = job.board_stocks
    offers = tuple(replace(o, count=count, price_minor=0) for o in spruce.lengths)
    job = replace(job, board_stocks=(replace(spruce, lengths=offers),))
    line = replace(plan.buy[1], count=1 - count, to_hand=count, price_minor=0)
    assert codes(job, replace(plan, buy=(plan.buy[0], line))) == wanted


def test_sheets_have_no_number_among_boards() -> None:
    job, plan = a_job(), first_sheet(a_plan(), board=3)
    (found,) = (f for f in verify_plan(job, kept(job, plan)).findings if f.code == "VER-045")
    assert (found.where, dict(found.values)["needs"]) == ("sheet 1", 0)
