"""Rails that no board can give are told by ``check``, before a search leaves them out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.model.job import Job
from nestcut.model.joint import JointRule
from nestcut.model.stock import BoardLength, Defect
from nestcut.planning.fit import find_oversize
from nestcut.words import speech_of, tell
from tests.builders import SPRUCE, a_job


def a_rail(**changes: object) -> Job:
    """A rail of 20 x 45 mm, 2300 mm long, of boards of 2400 mm, that may not be joined."""
    job = a_job(sheet_parts=())
    plain = {"length_mm": 2300.0, "joint": None, **changes}
    return replace(job, rail_parts=(replace(job.rail_parts[0], **plain),))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"length_mm": 2500.0}, "2500 mm long; the longest clear stretch of a board is 2400 mm"),
        ({"allowance_mm": 60.0}, "2420 mm long"),
        ({"width_mm": 120.0}, "no spruce board is 20 mm or 120 mm thick and wide enough"),
        ({"width_mm": 120.0, "joint": JointRule()}, "no spruce board is 20 mm or 120 mm thick"),
        ({"length_mm": 4900.0, "joint": JointRule(at_mm=(2000.0,))}, "2980 mm long"),
    ],
)
def test_a_rail_that_no_board_gives_is_told_with_its_reason(
    changes: dict[str, object], said: str
) -> None:
    job = a_rail(**changes)
    (told,) = find_oversize(job)
    assert (told.code, told.where, told.is_blocking) == ("BRD-001", "rail", True)
    assert said in tell(told, speech_of(job)).message


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"length_mm": 2400.0},
        {"width_mm": 95.0},
        {"length_mm": 4900.0, "joint": JointRule()},
        {"length_mm": 4000.0, "joint": JointRule(at_mm=(2000.0,))},
        {"thickness_mm": 18.0, "width_mm": 20.0},
        {"material": "larch", "length_mm": 9000.0},
    ],
)
def test_a_rail_that_some_board_gives_is_not(changes: dict[str, object]) -> None:
    assert find_oversize(a_rail(**changes)) == ()


def test_defects_and_boards_that_are_used_up_count() -> None:
    knot = BoardLength(
        length_mm=3000.0, count=1, defects=(Defect(from_mm=1000.0, to_mm=1050.0, reason="knot"),)
    )
    gone = BoardLength(length_mm=4000.0, count=0)
    job = replace(a_rail(), board_stocks=(replace(SPRUCE, lengths=(knot, gone)),))
    (told,) = find_oversize(job)
    assert "stretch of a board is 1950 mm" in tell(told, speech_of(job)).message
