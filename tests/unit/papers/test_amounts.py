"""Weights and coats by hand: a plate and a rail, each figure worked out beside the code."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.model.plan import VerifiedPlan
from nestcut.papers.lists.amounts import Amounts, amounts_of, epoxy_source, paint_source
from nestcut.papers.view import plan_view
from nestcut.trade.woods import density_of
from nestcut.units import LengthStyle
from tests.builders import a_job, a_part, a_plan

US_GALLON_L = 3.785411784
FT2_MM2 = 304.8**2
PLATE_MM2 = 400.0 * 300.0
PLATE_EDGE_MM2 = 2.0 * (400.0 + 300.0) * 6.0
RAILS_MM = 4000.0 + 240.0


def amounts(**changes: object) -> Amounts:
    """A plate of 400 x 300 x 6 mm, and a rail of 20 x 45 mm in two pieces."""
    job = a_job(sheet_parts=(a_part("plate", **changes),))
    return amounts_of(plan_view(VerifiedPlan(job=job, plan=a_plan(job), checks=())))


def test_faces_and_edges() -> None:
    found = amounts()
    rails = RAILS_MM * 2.0 * (20.0 + 45.0) + 2.0 * 2.0 * 20.0 * 45.0
    assert found.face_mm2 == pytest.approx(PLATE_MM2 + RAILS_MM * 45.0)
    assert found.coat_mm2 == pytest.approx(2.0 * PLATE_MM2 + PLATE_EDGE_MM2 + rails)


def test_an_allowance_is_planed_away_and_weighs_nothing() -> None:
    assert amounts(allowance_mm=10.0).coat_mm2 == pytest.approx(amounts().coat_mm2)


def test_weights_of_all_whose_density_is_known() -> None:
    spruce = density_of("spruce")
    assert spruce is not None
    found = amounts(material="unheard-of")
    kilograms = {w.material: w.kilograms for w in found.weights}
    cubic_m = RAILS_MM * 20.0 * 45.0 * 1e-9
    wanted = (cubic_m * spruce.low, cubic_m * spruce.high)
    assert kilograms["spruce"] == pytest.approx(wanted)
    assert kilograms["unheard-of"] is None
    assert not found.is_all_known
    assert found.kilograms == pytest.approx(wanted)
    assert replace(found, weights=found.weights[:1]).is_all_known


def test_three_coats_of_resin_and_two_of_paint() -> None:
    """First coat 200 to 300 ft2 a US gallon, the two next 320 to 535; paint 320 to 400 a coat."""
    found = amounts()
    ft2 = found.coat_mm2 / FT2_MM2
    few = (ft2 / 300.0 + 2.0 * ft2 / 535.0) * US_GALLON_L
    much = (ft2 / 200.0 + 2.0 * ft2 / 320.0) * US_GALLON_L
    assert found.epoxy_litres == pytest.approx((few, much))
    paint = (2.0 * ft2 / 400.0 * US_GALLON_L, 2.0 * ft2 / 320.0 * US_GALLON_L)
    assert found.paint_litres == pytest.approx(paint)


def test_sources_say_the_coats_that_were_counted() -> None:
    assert epoxy_source(LengthStyle.INCH).startswith(
        "3 coats on bare wood: first coat 200-300 ft² per US gallon"
    )
    assert "the next 2: 320-535 ft² per US gallon" in epoxy_source(LengthStyle.INCH)
    assert "first coat 4.9-7.4 m² per litre" in epoxy_source(LengthStyle.MM)
    assert paint_source(LengthStyle.MM).startswith("2 coats, 7.9-9.8 m² per litre and coat")
