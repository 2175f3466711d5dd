"""Places of joints by station, from bow and stern, and as the table of offsets counts."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.intake.job import Understanding, understand_job
from nestcut.model.joint import JointRule
from nestcut.model.part import End
from nestcut.words import Speech, tell

HEAD = """
[job]
name = "punt"
unit = "mm"
[saw]
kerf = 2
[[sheet]]
name = "ply"
material = "ply"
thickness = 6
length = 2440
width = 1220
[[board]]
name = "fir"
material = "fir"
thickness = 20
width = 90
lengths = [{ length = 3600 }]
[offsets]
measured_from = "bow"
to = "inside"
table = '''
station | bow | 1 | 2 | 3 | transom
at | 0 | 1000 | 2000 | 3000 | 4000
heights
chine | 100 | 100 | 100 | 100 | 100
sheer | 500 | 500 | 500 | 500 | 500
half-breadths
chine | 600 | 600 | 600 | 600 | 600
sheer | 600 | 600 | 600 | 600 | 600
'''
"""
"""A box of a boat: everything along it is as long as the boat, so places are known by heart."""
SIDE = """
[[part]]
name = "side"
hand = "pair"
thickness = 6
shape = { kind = "developed", lower = "chine", upper = "sheer" }
joint = { slope = "8:1", JOINT }
"""
RAIL = """
[[rail]]
name = "gunwale"
section = [20, 30]
along = { line = "sheer", from = "1" }
joint = { slope = "8:1", JOINT }
"""


def read(folder: Path, text: str) -> Understanding:
    """What is understood of a job."""
    job = folder / "job.toml"
    job.write_text(HEAD + text, encoding="utf-8")
    return understand_job(job)


def rule(folder: Path, text: str, joint: str) -> JointRule:
    """Joint rule of the one part or rail, without a fault."""
    known = read(folder, text.replace("JOINT", joint))
    assert known.is_usable, [str(f) for f in known.findings if f.is_blocking]
    job = known.job
    [found] = [*(p.joint for p in job.sheet_parts), *(r.joint for r in job.rail_parts)]
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("joint", "places"),
    [
        ('at = ["1500"]', (1500.0,)),
        ('at = [1500], measured_from = "stern"', (1500.0,)),
        ('at = [1500, 2600], measured_from = "bow"', (1400.0, 2500.0)),
        ('at = ["3", "station 1"]', (1000.0, 3000.0)),
        ('at = ["3", 500], measured_from = "table"', (1000.0, 3500.0)),
    ],
)
def test_joints_of_a_panel(tmp_path: Path, joint: str, places: tuple[float, ...]) -> None:
    """The panel starts at its stern end; the table counts from the bow."""
    at = rule(tmp_path, SIDE, joint).at_mm

    assert at == pytest.approx(places, abs=0.01)


@pytest.mark.parametrize(
    ("stretch", "places"),
    [
        ('{ from = 0, to = 900, measured_from = "bow" }', (3100.0, 4000.0)),
        ('{ at = "2", within = 150 }', (1850.0, 2150.0)),
        ('{ from = "1", to = "2" }', (2000.0, 3000.0)),
        ('{ at = 2300, within = 100, measured_from = "table" }', (1600.0, 1800.0)),
    ],
)
def test_stretches_of_a_panel(tmp_path: Path, stretch: str, places: tuple[float, float]) -> None:
    kept = rule(tmp_path, SIDE, f"keep_clear = [{stretch}]").keep_clear[0]

    assert (kept.from_mm, kept.to_mm) == pytest.approx(places, abs=0.01)


def test_a_stretch_counts_as_its_joint_says_unless_it_says_itself(tmp_path: Path) -> None:
    both = '[{ at = 500, within = 10 }, { at = 500, within = 10, measured_from = "stern" }]'
    first, second = rule(tmp_path, SIDE, f'measured_from = "bow", keep_clear = {both}').keep_clear[
        :2
    ]

    assert first.from_mm == pytest.approx(3490.0, abs=0.01)
    assert second.from_mm == pytest.approx(490.0, abs=0.01)


@pytest.mark.parametrize(
    ("joint", "places"),
    [
        ('at = ["3"]', (-3000.0 + 4000.0,)),
        ('at = [500], measured_from = "bow"', (2500.0,)),
        ('at = [2500], measured_from = "table"', (1500.0,)),
    ],
)
def test_joints_of_a_rail_along_a_line(
    tmp_path: Path, joint: str, places: tuple[float, ...]
) -> None:
    """It runs from the stern to station 1, 3 m, and knows its bow end."""
    known = read(tmp_path, RAIL.replace("JOINT", joint))
    [rail] = known.job.rail_parts

    assert rail.bow is End.FAR
    assert rail.joint is not None
    assert rail.joint.at_mm == pytest.approx(places, abs=0.01)


def test_a_rail_that_begins_before_the_stern_counts_from_its_own_end(tmp_path: Path) -> None:
    """From station 3, 1 m forward of the stern, to station 1."""
    text = RAIL.replace('from = "1"', 'from = "1", to = "3"').replace("JOINT", 'at = ["2"]')
    [rail] = read(tmp_path, text).job.rail_parts

    assert rail.length_mm == pytest.approx(2000.0)
    assert rail.joint is not None
    assert rail.joint.at_mm == pytest.approx((1000.0,), abs=0.01)


def test_a_rail_without_a_line_starts_where_its_joint_counts_from(tmp_path: Path) -> None:
    text = RAIL.replace('along = { line = "sheer", from = "1" }', "length = 3000")
    known = read(tmp_path, text.replace("JOINT", 'at = [500], measured_from = "bow"'))
    [rail] = known.job.rail_parts

    assert rail.bow is End.START
    assert rail.joint is not None
    assert rail.joint.at_mm == (500.0,)


def test_a_cap_and_a_deck_know_their_stations(tmp_path: Path) -> None:
    cap = SIDE.replace('"developed", lower = "chine", upper', '"cap", width = 60, along')
    deck = SIDE.replace('"developed", lower = "chine", upper', '"deck", to = "3", line')

    assert rule(tmp_path, cap, 'at = ["1"]').at_mm == pytest.approx((3000.0,), abs=0.01)
    at = rule(tmp_path, deck.replace('hand = "pair"', ""), 'at = ["1"]').at_mm
    assert at == pytest.approx((2000.0,), abs=0.01)


def test_a_line_drawn_across_a_part_is_a_place(tmp_path: Path) -> None:
    """Panels by numbers have no stations, but their marks have names."""
    panel = SIDE.replace(
        'kind = "developed", lower = "chine", upper = "sheer"',
        'kind = "panel", stations = [0, 2000, 4000], upper = [300, 320, 310], '
        'mark_at = [1500], mark_names = ["Frame A"]',
    )
    kept = rule(tmp_path, panel, 'keep_clear = [{ at = "frame a", within = 50 }]').keep_clear[0]

    assert (kept.from_mm, kept.to_mm) == pytest.approx((1450.0, 1550.0))


@pytest.mark.parametrize(
    ("text", "joint", "code", "says"),
    [
        (SIDE, 'at = ["station 9"]', "JOB-102", "Choose from: bow, 1, 2, 3, transom"),
        (SIDE, 'at = ["nine"]', "JOB-006", "as a length"),
        (SIDE, 'at = [4100], measured_from = "bow"', "JOB-107", "4000 mm long"),
        (RAIL, 'at = ["bow"]', "JOB-105", "beyond the ends"),
        (RAIL, 'keep_clear = [{ from = 0, measured_from = "bow" }]', "JOB-004", "is missing"),
        (RAIL, 'at = [100], measured_from = "midships"', "JOB-008", "start, bow, stern"),
    ],
)
def test_what_is_no_place_is_told(
    tmp_path: Path, text: str, joint: str, code: str, says: str
) -> None:
    known = read(tmp_path, text.replace("JOINT", joint))
    [told] = [f for f in known.findings if f.is_blocking]
    said = tell(told, Speech())

    assert told.code == code
    assert says in f"{said.message} {said.remedy}"


PLAIN = SIDE.replace(
    'kind = "developed", lower = "chine", upper = "sheer"',
    'kind = "rectangle", length = 3000, width = 200',
)


def test_a_part_without_a_bow_end_or_stations_says_so(tmp_path: Path) -> None:
    for joint, code in (
        ('at = [500], measured_from = "bow"', "JOB-106"),
        ('at = ["2"]', "JOB-104"),
    ):
        known = read(tmp_path, PLAIN.replace("JOINT", joint))
        assert [f.code for f in known.findings if f.is_blocking] == [code]
    facing = PLAIN.replace("thickness", 'forward = "left"\nthickness')
    assert rule(tmp_path, facing, 'at = [500], measured_from = "bow"').at_mm == (500.0,)


def test_there_is_no_counting_by_a_table_that_is_not_there(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    head = HEAD.partition("[offsets]")[0]
    text = PLAIN.replace("JOINT", 'at = [500], measured_from = "table"')
    job.write_text(head + text, encoding="utf-8")

    assert [f.code for f in understand_job(job).findings if f.is_blocking] == ["JOB-103"]


def test_joints_of_a_pair_of_rails_at_one_place_are_told(tmp_path: Path) -> None:
    pair = RAIL.replace("section", 'hand = "pair"\nsection')
    told = read(tmp_path, pair.replace("JOINT", "at = [1500]")).findings
    alone = read(tmp_path, RAIL.replace("JOINT", "at = [1500]")).findings
    free = read(tmp_path, pair.replace("JOINT", "keep_clear = []")).findings

    as_planned = read(tmp_path, pair.replace("JOINT", 'at = [1500], stagger = "0 mm"')).findings

    flat = PLAIN.replace("thickness", 'hand = "pair"\nthickness')
    panels = [read(tmp_path, flat.replace("JOINT", at)).findings
              for at in ("at = [500]", "at = [500], stagger = 0")]  # fmt: skip

    assert ["JOB-108" in {f.code for f in found} for found in panels] == [True, False]
    assert "JOB-108" in {f.code for f in told}
    assert "JOB-108" not in {f.code for f in (*alone, *free, *as_planned)}
