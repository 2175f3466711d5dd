"""Slips inside braces and lists: the word that is wrong is mended, not the whole line quoted."""

from __future__ import annotations

import pytest

from nestcut.words import Speech, tell
from tests.unit.jobfile.test_read import GOOD, read

PLAIN = 'shape = { kind = "rectangle", length = "35 1/2 in", width = "10in" }'
PART = f'\n[[part]]\nname = "seat"\nthickness = "6 mm"\n{PLAIN}\n'


@pytest.mark.parametrize(
    ("code", "slip", "mended"),
    [
        ("JOB-042", '"35-1/2""', "'35-1/2\"'"),
        ("JOB-042", '"2\'-11-1/2""', "'''2'-11-1/2\"'''"),
        ("JOB-040", "902 mm", '"902 mm"'),
        ("JOB-040", '35-1/2"', "'35-1/2\"'"),
        ("JOB-041", "“902 mm”", '"902 mm"'),
    ],
)
def test_a_slip_in_braces_is_told_once_with_the_line_as_it_would_be_right(
    code: str, slip: str, mended: str
) -> None:
    """Nothing follows from it, and the line that is advised is one that can be read."""
    [told] = read(GOOD + PART.replace('"35 1/2 in"', slip)).findings
    right = PLAIN.replace('"35 1/2 in"', mended)
    assert (told.code, told.line) == (code, len(GOOD.splitlines()) + 5)
    assert tell(told, Speech()).remedy.endswith(right)
    assert read(GOOD + PART.replace(PLAIN, right)).findings == []


def test_an_inch_mark_in_a_list_is_told_so_too() -> None:
    text = GOOD + '\n[[rail]]\nname = "chine"\nlength = "4 m"\nsection = ["3/4"", "45 mm"]\n'
    told = next(f for f in read(text).findings if f.line)
    assert (told.code, tell(told, Speech()).remedy.rpartition(": ")[2]) == (
        "JOB-042",
        'section = [\'3/4"\', "45 mm"]',
    )


def test_braces_that_nobody_can_mend_say_how_they_are_written() -> None:
    [told] = read(GOOD + PART.replace(', width = "10in"', ' width = "10in"')).findings
    assert told.code == "JOB-115"
    assert "comma" in tell(told, Speech()).remedy
