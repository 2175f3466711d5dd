"""The inner check refuses what is wrong, and poses survive the way to the engine and back."""

from __future__ import annotations

import numpy as np
import pytest

from nestcut.errors import SearchError
from nestcut.geometry.pose import move_point
from nestcut.model.job import CuttingRules
from nestcut.model.part import Faces
from nestcut.model.pose import Lie, Placement
from nestcut.model.stock import SheetGrain
from nestcut.search.settings import Deadline
from nestcut.sheets.choose import choose_sheets
from nestcut.sheets.layouts import FilledSheet, faults_of, on_sheet
from nestcut.sheets.left.offcuts import area_mm2, largest_mm2, offcuts_of
from nestcut.sheets.prepare import Group, prepare_group
from nestcut.sheets.search import engine_placements
from nestcut.sheets.standing import Standing
from tests.unit.sheets.cases import SAW, blob, box, piece, sheet


def pair(clearance: CuttingRules = SAW) -> Group:
    return prepare_group(
        (piece("a", box(200, 100)), piece("b", box(200, 100))), (sheet(),), clearance
    )


def filled(*shifts: tuple[float, float]) -> FilledSheet:
    names = ("a 1", "b 1")
    return FilledSheet(
        stock="whole",
        lying=tuple(Placement(shift_mm=s, piece=n) for n, s in zip(names, shifts, strict=False)),
    )


@pytest.mark.parametrize(
    ("b_at", "faults"),
    [
        ((205.0, 0.0), 0),
        ((204.9, 0.0), 1),
        ((0.0, 105.0), 0),
        ((203.6, 103.6), 0),
        ((203.4, 103.4), 1),
        ((2240.0, 1120.0), 0),
        ((2240.1, 1120.0), 1),
        ((300.0, -0.1), 1),
    ],
)
def test_a_tenth_of_a_millimetre_too_near_or_too_far_out_is_seen(
    b_at: tuple[float, float], faults: int
) -> None:
    """Clearance is 5 mm; diagonally 3.6 and 3.6 make 5.09, 3.4 and 3.4 only 4.81."""
    assert len(faults_of(pair(), filled((0.0, 0.0), b_at))) == faults


def test_without_clearance_pieces_may_touch_but_not_overlap() -> None:
    group = pair(CuttingRules(kerf_mm=0.0))
    assert faults_of(group, filled((0.0, 0.0), (200.0, 0.0))) == ()
    assert len(faults_of(group, filled((0.0, 0.0), (199.9, 0.0)))) == 1


def test_a_faulty_sheet_never_becomes_the_best() -> None:
    standing = Standing(pair())

    assert not standing.offer((filled((0.0, 0.0), (100.0, 0.0)),))

    assert standing.refused == 1
    with pytest.raises(SearchError, match="no valid layout"):
        standing.sure()


def test_a_piece_placed_twice_is_a_fault_of_ours() -> None:
    standing = Standing(pair())
    once = filled((0.0, 0.0))
    with pytest.raises(SearchError, match="twice"):
        standing.offer((once, once))


@pytest.mark.parametrize("grain", list(SheetGrain))
@pytest.mark.parametrize("lie", list(Lie))
def test_poses_come_back_from_the_engine(grain: SheetGrain, lie: Lie) -> None:
    """With sheets of both grains one frame is turned; the way there and back changes nothing."""
    group = prepare_group(
        (piece("a", blob(np.random.default_rng(2), 120.0), faces=Faces.EITHER),),
        (sheet(), sheet("across", grain=SheetGrain.ALONG_WIDTH)),
        SAW,
    )
    stock = next(s for s in group.stocks if s.stock.grain is grain)
    lying = Placement(lie, 90.0, (700.25, 600.5), piece="a 1")
    there = FilledSheet(stock=stock.container.id, lying=(lying,))

    (placed,) = engine_placements(group, there, 3)
    back = on_sheet(group.pieces[0], stock, placed)

    assert placed.number == 3
    assert back == lying
    x, y = move_point(group.pieces[0].centre, lying)
    assert tuple(map(abs, placed.shift_mm)) == pytest.approx(
        (x, y) if stock.frame_turn_deg == 0.0 else (y, x), abs=1e-3
    )


def test_offcuts_keep_the_kerf_and_are_found_in_order() -> None:
    """A 2000 x 1220 piece leaves 438 x 1220 beside a 2 mm kerf; the gap needn't be kept."""
    group = prepare_group((piece("a", box(2000, 1220)),), (sheet(),), SAW)
    there = FilledSheet(stock="whole", lying=(Placement(piece="a 1"),))

    found = offcuts_of(group, there)

    assert found[0].from_mm == pytest.approx((2002.0, 0.0), abs=0.02)
    assert found[0].to_mm == (2440.0, 1220.0)
    assert largest_mm2(group, there) == pytest.approx(area_mm2(found[0]))


def test_the_cheapest_choice_of_sheets_covers_the_demand_with_alike_pieces() -> None:
    """A sheet with two of three alike pieces may be cut twice; one place is left empty."""
    copies = tuple(piece("p", box(1150, 550), id=f"p {k}", copy=k) for k in (1, 2, 3))
    group = prepare_group(copies, (sheet(),), SAW)
    standing = Standing(group)
    two = FilledSheet(
        stock="whole",
        lying=(
            Placement(piece="p 1"),
            Placement(shift_mm=(1200.0, 0.0), piece="p 2"),
        ),
    )
    ones = tuple(FilledSheet(stock="whole", lying=(Placement(piece=f"p {k}"),)) for k in (1, 2, 3))
    standing.offer(ones)
    standing.offer((two,))

    chosen = choose_sheets(standing, Deadline())

    assert chosen is not None
    assert sorted(i for s in chosen for i in s.ids) == ["p 1", "p 2", "p 3"]
    assert sorted(len(s.lying) for s in chosen) == [1, 2]
    assert standing.offer(chosen)
