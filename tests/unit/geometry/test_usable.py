"""What can be used of a sheet, as areas and as the beds that a piece must fit."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from shapely.geometry import Polygon

from nestcut.geometry.usable import beds_mm, free_area, usable_area
from nestcut.model.stock import BoardLength, BoardStock, Defect, KeepOut, SheetStock, rectangle

SHEET = SheetStock(
    name="ply",
    material="ply",
    thickness_mm=6.0,
    length_mm=2500.0,
    width_mm=1250.0,
    edge_trim_mm=5.0,
)
BOARD = BoardStock(
    name="larch",
    material="larch",
    thickness_mm=20.0,
    width_mm=150.0,
    lengths=(BoardLength(length_mm=3000.0),),
    end_trim_mm=12.0,
    edge_trim_mm=2.0,
)


def barred(x0: float, y0: float, x1: float, y1: float) -> SheetStock:
    keep_out = KeepOut(points=rectangle((x0, y0), (x1, y1)), reason="stain")
    return replace(SHEET, keep_outs=(keep_out,))


def test_trim_comes_off_all_round() -> None:
    assert usable_area(SHEET.usable).bounds == (5.0, 5.0, 2495.0, 1245.0)
    assert beds_mm(SHEET.usable) == ((2490.0, 1240.0),)


def test_nothing_is_left_of_a_sheet_that_its_trim_takes_up() -> None:
    assert usable_area(replace(SHEET, edge_trim_mm=625.0).usable).is_empty
    assert beds_mm(replace(SHEET, edge_trim_mm=700.0).usable) == ()


def test_trim_of_an_odd_outline_runs_along_its_own_edges() -> None:
    corner = replace(SHEET, outline=((0.0, 0.0), (1000.0, 0.0), (0.0, 1000.0)))
    area = usable_area(corner.usable)
    # the circle within a right triangle of legs a has the radius a (2 - sqrt 2) / 2, and what a
    # trim leaves is like it in all: legs shrink as that radius does
    radius = 1000.0 * (2.0 - math.sqrt(2.0)) / 2.0
    assert area.area == pytest.approx(500_000.0 * ((radius - 5.0) / radius) ** 2, rel=1e-6)
    assert Polygon(corner.outline or ()).boundary.distance(area) == pytest.approx(5.0)


def test_what_is_barred_from_edge_to_edge_makes_two_beds() -> None:
    assert set(beds_mm(barred(1240.0, 0.0, 1260.0, 1250.0).usable)) == {(1235.0, 1240.0)}
    assert beds_mm(barred(700.0, 0.0, 710.0, 1250.0).usable) == ((1785.0, 1240.0), (695.0, 1240.0))


def test_what_is_barred_in_the_middle_makes_none() -> None:
    stained = barred(1000.0, 400.0, 1500.0, 800.0).usable
    assert beds_mm(stained) == beds_mm(SHEET.usable)
    assert free_area(stained).area == pytest.approx(2490.0 * 1240.0 - 500.0 * 400.0)


def test_a_board_loses_the_wider_of_its_trims_at_the_ends_and_its_knots() -> None:
    assert beds_mm(BOARD.usable(BOARD.lengths[0])) == ((2976.0, 146.0),)
    knotty = BoardLength(
        length_mm=3000.0, count=1, defects=(Defect(from_mm=1000.0, to_mm=1100.0, reason="knot"),)
    )
    assert beds_mm(BOARD.usable(knotty)) == ((1888.0, 146.0), (988.0, 146.0))


def test_a_rest_of_a_sheet_has_neither_its_edges_nor_its_seller() -> None:
    sold = replace(SHEET, price_minor=4000, supplier="yard", pack=5, seams_mm=(1200.0,))
    rest = sold.rest(length_mm=400.0, width_mm=300.0)
    assert (rest.edge_trim_mm, rest.price_minor, rest.count, rest.pack) == (0.0, 0, 1, 1)
    assert (rest.supplier, rest.seams_mm, rest.material) == ("", (), "ply")
    assert usable_area(rest.usable).bounds == (0.0, 0.0, 400.0, 300.0)
