"""Limits of stock from both sides: trims at either end, packs, spares, what is left to keep."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from nestcut.boards import Rail, divide_rail
from nestcut.facts import Length, Money, Names
from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.model.curves import Arc, Point
from nestcut.model.job import CuttingRules, Job
from nestcut.model.part import HoleUse, SheetPart
from nestcut.model.plan import BoardLayout, Offcut, Plan
from nestcut.model.stock import BoardLength, Defect, KeepOut, Spare
from nestcut.verify import verify_plan
from nestcut.verify.stock import check_missing
from nestcut.verify.stock.shed import hand_serves
from tests.builders import a_job, a_part, a_plan, rectangle
from tests.unit.verify.test_told import bound
from tests.unit.verify.untrue.boards import first_board
from tests.unit.verify.untrue.buying import brought_for_money
from tests.unit.verify.untrue.joints import a_band
from tests.unit.verify.untrue.made import codes, first_sheet, joined_twice, kept
from tests.unit.verify.untrue.shared import planned, with_blank
from tests.unit.verify.untrue.sheets import laid


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


CORNERED = ((0.0, 0.0), (2440.0, 0.0), (2440.0, 600.0), (1500.0, 600.0), (1500.0, 1220.0),
            (0.0, 1220.0))  # fmt: skip


@pytest.mark.parametrize("trim_mm", [40.0, 110.0])
def test_trim_is_round_about_an_inner_corner(trim_mm: float) -> None:
    """A piece above and one beside it leave a rectangle whose corner lies in the round."""
    stock = replace(a_job().sheet_stocks[0], outline=CORNERED, edge_trim_mm=trim_mm)
    parts = (a_part("above", shape=rectangle(1100, 300)), a_part("beside"))
    job = a_job(sheet_stocks=(stock,), sheet_parts=parts, rail_parts=())
    plan = a_plan(job)
    sheets = (replace(plan.sheets[0], outline=CORNERED, edge_trim_mm=trim_mm),)
    plan = laid(replace(plan, sheets=sheets), "beside 1", shift_mm=(1500.0, trim_mm + 5.0))
    plan = laid(plan, "above 1", shift_mm=(trim_mm + 5.0, 600.0 - trim_mm / 2.0))
    corners = [o.to_mm for o in kept(job, plan).sheets[0].offcuts]
    assert any(x > 1501.0 - trim_mm and y > 601.0 - trim_mm for x, y in corners)
    assert codes(job, plan) == set()


def _trimmed(outline: tuple[Point, ...], trim_mm: float, *parts: SheetPart) -> tuple[Job, Plan]:
    """Parts on a sheet of an odd outline; the plan has them one after the other from a corner."""
    stock = replace(a_job().sheet_stocks[0], outline=outline, edge_trim_mm=trim_mm)
    job = a_job(sheet_stocks=(stock,), sheet_parts=parts, rail_parts=())
    plan = a_plan(job)
    return job, first_sheet(plan, outline=outline, edge_trim_mm=trim_mm)


@pytest.mark.parametrize(("wide_mm", "is_useful"), [(151.1, False), (165.0, True)])
def test_a_wide_trim_is_measured_by_chords(wide_mm: float, is_useful: bool) -> None:  # noqa: FBT001
    """An odd sheet's trim of 260 mm is drawn 0.7 mm too wide: a tongue of 151.1 mm has 149.7."""
    trim = 260.0
    x = wide_mm + 2.0 * trim
    tongue = ((0.0, 0.0), (2440.0, 0.0), (2440.0, 600.0), (x, 600.0), (x, 1220.0), (0.0, 1220.0))
    job, plan = _trimmed(tongue, trim, a_part("below", shape=rectangle(1918.0, 78.0)))
    plan = laid(plan, "below 1", shift_mm=(261.0, 261.0))
    assert (kept(job, plan).sheets[0].offcuts != ()) is is_useful
    assert codes(job, plan) == set()
    said = {f.code for f in verify_plan(job, plan).findings}
    assert said == ({"VER-075"} if is_useful else set())


