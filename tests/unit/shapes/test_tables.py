"""Shapes and entries as a job file writes them: lines, caps, panels, boxes, slats, cleats."""

from __future__ import annotations

import math

import pytest

from nestcut.geometry.polygons import bounds_mm, to_polygon
from nestcut.geometry.rings import shape_area_mm2
from nestcut.model.joint import Face
from nestcut.model.part import Hand, Hands
from nestcut.shapes.build import ShapeKind, build_shape
from nestcut.shapes.entries import SHAPE_ENTRIES
from nestcut.shapes.known import Known
from nestcut.shapes.read.lines import build_line, rail_ruler
from nestcut.units import Unit
from nestcut.words import Speech, tell
from tests.unit.shapes.tables.readings import entry, entry_faults, faults, line, shape, table, told

SHEER = """
name = "sheer"
stations = [0, 900, 1800, 2700, 3400, 4000, 4400, 4700]
half_breadths = [620, 728, 782, 762, 668, 500, 300, 40]
heights = [560, 535, 530, 556, 604, 668, 722, 770]
"""
CHINE = """
name = "chine"
stations = [0, 900, 1800, 2700, 3400, 3900, 4300, 4480]
half_breadths = [500, 585, 628, 590, 475, 330, 140, 20]
heights = [150, 128, 125, 152, 205, 268, 345, 385]
"""
KEEL = """
name = "keel"
stations = [0, 900, 1800, 2700, 3400, 3900, 4300, 4480]
heights = [70, 20, 0, 12, 65, 150, 285, 380]
"""
LINES = Known(lines=dict(line(text) for text in (SHEER, CHINE, KEEL)))
FLOOR = Known(
    shapes={
        "floor": shape('kind = "trapezoid"\nbottom = 2000\ntop = 1600\nheight = 600\nshift = 100'),
        "panel": shape(
            'kind = "rectangle"\nlength = 900\nwidth = 500\nholes = [{ diameter = 120 }]'
        ),
    }
)


# -- lines --


def test_rail_is_longer_than_the_boat() -> None:
    """Along the sheer of the invented boat, 4.70 m long, a rail needs 4.90 m."""
    rail = rail_ruler(table('line = "sheer"'), LINES)
    part = rail_ruler(table('line = "sheer"\nfrom = 900\nto = 2700'), LINES)

    assert rail is not None
    assert rail.length_mm == pytest.approx(4897.8, abs=0.1)
    assert part is not None
    assert 1800.0 < part.length_mm < 1815.0


def test_rail_along_nothing() -> None:
    """An unknown line, or a stretch that ends before it begins."""
    readings = table('line = "shear"')
    assert rail_ruler(readings, LINES) is None
    assert "Choose from: chine, keel, sheer." in tell(readings.book.findings[0], Speech()).remedy
    readings = table('line = "sheer"\nfrom = 2700\nto = 900')
    assert rail_ruler(readings, LINES) is None


def test_line_in_eighths_is_the_line_in_millimetres() -> None:
    """Offsets written feet-inches-eighths give the same line."""
    _, feet = line(
        'name = "sheer"\nwritten = "feet-inches-eighths"\nstations = ["0in", "3ft", "6ft"]\n'
        'half_breadths = ["1-6-0", "1-9-4+", "1-7-0-"]\nheights = ["1-2-0", "1-0-4", "1-1-0"]'
    )
    _, mm = line(
        'name = "sheer"\nstations = [0, 914.4, 1828.8]\n'
        "half_breadths = [457.2, 547.6875, 481.0125]\nheights = [355.6, 317.5, 330.2]"
    )

    assert feet.points == pytest.approx(mm.points)


def test_line_faults() -> None:
    """Counts that don't match, a knuckle that is no station."""
    readings = table('name = "sheer"\nstations = [0, 900]\nheights = [1]')
    assert build_line(readings) is None
    assert "2 stations, 0 half-breadths, 1 height" in told(readings)[0]
    readings = table(KEEL + "knuckles = [1000]")
    assert build_line(readings) is None
    assert "no reading at the knuckle" in told(readings)[0]


