"""Faults of parts from numbers: a small job raises each, and it is told."""

from __future__ import annotations

import pytest

import nestcut
from nestcut.words import Speech, tell
from tests.builders_jobs import CHINE_AND_SHEER, LARCH, SKIFF
from tests.unit.jobfile.test_every_form import said

HEAD = (
    SKIFF
    + LARCH
    + CHINE_AND_SHEER
    + """
[[part]]
name = "floor"
thickness = 6
shape = { kind = "rectangle", length = 900, width = 500 }
"""
)
PANEL = "stations = [0, 500, 1000, 1500], upper = [300, 310, 310, 300]"
FRAME = 'kind = "frame", at = 1000, lines = ["chine", "sheer"]'
BULKHEAD = 'kind = "bulkhead", heights = [0, 200, 400], half_breadths = [300, 380, 400]'
BOX = "thickness = 6\nlength = 700\nwidth = 320\nheight = 240\n"
TABLE = """[offsets]
planking = 6
to = "outside"
measured_from = "stern"
table = '''
station | 1 | 2 | 3 | 4
at | 0 | 600 | 1200 | 1800
{rows}
'''
"""


def shape(words: str, more: str = "") -> str:
    return f'[[part]]\nname = "odd"\nthickness = 6\n{more}\nshape = {{ {words} }}\n'


def box(words: str) -> str:
    return f'[[tapered_box]]\nname = "seat"\n{BOX}{words}\n'


def _line(name: str, stations: str, breadths: str, heights: str, knuckles: str = "[]") -> str:
    return (
        f'[[line]]\nname = "{name}"\nstations = {stations}\nhalf_breadths = {breadths}\n'
        f"heights = {heights}\nknuckles = {knuckles}\n"
    )


FAULTS = {
    "SHP-031": shape('kind = "strap", of = "later", edge = "top", width = 50')
    + '[[part]]\nname = "later"\nthickness = 6\n'
    'shape = { kind = "rectangle", length = 90, width = 50 }\n',
    "SHP-051": shape(f"{FRAME}, planking = [6, 6, 6]"),
    "SHP-052": shape(f"{FRAME}, planking = [900]"),
    "SHP-053": shape('kind = "frame", at = 9000, lines = ["chine", "sheer"]'),
    "SHP-056": shape('kind = "frame", at = 1000, lines = ["chine", "chine"]'),
    "SHP-057": shape(f"{FRAME}, width = 900"),
    "SHP-058": shape(f'{FRAME}, width = 60, curve = "batten"'),
    "SHP-059": shape(f"{BULKHEAD}, limber_at = [90], limber_diameter = 40"),
    "SHP-060": shape(
        'kind = "polygon", points = [[0, -50], [300, -50], [300, 100], [0, 100]]',
        'drawn_half = "mirror"',
    ),
    "SHP-063": shape(f'{FRAME}, limber_at = ["keel"], limber_diameter = 30'),
    "SHP-078": box('hand = "pair"\nslopes = { inboard = 5, starboard = 6 }'),
    "SHP-079": box("slopes = { inboard = 5 }"),
    "SHP-080": '[[line]]\nname = "chine"\nstations = [0, 600]\nhalf_breadths = [1, 2]\n'
    "heights = [1, 2]\n",
    "SHP-081": "[offsets]\ntable = '''a'''\nfile = \"a.csv\"\n",
    "SHP-082": '[offsets]\nto = "outside"\n',
    "SHP-103": shape('kind = "rectangle", length = 900000, width = 500'),
    "SHP-113": shape(f'{BULKHEAD}, curve = "batten", limber_at = [200], limber_diameter = 40'),
    "SHP-114": shape(f"{BULKHEAD}, camber = 900"),
    "SHP-117": shape(
        'kind = "rectangle", length = 900, width = 500, '
        'holes = [{ form = "slot", centre = [400, 200], length = 40, width = 90 }]'
    ),
    "SHP-119": shape('kind = "strap", of = "floor", edge = "top", width = 50, inset = 600'),
    "SHP-129": shape('kind = "polygon", points = [[0, 0], [0, 0], [300, 0], [300, 100]]'),
    "SHP-132": shape('kind = "taper", length = 900, start = 0, end = 0'),
    "SHP-135": box("cleats = { }"),
    "SHP-137": box("lid = { frame = 300 }"),
    "SHP-138": box("cleats = { section = [160, 20] }"),
    "SHP-141": shape('kind = "panel", stations = [0, 500, 1000], upper = [300, 310]'),
    "SHP-144": '[[slats]]\nname = "slat"\nover = "floor"\nsection = [12, 0.2]\n',
    "SHP-145": '[[line]]\nname = "long"\nstations = [0, 900000]\nhalf_breadths = [1, 2]\n'
    "heights = [1, 2]\n",
    "SHP-148": shape(f'kind = "panel", {PANEL}, mark_at = [4000], mark_names = ["a"]'),
    "SHP-140": shape('kind = "developed", lower = "chine", upper = "sheer", mark_at = [9000]'),
    "SHP-041": TABLE.format(rows="sheer height | 400 | - | - | -\nkeel height | 1 | 2 | 3 | 4"),
    "SHP-046": TABLE.format(rows="keel height | 1 | 2 | 3 | 4").replace(
        "at | 0 | 600 | 1200 | 1800\n", ""
    ),
    "SHP-049": TABLE.format(rows="keel height | 1 | 2 | 3 | 4").replace(
        "planking = 6", 'planking = 6\nknuckles = ["keel 9"]'
    ),
    "SHP-062": _line("knuckle", "[60, 600, 1200]", "[480, 560, 580]", "[300, 270, 260]")
    + shape('kind = "transom", lines = ["chine", "knuckle", "sheer"]'),
    "SHP-075": shape(
        'kind = "panel", stations = [0, 300, 600, 900, 1200, 1500, 1800, 2100, 2400], '
        "upper = [300, 316, 327, 332, 300, 330, 325, 314, 298]"
    ),
    "SHP-104": shape('kind = "circle", diameter = 0.000000001'),
    "SHP-106": _line("knee", "[0, 600, 1200]", "[480, 560, 480]", "[300, 300, 300]", "[600]")
    + shape('kind = "cap", along = "knee", width = 40'),
    "SHP-146": TABLE.format(rows="keel height | 1 | 1 | 3 | 4\nkeel distance | 0 | 0 | 5 | 6"),
    "SHP-149": shape(
        'kind = "polygon", points = [[0, 0], [900, 0], [900, 300], [600, 300], [600, 100], '
        "[300, 100], [300, 300], [0, 300]], "
        'notches = [{ edge = "top", width = 50, depth = 20 }]'
    ),
    "SHP-150": TABLE.format(rows="keel height | 1 | 2 | 3 | 4").replace("| 600 |", "| - |"),
    "SHP-151": shape(f'{FRAME}, top = 300, curve = "batten"'),
    "SHP-152": shape(f"{FRAME}, top = 3000"),
    "JOB-203": shape(f"{BULKHEAD}, limber = 20"),
}
"""What is added to a sound job."""


@pytest.mark.parametrize("code", FAULTS)
def test_each_fault_is_raised_and_told(code: str) -> None:
    found = nestcut.check_job(HEAD + FAULTS[code], drawings={}).findings

    raised = [f for f in found if code in said(f)]
    assert raised, [(f.code, f.where, tell(f, Speech())) for f in found]
    for finding in raised:
        assert tell(finding, Speech()).message.strip()
        assert tell(finding, Speech()).remedy.strip()


def test_the_job_without_them_is_sound() -> None:
    assert nestcut.check_job(HEAD, drawings={}).is_usable
