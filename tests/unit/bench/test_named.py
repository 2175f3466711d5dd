"""Files and boats that can't be taken by their name: why, and what to do."""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.unit.bench.asking import post

CHARACTERS = (
    "begin with a letter or a figure, and use no others than letters, figures, spaces and . ( ) + -"
)


@pytest.mark.parametrize(
    ("name", "fault"),
    [
        (
            "holiday.jpg",
            "'holiday.jpg' is no drawing: save or export it as DXF or SVG, and choose that file.",
        ),
        (
            "readme",
            "'readme' is no drawing: save or export it as DXF or SVG, and choose that file.",
        ),
        ("pl@n.dxf", f"'pl@n.dxf' can't be kept under this name: {CHARACTERS}."),
        (
            "p" * 300 + ".dxf",
            f"'{'p' * 40}...' can't be kept under this name: it is longer than 100 characters.",
        ),
    ],
)
def test_a_file_that_is_not_taken_is_told_with_the_reason(
    page: TestClient, folder: Path, name: str, fault: str
) -> None:
    answer = page.post("/upload", params={"name": name}, content=b"x")
    assert (answer.status_code, answer.json()["fault"]) == (422, fault)
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize(
    ("name", "fault"),
    [
        ("", "The boat has no name yet: give it one."),
        ("a/b:*?", f"Give the boat another name: {CHARACTERS}."),
        ("b" * 96, "Give the boat a shorter name: it is longer than 95 characters."),
        (".boat", f"Give the boat another name: {CHARACTERS}."),
    ],
)
def test_a_boat_that_can_not_be_called_so_is_told_what_would_do(
    page: TestClient, folder: Path, name: str, fault: str
) -> None:
    answer = post(page, "begin", name=name, units="mm", drawings=[])
    assert (answer.status_code, answer.json()["fault"]) == (422, fault)
    assert list(folder.iterdir()) == []


def test_the_longest_name_does(page: TestClient, folder: Path) -> None:
    assert post(page, "begin", name="b" * 95, units="mm", drawings=[]).status_code == 200
    assert (folder / ("b" * 95 + ".toml")).is_file()
