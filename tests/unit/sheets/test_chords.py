"""Weights by chords: never more than a layout holds, whatever the turn, and sharp."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import Polygon

from nestcut.nesting.problem import Turns
from nestcut.search.settings import Deadline
from nestcut.sheets.least import chords
from nestcut.sheets.least.bounds import least_buy
from nestcut.sheets.least.chords import MOST_STEPS, chord_weights
from nestcut.sheets.least.facts import SCALE, facts_of
from nestcut.sheets.prepare import prepare_group
from tests.benchmark.made.sets import FAMILIES, SIDE, Aim, Sort, Variety, make
from tests.unit.sheets.cases import SAW, piece, sheet

UPRIGHT = Turns()
CORNERS = ((0.0, 0.0), (1400.0, 0.0), (2100.0, 450.0), (700.0, 450.0))
SLANTED = Polygon(CORNERS)


@pytest.mark.parametrize("family", FAMILIES)
def test_full_sheets_hold_no_more_than_one_each(family: str) -> None:
    made = make(Sort(Aim.SHEETS, family, "half", Variety.MANY, 0))
    total = np.zeros((2, MOST_STEPS))
    for p in made["pieces"]:
        net = Polygon(p["points"], p["holes"])
        total += chord_weights(net, UPRIGHT, 0.0, (made["bin_width"], SIDE))
    assert (total <= made["optimum_bins"] * (1.0 + 1e-9)).all()
    assert total.max() > 0.3 * made["optimum_bins"]


def test_a_piece_that_strays_weighs_least_of_all_its_angles() -> None:
    """At any angle within, and at quarter turns, the piece itself weighs as much or more."""
    straying = Turns(centres_deg=(0.0, 90.0, 180.0), span_deg=5.0)
    least = chord_weights(SLANTED, straying, 2.0, (2440.0, 1220.0))
    angles = np.random.default_rng(1).uniform(-5.0, 5.0, 40)
    for angle in (*angles, *(90.0 + angles), 5.0, -5.0):
        turned = affinity.rotate(SLANTED, float(angle))
        alone = chord_weights(turned, UPRIGHT, 2.0, (2440.0, 1220.0))
        assert (least <= alone + 1e-9).all()
    alone = chord_weights(SLANTED, UPRIGHT, 2.0, (2440.0, 1220.0))
    near = chord_weights(SLANTED, Turns(span_deg=0.5), 2.0, (2440.0, 1220.0))
    assert near[0, 0] > 0.95 * alone[0, 0] > 0.35


def test_between_two_angles_a_piece_is_sure_of_its_core_alone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One arm of a chevron lies level at either end of the span, none of them in the middle."""
    rise = 1300.0 * np.tan(np.radians(5.0))
    chevron = Polygon([(0, 0), (1300, rise), (2600, 0), (2600, 30), (1300, rise + 30), (0, 30)])
    monkeypatch.setattr(chords, "ANGLES", 2)
    least = chord_weights(chevron, Turns(span_deg=5.0), 0.0, (2440.0, 1220.0))
    level = chord_weights(affinity.rotate(chevron, 5.0), UPRIGHT, 0.0, (2440.0, 1220.0))
    middle = chord_weights(chevron, UPRIGHT, 0.0, (2440.0, 1220.0))
    assert middle[0, 0] < 0.5 * level[0, 0]
    assert (least <= middle + 1e-9).all()


def test_holes_count_for_nothing() -> None:
    """A frame is crossed twice: its chords are what is left beside the hole."""
    frame = Polygon(
        [(0, 0), (1000, 0), (1000, 1000), (0, 1000)],
        [[(200, 200), (800, 200), (800, 800), (200, 800)]],
    )
    rows = chord_weights(frame, UPRIGHT, 0.0, (1000.0, 1000.0))
    assert rows[0, 0] == pytest.approx(0.4)  # beyond half of the sheet: above and below the hole
    assert rows[0, 3] == pytest.approx((1.0 + 3 * 0.4) / 4)


def test_slanted_panels_need_a_row_each() -> None:
    """Three of them are longer than half a sheet on every row, and too high together."""
    panels = tuple(piece(f"p{k}", CORNERS) for k in range(3))
    facts = facts_of(prepare_group(panels, (sheet(),), SAW))

    assert facts.total(facts.area_rows[0]) < 0.7 * SCALE
    least = least_buy(facts, Deadline())
    assert least is not None
    assert least.sheets == 2
    two = facts_of(prepare_group(panels[:2], (sheet(),), SAW))
    least = least_buy(two, Deadline())
    assert least is not None
    assert least.sheets == 1
