"""``[[slats]]``, ``[[cleats]]`` and ``[[fillets]]``: rails that follow from parts."""

from __future__ import annotations

from shapely import affinity

from nestcut.facts import Length
from nestcut.geometry.polygons import to_polygon
from nestcut.model.curves import Point
from nestcut.model.joint import JointRule
from nestcut.model.part import Hands, RailPart
from nestcut.model.shape import Shape
from nestcut.shapes.build import build_shape
from nestcut.shapes.faults import FollowsError, ShapeFaultError
from nestcut.shapes.figures.derived import cleat_length_mm, edge_run, fillet_legs_mm
from nestcut.shapes.figures.notches import BoxSide
from nestcut.shapes.figures.slats import (
    Edges,
    Ends,
    Middle,
    Slat,
    SlatRule,
    lay_slats,
    stubs_of,
)
from nestcut.shapes.known import EntryParts, Known, Laid, note, warning
from nestcut.shapes.reader import ShapeReader
from nestcut.tolerances.lengths import SEEN_DEG
from nestcut.trade.joints import SLOPE_SOLID

_SAME_MM, _SAME_DEG = 0.1, SEEN_DEG
"""Slats that differ by less are one line of the list. [mm], [deg]"""


def read_slats(reader: ShapeReader, flatness_mm: float, known: Known) -> EntryParts:
    """Slats over the outline of a part: one rail for each length, with its end angles.

    Parameters
    ----------
    flatness_mm
        How far polygons may be from the true lines. [mm]
    known
        Shapes that were read before, one of which the slats may lie over.
    """
    name = reader.text("name")
    section = _section(reader)
    rule = SlatRule(
        width_mm=section[1],
        gap_mm=reader.length("gap"),
        direction_deg=reader.number("direction", low=-360.0, high=360.0),
        through_mm=reader.signed("through"),
        middle=_middle(reader),
        clearance_mm=reader.length("clearance"),
        ends=reader.choice("ends", Ends),
        edges=reader.choice("edges", Edges),
        least_mm=reader.length("least"),
    )
    material = reader.text("material")
    hands = reader.choice("hand", Hands)
    joint = _joint(reader)
    bare = _bare_outline(reader, flatness_mm, known)
    shape = known.shape(reader, "over") if bare is None else bare
    if not reader.is_sound:
        return EntryParts()
    outline = to_polygon(shape)
    slats = lay_slats(outline, rule)
    is_said = reader.has("edges") or reader.has("least")
    stubs = () if is_said else stubs_of(outline, rule, slats)
    ends = (warning("SHP-168", name, count=len(stubs)),) if stubs else ()
    groups = _alike(slats)
    rails = tuple(
        RailPart(
            name=f"{name} {number}",
            material=material,
            thickness_mm=section[0],
            width_mm=section[1],
            length_mm=max(s.length_mm for s in group),
            count=len(group),
            hands=hands,
            joint=joint,
            end_angles_deg=_to_hundredths(group[0].end_angles_deg),
            note=f"slat {', '.join(str(i) for i in numbers)} from below"
            + ("; trim to the outline in place" if group[0].is_trimmed else ""),
        )
        for number, (group, numbers) in enumerate(groups, start=1)
    )
    total = sum(r.length_mm * r.count for r in rails)
    count = sum(r.count for r in rails)
    return EntryParts(
        rail_parts=rails,
        laid=(
            Laid(
                name=name,
                over="" if bare is not None else reader.text("over"),
                outlines=_as_laid(slats, rule),
                bare=bare,
            ),
        ),
        findings=(note("SHP-022", name, count=count, length=Length(total)), *ends),
    )


def _bare_outline(reader: ShapeReader, flatness_mm: float, known: Known) -> Shape | None:
    """Outline that only carries slats and isn't cut itself; None where they lie over a part."""
    tables = reader.tables("shape")
    if not tables:
        return None
    if reader.has("over"):
        raise ShapeFaultError("over", "SHP-162")
    built = build_shape(tables[0], flatness_mm, known)
    if built is None:
        raise FollowsError
    return built.shape


