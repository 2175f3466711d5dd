"""Sets that are cut from rectangles: nothing is lost, and the same set comes out every time."""

from __future__ import annotations

import pytest
from shapely.geometry import Polygon

from tests.benchmark.made.sets import FAMILIES, SIDE, Aim, Part, Sort, Variety, make, sorts


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("aim", list(Aim))
def test_pieces_fill_what_they_were_cut_from(family: str, aim: Aim) -> None:
    made = make(Sort(aim, family, "quarter", Variety.MANY, 0))
    pieces = [(Polygon(p["points"], p["holes"]), p["quantity"]) for p in made["pieces"]]
    assert all(shape.is_valid and shape.area > 0.0 for shape, _ in pieces)
    whole = (
        SIDE * made["known_optimum_length"]
        if aim is Aim.STRIP
        else SIDE * made["bin_width"] * made["optimum_bins"]
    )
    assert sum(shape.area * many for shape, many in pieces) == pytest.approx(whole, rel=1e-9)


def test_a_set_is_the_same_every_time_and_in_one_part_only() -> None:
    everything = list(sorts())
    assert len({s.name for s in everything}) == len(everything) > 500
    tune = [s for s in everything if s.part is Part.TUNE]
    assert 2 * len(tune) == len(everything)
    assert make(everything[5]) == make(everything[5]) != make(everything[6])


def test_a_short_set_lacks_pieces() -> None:
    short = make(Sort(Aim.STRIP, "cells", "half", Variety.SHORT, 1))
    area = sum(Polygon(p["points"], p["holes"]).area for p in short["pieces"])
    assert area < 0.99 * SIDE * short["cut_from_length"]
    assert "known_optimum_length" not in short
