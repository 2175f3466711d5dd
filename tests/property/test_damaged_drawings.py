"""Damaged drawings: never a crash, never a change in silence.  More of them: ``-m deep``."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.damage_drawings import damaged, objection, reading_of
from tests.unit.drawings.boats import BOATS

FEW = 12
"""Damaged copies of each boat in a usual run. [-]"""


def objections(name: str, folder: Path, seeds: range) -> list[str]:
    draw, file, _ = BOATS[name]
    path = folder / file
    draw(path)
    content, base = path.read_bytes(), reading_of(path)
    assert base.outlines
    told = []
    for seed in seeds:
        made = damaged(content, path.suffix, seed)
        path.write_bytes(made.content)
        fault = objection(base, made, reading_of(path))
        if fault:
            told.append(f"seed {seed}: {fault}")
    return told


@pytest.mark.parametrize("name", BOATS)
def test_damaged_drawings_are_read_or_refused(name: str, tmp_path: Path) -> None:
    assert not objections(name, tmp_path, range(FEW))


@pytest.mark.deep
@pytest.mark.parametrize("name", BOATS)
def test_many_damaged_drawings_are_read_or_refused(name: str, tmp_path: Path) -> None:
    """20,000 in all by default; NESTCUT_DAMAGED takes another number of each boat."""
    many = int(os.environ.get("NESTCUT_DAMAGED", "3334"))
    assert not objections(name, tmp_path, range(1000, 1000 + many))


def test_what_neutral_means_can_be_broken(tmp_path: Path) -> None:
    """A damaged copy that lost an entity isn't taken for the drawing itself."""
    draw, file, _ = BOATS["tender"]
    path = tmp_path / file
    draw(path)
    base = reading_of(path)
    text = path.read_text(encoding="utf-8").replace('<circle cx="4250" cy="200" r="25"/>', "")
    path.write_text(text, encoding="utf-8")
    assert reading_of(path) != base
