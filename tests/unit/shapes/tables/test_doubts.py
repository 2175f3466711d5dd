"""Doubts about tables of offsets: misreadings planted in fair tables of 5 to 11 stations."""

from __future__ import annotations

import numpy as np
import pytest

from nestcut.shapes.known import OffsetForm
from nestcut.shapes.table.doubts import Row, doubts_of
from nestcut.shapes.table.notation import likely_mm
from tests.unit.shapes.tables.hulls import HULLS, misread

INCH = 25.4
STATIONS = (5, 6, 7, 8, 9, 10, 11)


def trial(seed: int, tables: int, stations: tuple[int, ...] = STATIONS) -> tuple[int, list[int]]:
    """How many planted misreadings are named first, and how many doubts each fair table has."""
    rng = np.random.default_rng(seed)
    named, false = 0, []
    for k in range(tables):
        boat = HULLS[k % len(HULLS)](rng, stations[k % len(stations)])
        false.append(len(doubts_of(boat.rows)))
        wrong, what = misread(rng, boat)
        told = doubts_of(wrong.rows)
        named += bool(told) and (told[0].line, told[0].view, told[0].station) == what
    return named, false


def test_ninety_five_of_a_hundred_misreadings_are_named_first() -> None:
    """An inch and more, in any reading, in fair tables of 5 to 11 stations; nearly no fair table
    is doubted, and none twice."""
    named, false = trial(2026, 84)

    assert named >= 82
    assert max(false) <= 1
    assert sum(false) <= 4


def test_readings_of_few_stations_are_weighed_by_what_fair_hulls_look_like() -> None:
    """Third differences alone doubt 11 of these 36 fair tables."""
    named, false = trial(7, 36, (5,))

    assert named >= 31
    assert sum(false) <= 3


@pytest.mark.deep
def test_misreadings_at_large() -> None:
    """The same over 1400 tables that nothing was tuned on."""
    named, false = trial(31, 1400)

    assert named >= 0.95 * 1400
    assert max(false) <= 1


def test_two_misreadings_are_both_told() -> None:
    """The second is looked for on the table as mended."""
    x = tuple(300.0 * i for i in range(11))
    names = tuple(str(i) for i in range(11))
    y = [400.0 - (v - 1500.0) ** 2 / 20000.0 for v in x]
    y[2] += 4 * INCH
    y[8] -= 6 * INCH
    told = doubts_of([Row("sheer", "heights", names, x, tuple(y))])

    assert {d.station for d in told} == {"2", "8"}


@pytest.mark.parametrize(
    ("reading", "fair", "form", "likely"),
    [
        (28.25 * INCH, 16.4 * INCH, OffsetForm.EIGHTHS, 16.25 * INCH),  # 2-4-2 for 1-4-2
        (
            24.25 * INCH,
            18.3 * INCH,
            OffsetForm.EIGHTHS,
            18.3 * INCH,
        ),  # 2-0-2 for 1-6-2
        (527.0, 431.0, OffsetForm.MM, 427.0),
        (500.0, 457.0, OffsetForm.MM, 457.0),
    ],
)
def test_a_likely_reading_differs_in_one_figure(
    reading: float, fair: float, form: OffsetForm, likely: float
) -> None:
    assert likely_mm(reading, fair, form) == pytest.approx(likely, abs=1.0)
