"""Sheets of rectangles against published figures and open instances."""

from __future__ import annotations

import itertools
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from nestcut.errors import NoRoomError
from nestcut.model.job import CuttingRules
from nestcut.nesting.problem import Rect
from nestcut.nesting.rectangles import pack_strip
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.sheets.least.bounds import least_buy
from nestcut.sheets.least.conservative import scales_for
from nestcut.sheets.least.facts import facts_of
from nestcut.sheets.prepare import prepare_group
from nestcut.sheets.rectangles.through_cuts import Panel, best_through_cutting
from nestcut.sheets.solve import lay_out_sheets
from tests.unit.sheets.cases import box, piece, sheet

QUICK = Settings(effort=Effort.QUICK)
SHARED = Path(__file__).parents[3] / "shared" / "benchmarks" / "rect"


def instance(name: str) -> dict[str, Any]:
    path = SHARED / f"{name}.json"
    if not path.is_file():
        pytest.skip(f"{path} is not here")
    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return found


def test_four_24_inch_pieces_do_not_come_out_of_a_96_inch_board() -> None:
    """An eighth of an inch of kerf leaves the last one 3/8 in short.

    Source: https://www.slashgear.com/1866963/kerf-cut-woodworking-meaning/ (read 25 Nov 2026).
    """
    inch = 25.4
    board = sheet(length_mm=96 * inch, width_mm=6 * inch)
    pieces = tuple(piece(f"p{k}", box(24 * inch, 6 * inch)) for k in range(4))
    saw = CuttingRules(kerf_mm=inch / 8)

    one_more = lay_out_sheets(pieces, (board,), saw, QUICK, Deadline(), Silent())
    three_eighths = sheet(length_mm=(96 + 3 / 8) * inch, width_mm=6 * inch)
    just = lay_out_sheets(pieces, (three_eighths,), saw, QUICK, Deadline(), Silent())

    assert len(one_more.layouts) == 2
    assert one_more.bounds[0].is_proven_optimal
    assert len(just.layouts) == 1


def test_a_4_by_8_foot_sheet_is_not_1220_by_2440_mm() -> None:
    """4 ft is 1219.2 mm and 8 ft 2438.4 mm (the foot is 0.3048 m exactly, 1959 agreement)."""
    imperial = sheet(length_mm=8 * 304.8, width_mm=4 * 304.8)
    with pytest.raises(NoRoomError):
        lay_out_sheets(
            (piece("panel", box(2440.0, 1220.0)),),
            (imperial,),
            CuttingRules(kerf_mm=2.0),
            QUICK,
            Deadline(),
            Silent(),
        )


@pytest.mark.parametrize(("name", "optimum"), [("C1P1", 20), ("C2P1", 15), ("C3P1", 30)])
def test_strips_of_known_height(name: str, optimum: int) -> None:
    """Hopper and Turton 2001, European Journal of Operational Research 128:34-57, table 1."""
    data = instance(name)
    rects = tuple(
        Rect(width=p["width"], height=p["height"], can_turn=True)
        for p in data["pieces"]
        for _ in range(p["quantity"])
    )

    height, packing = pack_strip(
        rects, data["strip_width"], tries=60_000, seed=0, deadline=Deadline()
    )

    assert height == optimum
    assert packing.is_complete


@pytest.mark.parametrize(
    ("name", "optimum"), [("gcut1", 56460), ("gcut2", 60536), ("gcut4", 61698), ("gcut5", 246000)]
)
def test_through_cuts_of_known_value(name: str, optimum: int) -> None:
    """Beasley 1985, Journal of the Operational Research Society 36:297-306, as remembered."""
    data = instance(name)
    panels = tuple(
        Panel(width=p["width"], height=p["height"], value=float(p["value"])) for p in data["pieces"]
    )
    cutting = best_through_cutting(data["sheet_width"], data["sheet_height"], panels)
    assert cutting.value == optimum


@pytest.mark.parametrize("whole", [10, 12, 17, 24])
def test_dual_feasible_functions_keep_their_promise(whole: int) -> None:
    """Fekete and Schepers 2004: lengths that sum to 1 have images that sum to at most 1.

    Tried on every way of writing a whole number as a sum.
    """

    def ways(rest: int, most: int) -> list[list[int]]:
        if rest == 0:
            return [[]]
        return [[k, *more] for k in range(min(rest, most), 0, -1) for more in ways(rest - k, k)]

    counts = np.array([np.bincount(w, minlength=whole + 1) for w in ways(whole, whole)])
    lengths = np.arange(1, whole) / whole
    for scale in scales_for(lengths):
        images = np.array([0.0] + [scale(k / whole) for k in range(1, whole + 1)])
        assert (counts @ images).max() <= 1.0 + 1e-9


def test_the_bound_agrees_with_an_independent_solver() -> None:
    """The cheapest set of sheets by area alone, a second time by HiGHS through scipy."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    rng = np.random.default_rng(11)
    for _ in range(8):
        sides = rng.integers(60, 400, size=(12, 2)).astype(float)
        pieces = tuple(piece(f"p{k}", box(w, h)) for k, (w, h) in enumerate(sides))
        prices = rng.integers(900, 4000, size=3)
        sizes = rng.integers(500, 1300, size=(3, 2)).astype(float)
        stocks = tuple(
            sheet(
                f"s{k}",
                length_mm=float(sizes[k].max()),
                width_mm=float(sizes[k].min()),
                price_minor=int(prices[k]),
            )
            for k in range(3)
        )
        least = least_buy(
            facts_of(prepare_group(pieces, stocks, CuttingRules(kerf_mm=0.0))), Deadline()
        )

        areas = np.prod(sides, axis=1).sum()
        solved = milp(
            prices,
            constraints=LinearConstraint(np.prod(sizes, axis=1), lb=areas),
            bounds=Bounds(0, np.inf),
            integrality=np.ones(3, dtype=np.int64),
        )
        assert least is not None
        assert solved.fun is not None
        assert least.cost >= round(solved.fun) - 1e-6, "rows beyond area can only raise the bound"
        by_area_only = min(
            float(np.dot(n, prices))
            for n in itertools.product(range(6), repeat=3)
            if np.dot(n, np.prod(sizes, axis=1)) >= areas
        )
        assert round(solved.fun) == by_area_only
