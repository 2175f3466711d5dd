"""The program broken on purpose: the verifier refuses the plan, the second checker the papers.

Each fault is planted where pieces are made or laid out; for the second checker the verifier is
switched off, so that it stands alone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import nestcut
from nestcut.geometry import pose
from nestcut.joints import split
from nestcut.model.curves import Arc, Curve
from nestcut.model.job import Job
from nestcut.model.joint import Face
from nestcut.model.plan import Plan
from nestcut.model.pose import Pose
from nestcut.model.shape import Shape
from nestcut.planning import plan_job as planner
from nestcut.planning.sawn import together
from nestcut.verify import Verification
from tests.property.test_second_checker import JOB
from tests.second.judge import judge
from tests.second.run import write_files
from tests.small_drawings import write_knee

Patch = pytest.MonkeyPatch


def arcs_not_mirrored(patch: Patch) -> None:
    sound = pose.move_curve

    def faulty(curve: Curve, where: Pose) -> Curve:
        moved = sound(curve, where)
        if isinstance(curve, Arc) and isinstance(moved, Arc) and moved.sweep_deg != curve.sweep_deg:
            return replace(moved, sweep_deg=curve.sweep_deg)
        return moved

    patch.setattr(pose, "move_curve", faulty)


def hands_exchanged(patch: Patch) -> None:
    sound = split._is_image
    patch.setattr(split, "_is_image", lambda p, hand: hand is not None and not sound(p, hand))


def holes_lost(patch: Patch) -> None:
    sound = vars(split)["with_allowance"]

    def faulty(part: Any) -> Shape:
        shape: Shape = sound(part)
        return replace(shape, holes=())

    patch.setattr(split, "with_allowance", faulty)


def _other_cutting(patch: Patch, calls: tuple[str, ...], **changes: float) -> None:
    for name in calls:
        for room in (planner, together):
            sound = vars(room).get(name)
            if sound is None:
                continue

            def faulty(a: Any, b: Any, cutting: Any, *rest: Any, sound: Any = sound) -> Any:
                return sound(a, b, replace(cutting, **changes), *rest)

            patch.setattr(room, name, faulty)


def kerf_too_small_on_sheets(patch: Patch) -> None:
    _other_cutting(patch, ("lay_out_sheets", "lay_out_at_once"), kerf_mm=1.5)


def gap_forgotten(patch: Patch) -> None:
    _other_cutting(patch, ("lay_out_sheets", "lay_out_at_once"), gap_mm=0.0)


def kerf_too_small_on_boards(patch: Patch) -> None:
    _other_cutting(patch, ("cut_boards",), kerf_mm=1.0)


def joint_off_by_3_mm(patch: Patch) -> None:
    sound = vars(split)["divide"]
    patch.setattr(
        split, "divide", lambda part, rule, at: sound(part, rule, tuple(a + 3.0 for a in at))
    )


def joint_listed_off_by_3_mm(patch: Patch) -> None:
    sound = split._joints
    patch.setattr(
        split,
        "_joints",
        lambda *given: [replace(j, at_mm=j.at_mm + 3.0) for j in sound(*given)],
    )


def slopes_face_alike(patch: Patch) -> None:
    patch.setattr(split, "planed_faces", lambda rule: (Face.GOOD, Face.GOOD))


def a_cent_too_little(patch: Patch) -> None:
    sound = vars(planner)["with_purchases"]

    def faulty(job: Job, plan: Plan) -> Plan:
        bought: Plan = sound(job, plan)
        return replace(
            bought,
            buy=tuple(replace(b, price_minor=max(0, b.price_minor - 1)) for b in bought.buy),
        )

    patch.setattr(planner, "with_purchases", faulty)


def turned_by_half_a_degree(patch: Patch) -> None:
    sound = vars(planner)["lay_out_sheets"]

    def faulty(*given: Any) -> Any:
        outcome = sound(*given)
        return replace(
            outcome,
            layouts=tuple(
                replace(
                    x,
                    placements=tuple(
                        replace(p, turn_deg=p.turn_deg + 0.5 * (k == 0))
                        for k, p in enumerate(x.placements)
                    ),
                )
                for x in outcome.layouts
            ),
        )

    patch.setattr(planner, "lay_out_sheets", faulty)


FAULTS = [
    arcs_not_mirrored, hands_exchanged, holes_lost, kerf_too_small_on_sheets, gap_forgotten,
    kerf_too_small_on_boards, joint_off_by_3_mm, joint_listed_off_by_3_mm, slopes_face_alike,
    a_cent_too_little, turned_by_half_a_degree,
]  # fmt: skip


@pytest.fixture(scope="module")
def job_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("broken")
    write_knee(folder / "parts.dxf")
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    return folder / "job.toml"


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_of_the_program_is_seen_twice(
    fault: Callable[[Patch], None], job_file: Path, tmp_path: Path
) -> None:
    job = nestcut.read_job(job_file)
    with pytest.MonkeyPatch.context() as patch:
        fault(patch)
        with pytest.raises(nestcut.PlanRejectedError):
            nestcut.plan_job(job, nestcut.Budget(seconds=0.0))
        patch.setattr(
            planner, "verify_plan", lambda job, plan: Verification(findings=(), checks=())
        )
        faulty = nestcut.plan_job(job, nestcut.Budget(seconds=0.0))
    write_files(faulty, tmp_path)
    assert judge(job_file, tmp_path).objections != []
