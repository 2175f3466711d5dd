"""``[[tapered_box]]``: walls, bottom, lid, cleats, volume."""

from __future__ import annotations

import math
from dataclasses import replace
from enum import StrEnum

from nestcut.errors import Finding
from nestcut.facts import Angle
from nestcut.geometry.polygons import to_polygon
from nestcut.model.curves import Line, Point
from nestcut.model.joint import Face
from nestcut.model.part import (
    Bearings,
    EdgeBevel,
    Hand,
    Hands,
    RailPart,
    SheetPart,
    Towards,
)
from nestcut.model.shape import Mark
from nestcut.shapes.assemble import assemble
from nestcut.shapes.boxes.bevels import Bevel, CornerJoint, PanelFace
from nestcut.shapes.boxes.box import (
    WALLS,
    BoxSpec,
    Laps,
    Level,
    Measured,
    Wall,
    WallPanel,
    box_walls,
    inside_rectangle,
    outside_rectangle,
)
from nestcut.shapes.boxes.buoyancy import CAUTION, foam_buoyancy_kg, inside_volume_m3
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.figures.plain import rectangle
from nestcut.shapes.known import EntryParts, Known, note, warning
from nestcut.shapes.read.box_fittings import FROM_ABOVE, BoxTerms, cleats_of, lid_parts
from nestcut.shapes.reader import ShapeReader
from nestcut.tolerances.lengths import BLANK_EDGE_MM, SEEN_DEG
from nestcut.units import M3_PER_MM3

_BOTTOM_EDGES = {Wall.STARBOARD: 0, Wall.FORE: 1, Wall.PORT: 2, Wall.AFT: 3}
"""Edges of a bottom by the wall they meet: x forward, y to port, from the lower left corner."""

TEST_CUT = "Cut a test corner from scrap first: saw scales are seldom true to a tenth of a degree."


class Bottom(StrEnum):
    """Whether a box has a bottom, and where."""

    NONE = "none"
    INSIDE = "inside"
    """Between the walls, its lower face level with theirs."""
    UNDER = "under"
    """Under the walls, out to their outside faces."""


def read_tapered_box(reader: ShapeReader, flatness_mm: float, known: Known) -> EntryParts:
    """Parts of a tapered box.

    Parameters
    ----------
    flatness_mm
        How far polygons may be from the true lines. [mm]
    known
        Not needed for a box.
    """
    del known
    hands, drawn = reader.choice("hand", Hands), reader.choice("drawn", Hand)
    spec = _spec(reader, hands, drawn)
    common = BoxTerms(
        name=reader.text("name"),
        material=reader.text("material"),
        thickness_mm=spec.thickness_mm,
        hands=hands,
        drawn=drawn,
        count=reader.count("count"),
        flatness_mm=flatness_mm,
        calls=_calls(hands, drawn),
    )
    bottom = reader.choice("bottom", Bottom)
    lids, cleats, foam = reader.tables("lid"), reader.tables("cleats"), _foam(reader)
    if not reader.is_sound:
        return EntryParts()
    walls = box_walls(spec)
    parts = [_wall_part(wall, common) for wall in walls]
    if bottom is not Bottom.NONE:
        parts.append(_bottom_part(spec, bottom, common))
    for table in lids:
        parts += lid_parts(spec, table, common)
    rails = tuple(r for t in cleats for r in cleats_of(spec, t, common))
    inside = [p for p in parts[len(WALLS) :] if _lies_inside(p, bottom, common)]
    taken = _taken_m3(inside, rails, common)
    findings = [_volume_note(spec, taken, foam, common), *_steep(walls, common)]
    return EntryParts(
        sheet_parts=tuple(parts),
        rail_parts=rails,
        findings=tuple(findings),
        walls=tuple(p.name for p in parts[: len(WALLS)]),
    )


