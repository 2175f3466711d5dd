"""``[[frames]]``: frames at several stations, each a part of its own."""

from __future__ import annotations

from dataclasses import replace

from nestcut.model.part import SheetPart
from nestcut.shapes.assemble import assemble
from nestcut.shapes.faults import FollowsError
from nestcut.shapes.hull.section import Plane, section
from nestcut.shapes.known import EntryParts, Known
from nestcut.shapes.read.cutouts import cut_out
from nestcut.shapes.read.outlines import section_wish
from nestcut.shapes.reader import ShapeReader


def read_frames(reader: ShapeReader, flatness_mm: float, known: Known) -> EntryParts:
    """Frames at the stations listed under ``at``, alike in all else.

    Parameters
    ----------
    flatness_mm
        How far polygons may be from the true lines. [mm]
    known
        The hull's lines and stations, among what was read before.
    """
    name, thickness = reader.text("name"), reader.positive("thickness")
    material, note = reader.text("material"), reader.text("note")
    allowance = reader.length("allowance")
    places = known.places(reader, "at")
    if not reader.has("at"):
        reader.text("at")
    lines, wish = section_wish(reader, known)
    if not reader.is_sound:
        raise FollowsError
    parts, findings = [], []
    for told, x in places:
        drawn = section(lines, Plane(forward_mm=x), wish)
        cut = cut_out(reader, drawn)
        if cut is None:
            raise FollowsError
        called = f"{name} {told.removeprefix('station ')}".strip()
        findings += [replace(f, where=called) for f in drawn.findings]
        parts.append(
            SheetPart(
                name=called,
                shape=assemble(*cut, flatness_mm=flatness_mm),
                material=material,
                thickness_mm=thickness,
                allowance_mm=allowance,
                edge_bevels=drawn.edge_bevels,
                bearings=drawn.bearings,
                note=note,
            )
        )
    return EntryParts(sheet_parts=tuple(parts), findings=tuple(findings))
