"""Rails and caps sawn to a curve, against the geometry that handbooks print.

Board width of one of k equal pieces of an arc, ends square to the curve:
W = (R + w/2) - (R - w/2) cos a, half angle a = asin(c / 2R) / k; grain runs out 1 in 1/tan a.
Circular segment: R = c^2 / 8h + h / 2 (plane geometry). Figures worked for chord 4800, sagitta
300, width 45 mm in ../shared/trade/FACTS.md, section 5 (graded there as geometry).
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from nestcut.intake.job import read_job
from nestcut.joints.curved.division import bend_of
from nestcut.joints.curved.line import BandLine, band_line
from nestcut.joints.curved.offer import offer_band_positions
from nestcut.joints.curved.places import BandSearch, Plank
from nestcut.joints.curved.stretches import Stretches
from nestcut.model.joint import JointRule
from nestcut.planning.divide_job import planks_of
from tests.unit.joints.caps import PLANKS, arc_cap, sheer_cap


def _arc() -> BandLine:
    band = band_line(arc_cap())
    assert isinstance(band, BandLine)
    return band


@pytest.mark.parametrize(
    ("pieces", "chord", "sagitta", "width", "run_out"),
    [
        (1, 4800.0, 300.00, 344.3, 3.9),
        (2, 2418.7, 75.29, 120.1, 8.0),
        (3, 1614.8, 33.49, 78.4, 12.0),
        (4, 1211.7, 18.84, 63.8, 16.1),
    ],
)
def test_pieces_of_an_arc(
    pieces: int, chord: float, sagitta: float, width: float, run_out: float
) -> None:
    """Chord, sagitta, board width and run-out before any overlap, to the precision printed."""
    band = _arc()
    bend = bend_of(band, 0.0, band.length_mm / pieces)
    assert bend.chord_mm == pytest.approx(chord, abs=0.06)
    assert bend.sagitta_mm == pytest.approx(sagitta, abs=0.006)
    assert bend.run_out == pytest.approx(run_out, abs=0.06)
    angle = math.radians(bend.middle_deg)
    inside = (band.along_mm >= bend.from_mm) & (band.along_mm <= bend.to_mm)
    across = [
        float(y * math.cos(angle) - x * math.sin(angle))
        for line in (band.near, band.far)
        for x, y in line[inside]
    ]
    assert max(across) - min(across) == pytest.approx(width, abs=0.06)


def test_overlaps_ask_for_a_wider_board_than_the_bare_pieces() -> None:
    """Two pieces need 120.1 mm before overlap, so with a scarf a board of 120.1 is too narrow."""
    part = replace(arc_cap(), joint=JointRule(slope=8.0, run_out=3.0))
    stretches = Stretches(part, 5000.0)

    def fewest(width: float) -> int | None:
        planks = (Plank(name="board", length_mm=5000.0, width_mm=width, price_minor=1.0),)
        return BandSearch(stretches, planks).fewest()

    assert fewest(344.6) == 1
    assert fewest(344.2) == 2
    assert fewest(120.1) == 3
    assert fewest(135.0) == 2


def test_cap_comes_in_three_pieces_a_side_the_longest_aft() -> None:
    """Common practice, no source: a 6 in cap on a small open boat is made so.

    Nothing in the search says so; it follows from boards of common widths, a grain limit of 1 in
    10, and a sheer that is flat aft and bends forward to the breasthook.
    """
    search = BandSearch(Stretches(sheer_cap(4000.0), 3580.0), PLANKS)
    assert search.fewest() == 3
    way = search.best(3)
    assert way is not None
    lengths = [p.bend.to_mm - p.bend.from_mm for p in way.pieces]
    assert lengths == sorted(lengths, reverse=True)
    assert lengths[0] > 1.5 * lengths[1]


def test_same_comes_out_for_the_demo_s_sheer_and_boards() -> None:
    """The demo's cap, 140 mm wide, from the three widths of larch that its yard sells.

    Three pieces a side, the longest aft (the drawing starts at the transom), the same from boards
    195, 220 and 245 mm wide: the grain and not the width is the limit, so wider boards only cost
    more. No number of pieces and no place is named in the job.
    """
    job = read_job(Path(__file__).resolve().parents[2] / "parts" / "beach-boat" / "job.toml")
    cap = next(p for p in job.sheet_parts if p.name == "sheer cap")
    assert cap.joint is not None
    assert (cap.joint.at_mm, cap.joint.max_joints, cap.joint.min_piece_mm) == (None, None, 0.0)
    offer = offer_band_positions(cap, planks_of(cap, job, ()))
    fewest = min(len(c.at_mm) for c in offer.choices)
    assert fewest == 2
    assert [w.width_mm for w in offer.widths] == [195.0, 220.0, 245.0]
    for row in offer.widths:
        aft, middle, fore = row.pieces_mm
        assert aft > middle > fore
        assert row.run_out >= 10.0 - 1e-6
    costs = [w.cost_minor for w in offer.widths]
    assert costs == sorted(costs, key=lambda c: c or 0.0)
