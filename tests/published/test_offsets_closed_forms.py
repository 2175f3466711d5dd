"""Tables of offsets computed from closed forms, entered as printed: panels, frames, lengths.

Cylinder and cone: elementary geometry (a developable side between two sections unrolls to a band of
the arc's length, or to a sector of an annulus).  Parabolic hull: half-breadth
y = B/2 (1 - (2x/L)^2)(1 - (z/T)^2) of W. C. S. Wigley, Ship wave resistance, Trans. North East
Coast Inst. Eng. Shipb. 42 (1925-26) (formula from memory).
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from nestcut.geometry.rings import shape_area_mm2, true_bounds_mm
from nestcut.intake.job import Understanding, understand_job
from nestcut.model.part import SheetPart

Floats = NDArray[np.float64]

HEAD = """
[job]
unit = "mm"
[saw]
kerf = 2
gap = 0
[[sheet]]
name = "ply"
material = "ply"
thickness = 6
length = 9000
width = 4000
price = 1
[[board]]
name = "board"
material = "larch"
thickness = 20
width = 95
lengths = [{ length = 9000, price = 1.0 }]
"""


def row(name: str, figures: Floats, decimals: int = 1) -> str:
    return f"{name} | " + " | ".join(f"{v:.{decimals}f}" for v in figures)


def understood(offsets: str, parts: str, tmp_path: Path) -> Understanding:
    path = tmp_path / "job.toml"
    path.write_text(f"{HEAD}{offsets}{parts}", encoding="utf-8")
    found = understand_job(path)
    assert found.is_usable, found.findings
    return found


def part(found: Understanding, name: str) -> SheetPart:
    return next(p for p in found.job.sheet_parts if p.name == name)


# -- an upright cylinder: sides stand on a circular arc in plan -----------------------------------

RADIUS, LONG, HIGH = 6000.0, 4000.0, 420.0


def arc_breadths(x: Floats) -> Floats:
    """Half-breadth of a circular arc whose chord is the centre line."""
    return np.sqrt(RADIUS**2 - (x - LONG / 2) ** 2) - math.sqrt(RADIUS**2 - (LONG / 2) ** 2)


def cylinder_table() -> str:
    x = np.linspace(0.0, LONG, 11)
    y = arc_breadths(x)
    lines = [
        "station | " + " | ".join(str(i) for i in range(11)),
        row("at", x, 0),
        "heights",
        row("sheer", np.full(11, HIGH)),
        row("chine", np.zeros(11)),
        "half-breadths",
        row("sheer", y),
        row("chine", y),
    ]
    table = "\n".join(lines)
    return f"[offsets]\nto = 'outside'\nplanking = [9, 6]\ntable = '''\n{table}\n'''\n"


def test_cylinder_side_bottom_and_lengths(tmp_path: Path) -> None:
    """The side unrolls to a rectangle of the arc's length; the bottom is two circular segments."""
    found = understood(
        cylinder_table(),
        """
[[part]]
name = "side"
thickness = 6
hand = "pair"
shape = { kind = "developed", lower = "chine", upper = "sheer" }
[[part]]
name = "bottom"
thickness = 6
shape = { kind = "bottom", line = "chine" }
[[rail]]
name = "chine log"
section = [20, 40]
along = { line = "chine" }
""",
        tmp_path,
    )
    half = math.asin(LONG / 2 / RADIUS)
    arc = 2 * half * RADIUS
    side, bottom = part(found, "side"), part(found, "bottom")
    x0, y0, x1, y1 = true_bounds_mm(side.shape.outline)

    assert x1 - x0 == pytest.approx(arc, rel=1e-3)
    assert y1 - y0 == pytest.approx(HIGH, rel=1e-3)
    assert shape_area_mm2(side.shape) == pytest.approx(arc * HIGH, rel=1e-3)
    segment = RADIUS**2 / 2 * (2 * half - math.sin(2 * half))
    assert shape_area_mm2(bottom.shape) == pytest.approx(2 * segment, rel=1e-3)
    assert found.job.rail_parts[0].length_mm == pytest.approx(arc, rel=1e-3)


