"""The 13 ft skiff: a table of offsets and a hundred lines more give all its parts, and a plan."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.door import Budget, plan_job
from nestcut.geometry.rings import shape_area_mm2, true_bounds_mm
from nestcut.intake.job import understand_job
from nestcut.model.part import Hand
from nestcut.search.settings import Effort
from nestcut.units import parse_length_mm
from nestcut.words import finding_line, speech_of
from tests.told import all_said

JOB = Path(__file__).parents[2] / "parts" / "skiff" / "job.toml"
FOUND = understand_job(JOB)
PARTS = {p.name: p for p in FOUND.job.sheet_parts}


def mm(text: str) -> float:
    return float(parse_length_mm(text))


def test_it_takes_at_most_150_lines_and_has_no_doubt() -> None:
    """Nothing is asked, nothing doubted; notes tell what follows from the table."""
    assert len(JOB.read_text(encoding="utf-8").splitlines()) <= 150
    assert FOUND.is_usable
    assert {f.severity.value for f in FOUND.findings} == {"note"}


def test_all_that_such_a_boat_has_is_there() -> None:
    names = {*PARTS, *(r.name for r in FOUND.job.rail_parts)}
    for wanted in (
        "side", "bottom", "transom, layer 1", "transom, layer 2", "bulkhead 1", "frame 2",
        "frame 3", "frame 4", "fore deck", "middle thwart", "stern seat", "breasthook", "knee",
        "skeg", "rowlock pad", "gunwale", "inwale", "chine log", "seat riser", "stem",
        "floor board 1",
    ):  # fmt: skip
        assert wanted in names


def test_frames_lie_inside_the_planking() -> None:
    """Frame 3, amidships, where planking is nearly square to it: widths by hand from the table.

    Sheer 2-1-3, chine 1-7-5, 1-4-0 above it: the side leans atan(5-3/4 / 16) = 19.6 degrees, so
    1/4 in of planking takes 1/4 / cos 19.6 = 0.265 in off the half-breadth.
    """
    x0, y0, x1, y1 = true_bounds_mm(PARTS["frame 3"].shape.outline)

    assert (x1 - x0) / 2 == pytest.approx(mm("2-1-3") - 0.265 * 25.4, abs=0.5)
    assert y1 - y0 == pytest.approx(mm("1-4-0") - mm("3/8in"), abs=0.5)


def test_layers_of_the_transom_grow_towards_the_hull() -> None:
    """The after face is as the table says, less planking; each layer is larger than the one aft."""
    after, fore = (PARTS[f"transom, layer {i}"] for i in (1, 2))
    bevels = {b.name: b for b in after.edge_bevels}

    assert shape_area_mm2(after.shape) < shape_area_mm2(fore.shape)
    assert set(bevels) == {"bottom edge", "side edges"}
    tilt = bevels["side edges"].tilt_deg
    assert tilt is not None
    assert 0.0 < tilt[0] <= tilt[1] < 20.0


def test_panels_know_their_hand_and_stations() -> None:
    side = PARTS["side"]

    assert side.drawn is Hand.STARBOARD
    assert [m.label for m in side.shape.marks] == [f"station {i}" for i in (1, 2, 3, 4)]
    assert [m.label for m in PARTS["bottom"].shape.marks][:2] == ["station 1", "station 2"]


def test_it_is_planned_and_proven() -> None:
    """End to end; what is said of it speaks feet and inches."""
    done = plan_job(FOUND.job, Budget(effort=Effort.QUICK, seconds=1.0))
    speech = speech_of(FOUND.job)
    said = "\n".join(
        [*all_said(done.plan.notes, speech), *(finding_line(f, speech) for f in done.plan.findings)]
    )

    assert done.plan.is_complete
    assert " mm" not in said
