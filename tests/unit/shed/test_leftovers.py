"""What a plan leaves goes into the stock book: offcuts of sheets, ends and strips of boards."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from shapely.geometry import Polygon

import nestcut
from nestcut.cli.declared.shed import shed_add
from nestcut.model.plan import BoardCut, BoardLayout, Offcut, Plan, SheetLayout, StopReason
from nestcut.model.stock import (
    BoardStock,
    Defect,
    KeepOut,
    SheetStock,
)
from nestcut.papers.view import plan_view
from nestcut.shed import (
    Change,
    Kept,
    NewEntry,
    changed_text,
    gather_rest,
    new_book_text,
    parse_book,
)
from tests.builders_demos import demo_on_shelves
from tests.unit.shed.test_shed import JOB, board


def _plan(*sheets: SheetLayout, boards: tuple[BoardLayout, ...] = ()) -> Plan:
    return Plan(
        seed=0,
        effort="quick",
        workers=1,
        seconds_limit=None,
        stopped_by=StopReason.PROVEN,
        pieces=(),
        rail_pieces=(),
        sheets=sheets,
        boards=boards,
        joints=(),
        unplaced=(),
        bounds=(),
        buy=(),
    )


def leftovers(*corners: tuple[float, float, float, float]) -> tuple[NewEntry, ...]:
    """What a sheet of 1000 x 500 mm leaves where rectangles are spent, and a board of 2 m."""
    job = nestcut.read_job(JOB, drawings={})
    stock = replace(job.sheet_stocks[0], seams_mm=(600.0,), seam_overlap_mm=48.0, edge_trim_mm=5.0)
    fir = replace(board(2000.0), name="fir")
    job = replace(job, sheet_stocks=(stock,), board_stocks=(fir,))
    layout = SheetLayout(
        stock=stock.name,
        number=1,
        length_mm=1000.0,
        width_mm=500.0,
        thickness_mm=6.0,
        outline=None,
        edge_trim_mm=5.0,
        keep_outs=(),
        placements=(),
        spent=tuple(
            KeepOut(points=((x0, y0), (x1, y0), (x1, y1), (x0, y1)), reason="gone")
            for x0, y0, x1, y1 in corners
        ),
    )
    cut = BoardCut(piece="x", from_mm=0.0, to_mm=1200.0, rip_from_mm=0.0, rip_to_mm=40.0)
    whole = BoardLayout(
        stock="fir", number=1, length_mm=2000.0, width_mm=89.0, thickness_mm=19.0, cuts=(cut,)
    )
    return gather_rest(job, _plan(layout, boards=(whole,)), Kept())


def test_a_plan_leaves_its_large_offcuts_and_clear_ends() -> None:
    rest = leftovers((0.0, 0.0, 497.0, 500.0), (0.0, 303.0, 1000.0, 500.0))
    first, *strips = (r.stock for r in rest)
    assert isinstance(first, SheetStock)
    assert first.outline is None
    assert first.edge_trim_mm == 0.0
    # 0.6 mm inside what kerf (3 mm) and trim leave: 500 to 995, 5 to 300
    assert (first.length_mm, first.width_mm) == pytest.approx((493.8, 293.8))
    (seam,) = first.keep_outs
    assert [round(x, 3) for x, _ in seam.points] == [75.4, 123.4, 123.4, 75.4]
    # What is left of the board is an L: its page has the end sawn off first, over the whole width.
    boards = [b for b in strips if isinstance(b, BoardStock)]
    assert [(b.lengths[0].length_mm, b.width_mm) for b in boards] == [(797.0, 89.0), (1200.0, 46.0)]
    assert [r.came_from for r in rest] == ["shelf, sheet 1", "shelf, board 1", "shelf, board 1"]
    kept = parse_book(changed_text(parse_book(new_book_text(), "b"), Change(added=rest), 1), "b")
    assert kept.findings == ()
    assert [e.stock.width_mm for e in kept.entries[1:]] == [89.0, 46.0]


def test_what_the_pages_mark_as_kept_goes_into_the_book() -> None:
    """An end has one least length, on its page, in the book and in the command."""
    done = nestcut.plan_job(
        nestcut.read_job(ONE_RAIL, drawings={}), nestcut.Budget(effort=nestcut.Effort.QUICK)
    )
    (view,) = plan_view(done).boards
    assert view.keep_mm is not None
    begins, ends = view.keep_mm
    assert ends - begins < 500.0
    (rest,) = [e.stock for e in gather_rest(done.job, done.plan, Kept())]
    assert isinstance(rest, BoardStock)
    assert (rest.lengths[0].length_mm, rest.width_mm) == pytest.approx((ends - begins, 45.0))
    usual: dict[str | None, Any] = {o.name: o.default for o in shed_add.params}
    assert float(nestcut.parse_length_mm(usual["least_board"])) == Kept().board_mm
    assert tuple(float(nestcut.parse_length_mm(x)) for x in usual["least"]) == Kept().sides_mm


@pytest.mark.parametrize("demo", ["punt", "beach-boat"])
def test_the_book_takes_of_boards_just_what_their_pages_keep(demo: str) -> None:
    """A strip in the book that its page hatched was thrown away before anyone looked for it."""
    done = demo_on_shelves(demo)
    view = plan_view(done)
    booked = sorted(
        (entry.came_from, entry.stock.lengths[0].length_mm, entry.stock.width_mm)
        for entry in gather_rest(done.job, done.plan, Kept())
        if isinstance(entry.stock, BoardStock)
    )
    marked = sorted(
        (f"{done.job.name}, {b.label.lower()}", w.along_mm[1] - w.along_mm[0],
         w.across_mm[1] - w.across_mm[0])
        for b in view.boards
        for w in b.keeps
    )  # fmt: skip
    assert booked == marked
    assert any(b.strips for b in view.boards)


def test_the_book_takes_of_boards_of_curves_just_what_their_pages_keep() -> None:
    """Its page is a sheet's; whatever else lies beside the curve is hatched there."""
    job = nestcut.read_job(JOB, drawings={})
    job = replace(job, board_stocks=(replace(board(2000.0), name="fir"),))
    sawn = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 40.0), (0.0, 40.0))
    layout = SheetLayout(
        stock="fir",
        number=1,
        length_mm=2000.0,
        width_mm=89.0,
        thickness_mm=19.0,
        outline=None,
        edge_trim_mm=0.0,
        keep_outs=(),
        placements=(),
        spent=(KeepOut(points=sawn, reason="gone"),),
        board=4,
    )

    def rests(*offcuts: Offcut) -> list[tuple[float, float, tuple[Defect, ...]]]:
        made = gather_rest(job, _plan(replace(layout, offcuts=offcuts)), Kept())
        assert {e.came_from for e in made} <= {"shelf, board 4"}
        return [
            (s.lengths[0].length_mm, s.width_mm, s.lengths[0].defects)
            for s in (e.stock for e in made)
            if isinstance(s, BoardStock)
        ]

    end = Offcut(from_mm=(1203.0, 0.0), to_mm=(2000.0, 89.0))
    strip = Offcut(from_mm=(0.0, 43.0), to_mm=(1200.0, 89.0))
    short = Offcut(from_mm=(1203.0, 0.0), to_mm=(1400.0, 89.0))
    knot = (Defect(from_mm=10, to_mm=40, reason="k"),)
    assert rests() == []
    assert rests(end, strip) == [(797.0, 89.0, ()), (1200.0, 46.0, knot)]
    assert rests(short) == []