def test_chords_may_end_what_is_kept_where_a_trim_turns() -> None:
    """Its corner touches the chords of the round, hardly beside the trim's lowest point.

    The round itself lies a quarter of a millimetre further out, and 5 mm further on it has not come
    down by that; beneath it a rectangle would be longer, by less than a hundredth of the area.
    """
    trim, kerf = 110.0, a_job().cutting.kerf_mm
    chords = 110.3
    top = 600.0 - chords + 0.05
    x = 1500.0 - math.sqrt(chords**2 - (600.0 - top) ** 2)
    parts = (a_part("above", shape=rectangle(1270.0, 600.0)), a_part("beside"))
    job, plan = _trimmed(CORNERED, trim, *parts)
    plan = laid(plan, "above 1", shift_mm=(trim, top + kerf))
    plan = laid(plan, "beside 1", shift_mm=(1510.0, trim))
    last = {o for o in kept(job, plan).sheets[0].offcuts if o.from_mm[0] > 1510.0}
    offcut = Offcut(from_mm=(trim, trim), to_mm=(x, top))
    plan = first_sheet(plan, offcuts=(offcut, *last))
    assert {f.code for f in verify_plan(job, plan).findings} == set()


def test_chords_may_end_what_is_kept_where_a_kerf_turns() -> None:
    """The same about a piece's corner, by a saw that takes 110 mm."""
    kerf, chords = 110.0, 110.3
    top = 600.0 - chords + 0.05
    x = 1500.0 - math.sqrt(chords**2 - (600.0 - top) ** 2)
    parts = (
        a_part("corner", shape=rectangle(500.0, 300.0)),
        a_part("above", shape=rectangle(1280.0, 400.0)),
        a_part("beside"),
    )
    job = a_job(sheet_parts=parts, rail_parts=(), cutting=CuttingRules(kerf_mm=kerf, gap_mm=0.0))
    plan = laid(a_plan(job), "corner 1", shift_mm=(1500.0, 600.0))
    plan = laid(plan, "above 1", shift_mm=(100.0, top + kerf))
    plan = laid(plan, "beside 1", shift_mm=(1620.0, 0.0))
    others = {o for o in kept(job, plan).sheets[0].offcuts if o.from_mm != (0.0, 0.0)}
    plan = first_sheet(plan, offcuts=(Offcut(from_mm=(0.0, 0.0), to_mm=(x, top)), *others))
    assert {f.code for f in verify_plan(job, plan).findings} == set()


@pytest.mark.parametrize(("grown_mm", "wanted"), [(0.0, set()), (0.05, set()), (0.07, {"VER-070"})])
def test_a_blank_is_what_its_part_needs(grown_mm: float, wanted: set[str]) -> None:
    plan = with_blank(grown_mm)
    assert {f.code for f in verify_plan(planned().job, plan).findings} == wanted


def _strip_left(wide_mm: float, **stock: object) -> tuple[Job, Plan]:
    """One plate as long as its sheet, that leaves a strip so wide beside it; a kerf of 3 mm."""
    plate = a_part("plate", shape=rectangle(2440.0, 1220.0 - wide_mm))
    ply = replace(a_job().sheet_stocks[0], **stock)  # type: ignore[arg-type]
    rules = CuttingRules(kerf_mm=3.0, gap_mm=0.0)
    job = a_job(sheet_stocks=(ply,), sheet_parts=(plate,), rail_parts=(), cutting=rules)
    return job, a_plan(job)


@pytest.mark.parametrize(("wide_mm", "is_useful"), [(154.0, True), (152.8, False)])
def test_what_is_left_is_left_by_the_blade(wide_mm: float, is_useful: bool) -> None:  # noqa: FBT001
    """150 mm are useful: 152.8 mm less a kerf aren't."""
    job, plan = _strip_left(wide_mm)
    found = {f.code for f in verify_plan(job, plan).findings}
    assert found == ({"VER-075"} if is_useful else set())
    assert codes(job, plan) == set()


