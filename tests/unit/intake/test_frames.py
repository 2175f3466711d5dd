"""Joints that nestcut chooses keep clear of frames marked across a panel, unless told not to."""

from __future__ import annotations

import pytest

import nestcut
from nestcut.model.joint import KeepClear

JOB = """
[job]
name = "frames"
unit = "mm"
[saw]
kerf = 3
[[sheet]]
name = "ply"
thickness = 6
length = 1500
width = 600
price = 40
[[part]]
name = "side"
thickness = 6
turn = "half"
joint = {{ slope = "8:1"{joint} }}
[part.shape]
kind = "panel"
stations = [0, 400, 800, 1200, 1600, 2000]
lower = [0, 0, 0, 0, 0, 0]
upper = [300, 320, 340, 340, 320, 300]
mark_at = [{marks}]
mark_names = [{names}]
"""


def job_with(joint: str, marks: str = "600, 1400", names: str = '"frame 1"') -> nestcut.Job:
    return nestcut.read_job(JOB.format(joint=joint, marks=marks, names=names), drawings={})


def zones(job: nestcut.Job) -> list[KeepClear]:
    rule = job.sheet_parts[0].joint
    assert rule is not None
    return list(rule.keep_clear)


FRAMES = [
    KeepClear(from_mm=550.0, to_mm=650.0, reason="frame 1"),
    KeepClear(from_mm=1350.0, to_mm=1450.0, reason="line across the part"),
]


def test_frames_are_kept_clear_besides_what_the_job_says() -> None:
    mast = KeepClear(from_mm=900.0, to_mm=1000.0, reason="mast")
    own = ', keep_clear = [{ from = 900, to = 1000, why = "mast" }]'
    assert zones(job_with(own)) == [mast, *FRAMES]


def test_lines_without_a_name_are_told_apart() -> None:
    own = ', keep_clear = [{ from = 0, to = 10, why = "bow" }]'
    named = [z.reason for z in zones(job_with(own, "600, 1000, 1400", '"", "mast"'))]
    assert named == ["bow", "line 1 of 2 across the part", "mast", "line 2 of 2 across the part"]


@pytest.mark.parametrize("joint", [', keep_clear = "none"', ", keep_clear = []", ", at = [600]"])
def test_nothing_is_kept_clear_where_the_job_says_none_or_gives_the_places(joint: str) -> None:
    assert zones(job_with(joint)) == []


def test_a_joint_is_put_beside_the_frame_and_held_to_it() -> None:
    """Without the frame's line the joint lies in its stretch, by the length of the sheet."""
    own = ", most_joints = 1, keep_clear = [{ from = 0, to = 500 }, { from = 790, to = 2000 }]"
    budget = nestcut.Budget(effort="quick", seconds=0.0)
    plan = nestcut.plan_job(job_with(own, "700", '"frame 2"'), budget).plan
    (joint,) = plan.joints
    assert all(
        joint.at_mm + joint.overlap_mm / 2.0 <= z.from_mm + 1e-6
        or joint.at_mm - joint.overlap_mm / 2.0 >= z.to_mm - 1e-6
        for z in zones(job_with(own, "700", '"frame 2"'))
    )
    assert "frame 2" in {s.what for s in joint.standings}
