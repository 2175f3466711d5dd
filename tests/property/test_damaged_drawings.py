"""Damaged drawings: never a crash, never a hang, never a change in silence.

More of them, 20,000 and more of the small ones in some two minutes of processor time: ``-m deep``.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

import pytest

from tests.damage_drawings import Reading, damaged, objection, reading_of
from tests.small_drawings import SMALL
from tests.unit.drawings.boats import BOATS

FEW, FEW_SMALL = 6, 40
"""Damaged copies of each boat, and of each small drawing, in a usual run. [-]"""

MANY = 2300
"""Damaged copies of each small drawing in a deep run; NESTCUT_DAMAGED takes another number. [-]"""

LONGEST_S = 10.0
"""Processor time after which reading counts as hanging. [s]"""


@contextmanager
def watched() -> Iterator[None]:
    """End what takes too much processor time, whatever the machine does beside it."""

    def end(_signal: int, _frame: FrameType | None) -> None:
        raise TimeoutError(f"more than {LONGEST_S:g} s of processor time")

    before = signal.signal(signal.SIGPROF, end)
    signal.setitimer(signal.ITIMER_PROF, LONGEST_S)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.signal(signal.SIGPROF, before)


def objections(content: bytes, path: Path, seeds: range) -> list[str]:
    path.write_bytes(content)
    base = reading_of(path)
    assert base.outlines
    return [f"seed {s}: {said}" for s in seeds if (said := _objection(content, path, base, s))]


def _objection(content: bytes, path: Path, base: Reading, seed: int) -> str:
    made = damaged(content, path.suffix, seed)
    path.write_bytes(made.content)
    try:
        with watched():
            return objection(base, made, reading_of(path))
    except TimeoutError as error:
        return f"{made.words}: {error}"


def boat(name: str, folder: Path) -> tuple[bytes, Path]:
    draw, file, _ = BOATS[name]
    path = folder / file
    draw(path)
    return path.read_bytes(), path


@pytest.mark.parametrize("name", BOATS)
def test_damaged_boats_are_read_or_refused(name: str, tmp_path: Path) -> None:
    assert not objections(*boat(name, tmp_path), range(FEW))


@pytest.mark.parametrize("name", SMALL)
def test_damaged_drawings_are_read_or_refused(name: str, tmp_path: Path) -> None:
    suffix, content = SMALL[name]
    assert not objections(content, tmp_path / f"small{suffix}", range(FEW_SMALL))


@pytest.mark.deep
@pytest.mark.parametrize("name", SMALL)
def test_many_damaged_drawings_are_read_or_refused(name: str, tmp_path: Path) -> None:
    many = int(os.environ.get("NESTCUT_DAMAGED", str(MANY)))
    suffix, content = SMALL[name]
    assert not objections(content, tmp_path / f"small{suffix}", range(1000, 1000 + many))


@pytest.mark.deep
@pytest.mark.parametrize("name", BOATS)
def test_more_damaged_boats_are_read_or_refused(name: str, tmp_path: Path) -> None:
    assert not objections(*boat(name, tmp_path), range(1000, 1100))


def test_what_neutral_means_can_be_broken(tmp_path: Path) -> None:
    """A damaged copy that lost an entity isn't taken for the drawing itself."""
    draw, file, _ = BOATS["tender"]
    path = tmp_path / file
    draw(path)
    base = reading_of(path)
    text = path.read_text(encoding="utf-8").replace('<circle cx="4250" cy="200" r="25"/>', "")
    path.write_text(text, encoding="utf-8")
    assert reading_of(path) != base