def _as_laid(slats: tuple[Slat, ...], rule: SlatRule) -> tuple[tuple[Point, ...], ...]:
    """Outlines of slats turned back into the part's own frame."""
    turned = [affinity.rotate(s.polygon, rule.direction_deg, origin=(0.0, 0.0)) for s in slats]
    return tuple(tuple((float(x), float(y)) for x, y in p.exterior.coords[:-1]) for p in turned)


def _middle(reader: ShapeReader) -> Middle:
    """What lies on the line they are set out from: a slat, where only the line is named."""
    if reader.has("through") and not reader.has("middle"):
        return Middle.SLAT
    return reader.choice("middle", Middle)


def read_cleats(reader: ShapeReader, flatness_mm: float, known: Known) -> EntryParts:
    """Cleat along an edge of a part.

    Parameters
    ----------
    flatness_mm
        How far polylines may be from the true lines. [mm]
    known
        Shapes that were read before, one of which the cleat is of.
    """
    name, section = reader.text("name"), _section(reader)
    shape = known.shape(reader, "of")
    run = edge_run(shape, reader.choice("edge", BoxSide), flatness_mm)
    length = cleat_length_mm(run, reader.length("short"))
    return EntryParts(rail_parts=(_rail(reader, name, section, length),))


def read_fillets(reader: ShapeReader, flatness_mm: float, known: Known) -> EntryParts:
    """Three-sided blank along an edge of a part, to fill a corner with a cove of a radius.

    Parameters
    ----------
    flatness_mm
        How far polylines may be from the true lines. [mm]
    known
        Shapes that were read before, one of which the fillet is of.
    """
    name = reader.text("name")
    legs = fillet_legs_mm(reader.positive("radius"), reader.number("corner", low=10.0, high=170.0))
    shape = known.shape(reader, "of")
    run = edge_run(shape, reader.choice("edge", BoxSide), flatness_mm)
    length = cleat_length_mm(run, reader.length("short"))
    return EntryParts(rail_parts=(_rail(reader, name, (legs, legs), length),))


def _rail(
    reader: ShapeReader, name: str, section: tuple[float, float], length_mm: float
) -> RailPart:
    return RailPart(
        name=name,
        material=reader.text("material"),
        thickness_mm=section[0],
        width_mm=section[1],
        length_mm=length_mm,
        count=reader.count("count"),
        hands=reader.choice("hand", Hands),
        joint=_joint(reader),
        note=reader.text("note"),
    )


def _section(reader: ShapeReader) -> tuple[float, float]:
    section = reader.lengths("section")
    if len(section) != 2 or min(section) <= 0.0:
        raise ShapeFaultError("section", "SHP-142")
    return section[0], section[1]


def _joint(reader: ShapeReader) -> JointRule | None:
    """Rails are joined only where the entry allows it."""
    return JointRule(slope=SLOPE_SOLID.value) if reader.text("joints") == "allowed" else None


def _to_hundredths(angles: tuple[float, float]) -> tuple[float, float]:
    """Angles as a saw's scale could ever show them. [deg]"""
    return round(angles[0], 2), round(angles[1], 2)


def _alike(slats: tuple[Slat, ...]) -> list[tuple[list[Slat], list[int]]]:
    """Slats of one length and the same end angles, longest first, with their numbers."""
    groups: list[tuple[list[Slat], list[int]]] = []
    for number, slat in enumerate(slats, start=1):
        for group, numbers in groups:
            first = group[0]
            if (
                first.is_trimmed is slat.is_trimmed
                and abs(first.length_mm - slat.length_mm) <= _SAME_MM
                and all(
                    abs(a - b) <= _SAME_DEG
                    for a, b in zip(first.end_angles_deg, slat.end_angles_deg, strict=True)
                )
            ):
                group.append(slat)
                numbers.append(number)
                break
        else:
            groups.append(([slat], [number]))
    return sorted(groups, key=lambda g: (-g[0][0].length_mm, g[1]))
