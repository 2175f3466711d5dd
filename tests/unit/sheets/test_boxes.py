"""The layout at once: sound, complete where boxes fit, and honest where they don't."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import Polygon

from nestcut.model.job import CuttingRules
from nestcut.model.part import Faces, Grain, Turning
from nestcut.model.piece import SheetPiece
from nestcut.model.stock import KeepOut, SheetGrain, SheetStock
from nestcut.search.settings import Settings
from nestcut.sheets.boxes import lay_out_boxes
from nestcut.sheets.layouts import faults_of
from nestcut.sheets.prepare import Group, prepare_group
from nestcut.sheets.room import no_room_findings
from nestcut.sheets.solve import lay_out_at_once
from tests.unit.sheets.cases import SAW, blob, box, complaints, piece, sheet

KNOT = KeepOut(points=((900.0, 300.0), (1500.0, 300.0), (1200.0, 800.0)), reason="knot")


def lumps(seed: int, n: int) -> tuple[SheetPiece, ...]:
    rng = np.random.default_rng(seed)
    turnings = (Turning.HALF, Turning.QUARTER, Turning.SMALL, Turning.FREE)
    grains = (Grain.ALONG, Grain.ACROSS, Grain.ALONG, Grain.ANY)
    return tuple(
        piece(
            f"lump {k}",
            blob(rng, float(rng.uniform(60.0, 240.0))),
            grain=grains[k % 4],
            turning=turnings[k % 4],
            faces=Faces.EITHER if k % 3 else Faces.GOOD_UP,
        )
        for k in range(n)
    )


def laid_out(group: Group) -> set[str]:
    """Lay out, check every sheet by its net outlines, and return what has a place."""
    sheets = lay_out_boxes(group)
    assert [faults_of(group, s) for s in sheets] == [()] * len(sheets)
    placed = [i for s in sheets for i in s.ids]
    assert len(placed) == len(set(placed))
    return set(placed)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("kerf_mm", [0.0, 3.0])
def test_all_lumps_lie_soundly_on_sheets_with_knots_and_trims(seed: int, kerf_mm: float) -> None:
    stocks = (
        sheet("knotty", count=1, keep_outs=(KNOT,), edge_trim_mm=10.0),
        sheet("crosswise", grain=SheetGrain.ALONG_WIDTH, price_minor=5000, count=2),
        sheet(),
    )
    pieces = lumps(seed, 25)
    group = prepare_group(pieces, stocks, CuttingRules(kerf_mm=kerf_mm))
    assert laid_out(group) == {p.id for p in pieces}


def test_an_offcut_with_a_slanting_edge_is_used_only_where_it_is_whole() -> None:
    slanting = sheet(
        "slanting",
        outline=((0.0, 0.0), (1000.0, 0.0), (600.0, 800.0), (0.0, 800.0)),
        length_mm=1000.0,
        width_mm=800.0,
        price_minor=0,
        count=1,
    )
    pieces = (piece("a", box(550, 350)), piece("b", box(550, 350)), piece("c", box(350, 350)))
    group = prepare_group(pieces, (slanting,), SAW)
    assert laid_out(group) == {"a 1", "b 1"}


def test_no_more_sheets_are_opened_than_there_are() -> None:
    pieces = tuple(piece(f"p{k}", box(2000, 1000)) for k in range(3))
    group = prepare_group(pieces, (sheet(count=2),), SAW)
    assert len(laid_out(group)) == 2


def test_the_reserve_gets_room_that_is_left_but_no_sheet_of_its_own() -> None:
    saw = CuttingRules(kerf_mm=2.0, gap_mm=3.0, reserve_mm=(1200.0, 500.0))
    roomy = prepare_group((piece("a", box(2400, 600)),), (sheet(),), saw)
    tight = prepare_group((piece("a", box(2400, 1000)),), (sheet(),), saw)
    assert laid_out(roomy) == {"a 1", "reserve"}
    assert laid_out(tight) == {"a 1"}


def test_what_boxes_leave_out_is_laid_out_by_its_outline_after_all() -> None:
    """Two triangles that share a sheet only if one lies in the other's box."""
    triangle = ((0.0, 0.0), (2400.0, 0.0), (0.0, 1100.0))
    pieces = tuple(piece("t", triangle, id=f"t {k}", copy=k) for k in (1, 2))
    stocks: tuple[SheetStock, ...] = (sheet(count=1),)
    group = prepare_group(pieces, stocks, SAW)
    assert len(laid_out(group)) == 1

    outcome = lay_out_at_once(pieces, stocks, SAW, Settings(seed=1))

    assert complaints(pieces, stocks, outcome.layouts, SAW) == []
    assert not outcome.unplaced
    assert len(outcome.layouts) == 1


def slanting(length: float, turned_deg: float) -> tuple[tuple[float, float], ...]:
    """A strip of 100 mm, drawn aslant."""
    turned = affinity.rotate(Polygon(box(length, 100.0)), turned_deg, origin=(0.0, 0.0))
    return tuple((float(x), float(y)) for x, y in turned.exterior.coords[:-1])


def test_a_piece_that_only_a_tilt_fits_has_its_place_at_once() -> None:
    """A panel of a newcomer's side, 2445 long in its box, was said to fit no sheet of 2438."""
    free = piece("side", slanting(2439.0, 3.0), turning=Turning.SMALL)
    group = prepare_group((free,), (sheet(),), SAW)
    x0, _, x1, _ = Polygon(free.net.outline.points).bounds

    assert x1 - x0 > 2440.0
    assert laid_out(group) == {"side 1"}
    assert no_room_findings(group, ("side 1",)) == ()


@pytest.mark.parametrize(("length", "turning"), [(2439.0, Turning.HALF), (2470.0, Turning.SMALL)])
def test_what_no_tilt_fits_or_none_is_allowed_for_is_told(length: float, turning: Turning) -> None:
    held = piece("side", slanting(length, 3.0), turning=turning)
    group = prepare_group((held,), (sheet(),), SAW)

    assert laid_out(group) == set()
    assert [f.code for f in no_room_findings(group, ("side 1",))] == ["SHT-002"]