def test_knuckled_line_keeps_its_corner() -> None:
    """A knuckle at a station breaks the line there."""
    _, bent = line(
        'name = "chine"\nstations = [0, 1000, 2000]\nheights = [0, 100, 0]\nknuckles = [1000]'
    )

    assert bent.length_mm() == pytest.approx(2.0 * math.hypot(1000.0, 100.0))


def test_cap_follows_the_sheer() -> None:
    """Area is about width times length; rolled out it's a little longer than in plan."""
    cap = shape('kind = "cap"\nalong = "sheer"\nwidth = 140\nto = 4560', LINES)
    plan = shape('kind = "cap"\nalong = "sheer"\nwidth = 140\nto = 4560\nrise = "plan"', LINES)
    ruler = rail_ruler(table('line = "sheer"\nto = 4560'), LINES)
    assert ruler is not None
    length = ruler.length_mm
    long, flat = (bounds_mm(s.outline.points)[2] for s in (cap, plan))

    assert shape_area_mm2(cap) == pytest.approx(140.0 * length, rel=0.03)
    assert flat == pytest.approx(4560.0, abs=0.2)
    assert 5.0 < long - flat < 20.0
    assert bounds_mm(plan.outline.points)[3] == pytest.approx(785.3, abs=1.0)


def test_cap_of_a_band_too_wide_is_refused() -> None:
    """A metre-wide cap can't follow the bow."""
    assert "radius of" in faults('kind = "cap"\nalong = "sheer"\nwidth = 2000', LINES)[0]


def test_developed_side_has_station_lines() -> None:
    """Side panel: edges as long as their lines, marks at the frames, a note that it lies flat."""
    readings = table(
        'kind = "developed"\nlower = "chine"\nupper = "sheer"\nmark_at = [1100, 2400]\n'
        'mark_names = ["frame 1", "frame 3"]'
    )
    built = build_shape(readings, known=LINES)
    assert built is not None

    assert [m.label for m in built.shape.marks] == ["frame 1", "frame 3"]
    assert [f.code for f in built.findings] == ["SHP-012"]
    x0, _, x1, _ = bounds_mm(built.shape.outline.points)
    assert x1 - x0 == pytest.approx(4887.0, abs=2.0)


def test_panel_that_no_sheet_can_be_is_warned_of() -> None:
    """Two crossing straight lines: twist and stretch are told."""
    lines = Known(
        lines=dict(
            line(t)
            for t in (
                'name = "low"\nstations = [0, 1000]\nhalf_breadths = [0, 0]\nheights = [0, 0]',
                'name = "high"\nstations = [0, 1000]\nhalf_breadths = [0, 700]\n'
                "heights = [500, 500]",
            )
        )
    )
    built = build_shape(table('kind = "developed"\nlower = "low"\nupper = "high"'), known=lines)
    assert built is not None

    assert [f.code for f in built.findings] == ["SHP-013"]


def test_misread_offset_is_pointed_at() -> None:
    """A panel of eleven stations with one offset half an inch out."""
    stations = [300 * k for k in range(11)]
    offsets = [420 - (x - 1500) ** 2 / 30000 for x in stations]
    offsets[6] += 12.7
    readings = table(f'kind = "panel"\nstations = {stations}\nupper = {offsets}')
    built = build_shape(readings)
    assert built is not None
    (found,) = built.findings

    assert found.where == "part[1].shape.upper[6]"
    assert (
        "430 mm lies 12.7 mm above a fair line; 417 mm would lie" in tell(found, Speech()).message
    )
    assert not found.is_blocking


# -- parts from parts --


def test_doubler_around_a_hole_of_a_named_part() -> None:
    """A ring of 40 mm around the hole of another part."""
    ring = shape('kind = "doubler"\nof = "panel"\nmargin = 40', FLOOR)

    assert shape_area_mm2(ring) == pytest.approx(math.pi * (100.0**2 - 60.0**2))


