"""Boxes folded up from their flat panels: no gap, no overlap; volume and buoyancy."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from nestcut.model.part import Grain
from nestcut.shapes.boxes.bevels import CornerJoint, PanelFace
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
from nestcut.shapes.boxes.buoyancy import foam_buoyancy_kg, inside_volume_m3
from nestcut.shapes.faults import ShapeFaultError
from tests.unit.shapes.tables.readings import entry

Floats = NDArray[np.float64]
CLOSE_MM = 1e-6
FACING = {
    Wall.FORE: (1.0, 0.0),
    Wall.PORT: (0.0, 1.0),
    Wall.AFT: (-1.0, 0.0),
    Wall.STARBOARD: (0.0, -1.0),
}


def box(joint: CornerJoint = CornerJoint.MITRE, laps: Laps = Laps.SIDES, seed: int = 0) -> BoxSpec:
    """Box of seeded size with four different slopes, some inward."""
    rng = np.random.default_rng(seed)
    leans = rng.uniform(-25.0, 40.0, 4)
    return BoxSpec(
        length_mm=rng.uniform(700.0, 1200.0),
        width_mm=rng.uniform(600.0, 900.0),
        height_mm=rng.uniform(150.0, 350.0),
        lean_deg=dict(zip(WALLS, leans.tolist(), strict=True)),
        thickness_mm=rng.uniform(4.0, 20.0),
        measured=(Measured.INSIDE, Measured.OUTSIDE)[seed % 2],
        level=(Level.TOP, Level.BOTTOM)[seed // 2 % 2],
        joint=joint,
        laps=laps,
    )


def folded(spec: BoxSpec, panel: WallPanel) -> Floats:
    """Corners of a wall in space, outside face first, from the flat panel and its slope alone.

    The panel stands on its lowest edge, its left outside corner at x = 0 along the wall.
    """
    lean = math.radians(spec.lean_deg[panel.wall])
    fx, fy = FACING[panel.wall]
    along = np.array([-fy, fx, 0.0])
    up = np.array([fx * math.sin(lean), fy * math.sin(lean), math.cos(lean)])
    normal = np.array([fx * math.cos(lean), fy * math.cos(lean), -math.sin(lean)])
    outside = np.array([x * along + y * up for x, y in panel.outside])
    inside = np.array([x * along + y * up - spec.thickness_mm * normal for x, y in panel.inside])
    corners = np.vstack([outside, inside])
    return np.asarray(corners - outside[0])


def placed(spec: BoxSpec) -> dict[Wall, Floats]:
    """All walls in space, each set where the outside rectangle says."""
    aft, fore, starboard, port = outside_rectangle(spec, 0.0)
    found = {}
    for panel in box_walls(spec):
        corners = folded(spec, panel)
        fx, fy = FACING[panel.wall]
        reach = {(1, 0): fore, (0, 1): port, (-1, 0): -aft, (0, -1): -starboard}[int(fx), int(fy)]
        corners = corners + np.array([fx, fy, 0.0]) * reach
        found[panel.wall] = corners
    return found


@pytest.mark.parametrize("seed", range(12))
def test_mitred_box_closes(seed: int) -> None:
    """Walls set corner to corner, one after the other round the box, meet the first one again.

    All four corners of each mitre fall on those of the neighbour's.
    """
    spec = box(CornerJoint.MITRE, seed=seed)
    panels = {p.wall: folded(spec, p) for p in box_walls(spec)}
    place = np.zeros(3)
    worst = 0.0
    for one, other in zip(WALLS, (*WALLS[1:], WALLS[0]), strict=True):
        here = panels[one] + place
        # outside lower right corner of one wall is the outside lower left of the next
        place = here[1] - panels[other][0]
        there = panels[other] + place
        gaps = np.linalg.norm(here[[1, 2, 5, 6]] - there[[0, 3, 4, 7]], axis=1)
        worst = max(worst, float(gaps.max()))

    assert worst < CLOSE_MM
    assert np.linalg.norm(place) < CLOSE_MM


@pytest.mark.parametrize("laps", list(Laps))
@pytest.mark.parametrize("seed", range(6))
def test_butted_box_closes(laps: Laps, seed: int) -> None:
    """Each butted end lies in the inside face of the wall that laps it, which ends flush."""
    spec = box(CornerJoint.BUTT, laps, seed)
    walls = placed_along(spec)
    for one, other in zip(WALLS, (*WALLS[1:], WALLS[0]), strict=True):
        is_through = (one in {Wall.FORE, Wall.AFT}) == (laps is Laps.ENDS)
        first, second = walls[one], walls[other]
        butted = first[[1, 2, 5, 6]] if not is_through else second[[0, 3, 4, 7]]
        lapping = second if not is_through else first
        ends = first[[1, 2, 5, 6]] if is_through else second[[0, 3, 4, 7]]
        covered = second if is_through else first
        assert np.abs(off_plane(lapping[4:7], butted)).max() < CLOSE_MM
        assert np.abs(off_plane(covered[:3], ends)).max() < CLOSE_MM


def placed_along(spec: BoxSpec) -> dict[Wall, Floats]:
    """Walls set across by the outside rectangle and along by their inside lower left corner."""
    aft, fore, starboard, port = inside_rectangle(spec, 0.0)
    corner = {
        Wall.FORE: (fore, starboard),
        Wall.PORT: (fore, port),
        Wall.AFT: (aft, port),
        Wall.STARBOARD: (aft, starboard),
    }
    walls = placed(spec)
    for wall, corners in walls.items():
        fx, fy = FACING[wall]
        along = np.array([-fy, fx, 0.0])
        is_through = (wall in {Wall.FORE, Wall.AFT}) == (spec.laps is Laps.ENDS)
        if not is_through:
            shift = float(along @ (np.array([*corner[wall], 0.0]) - corners[4]))
        else:
            a, f, s, p = outside_rectangle(spec, 0.0)
            outer = {
                Wall.FORE: (f, s),
                Wall.PORT: (f, p),
                Wall.AFT: (a, p),
                Wall.STARBOARD: (a, s),
            }
            shift = float(along @ (np.array([*outer[wall], 0.0]) - corners[0]))
        walls[wall] = corners + shift * along
    return walls


def off_plane(plane: Floats, points: Floats) -> Floats:
    """Distances of points from the plane through three points. [mm]"""
    normal = np.cross(plane[1] - plane[0], plane[2] - plane[0])
    return np.asarray((points - plane[0]) @ normal / np.linalg.norm(normal))


@pytest.mark.parametrize("joint", list(CornerJoint))
@pytest.mark.parametrize("seed", range(8))
def test_walls_fill_the_shell_without_overlap(joint: CornerJoint, seed: int) -> None:
    """Volumes of the folded walls add up to outside less inside, and no two share any."""
    spec = box(joint, seed=seed)
    walls = placed_along(spec) if joint is CornerJoint.BUTT else placed_along_mitre(spec)
    solid = sum(ConvexHull(c).volume for c in walls.values())

    assert solid == pytest.approx(
        frustum(spec, outside_rectangle) - frustum(spec, inside_rectangle)
    )
    for one, other in itertools.combinations(WALLS, 2):
        assert separated(walls[one], walls[other])


def placed_along_mitre(spec: BoxSpec) -> dict[Wall, Floats]:
    """Mitred walls set along by their outside lower left corner."""
    a, f, s, p = outside_rectangle(spec, 0.0)
    outer = {Wall.FORE: (f, s), Wall.PORT: (f, p), Wall.AFT: (a, p), Wall.STARBOARD: (a, s)}
    walls = placed(spec)
    for wall, corners in walls.items():
        along = np.array([-FACING[wall][1], FACING[wall][0], 0.0])
        shift = float(along @ (np.array([*outer[wall], 0.0]) - corners[0]))
        walls[wall] = corners + shift * along
    return walls


def frustum(spec: BoxSpec, rectangle) -> float:  # type: ignore[no-untyped-def]
    """Volume between bottom and top by the hull of its eight corners. [mm3]"""
    corners = [
        (x, y, z)
        for z in (0.0, spec.height_mm)
        for x in rectangle(spec, z)[:2]
        for y in rectangle(spec, z)[2:]
    ]
    return float(ConvexHull(corners).volume)


def separated(one: Floats, other: Floats) -> bool:
    """Whether a face of either hull divides them (to a millionth of a millimetre)."""
    for hull, points in ((ConvexHull(one), other), (ConvexHull(other), one)):
        sides = points @ hull.equations[:, :3].T + hull.equations[:, 3]
        if (sides.min(axis=0) > -CLOSE_MM).any():
            return True
    return False


def test_blank_holds_both_faces() -> None:
    """At every edge the blank reaches as far as the face that is longer there."""
    for seed in range(4):
        for panel in box_walls(box(CornerJoint.BUTT, seed=seed)):
            ring = np.array(panel.blank)
            for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True):
                n = np.array([b[1] - a[1], a[0] - b[0]]) / math.dist(a, b)
                reach = np.vstack([panel.outside, panel.inside]) @ n - n @ a
                assert reach.max() == pytest.approx(0.0, abs=1e-6)


def test_allowance_is_thickness_times_tangent() -> None:
    """18 mm at 15 deg: 4.82; at 30 deg: 10.39 (FACTS 5, worked geometry)."""
    for lean, allowance in ((15.0, 4.82), (30.0, 10.39)):
        spec = BoxSpec(
            length_mm=600,
            width_mm=500,
            height_mm=200,
            lean_deg=dict.fromkeys(WALLS, lean),
            thickness_mm=18.0,
        )
        bottom = box_walls(spec)[0].bevels[0]
        assert bottom.allowance_mm == pytest.approx(allowance, abs=0.005)
        assert bottom.tilt_deg == pytest.approx(lean)
        assert bottom.longer is PanelFace.INSIDE


def test_too_steep_a_bevel_is_said() -> None:
    """A transom-like wall at 48 degrees can't be sawn by a usual saw."""
    spec = BoxSpec(
        length_mm=900,
        width_mm=500,
        height_mm=200,
        lean_deg={Wall.FORE: 48.0, Wall.AFT: 0.0, Wall.PORT: 0.0, Wall.STARBOARD: 0.0},
        thickness_mm=9.0,
    )
    texts = [str(b) for b in box_walls(spec)[0].bevels]

    assert "beyond the saw: plane it" in texts[0]
    assert "square edge" in texts[1]


