"""A sheet to buy that stands in the job twice: told by ``check``, no plan is the worse for it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.model.stock import SheetGrain
from nestcut.planning.fit import find_oversize
from nestcut.words import speech_of, tell
from tests.builders import a_job, a_part


@pytest.mark.parametrize(
    ("changes", "n"),
    [
        ({}, 1),
        ({"price_minor": 1}, 0),
        ({"count": 2}, 0),
        ({"grain": SheetGrain.ALONG_WIDTH}, 0),
        ({"length_mm": 3050.0}, 0),
    ],
)
def test_the_same_sheet_to_buy_twice_is_told(changes: dict[str, object], n: int) -> None:
    """As 'ply' (as thick as the job says) and as '6 mm ply'."""
    job = a_job(sheet_parts=(a_part(),), rail_parts=())
    first = replace(job.sheet_stocks[0], name="ply", count=None)
    second = replace(first, name="6 mm ply", **changes)  # type: ignore[arg-type]
    job = replace(job, sheet_stocks=(first, second))
    told = [f for f in find_oversize(job) if f.code == "JOB-118"]
    assert [(f.where, f.is_blocking) for f in told] == [("6 mm ply", False)] * n
    assert all("same sheet as 'ply'" in tell(f, speech_of(job)).message for f in told)


def test_two_heaps_to_hand_may_be_alike() -> None:
    job = a_job(sheet_parts=(a_part(),), rail_parts=())
    first = replace(job.sheet_stocks[0], name="heap", count=2)
    job = replace(job, sheet_stocks=(first, replace(first, name="other heap")))
    assert find_oversize(job) == ()