def test_strap_along_an_edge_of_a_named_part() -> None:
    """A strap along the top edge, with a hole of its own."""
    strap = shape(
        'kind = "strap"\nof = "panel"\nedge = "top"\nwidth = 80\nholes = [{ diameter = 20 }]', FLOOR
    )

    assert shape_area_mm2(strap) == pytest.approx(72000.0 - math.pi * 100.0)


def test_unknown_part_is_refused() -> None:
    """Parts that are referred to come first."""
    assert "there is no part 'lid'" in faults('kind = "doubler"\nof = "lid"\nmargin = 4', FLOOR)[0]


# -- entries --

BOX = """
name = "seat box"
material = "ply"
thickness = 6
hand = "pair"
drawn = "starboard"
length = 900
width = 300
height = 260
slopes = { fore = 10, aft = 10, port = 15 }
"""


def test_box_gives_its_walls() -> None:
    """Four walls for each hand, seen from outside, with bevels in words and a volume note."""
    built = entry("tapered_box", BOX + "foam = 32")
    names = [p.name for p in built.sheet_parts]

    assert names == [f"seat box {w} wall" for w in ("fore", "inboard", "aft", "outboard")]
    assert {(p.hands, p.drawn) for p in built.sheet_parts} == {(Hands.PAIR, Hand.STARBOARD)}
    first = built.sheet_parts[0].edge_bevels[0]
    assert (first.name, first.larger) == ("bottom edge", Face.BACK)
    assert first.tilt_deg == pytest.approx((10.0, 10.0))
    (line,) = first.lines
    assert line[0][1] == line[1][1] == 0.0
    (note,) = built.findings
    assert "litres" in tell(note, Speech()).message
    assert "local rules" in tell(note, Speech()).message


def test_box_with_everything() -> None:
    """Bottom between the walls, lid with a frame under it, cleats."""
    built = entry(
        "tapered_box",
        BOX + 'bottom = "inside"\nlid = { overhang = 10, radius = 25, frame = 45, thickness = 9 }\n'
        'cleats = { section = [20, 30], material = "larch" }\ncorners = "mitre"',
    )
    parts = {p.name: p for p in built.sheet_parts}
    lid = to_polygon(parts["seat box lid"].shape)

    assert lid.bounds == pytest.approx((0.0, 0.0, 920.0, 320.0))
    assert len(parts["seat box lid frame"].shape.holes) == 1
    assert parts["seat box lid frame"].thickness_mm == 9.0
    bottom = parts["seat box bottom"]
    fore = bottom.edge_bevels[0]
    assert (fore.name, fore.larger, fore.tilt_deg) == ("fore edge", Face.GOOD, (10.0, 10.0))
    assert {p[0] for p in fore.lines[0]} == {to_polygon(bottom.shape).bounds[2]}
    assert [r.count for r in built.rail_parts] == [2, 2]
    long, cross = (r.length_mm for r in built.rail_parts)
    assert 880.0 < long < 900.0
    assert 245.0 < cross < 260.0


def test_what_is_fitted_in_a_box_is_taken_off_its_volume() -> None:
    """A straight box 1000 x 400 x 300 mm inside: bottom 6 mm, cleats of 20 x 30 mm (by hand)."""
    plain = """
name = "box"
material = "ply"
thickness = 6
length = 1000
width = 400
height = 300
measured = "inside"
foam = 32
"""
    fitted = plain + 'bottom = "inside"\ncleats = { section = [20, 30], material = "larch" }\n'
    (bare,), (less,) = (entry("tapered_box", text).findings for text in (plain, fitted))
    cleats = (2 * 1000 + 2 * 360) * 20 * 30 * 1e-6
    assert dict(bare.values)["litres"] == "120"
    left = 120.0 - 1000 * 400 * 6e-6 - cleats
    assert dict(less.values)["litres"] == str(int(left))
    assert dict(less.values)["bears"] == int(left * (1.0 - 0.032))