@pytest.mark.parametrize("station", [3, 5, 8])
def test_cylinder_frame_has_its_planking_taken_off(station: int, tmp_path: Path) -> None:
    """Planking 6 mm thick is 6 / cos(slope) wide across the boat; the bottom takes 9 mm."""
    found = understood(
        cylinder_table(),
        f"""
[[part]]
name = "frame"
thickness = 6
shape = {{ kind = "frame", at = "{station}", lines = ["chine", "sheer"] }}
""",
        tmp_path,
    )
    x = LONG * station / 10
    outside = float(arc_breadths(np.array([x]))[0])
    inside = outside - 6.0 / math.cos(math.asin((x - LONG / 2) / RADIUS))
    x0, y0, x1, y1 = true_bounds_mm(part(found, "frame").shape.outline)

    assert (x1 - x0) / 2 == pytest.approx(inside, abs=0.5)
    assert y1 - y0 == pytest.approx(HIGH - 9.0, abs=0.5)


# -- a cone: flared sides that unroll to a sector of an annulus -----------------------------------

FLARE = math.radians(20.0)
"""Sides lean out by this from upright all along."""
BASE = 5000.0
"""Radius of the chine in plan; the sheer lies HIGH tan(FLARE) further out."""


def cone_line(radius: float) -> tuple[Floats, Floats]:
    """Distances and half-breadths of a circle in plan about a point 4600 mm beyond the centre."""
    angle = np.linspace(-0.30, 0.30, 11)
    return radius * np.sin(angle) + 2500.0, radius * np.cos(angle) - 4600.0


def test_cone_side_is_a_sector_of_an_annulus(tmp_path: Path) -> None:
    """Slant radii R / sin(flare), as wide as the slope is long, as long as the arcs."""
    inner, outer = cone_line(BASE), cone_line(BASE + HIGH * math.tan(FLARE))
    lines = [
        "station | " + " | ".join(str(i) for i in range(11)),
        row("at", inner[0]),
        "distances",
        row("sheer", outer[0]),
        row("chine", inner[0]),
        "heights",
        row("sheer", np.full(11, HIGH)),
        row("chine", np.zeros(11)),
        "half-breadths",
        row("sheer", outer[1]),
        row("chine", inner[1]),
    ]
    table = "\n".join(lines)
    found = understood(
        f"[offsets]\nmeasured_from = 'stern'\ntable = '''\n{table}\n'''\n",
        """
[[part]]
name = "side"
thickness = 6
shape = { kind = "developed", lower = "chine", upper = "sheer" }
[[rail]]
name = "gunwale"
section = [20, 40]
along = { line = "sheer" }
""",
        tmp_path,
    )
    large, small = BASE + HIGH * math.tan(FLARE), BASE
    area = 0.60 * (large**2 - small**2) / 2 / math.sin(FLARE)
    side = part(found, "side")

    assert shape_area_mm2(side.shape) == pytest.approx(area, rel=1e-3)
    assert found.job.rail_parts[0].length_mm == pytest.approx(0.60 * large, rel=1e-3)
    sector = 0.60 * math.sin(FLARE)
    slant = large / math.sin(FLARE)
    x0, _, x1, _ = true_bounds_mm(side.shape.outline)
    assert x1 - x0 == pytest.approx(2 * slant * math.sin(sector / 2), rel=1e-3)


# -- a hull by a published formula, nine waterlines -----------------------------------------------

HULL_L, HULL_B, HULL_T = 4000.0, 1200.0, 500.0
DEPTHS = np.linspace(-HULL_T, 0.0, 9)


def hull_breadth(x: Floats | float, z: Floats | float) -> Floats:
    """Half-breadth at a distance from amidships and a height above the water."""
    return np.asarray(
        HULL_B / 2 * (1 - (2 * np.asarray(x) / HULL_L) ** 2) * (1 - (np.asarray(z) / HULL_T) ** 2)
    )


def hull_table(planking: str) -> str:
    x = np.linspace(-HULL_L / 2, HULL_L / 2, 11)
    names = [f"wl {i}" for i in range(len(DEPTHS))]
    lines = [
        "station | " + " | ".join(str(i) for i in range(11)),
        row("at", x + HULL_L / 2, 0),
        "heights",
        *(row(n, np.full(11, z + HULL_T)) for n, z in zip(names, DEPTHS, strict=True)),
        "half-breadths",
        *(row(n, hull_breadth(x, z)) for n, z in zip(names, DEPTHS, strict=True)),
    ]
    table = "\n".join(lines)
    return f"[offsets]\n{planking}\ntable = '''\n{table}\n'''\n"


def frame_job(station: int) -> str:
    names = ", ".join(f'"wl {i}"' for i in range(len(DEPTHS)))
    return f"""
[[part]]
name = "frame"
thickness = 6
shape = {{ kind = "frame", at = "{station}", lines = [{names}], curve = "batten" }}
"""