@pytest.mark.parametrize("apart_mm", [260.0, 299.8])
def test_nothing_useful_is_left_between_knots(apart_mm: float) -> None:
    """A strip of 180 mm, and knots so far apart: under 300 mm nothing is worth keeping."""
    knots = tuple(
        KeepOut(
            points=((x, 1050.0), (x + 20.0, 1050.0), (x + 20.0, 1210.0), (x, 1210.0)), reason="knot"
        )
        for x in np.arange(apart_mm, 2420.0, apart_mm + 20.0).tolist()
    )
    job, plan = _strip_left(180.0, keep_outs=knots)
    assert {f.code for f in verify_plan(job, plan).findings} == {"VER-020"}
    sheets = tuple(replace(s, keep_outs=knots) for s in plan.sheets)
    assert verify_plan(job, replace(plan, sheets=sheets)).findings == ()
    free = replace(plan, sheets=tuple(replace(s, keep_outs=knots[1:]) for s in plan.sheets))
    fewer, _ = _strip_left(180.0, keep_outs=knots[1:])
    assert {f.code for f in verify_plan(fewer, free).findings} == {"VER-075"}


@pytest.mark.parametrize("side", [0, 1])
def test_what_is_kept_reaches_as_far_as_it_may(side: int) -> None:
    """Eight millimetres short of the sheet's end is too short, though no share to speak of."""
    job = a_job(sheet_parts=(a_part(),), rail_parts=())
    plan = kept(job, laid(a_plan(job), "plate 1", shift_mm=(700.0, 500.0)))
    sheet = plan.sheets[0]
    for number, offcut in enumerate(sheet.offcuts):
        ends = list(offcut.to_mm)
        ends[side] -= 8.0
        short = replace(offcut, to_mm=(ends[0], ends[1]))
        others = (*sheet.offcuts[:number], short, *sheet.offcuts[number + 1 :])
        bad = replace(plan, sheets=(replace(sheet, offcuts=others),))
        assert {f.code for f in verify_plan(job, bad).findings} == {"VER-074"}


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
    ("box", "wanted"),
    [
        ((603.0, 0.0, 2000.0, 140.0), {"VER-047"}),
        ((0.0, 0.0, 2000.0, 40.0), {"VER-047"}),
        ((903.0, 0.0, 2000.0, 140.0), set()),
        ((902.9, 0.0, 2000.0, 140.0), {"VER-047"}),
    ],
)
def test_what_is_kept_of_a_board_is_clear_of_its_rails(
    box: tuple[float, float, float, float], wanted: set[str]
) -> None:
    """A rail of 900 mm lies beside a blank of 600 mm, 3 mm of kerf about either."""
    plan = planned().plan
    keep = Offcut(from_mm=box[:2], to_mm=box[2:])
    sheets = tuple(replace(s, offcuts=(keep,)) for s in plan.sheets)
    found = verify_plan(planned().job, replace(plan, sheets=sheets)).findings
    assert {f.code for f in found} - {"VER-074"} == wanted


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


def test_of_more_rectangles_than_are_kept_the_largest_are() -> None:
    """Five lie between knots, four are told of: the least may be left out, and no other for it."""
    widths = (360.0, 430.0, 470.0, 520.0, 580.0)
    begins = [sum(widths[:k]) + 20.0 * k for k in range(5)]
    knots = tuple(
        KeepOut(points=((x - 20.0, 622.0), (x, 622.0), (x, 1220.0), (x - 20.0, 1220.0)), reason="")
        for x in begins[1:]
    )
    job, plan = _strip_left(600.0, keep_outs=knots)
    plan = kept(job, first_sheet(plan, keep_outs=knots))
    cells = [
        Offcut(from_mm=(x, 623.0), to_mm=(x + w, 1220.0))
        for x, w in zip(begins, widths, strict=True)
    ]
    for left_out, wanted in enumerate((set(), *4 * ({"VER-075"},))):
        told = tuple(c for k, c in enumerate(cells) if k != left_out)
        found = verify_plan(job, first_sheet(plan, offcuts=told)).findings
        assert {f.code for f in found} == wanted


@pytest.mark.parametrize(("length_mm", "wanted"), [(318.0, []), (325.0, ["VER-075"])])
def test_nothing_is_kept_of_a_boards_ends(length_mm: float, wanted: list[str]) -> None:
    """Ten millimetres come off either end: of a short board 298 mm are left, or 305."""
    job, plan = a_job(), a_plan()
    board = replace(
        plan.sheets[0],
        stock=job.board_stocks[0].name,
        length_mm=length_mm,
        width_mm=220.0,
        end_trim_mm=10.0,
        placements=(),
    )
    assert [f.code for f in check_missing(job, board, {})] == wanted


