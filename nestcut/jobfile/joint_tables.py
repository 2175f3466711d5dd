"""``joint`` tables of parts and rails to joint rules."""

from __future__ import annotations

from itertools import pairwise

from nestcut.jobfile.asked import repr_toml
from nestcut.jobfile.tables import Table
from nestcut.joints.arithmetic import plank_stagger_mm
from nestcut.model.joint import Face, JointAxis, JointKind, JointRule, KeepClear, LapFacing

PLY_SLOPE = 8.0
"""Default scarf slope in plywood: 1 in 8 is typical (Wood Handbook FPL-GTR-190, ch. 10)."""
SOLID_SLOPE = 12.0
"""Default scarf slope in solid wood: 1 in 12 or flatter is strongest (same page)."""


def read_joint(table: Table | None, default_slope: float) -> JointRule | None:
    """Read a ``joint`` table; None where absent or faulty."""
    if table is None:
        return None
    at = table.lengths("at") if table.has("at") else None
    rule = JointRule(
        kind=table.choice("kind", JointKind, JointKind.SCARF),
        slope=table.slope("slope", default_slope),
        axis=table.choice("along", JointAxis, JointAxis.LENGTH),
        at_mm=at,
        keep_clear=tuple(_read_keep_clear(t) for t in table.tables("keep_clear")),
        min_piece_mm=table.length("least_piece", 0.0),
        max_joints=table.count("most_joints", least=0) if table.has("most_joints") else None,
        stagger_mm=_read_stagger(table),
        stagger_with=table.texts("stagger_with"),
        lap_facing=table.choice("lap", LapFacing, LapFacing.EITHER),
        strap_width_thicknesses=table.number("strap_width", 16.0, 4.0, 60.0),
        strap_face=table.choice("strap_face", Face, Face.BACK),
        strap_margin_mm=table.length("strap_margin", 10.0),
        run_out=table.slope("run_out", 10.0),
        key_bit_mm=table.positive("bit", 6.0),
        key_clearance_mm=table.length("key_clearance", 0.1),
    )
    table.close()
    if at is not None and any(b <= a for a, b in pairwise(at)):
        table.fault(
            "at",
            "JOB-015",
            f"joint positions {repr_toml(table.value('at'))} don't rise.",
            "List them from the reference end, each further than the one before.",
        )
    return rule if table.is_sound else None


def _read_stagger(table: Table) -> float:
    """Read a distance, or a number of frame spaces; without their size it is 5 ft. [mm]"""
    if not table.has("stagger_frames"):
        return table.length("stagger", 0.0)
    if table.has("stagger"):
        table.fault(
            "stagger_frames",
            "JOB-015",
            "the stagger is given twice, as a length and in frame spaces.",
            "Keep one of stagger and stagger_frames.",
        )
        table.length("stagger")
    space = table.positive("frame_space") if table.has("frame_space") else None
    return plank_stagger_mm(table.count("stagger_frames", 0), space)


def _read_keep_clear(table: Table) -> KeepClear:
    if table.has("at"):
        middle, half = table.length("at"), table.length("within", 50.0)
        start, end = middle - half, middle + half
    else:
        start, end = table.length("from"), table.length("to")
    why = table.text("why", "keep clear")
    table.close()
    return KeepClear(from_mm=min(start, end), to_mm=max(start, end), reason=why)