def test_box_faults() -> None:
    """All met in one go, with their places."""
    found = entry_faults("tapered_box", 'name = "box"\nlength = 0\nwidth = 5\nslopes = { foe = 1 }')
    assert any(f.startswith("tapered_box[1].length:") for f in found)
    assert any("unknown key 'foe'" in f for f in found)


def test_steep_box_is_warned_of() -> None:
    """A wall at 50 degrees."""
    built = entry("tapered_box", BOX.replace("fore = 10", "fore = 50"))

    assert [f.code for f in built.findings] == ["SHP-021", "SHP-020", "SHP-020"]


def test_slats_become_rails_by_length() -> None:
    """Six slats over a trapezoid, each a length of its own, with its end angles."""
    built = entry(
        "slats",
        'name = "floor slat"\nmaterial = "larch"\nover = "floor"\nsection = [20, 90]\ngap = 12\n'
        'through = 5\nmiddle = "edge"\nclearance = 3',
        FLOOR,
    )
    lengths = [r.length_mm for r in built.rail_parts]

    assert lengths == sorted(lengths, reverse=True)
    assert sum(r.count for r in built.rail_parts) == 5
    assert all(r.joint is None for r in built.rail_parts)
    assert built.rail_parts[0].end_angles_deg[0] == pytest.approx(
        math.degrees(math.atan2(600, 100)), abs=0.01
    )


def test_alike_slats_are_counted() -> None:
    """Over a rectangle all slats are one line of the list."""
    built = entry(
        "slats",
        'name = "slat"\nover = "panel"\nsection = [12, 60]\ngap = 10\ndirection = 90\n'
        'through = 0\nmiddle = "edge"\njoints = "allowed"',
        FLOOR,
    )
    counts = sorted((round(r.length_mm), r.count) for r in built.rail_parts)

    assert counts[-1][0] == 500
    assert built.rail_parts[0].joint is not None


def test_cleats_and_fillets_follow_an_edge() -> None:
    """A cleat 10 mm clear of both ends, a fillet blank for a 25 mm cove."""
    (cleat,) = entry(
        "cleats",
        'name = "cleat"\nof = "panel"\nedge = "bottom"\nsection = [20, 20]\nshort = 10',
        FLOOR,
    ).rail_parts
    (fillet,) = entry(
        "fillets", 'name = "fillet"\nof = "panel"\nedge = "left"\nradius = 25', FLOOR
    ).rail_parts

    assert cleat.length_mm == pytest.approx(880.0)
    assert (fillet.thickness_mm, fillet.width_mm, fillet.length_mm) == pytest.approx(
        (25.0, 25.0, 500.0)
    )


def test_every_kind_has_a_reader_and_a_fault() -> None:
    """An empty table of any kind is a fault, never a traceback."""
    for kind in ShapeKind:
        assert faults(f'kind = "{kind}"', FLOOR)
    for name in SHAPE_ENTRIES:
        assert entry_faults(name, "", FLOOR)


def test_bare_numbers_need_a_unit() -> None:
    """Without a job-wide unit a bare number is a fault with its key path."""
    readings = table('kind = "rectangle"\nlength = 300\nwidth = "20 mm"', bare=None)
    assert build_shape(readings) is None
    assert readings.book.findings[0].where == "part[1].shape.length"
    assert build_shape(table('kind = "rectangle"\nlength = 3\nwidth = 2', Unit.INCH)) is not None


def test_impossible_offset_is_pointed_at() -> None:
    """Twelve inches or eight eighths don't exist; the finding names the reading and the digit."""
    found = faults(
        'kind = "panel"\nwritten = "feet-inches-eighths"\nstations = [0, 500, 900]\n'
        'upper = ["1-3-0", "1-12-0", "1-2-8"]'
    )

    assert any("upper[1]" in f and "inches go from 0 to 11 (at character 3)" in f for f in found)
    assert any("upper[2]" in f and "eighths go from 0 to 7 (at character 5)" in f for f in found)
