"""Job files as other text programs save them: told in their words, or read."""

from __future__ import annotations

import pytest

from nestcut.jobfile.read import parse_job_text
from nestcut.words import Speech, tell
from tests.unit.jobfile.test_read import GOOD


@pytest.mark.parametrize("code", ["utf-16", "utf-16-le", "utf-16-be"])
def test_a_job_in_utf_16_is_to_be_saved_otherwise(code: str) -> None:
    """It is a text file, and the builder's own job: no advice to begin another one."""
    [told] = parse_job_text(GOOD.encode(code), "job.toml").findings
    said = tell(told, Speech())
    assert told.code == "JOB-116"
    assert ("UTF-16" in said.message, "UTF-8" in said.remedy) == (True, True)


def test_what_is_no_text_is_told_as_before() -> None:
    assert (
        parse_job_text(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "job.toml").findings[0].code == "JOB-052"
    )


def test_letters_of_another_code_are_told_by_line_and_word() -> None:
    [told] = parse_job_text(GOOD.encode() + b"# one\n# a caf\xe9 seat\n", "job.toml").findings
    said = tell(told, Speech())
    assert told.code == "JOB-053"
    assert f"line {len(GOOD.splitlines()) + 2}" in said.message
    assert "caf" in said.message
    assert "UTF-8" in said.remedy


@pytest.mark.parametrize("end", ["\r", "\r\n"])
def test_line_ends_of_any_kind_are_read(end: str) -> None:
    """Findings stand on the same lines."""
    right = parse_job_text(GOOD.replace("\n", end).encode(), "job.toml")
    plain = parse_job_text(GOOD.encode(), "job.toml")
    assert right.findings == []
    assert (right.parts, right.sheets, right.lines) == (plain.parts, plain.sheets, plain.lines)
    wrong = GOOD.replace('name = "frame"', "name = ").replace("\n", end)
    [told] = parse_job_text(wrong.encode(), "job.toml").findings
    assert told.line == GOOD.splitlines().index('name = "frame"') + 1
