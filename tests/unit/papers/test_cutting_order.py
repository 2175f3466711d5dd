"""Can each cut of a sheet be made, with what is cut before it gone?"""

from __future__ import annotations

import pytest

from nestcut.model.job import CuttingRules
from nestcut.model.shape import Ring, Shape
from nestcut.papers.view.cutting_order import in_cutting_order
from nestcut.papers.view.placed import SheetView
from tests.builders_pages import laid

Points = tuple[tuple[float, float], ...]


def box(x: float, y: float, long: float, wide: float) -> Points:
    return ((x, y), (x + long, y), (x + long, y + wide), (x, y + wide))


def arch(x: float, y: float, long: float, high: float, rim: float) -> Points:
    """Two legs and what joins them at the top; open below."""
    return (
        (x, y), (x + rim, y), (x + rim, y + high - rim), (x + long - rim, y + high - rim),
        (x + long - rim, y), (x + long, y), (x + long, y + high), (x, y + high),
    )  # fmt: skip


OUTER = arch(300.0, 0.0, 1000.0, 700.0, 50.0)
INNER = arch(362.0, 0.0, 876.0, 550.0, 50.0)
"""Twelve mm within the outer one's legs: what lies between their tops hangs on nothing then."""


def sheet_of(**outlines: Points) -> SheetView:
    return laid({name: Shape(Ring(points)) for name, points in outlines.items()})


def order(sheet: SheetView) -> list[str]:
    cutting = CuttingRules(kerf_mm=2.0, gap_mm=3.0)
    return [p.piece.part for p in in_cutting_order(sheet, cutting, after=0)]


def test_a_strip_comes_out_of_waste_that_can_still_be_held() -> None:
    """Listed after both arches it had to be sawn out of a loose bow of wood 96 mm wide."""
    sheet = sheet_of(outer=OUTER, inner=INNER, bar=box(450.0, 580.0, 600.0, 40.0))
    assert order(sheet) == ["outer", "bar", "inner"]


def test_what_can_be_held_keeps_its_turn() -> None:
    """A large island is clamped like a sheet: what is nearer the corner comes later."""
    high = tuple((x, y if y < 1.0 else y + 200.0) for x, y in OUTER)
    sheet = sheet_of(outer=high, inner=INNER, bar=box(450.0, 580.0, 600.0, 40.0))
    assert order(sheet) == ["outer", "inner", "bar"]


@pytest.mark.parametrize("off", [0.0, 700.0])
def test_pieces_side_by_side_go_back_to_the_corner(off: float) -> None:
    sheet = sheet_of(
        near=box(0.0, off, 300.0, 500.0),
        middle=box(305.0, off, 300.0, 500.0),
        far=box(610.0, off, 300.0, 500.0),
    )
    assert order(sheet) == ["far", "middle", "near"]
