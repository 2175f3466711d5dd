"""The numbers of the trade once more: whoever changes one by accident is told.

Written down a second time from the sources that stand beside each in ``nestcut/trade``.
"""

from __future__ import annotations

import pytest

from nestcut import trade
from nestcut.trade import Figure, Span
from nestcut.trade.boards import PS20_THICKNESS_IN, PS20_WIDTH_IN
from nestcut.trade.woods import BEND_RADII_MM, WOODS, density_of, least_bend_radius_mm

NUMBERS: dict[str, dict[str, float | tuple[float, float]]] = {
    "boards": {
        "LEAST_BOARD_FOOT_IN": 1.0,
        "MOST_PLANED_MM": 5.0,
        "KEPT_END_MM": 300.0,
        "KEPT_STRIP_MM": 30.0,
        "REST_MM": (10.0, 100.0),
    },
    "coatings": {
        "EPOXY_COATS": 3,
        "FIRST_COAT_FT2_PER_GALLON": (200.0, 300.0),
        "NEXT_COATS_FT2_PER_GALLON": (320.0, 535.0),
        "PAINT_COATS": 2,
        "PAINT_FT2_PER_GALLON": (320.0, 400.0),
    },
    "flotation": {
        "FRESH_WATER_KG_M3": 1000.0,
    },
    "joints": {
        "SLOPE_PLYWOOD": 8.0,
        "SLOPE_SOLID": 12.0,
        "LEAST_SLOPE": 6.0,
        "STRAP_WIDTH_THICKNESSES": 16.0,
        "LEAST_STRAP_THICKNESSES": 8.0,
        "MOST_STRAP_THICKNESSES": 60.0,
        "STRAP_MARGIN_MM": 10.0,
        "LONGEST_STRAP_MM": 1150.0,
        "KEY_BIT_MM": 6.0,
        "KEY_CLEARANCE_MM": 0.1,
        "RUN_OUT": 10.0,
        "CLEAR_WOOD_OVERLAPS": 3.0,
        "TWIN_STAGGER_OVERLAPS": 2.0,
        "STAGGER_ODD_FRAMES_MM": 1524.0,
        "LEAST_PIECE_SHARE": 0.125,
        "KEEP_CLEAR_WITHIN_MM": 50.0,
        "HARD_BEND_SHARE": 0.9,
        "EVEN_BEND_SHARE": 0.33,
        "GENTLE_BEND_THICKNESSES": 1000.0,
        "GENTLE_PANEL_RADII": 2.0,
        "MOST_BAND_PIECES": 24,
        "MORE_JOINTS_TRIED": 2,
        "JOINT_WORTH_SHARE": 0.1,
        "RAIL_JOINT_WORTH_SHARE": 0.25,
    },
    "shop": {
        "SAW_TILT_DEG": 45.0,
        "CHECK_MM": 2.0,
        "OFFCUT_MM": (150.0, 300.0),
        "OFFCUTS_MOST": 4,
        "BREAKS_MM": 15.0,
        "HOLD_MM": 200.0,
        "READING_MM": 1.0,
        "TWIST_DEG": 3.0,
        "FILLED_GAP_MM": 3.0,
        "BOAT_DRAWING_MM": (150.0, 30000.0),
        "LONG_PART_MM": 12000.0,
        "LOOSE_ENDS_MM": 12.0,
        "ALLOWANCE_RING_MM": 32.0,
        "LETTER_WIDTH": 0.7,
        "COMPASS_MM": 400.0,
        "PAGE_MARGIN_MM": 10.0,
        "LABEL_REACH_MM": 5.0,
        "LABEL_PAD_MM": 2.0,
        "MANY_TILES": 24,
        "SHEET_METRIC_MM": (1220.0, 2440.0),
        "SHEET_FEET_MM": (1219.2, 2438.4),
    },
    "woods": {
        "BEND_EXPONENT": 1.4,
        "BEND_STEP_MM": 50.0,
    },
}
ROOMS = {
    r.__name__.rpartition(".")[2]: r
    for r in (
        trade.boards,
        trade.coatings,
        trade.flotation,
        trade.joints,
        trade.shop,
        trade.woods,
    )
}


@pytest.mark.parametrize("room", NUMBERS)
def test_numbers_are_those_of_their_sources(room: str) -> None:
    told = {
        name: number.value if isinstance(number, Figure) else (number.low, number.high)
        for name, number in vars(ROOMS[room]).items()
        if isinstance(number, Figure | Span)
    }
    assert told == NUMBERS[room]


def test_dressed_lumber_is_a_quarter_to_three_quarters_of_an_inch_less() -> None:
    """PS 20: 1 in is 3/4 dressed, 1-1/4 to 4 in lose 1/4 to 1/2; widths 1/2, from 8 in on 3/4."""
    assert [nominal for _, nominal in PS20_THICKNESS_IN] == [1, 1.25, 1.5, 2, 2.5, 3, 4]
    lost = [nominal - dressed for dressed, nominal in PS20_THICKNESS_IN]
    assert lost == [0.25, 0.25, 0.25, 0.5, 0.5, 0.5, 0.5]
    assert [n for _, n in PS20_WIDTH_IN] == [2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 16]
    assert [n - d for d, n in PS20_WIDTH_IN] == [0.5] * 6 + [0.75] * 7


def test_densities_and_bends() -> None:
    """AC 43.13-1B, Table 1-2: 1/8 in 12, 3/16 in 21, 1/4 in 31, 3/8 in 54 in."""
    assert [(round(t / 25.4, 3), round(r / 25.4, 3)) for t, r in BEND_RADII_MM] == [
        (0.125, 12.0), (0.19, 21.0), (0.25, 31.0), (0.375, 54.0),
    ]  # fmt: skip
    assert least_bend_radius_mm(0.22 * 25.4) / 25.4 == pytest.approx(26.0)
    assert least_bend_radius_mm(0.0625 * 25.4) / 25.4 == pytest.approx(12.0 / 2.0**1.4)
    assert least_bend_radius_mm(0.75 * 25.4) / 25.4 == pytest.approx(54.0 * 2.0**1.4)
    spans = {" ".join(sorted(w.words)): (w.density.low, w.density.high) for w in WOODS}
    assert spans == {
        "okoume ply": (450.0, 550.0),
        "okoume": (400.0, 550.0),
        "douglas fir": (480.0, 560.0),
        "fir": (380.0, 560.0),
        "lauan": (450.0, 650.0),
        "meranti red": (400.0, 770.0),
        "meranti": (400.0, 850.0),
        "sapele": (600.0, 690.0),
        "mahogany": (480.0, 850.0),
        "cedar red": (330.0, 390.0),
        "cedar": (330.0, 580.0),
        "spruce": (370.0, 480.0),
        "larch": (520.0, 650.0),
        "pine": (380.0, 700.0),
        "oak": (600.0, 800.0),
        "ash": (550.0, 720.0),
        "ply": (450.0, 750.0),
    }


@pytest.mark.parametrize(
    ("material", "low"),
    [("Gaboon plywood", 450.0), ("okoume", 400.0), ("Red cedar, clear", 330.0), ("ply", 450.0),
     ("Douglas-fir", 480.0), ("fir", 380.0), ("larch 20 mm", 520.0)],
)  # fmt: skip
def test_a_wood_is_known_by_its_most_particular_name(material: str, low: float) -> None:
    density = density_of(material)
    assert density is not None
    assert density.low == low


def test_a_wood_nobody_knows_has_no_density() -> None:
    assert density_of("plastic") is None
