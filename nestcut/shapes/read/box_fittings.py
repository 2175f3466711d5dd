"""What goes on and into a box's walls: its lid and its cleats."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from nestcut.geometry.pose import move_curve
from nestcut.model.curves import Curve
from nestcut.model.part import (
    NO_BEARINGS,
    Bearings,
    EdgeBevel,
    Grain,
    Hand,
    Hands,
    RailPart,
    SheetPart,
    Towards,
)
from nestcut.model.pose import Pose
from nestcut.model.shape import Shape
from nestcut.shapes.assemble import assemble
from nestcut.shapes.boxes.box import (
    BoxSpec,
    Wall,
    inside_rectangle,
    outside_rectangle,
)
from nestcut.shapes.faults import FollowsError, ShapeFaultError
from nestcut.shapes.figures.outline import Treatment
from nestcut.shapes.figures.plain import CornerRule, rectangle
from nestcut.shapes.reader import ShapeReader
from nestcut.tolerances import SAME_LENGTH_MM


class Rims(StrEnum):
    """Along which rim of a box's walls cleats lie, inside."""

    TOP = "top"
    BOTTOM = "bottom"
    BOTH = "both"


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxTerms:
    """What all parts of a box share."""

    name: str
    material: str
    thickness_mm: float
    hands: Hands
    drawn: Hand
    count: int
    flatness_mm: float
    calls: dict[Wall, str]
    """What each wall is called."""

    def edge(self, name: str) -> str:
        """Name of an edge that is called after the wall it meets."""
        first, _, rest = name.partition(" ")
        return f"{self.calls[Wall(first)]} {rest}" if first in set(Wall) else name

    def part(
        self,
        what: str,
        shape: Shape,
        note_text: str,
        bevels: tuple[str, ...] = (),
        edge_bevels: tuple[EdgeBevel, ...] = (),
        bearings: Bearings = NO_BEARINGS,
    ) -> SheetPart:
        """A part of the box, with what all of them share.

        Parameters
        ----------
        what
            Which part of the box, as its name goes on.
        note_text
            What the builder is to know of it; empty: nothing.
        bevels
            Bevels in words.
        """
        return SheetPart(
            name=f"{self.name} {what}",
            shape=shape,
            material=self.material,
            thickness_mm=self.thickness_mm,
            count=self.count,
            hands=self.hands,
            drawn=self.drawn,
            grain=Grain.ALONG,
            bevels=bevels,
            edge_bevels=edge_bevels,
            note=note_text,
            bearings=bearings,
        )


FROM_ABOVE = Bearings(forward=Towards.RIGHT, up=Towards.GOOD)


def lid_parts(spec: BoxSpec, table: ShapeReader, common: BoxTerms) -> list[SheetPart]:
    """Lid over the walls, and the frame under it that drops between them where asked for."""
    overhang = table.length("overhang")
    radius = table.length("radius")
    thickness = table.positive("thickness", common.thickness_mm)
    material = table.text("material", common.material)
    frame = table.length("frame")
    clearance = table.length("clearance")
    if not table.is_sound:
        raise FollowsError
    look = replace(common, thickness_mm=thickness, material=material)
    aft, fore, starboard, port = outside_rectangle(spec, spec.height_mm)
    rules = (CornerRule(treatment=Treatment.ROUND, size_mm=radius),) if radius else ()
    outline = rectangle(fore - aft + 2 * overhang, port - starboard + 2 * overhang, rules)
    lid = assemble(outline, flatness_mm=common.flatness_mm)
    longer = Grain.ALONG if fore - aft >= port - starboard else Grain.ACROSS
    grain = table.choice("grain", Grain) if table.has("grain") else longer
    table.close()
    if not table.is_sound:
        raise FollowsError
    parts = [replace(look.part("lid", lid, "", bearings=FROM_ABOVE), grain=grain)]
    if frame > SAME_LENGTH_MM:
        aft, fore, starboard, port = inside_rectangle(spec, spec.height_mm)
        long, wide = fore - aft - 2 * clearance, port - starboard - 2 * clearance
        if min(long, wide) <= 2 * frame:
            raise ShapeFaultError("lid", "SHP-137")
        hole: tuple[Curve, ...] = tuple(
            move_curve(c, Pose(shift_mm=(frame, frame)))
            for c in rectangle(long - 2 * frame, wide - 2 * frame)
        )
        shape = assemble(rectangle(long, wide), (hole,), flatness_mm=common.flatness_mm)
        parts.append(look.part("lid frame", shape, "glued under the lid"))
    return parts


def cleats_of(spec: BoxSpec, table: ShapeReader, common: BoxTerms) -> list[RailPart]:
    """Cleats round the inside of the walls; those fore and aft run through."""
    section = table.lengths("section")
    material = table.text("material")
    rims = table.choice("at", Rims)
    below = table.length("below")
    table.close()
    if not table.is_sound:
        raise FollowsError
    if len(section) != 2 or min(section) <= 0.0:
        raise ShapeFaultError("cleats", "SHP-135")
    rails = []
    if rims is not Rims.BOTTOM:
        box = inside_rectangle(spec, spec.height_mm - below)
        rails += _row(spec, common, (section[0], section[1]), material, ("", box))
    if rims is not Rims.TOP:
        # The longer of its two faces is cut, as at the top; planing takes the rest.
        levels = [inside_rectangle(spec, z) for z in (0.0, section[1])]
        aft, starboard = min(b[0] for b in levels), min(b[2] for b in levels)
        fore, port = max(b[1] for b in levels), max(b[3] for b in levels)
        box = (aft, fore, starboard, port)
        rails += _row(spec, common, (section[0], section[1]), material, ("bottom ", box))
    return rails


def _row(
    spec: BoxSpec,
    common: BoxTerms,
    section: tuple[float, float],
    material: str,
    at: tuple[str, tuple[float, float, float, float]],
) -> list[RailPart]:
    """Cleats of one rim, by its name and the rectangle inside the walls there. [mm]"""
    rim, (aft, fore, starboard, port) = at
    rails = []
    for what, length, along in (
        ("fore-and-aft cleat", fore - aft, (Wall.PORT, Wall.STARBOARD)),
        ("athwart cleat", port - starboard - 2 * section[0], (Wall.FORE, Wall.AFT)),
    ):
        if length <= SAME_LENGTH_MM:
            raise ShapeFaultError("cleats", "SHP-138")
        leans = any(spec.lean_deg[wall] for wall in along)
        rails.append(
            RailPart(
                name=f"{common.name} {rim}{what}",
                material=material,
                thickness_mm=section[0],
                width_mm=section[1],
                length_mm=length,
                count=2 * common.count,
                hands=common.hands,
                joint=None,
                note="plane its back to the wall's slope" if leans else "",
            )
        )
    return rails