def test_walls_that_meet_are_refused() -> None:
    """Slopes so steep that nothing is left at the bottom, or no slope at all."""
    lean = dict.fromkeys(WALLS, 70.0)
    spec = BoxSpec(length_mm=300, width_mm=300, height_mm=200, lean_deg=lean, thickness_mm=6)
    with pytest.raises(ShapeFaultError, match="SHP-109"):
        box_walls(spec)
    spec = BoxSpec(
        length_mm=300,
        width_mm=300,
        height_mm=200,
        lean_deg=dict.fromkeys(WALLS, 85.0),
        thickness_mm=6,
    )
    with pytest.raises(ShapeFaultError, match=r"SHP-108.*85"):
        box_walls(spec)


def test_volume_inside() -> None:
    """Prismatoid formula against the hull of the inside corners."""
    for seed in range(5):
        spec = box(seed=seed)
        assert inside_volume_m3(spec) * 1e9 == pytest.approx(frustum(spec, inside_rectangle))


def test_foam_bears_the_difference_of_densities() -> None:
    """32 kg/m3 foam bears 968 kg a cubic metre in fresh water (FACTS 6)."""
    assert foam_buoyancy_kg(1.0, 32.0) == pytest.approx(968.0)


def test_a_lids_grain_runs_along_its_longer_side_unless_said() -> None:
    """A seat across the boat: its lid spans the long way, which is athwart."""
    box = (
        'name = "seat"\nlength = 250\nwidth = 800\nheight = 230\nthickness = 9\n'
        "lid = { overhang = 20LID }\n"
    )
    lids = {
        said: next(
            p
            for p in entry("tapered_box", box.replace("LID", said)).sheet_parts
            if p.name == "seat lid"
        ).grain
        for said in ("", ', grain = "along"', ', grain = "any"')
    }

    assert list(lids.values()) == [Grain.ACROSS, Grain.ALONG, Grain.ANY]


