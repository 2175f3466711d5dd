"""A job planned otherwise than its file asks: another saw, more joints in a part."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nestcut.model.job import Job
from nestcut.model.joint import JointRule


@dataclass(frozen=True, slots=True, kw_only=True)
class MostJoints:
    """So many joints at most in each copy of a part or rail."""

    part: str
    most: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Otherwise:
    """What a plan takes otherwise than its job file says; it goes into plan.json with the plan.

    Parameters
    ----------
    kerf_mm
        What the usual saw takes; None: as the job says. [mm]
    joints
        Parts that may get another number of joints.
    """

    kerf_mm: float | None = None
    joints: tuple[MostJoints, ...] = ()

    @property
    def is_nothing(self) -> bool:
        """Whether the job is planned as it is."""
        return self == AS_ASKED


AS_ASKED = Otherwise()
"""The job as its file has it."""


def with_otherwise(job: Job, otherwise: Otherwise) -> Job:
    """Return the job as it is planned."""
    if otherwise.kerf_mm is not None:
        job = replace(job, cutting=replace(job.cutting, kerf_mm=otherwise.kerf_mm))
    most = {j.part: j.most for j in otherwise.joints}
    if not most:
        return job
    return replace(
        job,
        sheet_parts=tuple(
            replace(p, joint=_ruled(p.joint, most.get(p.name))) for p in job.sheet_parts
        ),
        rail_parts=tuple(
            replace(r, joint=_ruled(r.joint, most.get(r.name))) for r in job.rail_parts
        ),
    )


def _ruled(rule: JointRule | None, most: int | None) -> JointRule | None:
    return rule if rule is None or most is None else replace(rule, max_joints=most)
