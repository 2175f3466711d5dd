"""Job files: what is understood, and every fault at once."""

from __future__ import annotations

import pytest

from nestcut.jobfile.read import parse_job_text
from nestcut.jobfile.records import DrawnSource, JobText, OutlineBy
from nestcut.model.job import MarkingWish, Notation
from nestcut.model.part import Grain, Hands, Turning
from nestcut.units import LengthStyle
from nestcut.words import Speech, tell

GOOD = """
[job]
name = "tender"
currency = "EUR"
[saw]
kerf = "2 mm"
gap = "3 mm"
[[sheet]]
name = "6 mm ply"
material = "ply"
thickness = "6 mm"
length = "2440 mm"
width = "4ft"
price = 58.5
trim = "5 mm"
keep_out = [{ from = ["0 mm", "0 mm"], to = ["100 mm", "80 mm"], why = "knot" }]
[[board]]
name = "spruce"
material = "spruce"
thickness = "20 mm"
width = "95 mm"
lengths = [{ length = "2.4 m", price = 9.1 }, { length = "3 m", count = 1 }]
[[part]]
name = "frame"
drawing = "hull.dxf"
label = "frame 1"
thickness = "6 mm"
hand = "pair"
grain = "any"
[[rail]]
name = "gunwale"
section = ["20 mm", "45 mm"]
length = "4.9 m"
joint = { slope = "10:1", keep_clear = [{ at = "1 m", within = "100 mm", why = "rowlock" }] }
"""


def read(text: str) -> JobText:
    return parse_job_text(text.encode(), "jobs/tender/job.toml")


def codes(text: str) -> list[str]:
    return [f.code for f in read(text).findings]


def test_a_good_job_is_understood_whole() -> None:
    """Every table of a good job arrives in mm, without findings."""
    job = read(GOOD)

    assert len(job.findings) == 0
    assert (job.name, job.currency, job.style) == ("tender", "EUR", LengthStyle.MM)
    assert (job.cutting.kerf_mm, job.cutting.gap_mm, job.cutting.clearance_mm) == (2, 3, 5)
    sheet = job.sheets[0]
    assert (sheet.length_mm, sheet.width_mm, sheet.price_minor) == (2440, 1219.2, 5850)
    assert sheet.is_to_buy
    assert list(sheet.keep_outs[0].points) == [(0, 0), (100, 0), (100, 80), (0, 80)]
    assert [b.length_mm for b in job.boards[0].lengths] == [2400, 3000]
    assert [b.count for b in job.boards[0].lengths] == [None, 1]
    part = job.parts[0]
    assert part.source == DrawnSource(file="hull.dxf", by=OutlineBy.LABEL, name="frame 1")
    assert (part.hands, part.grain, part.turning) == (Hands.PAIR, Grain.ANY, Turning.QUARTER)
    rail = job.rails[0]
    assert rail.joint is not None
    assert rail.joint.slope == 10
    assert (rail.joint.keep_clear[0].from_mm, rail.joint.keep_clear[0].to_mm) == (900, 1100)


def test_all_faults_are_reported_together_with_their_key_paths() -> None:
    """Several faults in several tables come back in one go."""
    text = (
        GOOD.replace('kerf = "2 mm"', 'kerf = "-2 mm"')
        .replace('thickness = "6 mm"\nlength', 'thickness = "0 mm"\nlenght')
        .replace('hand = "pair"', 'hand = "pairs"')
        .replace('length = "4.9 m"', 'length = "4.9"')
    )
    findings = {f.where: tell(f, Speech()) for f in read(text).findings}

    assert set(findings) == {
        "saw.kerf",
        "sheet[1].length",
        "sheet[1].thickness",
        "sheet[1].lenght",
        "part[1].hand",
        "rail[1].length",
    }
    assert "negative" in findings["saw.kerf"].message
    assert "Did you mean 'length'?" in findings["sheet[1].lenght"].remedy
    assert "Did you mean 'pair'?" in findings["part[1].hand"].remedy
    assert "unit" in findings["rail[1].length"].message


def test_a_file_that_is_no_toml_says_where() -> None:
    """Syntax faults name the line; bytes that are no text are told."""
    [found] = read("[job]\nname = \nx = 1").findings
    assert (found.code, found.line, found.column) == ("JOB-049", 2, 8)
    assert parse_job_text(b"\xff\x00\x00", "job.toml").findings[0].code == "JOB-052"
    [found] = parse_job_text(GOOD.encode() + b"# caf\xe9\n", "job.toml").findings
    assert (found.code, dict(found.values)["line"]) == ("JOB-053", len(GOOD.splitlines()) + 1)
    [found] = read(GOOD + "x = " + "[" * 5000 + "]" * 5000).findings
    assert (found.code, found.line) == ("JOB-047", 1)


def test_grain_and_turning_must_agree() -> None:
    """A quarter turn breaks a grain rule; free turning too."""
    text = GOOD.replace('grain = "any"', 'grain = "along"\nturn = "quarter"')

    assert codes(text) == ["JOB-012"]


