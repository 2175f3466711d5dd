"""Joints that nestcut chooses lie neither in the hardest bend nor at a station's frame."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

import nestcut
from nestcut.intake.parts.bends import HARDEST
from nestcut.model.joint import KeepClear
from nestcut.verify import verify_plan

HEAD = """
[job]
name = "bent"
unit = "mm"
currency = "EUR"
[saw]
kerf = 3
[[sheet]]
name = "ply"
thickness = 6
length = 2440
width = 1220
price = 40
[[board]]
name = "fir"
material = "fir"
thickness = 20
width = 95
lengths = [{{ length = {board}, price = 9 }}]
"""
STATIONS = """
[offsets]
measured_from = "stern"
to = "inside"
table = """
TABLE = """'''
station | 0 | 1 | 2 | 3 | 4 | 5
at | 0 | 1000 | 2000 | 3000 | 4000 | 5000
heights
chine | 100 | 100 | 100 | 100 | 100 | 100
sheer | 500 | 500 | 500 | 500 | 500 | 500
half-breadths
chine | 500 | 560 | 580 | 560 | 460 | 150
sheer | 600 | 660 | 680 | 660 | 560 | 250
'''
"""
RAIL = """
[[rail]]
name = "gunwale"
section = [20, 45]
along = {{ line = "sheer" }}
joint = {{ slope = "12:1"{joint} }}
"""
SIDE = """
[[part]]
name = "side"
thickness = 6
shape = {{ kind = "developed", lower = "chine", upper = "sheer" }}
joint = {{ slope = "8:1"{joint} }}
"""


OWN = ', keep_clear = [{ at = 300, within = 10, why = "rowlock" }]'


def job_with(part: str, joint: str = OWN, board: int = 3000, table: str = TABLE) -> nestcut.Job:
    text = HEAD.format(board=board) + STATIONS + table + part.format(joint=joint)
    return nestcut.read_job(text, drawings={})


def stations_every(apart: float, n: int) -> str:
    """A table whose sheer is a hyperbola with its vertex 2500 mm from aft."""
    xs = [apart * k for k in range(n)]
    rows = " | ".join(f"{1000.0 - 200.0 * math.hypot(1.0, (x - 2500.0) / 800.0):.3f}" for x in xs)
    flat = " | ".join("500" for _ in xs)
    return (
        f"'''\nstation | {' | '.join(str(k) for k in range(n))}\n"
        f"at | {' | '.join(f'{x:g}' for x in xs)}\n"
        f"heights\nsheer | {flat}\nhalf-breadths\nsheer | {rows}\n'''\n"
    )


def zones(job: nestcut.Job) -> dict[str, KeepClear]:
    rules = [*(p.joint for p in job.sheet_parts), *(r.joint for r in job.rail_parts)]
    assert rules[0] is not None
    return {z.reason: z for z in rules[0].keep_clear}


def test_a_rail_along_a_line_keeps_clear_of_stations_and_its_hardest_bend() -> None:
    kept = zones(job_with(RAIL))
    assert list(kept) == ["rowlock", HARDEST, *(f"station {k}" for k in range(6))]
    first, after = kept["station 0"], kept["station 1"]
    assert (first.from_mm, first.to_mm) == pytest.approx((-50.0, 50.0))
    assert 950.0 < after.from_mm < 960.0  # along the bent line
    assert after.to_mm - after.from_mm == pytest.approx(100.0)


def test_the_hardest_bend_is_where_the_line_turns_most() -> None:
    """Readings of a hyperbola: its bend is greatest at its vertex, 2500 mm from aft."""
    job = job_with(RAIL, table=stations_every(500.0, 11))
    (rail,) = job.rail_parts
    # at the vertex R = 800^2 / 200 = 3.2 m: 160 thicknesses
    assert rail.joint is not None
    zone = zones(job)[HARDEST]
    assert zone.from_mm < rail.length_mm / 2.0 < zone.to_mm


def test_nothing_is_kept_clear_where_the_job_says_none_or_gives_the_places() -> None:
    assert zones(job_with(RAIL, ', keep_clear = "none"')) == {}
    assert zones(job_with(RAIL, ", at = [2600]")) == {}


def test_the_search_keeps_clear_and_the_verifier_refuses_what_doesnt() -> None:
    job = job_with(RAIL)
    verified = nestcut.plan_job(job, nestcut.Budget(effort="quick"))
    (joint, *_) = verified.plan.joints
    clear = {s.what: s for s in joint.standings if s.measured == "keep clear"}
    assert HARDEST in clear
    assert all(s.is_kept for s in clear.values())
    (rail,) = job.rail_parts
    assert rail.joint is not None
    there = KeepClear(from_mm=joint.at_mm - 1.0, to_mm=joint.at_mm + 1.0, reason="station 9")
    moved = replace(rail, joint=replace(rail.joint, keep_clear=(*rail.joint.keep_clear, there)))
    found = verify_plan(replace(job, rail_parts=(moved,)), verified.plan).findings
    assert "VER-016" in {f.code for f in found}


def test_where_no_place_is_left_it_is_told() -> None:
    """Between frames every 300 mm, kept clear by 50 on both sides, no scarf of 240 mm lies."""
    job = job_with(RAIL, table=stations_every(300.0, 16))
    assert not any(r.startswith("station") for r in zones(job))
    (told,) = [f for f in job.findings if f.code == "JNT-117"]
    assert told.about == "gunwale"


def test_a_panel_bent_hard_for_its_thickness_keeps_clear_of_that_place() -> None:
    thick = SIDE.replace("thickness = 6", "thickness = 12")
    sheet = HEAD.format(board=3000).replace("thickness = 6", "thickness = 12")
    job = nestcut.read_job(sheet + STATIONS + TABLE + thick.format(joint=OWN), drawings={})
    (part,) = job.sheet_parts
    zone = zones(job)[HARDEST]
    assert math.isfinite(zone.from_mm)
    assert zone.from_mm > part.shape.outline.points[0][0]
    assert HARDEST not in zones(job_with(SIDE.replace("thickness = 6", "thickness = 6")))
