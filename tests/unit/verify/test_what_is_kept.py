"""Rectangles worth keeping: all are named, and none that trims, kerfs or holes take from."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.model.curves import Arc, Point
from nestcut.model.job import CuttingRules, Job
from nestcut.model.part import HoleUse, SheetPart
from nestcut.model.plan import Offcut, Plan
from nestcut.model.stock import KeepOut
from nestcut.verify import verify_plan
from nestcut.verify.stock import check_missing
from tests.builders import a_job, a_part, a_plan, rectangle
from tests.unit.verify.untrue.made import codes, first_sheet, kept
from tests.unit.verify.untrue.shared import planned
from tests.unit.verify.untrue.sheets import laid

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