def test_an_outline_is_given_exactly_once() -> None:
    """Two pointers, a shape beside a drawing, or nothing at all are faults."""
    two = GOOD.replace('label = "frame 1"', 'label = "frame 1"\nlayer = "F1"')
    both = GOOD.replace('label = "frame 1"', 'shape = { kind = "rectangle" }')
    none = GOOD.replace('drawing = "hull.dxf"\nlabel = "frame 1"\n', "")

    assert codes(two) == codes(both) == codes(none) == ["JOB-011"]


def test_names_are_unique() -> None:
    """Two parts of one name can't be told apart at the saw."""
    twice = GOOD + '[[part]]\nname = "frame"\ndrawing = "a.dxf"\nthickness = "6 mm"\n'

    assert codes(twice) == ["JOB-009"]


def test_an_empty_job_is_told() -> None:
    """A job without parts has nothing to cut."""
    assert "JOB-010" in codes('[job]\nname = "x"\n[saw]\nkerf = "2 mm"\n')


def test_bare_numbers_follow_the_job_wide_unit() -> None:
    """With unit = "in" a bare 24 is two feet, and papers show inches."""
    job = read(
        '[job]\nname = "x"\nunit = "in"\n[saw]\nkerf = 0.125\n[[sheet]]\nname = "s"\n'
        'material = "ply"\nthickness = 0.25\nlength = 96\nwidth = 48\n'
    )

    assert job.cutting.kerf_mm == 3.175
    assert job.sheets[0].length_mm == 2438.4
    assert job.style is LengthStyle.INCH


def test_stock_that_cannot_be_is_refused() -> None:
    """Trim that eats the sheet, crossing outlines, and negative prices are faults."""
    assert codes(GOOD.replace('trim = "5 mm"', 'trim = "2 m"')) == ["JOB-013"]
    assert codes(GOOD.replace("price = 58.5", "price = -1")) == ["JOB-005"]
    crossing = 'outline = [["0mm","0mm"],["1m","1m"],["1m","0mm"],["0mm","1m"]]'
    assert codes(GOOD.replace('trim = "5 mm"', crossing)) == ["JOB-014"]


def test_joint_positions_must_rise() -> None:
    """Positions are listed from the reference end."""
    text = GOOD.replace('slope = "10:1"', 'slope = "10:1", at = ["3 m", "1 m"]')

    assert codes(text) == ["JOB-015"]


def test_marking_is_read() -> None:
    text = read(
        GOOD + '[marking]\nwritten = "feet-inches-eighths"\nstations = "6in"\nwithin = "1/16in"\n'
    )

    assert text.findings == []
    assert text.marking.notation is Notation.OFFSETS
    assert text.marking.spacing_mm == pytest.approx(152.4)
    assert text.marking.allowed_mm == pytest.approx(1.5875)
    assert read(GOOD).marking == MarkingWish()


def test_marking_has_its_faults() -> None:
    wrong = '[marking]\nwritten = "cubits"\nstations = "5 mm"\nwithin = "0.01 mm"\nspread = 1\n'
    told = {(f.code, f.where) for f in read(GOOD + wrong).findings}

    assert told == {
        ("JOB-008", "marking.written"),
        ("JOB-055", "marking.stations"),
        ("JOB-055", "marking.within"),
        ("JOB-003", "marking.spread"),
    }


@pytest.mark.parametrize(
    ("rule", "stagger_mm"),
    [
        ('stagger = "300 mm"', 300.0),
        ('stagger_frames = 3, frame_space = "400 mm"', 1200.0),
        ("stagger_frames = 3", 1524.0),
        ("slope = 8.0", 0.0),
    ],
)
def test_stagger_is_a_length_or_frame_spaces(rule: str, stagger_mm: float) -> None:
    """Three frame spaces; where their size isn't said, 5 ft (US Army TB 55-1900-201-45/1)."""
    text = GOOD.replace('slope = "10:1"', rule)
    assert codes(text) == []
    joint = read(text).rails[0].joint
    assert joint is not None
    assert joint.stagger_mm == pytest.approx(stagger_mm)


def test_stagger_given_twice_is_a_fault() -> None:
    text = GOOD.replace('slope = "10:1"', 'stagger = "1 m", stagger_frames = 3')
    assert "JOB-015" in codes(text)


@pytest.mark.parametrize(
    ("rail", "stagger_mm"),
    [
        ('hand = "pair"\njoint = { slope = "12:1", keep_clear = "none" }', 480.0),
        ('hand = "pair"', 480.0),
        ('hand = "pair"\njoint = { slope = "12:1", keep_clear = "none", stagger = "0 mm" }', 0.0),
        ('hand = "pair"\njoint = { slope = "12:1", at = ["2 m"] }', 0.0),
        ('joint = { slope = "12:1", keep_clear = "none" }', 0.0),
    ],
)
def test_free_joints_of_two_hands_lie_apart_unless_said(rail: str, stagger_mm: float) -> None:
    """Two overlaps of 240 mm, where nestcut chooses the places."""
    head = GOOD[: GOOD.index("[[part]]")]
    text = f"""{head}[[rail]]
name = "gunwale"
material = "spruce"
section = ["20 mm", "45 mm"]
length = "4 m"
{rail}
"""
    joint = parse_job_text(text.encode(), "job.toml").rails[0].joint
    assert joint is not None
    assert joint.stagger_mm == stagger_mm