def test_cleats_lie_along_the_top_the_bottom_or_both() -> None:
    """Ends lean out by 20 degrees, so the box is shorter below; the walls along are upright."""
    box = (
        'name = "seat"\nlength = 800\nwidth = 250\nheight = 230\nthickness = 9\nat = "bottom"\n'
        "slopes = { fore = 20, aft = 20 }\ncleats = { section = [19, 19]AT }\n"
    )

    def lengths(at: str) -> dict[str, tuple[float, str]]:
        rails = entry("tapered_box", box.replace("AT", at)).rail_parts
        return {r.name: (r.length_mm, r.note) for r in rails}

    top, low, both = (lengths(f', at = "{w}"' if w else "") for w in ("", "bottom", "both"))
    lean = math.tan(math.radians(20.0))
    wall = 9.0 / math.cos(math.radians(20.0))

    assert both == top | low
    long, note = top["seat fore-and-aft cleat"]
    assert long == pytest.approx(800.0 + 2 * 230.0 * lean - 2 * wall)
    assert note == ""
    across, note = top["seat athwart cleat"]
    assert across == pytest.approx(250.0 - 18.0 - 38.0)
    assert note == "plane its back to the wall's slope"
    assert low["seat bottom fore-and-aft cleat"][0] == pytest.approx(
        800.0 + 2 * 19.0 * lean - 2 * wall
    )
