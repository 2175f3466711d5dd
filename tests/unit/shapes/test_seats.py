"""Seats by height and bulkheads that end below the sheer: a flared hull whose sides are planes."""

from __future__ import annotations

import math

import pytest

from nestcut.shapes.known import Known
from tests.unit.shapes.tables.readings import faults, line, shape

KEEL = 'name = "keel"\nstations = [0, 1000, 2000, 3000]\nheights = [0, 0, 0, 0]\n'
CHINE = (
    'name = "chine"\nstations = [0, 1000, 2000, 3000]\nheights = [100, 100, 100, 100]\n'
    "half_breadths = [400, 400, 400, 400]\n"
)
SHEER = (
    'name = "sheer"\nstations = [0, 1000, 2000, 3000]\nheights = [500, 500, 500, 500]\n'
    "half_breadths = [600, 600, 600, 600]\n"
)
TAPERED = SHEER.replace("[600, 600, 600, 600]", "[600, 560, 520, 480]")
HULL = Known(lines=dict(line(text) for text in (KEEL, CHINE, SHEER)))
PLANK = 10.0
LEVEL = PLANK * math.hypot(200.0, 400.0) / 400.0
"""The planking of the leaning side, measured level. [mm]"""
SEAT = 'kind = "seat"\nheight = 300\nfrom = 500\nto = 900\nlines = ["keel", "chine", "sheer"]\n'


def test_a_seat_reaches_from_planking_to_planking_at_its_height() -> None:
    made = shape(f"{SEAT}planking = [{PLANK}]", HULL)
    xs, ys = zip(*made.outline.points, strict=True)

    assert (min(xs), max(xs)) == pytest.approx((0.0, 400.0), abs=1e-6)
    assert (min(ys), max(ys)) == pytest.approx((-(500.0 - LEVEL), 500.0 - LEVEL), abs=1e-3)


def test_a_seat_follows_a_side_that_narrows() -> None:
    """At 300 half way up the side: 500 aft, less half of what the sheer loses, 40 in 1000."""
    known = Known(lines=dict(line(text) for text in (KEEL, CHINE, TAPERED)))
    made = shape(f"{SEAT}planking = [0]", known)
    aft = max(y for x, y in made.outline.points if x < 1e-6)
    fore = max(y for x, y in made.outline.points if x > 400.0 - 1e-6)

    assert (aft, fore) == pytest.approx((490.0, 482.0), abs=1e-3)


def test_a_seat_above_the_sheer_is_told() -> None:
    [told] = faults(SEAT.replace("300", "700") + "planking = [0]", HULL)
    assert "at the height 700 mm there is no side: here the lines run from 0 mm to 500 mm" in told


def test_a_bulkhead_ends_at_a_height_below_its_sheer() -> None:
    text = 'kind = "frame"\nat = 500\nlines = ["keel", "chine", "sheer"]\ntop = 300\n'
    made = shape(text + f"planking = [{PLANK}]", HULL)
    high = max(y for _, y in made.outline.points)
    wide = max(x for x, y in made.outline.points if y > high - 1e-6)

    assert high == pytest.approx(300.0)
    assert wide == pytest.approx(500.0 - LEVEL, abs=1e-6)


def test_a_bulkhead_may_end_in_its_bottom_strake() -> None:
    text = 'kind = "frame"\nat = 500\nlines = ["keel", "chine", "sheer"]\ntop = 60\nplanking = [0]'
    made = shape(text, HULL)
    assert max(x for x, _ in made.outline.points) == pytest.approx(240.0, abs=1e-6)


def test_a_fair_section_has_no_height_to_end_at() -> None:
    text = 'kind = "frame"\nat = 500\nlines = ["keel", "chine", "sheer"]\ntop = 300\nplanking = [0]'
    [told] = faults(text + '\ncurve = "batten"', HULL)
    assert "only a section with straight sides can end at a height" in told
