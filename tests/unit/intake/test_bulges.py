"""Where a bent bottom stands off frames that are drawn straight, check says so, with the gap."""

from __future__ import annotations

import re

import nestcut
from nestcut.words import speech_of, tell

JOB = """
[job]
show = "inch"
[saw]
kerf = "1/8in"
[[sheet]]
name = "3/8 ply"
thickness = "3/8in"
length = "14ft"
width = "4ft"
[offsets]
to = "outside"
planking = "3/8in"
table = '''
station       | 0      | 1      | 2     | 3     | 4     | 5
at            | 0-7-0  | 2-0-0  | 4-0-0 | 6-0-0 | 8-0-0 | 10-0-0
heights
chine         | 0-11-4 | 0-8-6  | 0-6-2 | 0-5-0 | 0-4-7 | 0-5-4
keel          | 0-6-4  | 0-3-7  | 0-1-0 | 0-0-0 | 0-0-2 | 0-1-2
half-breadths
chine         | 0-0-6  | {second} | 1-2-3 | 1-7-0 | 1-9-3 | 1-9-4
keel          | 0-0-0  | 0-0-0  | 0-0-0 | 0-0-0 | 0-0-0 | 0-0-0
'''
[[part]]
name = "bottom"
thickness = "3/8in"
hand = "pair"
shape = {{ kind = "developed", lower = "keel", upper = "chine" }}
"""


def told(text: str) -> list[str]:
    job = nestcut.read_job(text, drawings={})
    found = [f for f in job.findings if f.code == "SHP-167"]
    return [tell(f, speech_of(job)).message for f in found]


def test_a_full_bow_bulges_off_its_frames() -> None:
    """Worst first, in the job's fractions; a frame is straight between keel and chine."""
    (said,) = told(JOB.format(second="0-7-1"))
    places = re.findall(r'(\S+") at station (\d)', said)
    assert places[0][1] == "1"
    assert len(places) >= 2
    assert "A frame drawn straight from the same lines leaves that gap." in said


def test_a_panel_between_parallel_lines_says_nothing() -> None:
    flat = JOB.format(second="0-7-1")
    for line in ("chine", "keel"):
        flat = re.sub(rf"({line} +\|)[^\n]*(?=\n(?:keel|half))", r"\1" + " 0-6-0 |" * 6, flat)
    assert told(flat) == []
