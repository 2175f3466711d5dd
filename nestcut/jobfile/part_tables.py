"""``[[part]]`` and ``[[rail]]`` tables to records."""

from __future__ import annotations

from collections.abc import Sequence

from nestcut.errors import Severity
from nestcut.facts import Length, Names, Size
from nestcut.jobfile.bevel_tables import read_bevels
from nestcut.jobfile.choices import Halves, RailJoints
from nestcut.jobfile.joint_tables import apart_from_the_twin, places_are_open, read_joint
from nestcut.jobfile.records import DrawnSource, NumberSource, OutlineBy, PartText
from nestcut.jobfile.tables import Missing, Table
from nestcut.joints.kinds import KINDS
from nestcut.model.joint import JointRule
from nestcut.model.part import (
    Bearings,
    CutFrom,
    Faces,
    Grain,
    Hand,
    Hands,
    HoleUse,
    Outside,
    RailPart,
    Timing,
    Towards,
    Turning,
)
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.trade.boards import MOST_PLANED_MM
from nestcut.trade.joints import SLOPE_PLYWOOD, SLOPE_SOLID

_DEFAULT_TURNING = {
    Grain.ALONG: Turning.HALF,
    Grain.ACROSS: Turning.HALF,
    Grain.ANY: Turning.QUARTER,
}


def read_part(
    table: Table, assumed: list[str], usual_mm: float | Missing = Missing.IS_A_FAULT
) -> PartText | None:
    """Read one ``[[part]]``; None if it has a fault. ``usual_mm`` is the thickness unless said.

    Parameters
    ----------
    assumed
        Takes sentences about what was assumed.
    usual_mm
        The thickness unless said. [mm]
    """
    name = table.text("name")
    source = _read_source(table)
    grain = table.choice("grain", Grain)
    if not table.has("grain") and table.is_sound:
        assumed.append(f"{name}: face grain along the drawing's x axis (no grain rule given)")
    turning = table.choice("turn", Turning, _DEFAULT_TURNING[grain])
    if grain is not Grain.ANY and turning in {Turning.QUARTER, Turning.FREE}:
        table.fault(
            "turn",
            "JOB-012",
            "JOB-271",
            turn=str(turning),
            grain=str(grain),
        )
    cut_from = table.choice("from", CutFrom)
    slope = (SLOPE_SOLID if cut_from is CutFrom.BOARD else SLOPE_PLYWOOD).value
    joint_table = table.table("joint")
    thickness = table.positive("thickness", usual_mm)
    joint = read_joint(joint_table, slope, thickness)
    if joint_table is not None:
        table.is_sound = table.is_sound and joint is not None
        if _is_slope_assumed(joint, joint_table):
            assumed.append(f"{name}: joint slope {slope:g}:1 (none given)")
    hands = table.choice("hand", Hands)
    is_band = table.has("band_width")
    _tell_abreast(joint_table, hands)
    if joint is not None and cut_from is CutFrom.SHEET and not is_band:
        joint = apart_from_the_twin(joint, thickness, hands)
    bevels, edge_bevels = read_bevels(table)
    part = PartText(
        path=table.path,
        file=table.book.file,
        name=name,
        source=source or NumberSource(table=table),
        material=table.text("material"),
        thickness_mm=thickness,
        count=table.count("count"),
        hands=hands,
        drawn=table.choice("drawn", Hand),
        is_hand_written=table.has("drawn"),
        joint_places=joint_table
        if joint_table is not None and places_are_open(joint_table)
        else None,
        layers=table.count("layers"),
        is_axis_written=joint_table is not None and joint_table.has("along"),
        grain=grain,
        turning=turning,
        small_angle_deg=table.number("small_angle", low=0.0, high=45.0),
        faces=table.choice("faces", Faces),
        hole_use=table.choice("holes", HoleUse),
        allowance_mm=table.length("allowance"),
        timing=table.choice("cut", Timing),
        cut_from=cut_from,
        joint=joint,
        width_along_mm=table.positive("band_width") if is_band else None,
        bevels=bevels,
        edge_bevels=edge_bevels,
        note=table.text("note"),
        forward_note=table.text("forward_note"),
        after_note=table.text("after_note"),
        bearings=_read_bearings(table),
        stands_forward=table.texts("stands_forward"),
        stands_aft=table.texts("stands_aft"),
    )
    table.close()
    return part if table.is_sound and source is not None else None


def _read_bearings(table: Table) -> Bearings:
    """Read which way a part stands in the boat, as far as it is written."""
    forward, up = table.choice("forward", Towards), table.choice("up", Towards)
    across = (
        {Towards.LEFT, Towards.RIGHT},
        {Towards.TOP, Towards.BOTTOM},
        {Towards.GOOD, Towards.BACK},
    )
    if forward is not Towards.UNSAID and any({forward, up} <= pair for pair in across):
        table.fault(
            "up",
            "JOB-011",
            "JOB-261",
            up=str(up),
            forward=str(forward),
        )
    return Bearings(forward=forward, up=up, outside=table.choice("outside", Outside))


def _is_slope_assumed(joint: JointRule | None, table: Table) -> bool:
    """Whether a slope counts and nobody gave it; straps and keys have none."""
    return joint is not None and KINDS[joint.kind].laps and not table.has("slope")


