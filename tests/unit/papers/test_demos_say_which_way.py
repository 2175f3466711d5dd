"""The demo jobs' own words: which way each part stands, and lines that meet are as long."""

from __future__ import annotations

import math
import tomllib
from functools import lru_cache
from pathlib import Path

import pytest

from nestcut.geometry.polygons import bounds_mm
from nestcut.intake.job import read_job
from nestcut.model.job import Job
from nestcut.model.part import Outside, SheetPart, Towards
from nestcut.papers.view.sizes import fold_axis
from nestcut.units import parse_length_mm

PARTS = Path(__file__).parents[3] / "parts"
EITHER_WAY = {
    "beach-boat": {
        "box inner side": "its ends are alike, and its pair is its own mirror image",
        "box outer side": "its ends are alike, and its pair is its own mirror image",
        "mast knee": "its arms are alike",
    },
    "punt": {
        "frame": "alike fore and aft; its shape shows what is up",
        "knee": "its arms are alike",
        "rowlock pad": "it lies on either edge",
        "locker lid": "its slot goes to any edge that a hand finds",
    },
}
"""Parts with one axis or none that may be built in turned, and why."""
SIXTEENTH_MM = 25.4 / 16.0


@lru_cache(maxsize=3)
def job_of(name: str) -> Job:
    return read_job(PARTS / name)


def part_of(job: Job, name: str) -> SheetPart:
    (found,) = [p for p in job.sheet_parts if p.name == name]
    return found


@pytest.mark.parametrize("demo", list(EITHER_WAY))
def test_every_part_that_can_be_turned_wrong_says_how_it_stands(demo: str) -> None:
    """What isn't alike both ways has its bow or its upper side named."""
    job = job_of(f"{demo}/job.toml")
    asked = 0
    for part in job.sheet_parts:
        alike = [fold_axis(part.shape, is_level=level) is not None for level in (True, False)]
        if all(alike) or (EITHER_WAY[demo].get(part.name)):
            continue
        own = part.bearings
        assert (own.forward, own.up) != (Towards.UNSAID, Towards.UNSAID), part.name
        asked += 1
    assert asked > 7
    known = {p.name for p in job.sheet_parts}
    assert set(EITHER_WAY[demo]) <= known


def widths_mm(part: SheetPart) -> tuple[float, float]:
    """Widths of a panel at its lower and upper edge."""
    x0, y0, x1, y1 = bounds_mm(part.shape.outline.points)
    assert x1 > x0
    low = [x for x, y in part.shape.outline.points if abs(y - y0) < 0.5]
    high = [x for x, y in part.shape.outline.points if abs(y - y1) < 0.5]
    return max(low) - min(low), max(high) - min(high)


def half_breadths_mm(file: str, name: str) -> tuple[float, float]:
    """Of a frame at its foot and head, as the job has them: its limber holes cut its corners."""
    job = tomllib.loads((PARTS / file).read_text(encoding="utf-8"))
    (shape,) = [p["shape"] for p in job["part"] if p["name"] == name]
    foot, head = (float(parse_length_mm(b)) for b in shape["half_breadths"])
    return foot, head


@pytest.mark.parametrize("file", ["punt/job.toml", "punt/job-mm.toml"])
def test_the_punts_bottom_covers_its_sides_and_no_more(file: str) -> None:
    """Frames carry the sides on their slant; the bottom and both ramps reach over those."""
    job = job_of(file)
    frame, side = part_of(job, "frame"), part_of(job, "side")
    foot, head = half_breadths_mm(file, "frame")
    inside = 2.0 * foot
    lean = math.atan2(head - foot, bounds_mm(frame.shape.outline.points)[3])
    outside = inside + 2.0 * side.thickness_mm / math.cos(lean)
    bottom = bounds_mm(part_of(job, "bottom").shape.outline.points)
    assert bottom[3] - bottom[1] == pytest.approx(outside, abs=SIXTEENTH_MM)
    for ramp, transom in (("bow ramp", "bow transom"), ("stern ramp", "stern transom")):
        wide, narrow = widths_mm(part_of(job, ramp))
        assert wide == pytest.approx(outside, abs=SIXTEENTH_MM)
        # transoms sit on the ends of the sides, and the ramp ends at their lower edge
        assert narrow == pytest.approx(widths_mm(part_of(job, transom))[0], abs=SIXTEENTH_MM)
        # else a ramp looks two sides too narrow there
        assert part_of(job, transom).note == "sits on the ends of the sides"
    forward = {p.name: p.bearings.forward for p in job.sheet_parts}
    assert forward["bow ramp"] is Towards.TOP  # its narrow end
    assert forward["stern ramp"] is Towards.BOTTOM
    seat = part_of(job, "stern seat")
    notched = max(y for _, y in seat.shape.outline.points)
    assert seat.bearings.forward is Towards.BOTTOM  # the notch is aft, where the boat is narrower
    assert widths_mm(seat)[0] > max(
        x for x, y in seat.shape.outline.points if y > notched - 0.5
    ) - min(x for x, y in seat.shape.outline.points if y > notched - 0.5)


def test_straps_end_at_what_is_glued_along_the_edges() -> None:
    """A strap as long as the side would lie under chine log and gunwale."""
    for file in ("punt/job.toml", "punt/job-mm.toml"):
        job = job_of(file)
        rule = part_of(job, "side").joint
        widths = {r.name: max(r.width_mm, r.thickness_mm) for r in job.rail_parts}
        assert rule is not None
        assert rule.strap_margin_mm == pytest.approx(widths["chine log"])
        assert rule.strap_margin_mm == pytest.approx(widths["gunwale"])


def test_hull_panels_say_which_face_is_outside() -> None:
    for file in ("punt/job.toml", "beach-boat/job.toml"):
        job = job_of(file)
        names = {"side", "bottom", "bow ramp", "stern ramp", "side panel", "bottom panel"}
        hull = [p for p in job.sheet_parts if p.name in names]
        assert len(hull) > 1
        assert all(p.bearings.outside is Outside.GOOD for p in hull)
