"""What a first-time builder writes wrongly, and what is said about it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.errors import Severity
from nestcut.jobfile.match import fill_material
from nestcut.jobfile.read import parse_job_text
from nestcut.units import Unit
from nestcut.words import Speech, tell
from tests.unit.jobfile.test_read import GOOD, codes, read


def test_an_empty_file_lacks_both_kerf_and_parts() -> None:
    assert codes("") == ["JOB-058", "JOB-010"]
    assert codes('[job]\nname = "x"\n') == ["JOB-058", "JOB-010"]


def test_faulty_parts_are_parts_all_the_same() -> None:
    found = codes('[saw]\nkerf = "2 mm"\n[[part]]\nname = "a"\n')
    assert "JOB-010" not in found
    assert "JOB-011" in found


def test_figures_that_were_not_understood_are_none() -> None:
    assert read(GOOD).written.kerf_mm == 2
    bad = read(GOOD.replace('kerf = "2 mm"', 'kerf = "-2 mm"')).written
    assert (bad.kerf_mm, bad.gap_mm, bad.parts, bad.sheets, bad.boards, bad.rails) == (
        None, 3, 1, 1, 1, 1,
    )  # fmt: skip
    assert read("").written.kerf_mm is None
    assert read(GOOD.replace("price = 58.5", "price = -1")).written.sheets == 1


def test_an_unanswered_question_asks_once_more() -> None:
    for old, new in (
        ('kerf = "2 mm"', 'kerf = ""'),
        ('name = "frame"', 'name = ""'),
        ('grain = "any"', 'grain = " "'),
        ('slope = "10:1"', 'slope = ""'),
    ):
        [finding] = read(GOOD.replace(old, new)).findings
        assert (finding.code, finding.severity) == ("JOB-022", Severity.QUESTION)
        assert "not answered yet: " in tell(finding, Speech()).message


def test_nothing_to_cut_from_is_told_where_a_stock_is_used_up() -> None:
    job = read(GOOD.replace("price = 58.5", "count = 0"))
    found = fill_material(job.parts[0], job)
    assert not isinstance(found, str)
    assert found.code == "JOB-023"
    assert "'6 mm ply' has count = 0" in tell(found, Speech()).message
    assert fill_material(job.parts[0], read(GOOD)) == "ply"


def test_a_part_that_could_be_of_several_materials_is_asked_of() -> None:
    other = """
[[sheet]]
name = "okoume"
material = "okoume"
thickness = "6 mm"
length = "2440 mm"
width = "1220 mm"
"""
    job = read(GOOD + other)
    found = fill_material(job.parts[0], job)
    assert not isinstance(found, str)
    assert (found.code, found.severity) == ("JOB-017", Severity.QUESTION)
    assert "okoume, ply" in tell(found, Speech()).remedy


def test_no_stock_at_all_says_what_to_add() -> None:
    job = read(GOOD)
    found = fill_material(job.parts[0], replace(job, sheets=()))
    assert not isinstance(found, str)
    assert tell(found, Speech()).remedy == "Add a [[sheet]] of it."


def test_a_kerf_of_nothing_is_a_warning() -> None:
    [finding] = read(GOOD.replace('kerf = "2 mm"', 'kerf = "0 mm"')).findings
    assert (finding.code, finding.severity) == ("JOB-024", Severity.WARNING)


@pytest.mark.parametrize("word", ["in", "inch", "inches"])
def test_units_may_be_spelt_out(word: str) -> None:
    assert read(GOOD + f'[drawings]\nunit = "{word}"\n').drawings.unit is Unit.INCH
    assert read(GOOD + '[drawings]\nunit = "feet"\n').drawings.unit is Unit.FOOT


@pytest.mark.parametrize(
    ("joint", "times"),
    [('kind = "butt strap"', 0), ('kind = "keyed"', 0), ('kind = "scarf"', 1)],
)
def test_only_a_scarf_has_a_slope_to_assume(joint: str, times: int) -> None:
    job = read(
        GOOD.replace('hand = "pair"', f'hand = "pair"\njoint = {{ {joint}, keep_clear = [] }}')
    )
    assert job.assumed.count("frame: joint slope 8:1 (none given)") == times


def test_a_number_for_a_name_and_other_files_are_told_kindly() -> None:
    [finding] = read(GOOD.replace('name = "frame"', "name = 5")).findings
    assert "5 stands where words in quotes are expected" in tell(finding, Speech()).message
    assert tell(finding, Speech()).remedy == 'Write for example name = "side".'
    [binary] = parse_job_text(b"\xff\x00\x00", "job.toml").findings
    assert "no text file" in tell(binary, Speech()).message
    [drawing] = parse_job_text(b"  0\nSECTION\n", "boat.dxf").findings
    assert "a drawing" in tell(drawing, Speech()).message


def test_a_thickness_may_be_said_once_for_all_parts() -> None:
    silent = GOOD.replace('label = "frame 1"\nthickness = "6 mm"', 'label = "frame 1"')
    assert codes(silent) == ["JOB-004"]
    once = silent.replace('currency = "EUR"', 'thickness = "9 mm"')
    assert read(once).parts[0].thickness_mm == 9
    assert read(GOOD.replace('currency = "EUR"', 'thickness = "9 mm"')).parts[0].thickness_mm == 6
    asked = read(silent.replace('currency = "EUR"', 'thickness = ""'))
    assert [f.where for f in asked.findings] == ["job.thickness"]
    assert asked.parts == ()
    assert "(frame)" in tell(asked.findings[0], Speech()).message  # whom it is asked for
    own = read(GOOD.replace('currency = "EUR"', 'thickness = ""'))  # nobody needs it any more
    assert own.findings == []
    assert own.parts[0].thickness_mm == 6