def _read_source(table: Table) -> DrawnSource | NumberSource | None:
    shape = table.table("shape")
    pointers = [by for by in OutlineBy if by is not OutlineBy.ONLY and table.has(by.value)]
    file = table.text("drawing")
    halves = table.choice("drawn_half", Halves)
    said = halves if table.has("drawn_half") else None
    holes = _read_holes(table)
    if shape is not None:
        if file or pointers:
            table.fault(
                "shape",
                "JOB-011",
                "JOB-262",
            )
        return NumberSource(table=shape, halves=halves)
    if not file:
        table.fault(
            "drawing",
            "JOB-011",
            "JOB-263",
        )
        return None
    if len(pointers) > 1:
        names = Names(tuple(p.value for p in pointers))
        table.fault(pointers[1].value, "JOB-011", "JOB-264", names=names)
        return None
    if not pointers:
        return DrawnSource(file=file, by=OutlineBy.ONLY, halves=said, doubtful_holes=holes)
    by = pointers[0]
    return DrawnSource(file=file, by=by, name=table.text(by.value), halves=said,
                       doubtful_holes=holes)  # fmt: skip


def _read_holes(table: Table) -> tuple[str, ...]:
    """What becomes of doubtful holes; empty where it isn't said or not answered yet."""
    key = "doubtful_holes"
    value = table.value(key)
    if value is None or table.is_unanswered(key, value, _HOLES):
        return ()
    return table.texts(key)


_HOLES = '"cut", "leave", or a list of those to cut such as ["3a"]'


def _tell_abreast(joint: Table | None, hands: Hands) -> None:
    """Tell where both hands get the same given places, and nobody said that they are to."""
    if joint is None or hands is not Hands.PAIR or not joint.has("at"):
        return
    if not (joint.has("stagger") or joint.has("stagger_frames")):
        joint.book.tell("JOB-108", joint.where("at"), Severity.WARNING)


def read_rail(table: Table, assumed: list[str]) -> RailPart | None:
    """Read one ``[[rail]]``; None if it has a fault."""
    name = table.text("name")
    section = table.lengths("section")
    if len(section) != 2 or min(section) <= 0:
        table.fault(
            "section",
            "JOB-005",
            "JOB-224",
        )
        section = (1.0, 1.0)
    angles = table.value("end_angles")
    joint_table = table.table("joint")
    joint = read_joint(joint_table, SLOPE_SOLID.value, min(section))
    is_whole = table.choice("joints", RailJoints) is RailJoints.NONE
    if joint_table is None:
        joint = JointRule(slope=SLOPE_SOLID.value)
    if joint_table is None and not is_whole:
        assumed.append(
            f"{name}: may be scarfed at {SLOPE_SOLID.value:g}:1 where boards are too short"
        )
    if joint_table is not None and _is_slope_assumed(joint, joint_table):
        assumed.append(f"{name}: joint slope {SLOPE_SOLID.value:g}:1 (none given)")
    table.is_sound = table.is_sound and joint is not None
    hands = table.choice("hand", Hands)
    if joint is not None:
        joint = apart_from_the_twin(joint, section[0], hands)
    _tell_abreast(joint_table, hands)
    planed_from = _read_planed_from(table, section)
    rail = RailPart(
        name=name,
        material=table.text("material"),
        thickness_mm=section[0],
        width_mm=section[1],
        length_mm=_read_rail_length(table),
        count=table.count("count"),
        hands=hands,
        joint=None if is_whole else joint,
        allowance_mm=table.length("allowance"),
        end_angles_deg=_read_angles(table, angles),
        note=table.text("note"),
        planed_from_mm=planed_from,
    )
    table.close()
    return rail if table.is_sound else None


def _read_planed_from(table: Table, section: Sequence[float]) -> float | None:
    """Thickness of the board that a rail is planed down from; None: none is said. [mm]"""
    if not table.has("planed_from"):
        return None
    board = table.positive("planed_from")
    below = [s for s in section if s < board - SAME_LENGTH_MM]
    off = board - max(below) if below else 0.0
    if table.is_sound and not 0.0 < off <= MOST_PLANED_MM.value:
        most = Length(MOST_PLANED_MM.value)
        table.told("planed_from", "JOB-110", board=Length(board), section=Size(tuple(section)),
                   most=most)  # fmt: skip
    return board


def _read_rail_length(table: Table) -> float:
    """Length as written; a stand-in where it's taken along a named line. [mm]"""
    if not table.has("along"):
        return table.positive("length")
    if table.has("length"):
        table.fault("length", "JOB-011", "JOB-265")
    return 1.0


def _read_angles(table: Table, value: object) -> tuple[float, float]:
    if value is None:
        return (90.0, 90.0)
    try:
        first, second = (float(v) for v in value)  # type: ignore[attr-defined]
    except (TypeError, ValueError):
        table.fault("end_angles", "JOB-005", "JOB-225")
        return (90.0, 90.0)
    if not (10 <= first <= 170 and 10 <= second <= 170):
        table.fault("end_angles", "JOB-007", "JOB-243")
    return (first, second)
