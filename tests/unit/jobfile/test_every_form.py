"""Every form of a fault of the job file: a small change of a good job raises it, and it is told."""

from __future__ import annotations

import pytest

from nestcut.errors import Finding
from nestcut.facts import Fact
from nestcut.words import SENTENCES, Speech, tell
from tests.unit.jobfile.test_read import GOOD, read

KNOT = 'keep_out = [{ from = ["0 mm", "0 mm"], to = ["100 mm", "80 mm"], why = "knot" }]'
FORMS = {
    "JOB-201": ('kerf = "2 mm"', 'kerf = ""'),
    "JOB-202": ('hand = "pair"', 'hand = ""'),
    "JOB-204": ('hand = "pair"', 'hands = "pair"'),
    "JOB-205": ("joint = {", 'joint = { section = ["20 mm", "45 mm"], '),
    "JOB-206": ('grain = "any"', 'grain = "any"\nstations = ["1 m"]'),
    "JOB-207": ('gap = "3 mm"', 'gap = "3 mm"\nqqq = 1'),
    "JOB-208": (
        'currency = "EUR"\n',
        'currency = "EUR"\nthickness = ""\n[[part]]\nname = "lid"\ndrawing = "hull.dxf"\n',
    ),
    "JOB-211": ('kerf = "2 mm"\n', ""),
    "JOB-212": (
        'lengths = [{ length = "2.4 m", price = 9.1 }, { length = "3 m", count = 1 }]',
        "lengths = []",
    ),
    "JOB-221": ("price = 58.5", "price = true"),
    "JOB-222": ('grain = "any"', 'grain = "any"\nsmall_angle = "5 deg"'),
    "JOB-223": ('name = "frame"', "name = 5"),
    "JOB-224": ('section = ["20 mm", "45 mm"]', 'section = ["20 mm"]'),
    "JOB-225": ('length = "4.9 m"', 'length = "4.9 m"\nend_angles = "square"'),
    "JOB-226": ('grain = "any"', 'grain = "any"\nbevels = [5]'),
    "JOB-227": ("price = 58.5", 'price = 58.5\ncount = "many"'),
    "JOB-231": ('slope = "10:1"', 'slope = "steep"'),
    "JOB-232": ('length = "2440 mm"', 'length = "2,440 mm"'),
    "JOB-233": (
        'currency = "EUR"\n[saw]\nkerf = "2 mm"',
        'currency = "EUR"\nshow = "inch"\n[saw]\nkerf = "wide"',
    ),
    "JOB-234": ('kerf = "2 mm"', 'kerf = "wide"'),
    "JOB-241": ('slope = "10:1"', 'slope = "60:1"'),
    "JOB-242": ('thickness = "6 mm"\nlength', 'thickness = "0 mm"\nlength'),
    "JOB-243": ('length = "4.9 m"', 'length = "4.9 m"\nend_angles = [90, 5]'),
    "JOB-244": (
        'grain = "any"',
        'grain = "any"\nbevels = [{ edge = "bottom", larger = "good face", tilt = 95 }]',
    ),
    "JOB-245": ('currency = "EUR"', 'currency = "EUR"\nfraction = 7'),
    "JOB-251": ('hand = "pair"', 'hand = "zzz"'),
    "JOB-252": ('hand = "pair"', 'hand = "pairs"'),
    "JOB-261": ('grain = "any"', 'grain = "any"\nforward = "right"\nup = "left"'),
    "JOB-262": (
        'grain = "any"',
        'grain = "any"\nshape = { kind = "rectangle", length = "1 m", width = "1 m" }',
    ),
    "JOB-263": ('drawing = "hull.dxf"\nlabel = "frame 1"\n', ""),
    "JOB-264": ('label = "frame 1"', 'label = "frame 1"\nblock = "f"'),
    "JOB-265": ('length = "4.9 m"', 'length = "4.9 m"\nalong = "sheer"'),
    "JOB-266": ('grain = "any"', 'grain = "any"\nbevels = [{ larger = "good face", tilt = 9 }]'),
    "JOB-267": (
        'grain = "any"',
        'grain = "any"\n'
        'bevels = [{ edge = "top", near = ["1 mm", "2 mm"], larger = "good face", tilt = 9 }]',
    ),
    "JOB-271": ('grain = "any"', 'grain = "along"\nturn = "free"'),
    "JOB-281": ('trim = "5 mm"', 'trim = "5 mm"\njoined = 2'),
    "JOB-097": (KNOT, "joined = 2\npack = 3"),
    "JOB-282": ('trim = "5 mm"', 'trim = "800 mm"'),
    "JOB-283": ("lengths = [{", 'end_trim = "1.6 m"\nlengths = [{'),
    "JOB-285": ('trim = "5 mm"', 'trim = "5 mm"\noutline = [["0 mm", "0 mm"], ["9 mm", "9 mm"]]'),
    "JOB-286": (
        'trim = "5 mm"',
        'outline = [["0 mm", "0 mm"], ["9 m", "0 mm"], ["9 m", "9 m"], ["0 mm", "1 m"]]',
    ),
    "JOB-287": ('{ length = "3 m", count = 1 }', '{ length = "2.4 m", price = 9.2 }'),
    "JOB-288": ("price = 9.1 }", 'price = 9.1, defects = [{ from = "1 m", to = "1.1 m" }] }'),
    "JOB-291": ('slope = "10:1"', 'slope = "10:1", at = ["2 m", "1 m"]'),
    "JOB-292": (
        'slope = "10:1"',
        'slope = "10:1", stagger = "1 m", stagger_frames = 2, frame_space = "400 mm"',
    ),
    "JOB-038": (KNOT, 'keep_out = [{ why = "knot" }]'),
    "JOB-092": ('slope = "10:1"', 'slope = "4:1"'),
    "JOB-093": (
        'grain = "any"',
        'grain = "any"\njoint = { kind = "butt strap", strap_width = 2, at = ["300 mm"] }',
    ),
    "JOB-059": ('gap = "3 mm"', 'gap = "3 mm"\nreserve = ["1 m"]'),
    "JOB-098": ("price = 58.5", 'price = 58.5\nspare = "some"'),
    "JOB-099": ("price = 58.5", "count = 2\npack = 3"),
}
"""The text that is replaced, and what by."""


def said(finding: Finding) -> set[str]:
    """Codes of a finding and of its clauses."""
    return {finding.code, *(v.code for _, v in finding.values if isinstance(v, Fact))}


@pytest.mark.parametrize("code", FORMS)
def test_each_form_is_raised_and_told(code: str) -> None:
    old, new = FORMS[code]
    assert old in GOOD

    found = read(GOOD.replace(old, new, 1)).findings

    raised = [f for f in found if code in said(f)]
    assert raised, [(f.code, f.where, tell(f, Speech())) for f in found]
    for finding in raised:
        told = tell(finding, Speech())
        assert told.message.strip()
        assert told.remedy.strip()
        assert "{" not in told.message.replace("{ ", "")


def test_every_form_of_the_job_file_has_its_change() -> None:
    forms = {code for code in SENTENCES if "JOB-200" < code < "JOB-300"}
    assert forms - set(FORMS) == {"JOB-203"}  # of shapes: tests/unit/shapes