def test_a_strip_that_is_sawn_in_lengths_goes_into_the_book_in_lengths() -> None:
    """Beside two posts lie two short strips; a blank is parted as well, though it has no name."""
    job = nestcut.read_job(JOB, drawings={})
    job = replace(job, board_stocks=(replace(board(2000.0), name="fir"),))

    def rests(**taken: tuple[BoardCut, ...]) -> list[tuple[float, float]]:
        layout = BoardLayout(
            stock="fir",
            number=1,
            length_mm=2000.0,
            width_mm=89.0,
            thickness_mm=19.0,
            **{"cuts": (), **taken},
        )
        made = [e.stock for e in gather_rest(job, _plan(boards=(layout,)), Kept())]
        return [(s.lengths[0].length_mm, s.width_mm) for s in made if isinstance(s, BoardStock)]

    whole = BoardCut(piece="x", from_mm=0.0, to_mm=1200.0, rip_from_mm=0.0, rip_to_mm=40.0)
    posts = (
        replace(whole, to_mm=800.0),
        replace(whole, piece="y", from_mm=803.0, to_mm=1603.0),
    )
    assert rests(cuts=posts) == [(394.0, 89.0), (800.0, 46.0), (800.0, 46.0)]
    unnamed = replace(whole, piece="", rip_from_mm=43.0, rip_to_mm=89.0)
    blanks = (replace(unnamed, to_mm=400.0), replace(unnamed, from_mm=403.0, to_mm=800.0))
    assert rests(cuts=(whole,), blanks=blanks) == [(797.0, 89.0), (397.0, 46.0)]


ONE_RAIL = """
[job]
name = "one rail"
[saw]
kerf = "3 mm"
[[board]]
name = "fir"
material = "fir"
thickness = "19 mm"
width = "45 mm"
lengths = [{ length = "2.4 m", price = 8 }]
[[rail]]
name = "cleat"
material = "fir"
section = ["19 mm", "45 mm"]
length = "2 m"
"""


def test_an_offcut_with_a_corner_gone_has_its_true_outline() -> None:
    first, *_ = (r.stock for r in leftovers((0.0, 0.0, 400.0, 250.0)))
    assert isinstance(first, SheetStock)
    assert first.outline is not None
    whole = Polygon([(0, 0), (988.8, 0), (988.8, 488.8), (0, 488.8)])
    true = whole.difference(Polygon([(0, 0), (398, 0), (398, 248), (0, 248)]))
    assert Polygon(first.outline).symmetric_difference(true).area < 100.0
    entries = Change(added=leftovers((0.0, 0.0, 400.0, 250.0)))
    back = parse_book(changed_text(parse_book(new_book_text(), "b"), entries, 1), "b")
    assert back.findings == ()
    read = back.entries[0].stock
    assert isinstance(read, SheetStock)
    assert read.outline is not None
    assert Polygon(read.outline).area == pytest.approx(Polygon(first.outline).area)


def test_narrow_necks_and_what_hangs_on_them_are_forgotten() -> None:
    rest = leftovers((0.0, 0.0, 1000.0, 230.0), (400.0, 230.0, 460.0, 400.0))
    sheets = [r.stock for r in rest if isinstance(r.stock, SheetStock)]
    assert len(sheets) == 2
    assert all(min(s.length_mm, s.width_mm) >= 149.0 for s in sheets)


def test_a_place_cut_out_of_the_middle_is_barred() -> None:
    first, *_ = (r.stock for r in leftovers((400.0, 200.0, 480.0, 280.0)))
    assert isinstance(first, SheetStock)
    assert "cut" in {k.reason for k in first.keep_outs}