def _spec(reader: ShapeReader, hands: Hands, drawn: Hand) -> BoxSpec:
    leans = dict.fromkeys(WALLS, 0.0)
    calls = _calls(hands, drawn)
    for table in reader.tables("slopes"):
        for wall in WALLS:
            written = [w for w in dict.fromkeys((calls[wall], wall.value)) if table.has(w)]
            if len(written) > 1:
                raise ShapeFaultError("slopes", "SHP-078", one=written[0], other=written[1])
            for word in written:
                leans[wall] = table.number(word, low=-80.0, high=80.0)
        if hands is Hands.NONE:
            for word in (_INBOARD, _OUTBOARD):
                if table.has(word):
                    raise ShapeFaultError("slopes", "SHP-079", word=word)
        table.close()
        if not table.is_sound:
            reader.spoil()
    return BoxSpec(
        length_mm=reader.positive("length"),
        width_mm=reader.positive("width"),
        height_mm=reader.positive("height"),
        lean_deg=leans,
        thickness_mm=reader.positive("thickness"),
        measured=reader.choice("measured", Measured),
        level=reader.choice("at", Level),
        joint=reader.choice("corners", CornerJoint),
        laps=reader.choice("through", Laps),
    )


_INBOARD, _OUTBOARD = "inboard", "outboard"


def _calls(hands: Hands, drawn: Hand) -> dict[Wall, str]:
    """What walls are called: those of a box to one side are the same on both hands.

    The port wall of a box drawn for starboard faces the centre line, and so does the starboard
    wall of its port twin.
    """
    calls = {wall: wall.value for wall in WALLS}
    if hands is not Hands.NONE:
        shown = {Hands.PORT: Hand.PORT, Hands.STARBOARD: Hand.STARBOARD}.get(hands, drawn)
        inner = Wall.PORT if shown is Hand.STARBOARD else Wall.STARBOARD
        outer = Wall.STARBOARD if inner is Wall.PORT else Wall.PORT
        calls |= {inner: _INBOARD, outer: _OUTBOARD}
    return calls


def _foam(reader: ShapeReader) -> float | None:
    return reader.number("foam", 0.0, 1.0, 900.0) if reader.has("foam") else None


def _wall_part(wall: WallPanel, common: BoxTerms) -> SheetPart:
    ring = tuple(Line(a, b) for a, b in _sides(wall.blank))
    marks = tuple(
        Mark(line, (Line(*line),), "bevel meets outside face")
        for line, bevel in zip(_sides(wall.outside), wall.bevels, strict=True)
        if bevel.longer is PanelFace.INSIDE and bevel.allowance_mm > BLANK_EDGE_MM
    )
    shape = assemble(ring, (), marks, flatness_mm=common.flatness_mm)
    is_bevelled = any(b.longer is not PanelFace.BOTH for b in wall.bevels)
    told = "Drawn from outside, the longer face at every edge."
    return common.part(
        f"{common.calls[wall.wall]} wall",
        shape,
        f"{told} {TEST_CUT}" if is_bevelled else told,
        tuple(
            str(replace(b, edge=common.edge(b.edge)))
            for b in wall.bevels
            if b.longer is PanelFace.BOTH and b.gauge_deg > SEEN_DEG
        ),
        tuple(
            _edge_bevel(replace(bevel, edge=common.edge(bevel.edge)), line)
            for line, bevel in zip(_sides(wall.blank), wall.bevels, strict=True)
            if bevel.longer is not PanelFace.BOTH
        ),
        Bearings(forward=_FORWARD[wall.wall], up=Towards.TOP),
    )


_FORWARD = {
    Wall.FORE: Towards.GOOD,
    Wall.AFT: Towards.BACK,
    Wall.PORT: Towards.LEFT,
    Wall.STARBOARD: Towards.RIGHT,
}
"""Where the bow lies as one looks at a wall from outside its box."""


