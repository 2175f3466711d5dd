"""Buying lists by hand: what is to hand first, packs, limits, spares, deliveries."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.model.job import Job
from nestcut.model.plan import BoardLayout, BuyLine, Delivery
from nestcut.model.stock import BoardLength, Spare, Supplier
from nestcut.planning.totals import deliveries_of, draw_up_buying_list, renumber_sheets
from tests.builders import PLY, SPRUCE, a_job, a_plan

ON_SALE = BoardLength(length_mm=2400.0, price_minor=900)
TO_HAND = BoardLength(length_mm=2400.0, price_minor=300, count=2)


def boards(n: int, length_mm: float = 2400.0) -> tuple[BoardLayout, ...]:
    board = replace(a_plan().boards[0], length_mm=length_mm)
    return tuple(replace(board, number=k + 1) for k in range(n))


def board_job(*lengths: BoardLength, spare: Spare | None = None) -> Job:
    stock = replace(SPRUCE, lengths=lengths, spare=spare or Spare())
    return a_job(sheet_stocks=(), board_stocks=(stock,))


def counted(lines: tuple[BuyLine, ...]) -> list[tuple[float, int, int, int, int]]:
    """Length, bought, to hand, beyond what is cut, price of each."""
    return [(b.length_mm, b.count, b.to_hand, b.over, b.price_minor) for b in lines]


@pytest.mark.parametrize(
    ("used", "bought", "to_hand"), [(1, 0, 1), (2, 0, 2), (3, 1, 2), (4, 2, 2), (5, 3, 2)]
)
def test_boards_to_hand_cost_nothing_and_go_first(used: int, bought: int, to_hand: int) -> None:
    job = board_job(ON_SALE, TO_HAND)
    assert counted(draw_up_buying_list(job, (), boards(used))) == [
        (2400.0, bought, to_hand, 0, 900)
    ]


def test_boards_kept_for_a_plan_in_hand_count_as_to_hand() -> None:
    job = board_job(replace(ON_SALE, held=1))
    assert counted(draw_up_buying_list(job, (), boards(3))) == [(2400.0, 2, 1, 0, 900)]


def test_lengths_are_told_apart_and_what_isnt_used_is_left_out() -> None:
    longer = BoardLength(length_mm=3000.0, price_minor=1200)
    longest = BoardLength(length_mm=3600.0, price_minor=1500)
    lines = draw_up_buying_list(
        board_job(longer, ON_SALE, longest), (), (*boards(2), *boards(1, 3600.0))
    )
    assert counted(lines) == [(2400.0, 2, 0, 0, 900), (3600.0, 1, 0, 0, 1500)]
    assert {(b.width_mm, b.thickness_mm) for b in lines} == {(95.0, 20.0)}


@pytest.mark.parametrize(
    ("used", "pack", "most", "spare", "bought"),
    [
        (3, 1, None, Spare(), 3),
        (3, 4, None, Spare(), 4),
        (4, 4, None, Spare(), 4),
        (5, 4, None, Spare(), 8),
        (5, 4, 6, Spare(), 6),
        (3, 1, None, Spare(count=1), 4),
        (10, 1, None, Spare(share=0.1), 11),
        (11, 1, None, Spare(share=0.1), 13),
        (10, 1, 10, Spare(share=0.1), 10),
        (10, 1, 11, Spare(count=5), 11),
        (3, 2, 8, Spare(count=1), 4),
    ],
)
def test_packs_limits_and_spares(
    used: int, pack: int, most: int | None, spare: Spare, bought: int
) -> None:
    offer = replace(ON_SALE, pack=pack, most=most)
    lines = draw_up_buying_list(board_job(offer, spare=spare), (), boards(used))
    assert counted(lines) == [(2400.0, bought, 0, bought - used, 900)]
    sheet = replace(PLY, pack=pack, most=most, spare=spare)
    (layout,) = a_plan(a_job(rail_parts=())).sheets[:1]
    lines = draw_up_buying_list(a_job(sheet_stocks=(sheet,)), (layout,) * used, ())
    assert counted(lines) == [(2440.0, bought, 0, bought - used, 5800)]


def test_spares_of_boards_are_of_the_longest_that_is_bought() -> None:
    longer = BoardLength(length_mm=3000.0, price_minor=1200)
    job = board_job(longer, ON_SALE, spare=Spare(count=1, share=0.25))
    lines = draw_up_buying_list(job, (), (*boards(3), *boards(1, 3000.0)))
    assert counted(lines) == [(2400.0, 3, 0, 0, 900), (3000.0, 3, 0, 2, 1200)]
    lines = draw_up_buying_list(job, (), boards(3))
    assert counted(lines) == [(2400.0, 5, 0, 2, 900)]


def test_sheets_to_hand_cost_nothing_and_are_bought_no_more() -> None:
    offcut = replace(PLY, name="offcut", count=2, price_minor=700, supplier="yard")
    kept = replace(PLY, name="kept", held=1, supplier="yard")
    (layout,) = a_plan(a_job(rail_parts=())).sheets[:1]
    sheets = (*(replace(layout, stock="kept"),) * 3, *(replace(layout, stock="offcut"),) * 2)
    lines = draw_up_buying_list(a_job(sheet_stocks=(offcut, kept)), sheets, ())
    assert [b.stock for b in lines] == ["offcut", "kept"]
    assert counted(lines) == [(2440.0, 0, 2, 0, 0), (2440.0, 2, 1, 0, 5800)]
    assert [b.supplier for b in lines] == ["", "yard"]
    assert {(b.width_mm, b.thickness_mm) for b in lines} == {(1220.0, 6.0)}


def test_a_yard_brings_what_is_bought_there_once() -> None:
    yards = (
        Supplier(name="near", delivery_minor=1),
        Supplier(name="far", delivery_minor=900),
        Supplier(name="free", delivery_minor=0),
    )
    line = draw_up_buying_list(board_job(ON_SALE), (), boards(1))[0]
    lines = tuple(
        replace(line, supplier=s, count=n)
        for s, n in (("near", 1), ("near", 2), ("far", 0), ("free", 3))
    )
    job = a_job(suppliers=yards)
    assert deliveries_of(job, lines) == (Delivery(supplier="near", fee_minor=1),)


def test_sheets_are_numbered_from_one() -> None:
    sheets = a_plan().sheets
    assert [s.number for s in renumber_sheets((*sheets, *sheets))] == list(
        range(1, 2 * len(sheets) + 1)
    )