def side_at(found: Understanding, height: float) -> float:
    """Half-breadth of the frame's outline at a height above its base."""
    points = np.array(part(found, "frame").shape.outline.points)
    right = points[points[:, 0] > 0.0]
    right = right[np.argsort(right[:, 1])]
    return float(np.interp(height, right[:, 1], right[:, 0]))


@pytest.mark.parametrize("station", [2, 4, 5, 7])
def test_parabolic_hull_frames(station: int, tmp_path: Path) -> None:
    """Between the table's waterlines the frame follows the formula within half a millimetre."""
    found = understood(hull_table('to = "inside"'), frame_job(station), tmp_path)
    x = HULL_L * (station / 10 - 0.5)
    for z in np.linspace(-0.9, -0.03, 9) * HULL_T:
        assert side_at(found, z + HULL_T) == pytest.approx(float(hull_breadth(x, z)), abs=0.5)


@pytest.mark.parametrize("station", [2, 4, 7])
def test_parabolic_hull_frames_inside_the_planking(station: int, tmp_path: Path) -> None:
    """Points a plank's thickness inside the hull, along its normal, lie on the frame."""
    found = understood(hull_table('to = "outside"\nplanking = 10'), frame_job(station), tmp_path)
    x = HULL_L * (station / 10 - 0.5)
    for z in np.linspace(-0.8, -0.1, 8) * HULL_T:
        y_x = -HULL_B / 2 * 8 * x / HULL_L**2 * (1 - (z / HULL_T) ** 2)
        y_z = -HULL_B / 2 * (1 - (2 * x / HULL_L) ** 2) * 2 * z / HULL_T**2
        # In the section's plane planking is t sqrt(1 + y_x^2 + y_z^2) / sqrt(1 + y_z^2) wide,
        # square to the section's edge, whose direction is (y_z, 1).
        size = math.sqrt(1 + y_z**2)
        wide = 10.0 * math.sqrt(1 + y_x**2 + y_z**2) / size
        y = float(hull_breadth(x, z)) - wide / size
        assert side_at(found, z + wide * y_z / size + HULL_T) == pytest.approx(y, abs=0.5)


# -- a rockered bottom and a cambered deck: one bends fore and aft, the other across --------------


def test_rocker_is_rolled_out_and_camber_is_girthed(tmp_path: Path) -> None:
    """A bottom of even width on a circular rocker is as long as the arc; a deck of even width with
    a round camber is as wide as its arc (circular arcs: elementary geometry)."""
    radius, half, camber = 8000.0, 500.0, 60.0
    x = np.linspace(0.0, LONG, 9)
    rocker = radius - np.sqrt(radius**2 - (x - LONG / 2) ** 2)
    lines = [
        "station | " + " | ".join(str(i) for i in range(9)),
        row("at", x, 0),
        "heights",
        row("sheer", np.full(9, HIGH)),
        row("chine", rocker),
        "half-breadths",
        row("sheer", np.full(9, half)),
        row("chine", np.full(9, half)),
    ]
    table = "\n".join(lines)
    found = understood(
        f"[offsets]\ntable = '''\n{table}\n'''\n",
        f"""
[[part]]
name = "bottom"
thickness = 6
shape = {{ kind = "bottom", line = "chine" }}
[[part]]
name = "deck"
thickness = 6
shape = {{ kind = "deck", line = "sheer", camber = {camber:g} }}
""",
        tmp_path,
    )
    arc = 2 * radius * math.asin(LONG / 2 / radius)
    round_mm = half**2 / (2 * camber) + camber / 2
    girth = 2 * round_mm * math.asin(half / round_mm)
    sizes = {}
    for name in ("bottom", "deck"):
        x0, y0, x1, y1 = true_bounds_mm(part(found, name).shape.outline)
        sizes[name] = (x1 - x0, y1 - y0)

    assert sizes["bottom"] == pytest.approx((arc, 2 * half), rel=1e-3)
    assert arc - LONG > 30.0  # or the rocker would not be seen
    assert sizes["deck"] == pytest.approx((LONG, girth), rel=1e-3)
    assert girth - 2 * half > 9.0
    marks = [m.points[0][0] for m in part(found, "bottom").shape.marks]
    places = [arc / 2 + radius * math.asin((v - LONG / 2) / radius) for v in x]
    assert sorted(marks) == pytest.approx(places, abs=1.0)