WAYS: list[Callable[[float, float], tuple[float, float]]] = [
    lambda x, y: (x, y),
    lambda x, y: (1200.0 - x, y),
    lambda x, y: (y, x),
    lambda x, y: (y, 1200.0 - x),
]
"""A square sheet turned so that what lies at greater x lies on each side in turn."""


@pytest.mark.parametrize("way", WAYS)
def test_what_only_touches_a_side_doesnt_end_what_is_kept(
    way: Callable[[float, float], tuple[float, float]],
) -> None:
    """A plate reaches over the corner by 0.005 mm: a hair narrower, twice as long is free."""
    square = a_part("square", shape=rectangle(300.0, 300.0), count=2)
    sheet = replace(a_job().sheet_stocks[0], length_mm=1200.0, width_mm=1200.0)
    job = a_job(
        sheet_stocks=(sheet,),
        sheet_parts=(square,),
        rail_parts=(),
        cutting=CuttingRules(kerf_mm=0.0),
    )
    plan = first_sheet(a_plan(job), length_mm=1200.0, width_mm=1200.0)
    plan = replace(plan, buy=tuple(replace(b, length_mm=1200.0, width_mm=1200.0) for b in plan.buy))
    for name, x, y in (("square 1", 600.0, 599.995), ("square 2", 100.0, 600.0)):
        ends = (way(x, y), way(x + 300.0, y + 300.0))
        plan = laid(plan, name, shift_mm=(min(e[0] for e in ends), min(e[1] for e in ends)))
    corners = (way(0.0, 0.0), way(600.0, 600.0))
    low, high = (tuple(f(c[k] for c in corners) for k in (0, 1)) for f in (min, max))
    keep = Offcut(from_mm=(low[0], low[1]), to_mm=(high[0], high[1]))
    assert codes(job, plan) == set()
    found = verify_plan(job, first_sheet(plan, offcuts=(keep,))).findings
    assert {f.code for f in found} == {"VER-074"}


@pytest.mark.parametrize(("off_mm", "wanted"), [(0.5, set()), (0.3, {"VER-025"})])
def test_half_a_millimetre_is_trimmed_of_an_odd_sheet_too(off_mm: float, wanted: set[str]) -> None:
    job, plan = _trimmed(CORNERED, 0.5, a_part())
    assert codes(job, laid(plan, "plate 1", shift_mm=(off_mm, 100.0))) == wanted


def test_sheets_have_no_number_among_boards() -> None:
    job, plan = a_job(), first_sheet(a_plan(), board=3)
    (found,) = (f for f in verify_plan(job, kept(job, plan)).findings if f.code == "VER-045")
    assert (found.where, dict(found.values)["needs"]) == ("sheet 1", 0)


def test_each_hole_is_wanted_whole() -> None:
    """A plate of two holes: a small one lies in the second."""
    holes = tuple(
        ring_from_curves((Arc((x, 150.0), 60.0, 0.0, -360.0),), 0.05, Side.HOLE)
        for x in (120.0, 280.0)
    )
    plate = a_part("plate", shape=replace(rectangle(400, 300), holes=holes))
    for use, wanted in ((HoleUse.KEEP, {"VER-028"}), (HoleUse.USE, set())):
        parts = (replace(plate, hole_use=use), a_part("small", shape=rectangle(40.0, 40.0)))
        job = a_job(sheet_parts=parts, rail_parts=())
        plan = laid(a_plan(job), "plate 1", shift_mm=(0.0, 0.0))
        assert codes(job, laid(plan, "small 1", shift_mm=(260.0, 130.0))) == wanted


@pytest.mark.parametrize("side", range(4))
def test_what_is_kept_may_be_three_millimetres_short(side: int) -> None:
    """Nothing to speak of beside a whole sheet's length, nor beside 597 mm."""
    job, plan = _strip_left(600.0)
    (whole,) = kept(job, plan).sheets[0].offcuts
    ends = [*whole.from_mm, *whole.to_mm]
    ends[side] += 3.0 if side < 2 else -3.0
    short = Offcut(from_mm=(ends[0], ends[1]), to_mm=(ends[2], ends[3]))
    assert verify_plan(job, first_sheet(plan, offcuts=(short,))).findings == ()