def _edge_bevel(bevel: Bevel, line: tuple[Point, Point]) -> EdgeBevel:
    """A wall's bevel at its edge of the blank; the outside is the good face."""
    words = [f"gauge {bevel.gauge_deg:.1f}° off square"] if bevel.gauge_deg > SEEN_DEG else []
    words += ["beyond the saw: plane it"] if bevel.is_beyond_saw else []
    return EdgeBevel(
        name=bevel.edge,
        lines=(line,),
        larger=Face.GOOD if bevel.longer is PanelFace.OUTSIDE else Face.BACK,
        tilt_deg=(bevel.tilt_deg, bevel.tilt_deg),
        words=", ".join(words),
    )


def _sides(ring: tuple[Point, ...]) -> list[tuple[Point, Point]]:
    return list(zip(ring, (*ring[1:], ring[0]), strict=True))


def _bottom_part(spec: BoxSpec, bottom: Bottom, common: BoxTerms) -> SheetPart:
    if bottom is Bottom.UNDER:
        rims = [outside_rectangle(spec, 0.0)]
    else:
        rims = [inside_rectangle(spec, z) for z in (0.0, spec.thickness_mm)]
    aft, starboard = min(r[0] for r in rims), min(r[2] for r in rims)
    fore, port = max(r[1] for r in rims), max(r[3] for r in rims)
    ring = rectangle(fore - aft, port - starboard)
    sides = _sides(
        ((0.0, 0.0), (fore - aft, 0.0), (fore - aft, port - starboard), (0.0, port - starboard))
    )
    lines = {wall: sides[k] for wall, k in _BOTTOM_EDGES.items()}
    bevels = (
        ()
        if bottom is Bottom.UNDER
        else tuple(
            EdgeBevel(
                name=f"{common.calls[wall]} edge",
                lines=(lines[wall],),
                larger=Face.GOOD if lean > 0.0 else Face.BACK,
                tilt_deg=(abs(lean), abs(lean)),
                words="the upper face is the good one",
            )
            for wall, lean in spec.lean_deg.items()
            if lean
        )
    )
    shape = assemble(ring, flatness_mm=common.flatness_mm)
    return common.part("bottom", shape, "", edge_bevels=bevels, bearings=FROM_ABOVE)


def _lies_inside(part: SheetPart, bottom: Bottom, common: BoxTerms) -> bool:
    """Whether a part takes room between the walls: a bottom set in, the frame under a lid."""
    is_set_in = bottom is Bottom.INSIDE and part.name == f"{common.name} bottom"
    return is_set_in or part.name == f"{common.name} lid frame"


def _taken_m3(inside: list[SheetPart], rails: tuple[RailPart, ...], common: BoxTerms) -> float:
    """Volume of what lies in one box: bottom, frame, cleats with their full section. [m3]"""
    flat = sum(to_polygon(p.shape).area * p.thickness_mm for p in inside)
    long = sum(r.length_mm * r.width_mm * r.thickness_mm * r.count / common.count for r in rails)
    return float(flat + long) * M3_PER_MM3


def _volume_note(
    spec: BoxSpec, taken_m3: float, foam_kg_m3: float | None, common: BoxTerms
) -> Finding:
    """Tell what is left, rounded down: a promise of more could drown somebody."""
    volume = max(0.0, inside_volume_m3(spec) - taken_m3)
    litres = f"{math.floor(volume * 1000.0)}"
    if foam_kg_m3 is None:
        return note("SHP-021", common.name, litres=litres)
    bears = foam_buoyancy_kg(volume, foam_kg_m3)
    return note(
        "SHP-023",
        common.name,
        litres=litres,
        density=foam_kg_m3,
        bears=math.floor(bears),
        caution=CAUTION,
    )


def _steep(walls: tuple[WallPanel, ...], common: BoxTerms) -> list[Finding]:
    return [
        _steep_warning(common, wall.wall, bevel)
        for wall in walls
        for bevel in wall.bevels
        if bevel.is_beyond_saw
    ]


def _steep_warning(common: BoxTerms, wall: Wall, bevel: Bevel) -> Finding:
    return warning(
        "SHP-020",
        f"{common.name}, {common.calls[wall]} wall, {common.edge(bevel.edge)}",
        tilt=Angle(bevel.tilt_deg),
    )
