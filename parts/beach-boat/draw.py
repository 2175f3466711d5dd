"""Draws the invented 4.7 m single-chine beach boat: ``python parts/beach-boat/draw.py``.

Writes ``drawings/*.dxf`` beside this file; the same bytes on every run.
"""

from __future__ import annotations

import itertools
import math
from pathlib import Path

from hull import (
    CHINE_LINE,
    KEEL_LINE,
    SHEER_LINE,
    Point,
    at_station,
    bottom_panel,
    section,
    side_panel,
)
from pen import Corner, Pen, notched, rounded, sharp

from nestcut.shapes.hull.band import Lay, Rise, band_along, flat_line
from nestcut.shapes.hull.development import Development, outline_of, station_mark
from nestcut.shapes.hull.spaceline import SpaceLine

HERE = Path(__file__).parent
FRAMES = {"frame 1": 1100.0, "frame 2": 1700.0, "frame 3": 2400.0}
RING = ("mast frame", 3050.0)
BULKHEADS = {"aft bulkhead": 500.0, "fore bulkhead": 3700.0}
PLANK = 6.0
STATIONS = {**BULKHEADS, **FRAMES, RING[0]: RING[1]}


# -- hull panels --


def panel(
    pen: Pen, name: str, flat: Development, lines: tuple[SpaceLine, SpaceLine], at: Point
) -> None:
    """One developed panel with its station lines."""
    pen.curves(outline_of(flat), at, layer=name)
    for station, x in STATIONS.items():
        mark = station_mark(flat, *lines, 0, x, station)
        if mark is not None:
            pen.mark_through(_shifted(list(mark.points), at), station)
    pen.label(name, (at[0] + 1950, at[1] + 180))


def _shifted(points: list[Point], by: Point) -> list[Point]:
    return [(x + by[0], y + by[1]) for x, y in points]


def draw_hull() -> None:
    """Side and bottom panels, starboard, seen from outside."""
    pen = Pen(text_height=40)
    panel(pen, "side panel", side_panel(), (CHINE_LINE, SHEER_LINE), (0, 0))
    panel(pen, "bottom panel", bottom_panel(), (KEEL_LINE, CHINE_LINE), (0, 900))
    pen.save(HERE / "drawings" / "hull.dxf")


# -- frames, bulkheads, transom --


TRANSOM = 18.0
"""Thickness of the transom, which stands on the hull's after end. [mm]"""


def _inside(x: float, plank: float = PLANK) -> tuple[Point, Point, Point]:
    """Half section inside the planking: keel, chine, sheer."""
    keel, chine, sheer = section(x)
    rise = math.atan2(chine[1] - keel[1], chine[0])
    lean = math.atan2(sheer[0] - chine[0], sheer[1] - chine[1])
    lift = plank / math.cos(rise)
    inner_keel = (0.0, keel[1] + lift)
    cut = plank / math.cos(lean)
    inner_sheer = (sheer[0] - cut, sheer[1])
    # bottom line through inner_keel, side line through inner_sheer
    slope_b, slope_s = math.tan(rise), math.tan(lean)
    z = (inner_keel[1] + slope_b * (inner_sheer[0] - slope_s * sheer[1])) / (1 - slope_b * slope_s)
    return inner_keel, (inner_sheer[0] - slope_s * (sheer[1] - z), z), inner_sheer


def _hull_edge(x: float, keel_bite: float, chine_bite: float) -> list[Corner]:
    """Outer edge port sheer -> keel -> starboard sheer, counter-clockwise for a frame."""
    keel, chine, sheer = _inside(x)
    return [
        *sharp((-sheer[0], sheer[1])),
        notched(-chine[0], chine[1], chine_bite),
        notched(keel[0], keel[1], keel_bite),
        notched(chine[0], chine[1], chine_bite),
        *sharp((sheer[0], sheer[1])),
    ]


def _side_at(x: float, z: float) -> float:
    """Half-breadth of the inside of the side at height ``z``."""
    _, chine, sheer = _inside(x)
    return chine[0] + (sheer[0] - chine[0]) * (z - chine[1]) / (sheer[1] - chine[1])


def u_frame(pen: Pen, name: str, x: float, at: Point) -> None:
    """U-shaped frame: sides 75 wide, floor level 110 above the keel, limber holes."""
    keel, _, sheer = _inside(x)
    floor = keel[1] + 145
    corners = _hull_edge(x, 25, 22)
    corners += sharp((sheer[0] - 75, sheer[1]))
    corners.append(rounded(_side_at(x, floor) - 85, floor, 60))
    corners.append(rounded(-(_side_at(x, floor) - 85), floor, 60))
    corners += sharp((-(sheer[0] - 75), sheer[1]))
    pen.outline(corners, at)
    pen.label(name, (at[0] - 120, at[1] + keel[1] + 85))


def ring_frame(pen: Pen, name: str, x: float, at: Point) -> None:
    """Frame with a deck beam: a ring with one big hole."""
    keel, _, sheer = _inside(x)
    floor, beam = keel[1] + 150, sheer[1] - 80
    pen.outline(_hull_edge(x, 25, 22), at)
    hole = [
        rounded(-(_side_at(x, floor) - 85), floor, 60),
        rounded(_side_at(x, floor) - 85, floor, 60),
        rounded(_side_at(x, beam) - 85, beam, 60),
        rounded(-(_side_at(x, beam) - 85), beam, 60),
    ]
    pen.outline(hole, at)
    pen.label(name, (at[0] - 120, at[1] + keel[1] + 90))


def bulkhead(pen: Pen, name: str, x: float, at: Point, hatch: tuple[float, float]) -> None:
    """Bulkhead with a rounded hatch hole and a limber hole at the keel."""
    keel, _, sheer = _inside(x)
    pen.outline(_hull_edge(x, 20, 15), at)
    wide, high = hatch
    middle = (keel[1] + sheer[1]) / 2 + 40
    pen.outline(
        [
            rounded(sx * wide / 2, middle + sz * high / 2, 50)
            for sx, sz in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        ],
        at,
    )
    pen.label(name, (at[0] - 150, at[1] + keel[1] + 60))


def transom(pen: Pen, at: Point) -> None:
    """Transom with a crowned top (an arc) and a sculling notch; drawn as loose lines and arcs.

    The hull widens forward, so its fore face is the larger: the section there is drawn, and the
    edges are bevelled towards the after face.
    """
    keel, chine, sheer = _inside(TRANSOM)
    p = _shifted([(-sheer[0], sheer[1]), (-chine[0], chine[1]), keel, chine, sheer], at)
    for a, b in itertools.pairwise(p):
        pen.line(a, b)
    notch = 45.0
    sag = 40.0
    chord = 2 * sheer[0]
    radius = chord**2 / (8 * sag) + sag / 2
    centre_z = sheer[1] + sag - radius
    top = centre_z + math.sqrt(radius**2 - notch**2)
    centre = (at[0], at[1] + centre_z)
    for side in (1, -1):
        end = math.degrees(math.atan2(sheer[1] - centre_z, side * sheer[0]))
        inner = math.degrees(math.atan2(top - centre_z, side * notch))
        angles = (end, inner) if side > 0 else (inner, end)
        pen.space.add_arc(centre, radius, *angles, dxfattribs={"layer": "outline"})
        pen.line((at[0] + side * notch, at[1] + top), (at[0] + side * notch, at[1] + top - 35))
    pen.space.add_arc((at[0], at[1] + top - 35), notch, 180, 360, dxfattribs={"layer": "outline"})
    pen.label("transom", (at[0] - 80, at[1] + 250))


def draw_frames() -> None:
    """Everything that stands across the boat."""
    pen = Pen()
    for i, (name, x) in enumerate(FRAMES.items()):
        u_frame(pen, name, x, (1800.0 * i, 0))
    ring_frame(pen, RING[0], RING[1], (5400, 0))
    bulkhead(pen, "aft bulkhead", BULKHEADS["aft bulkhead"], (0, -900), (320, 220))
    bulkhead(pen, "fore bulkhead", BULKHEADS["fore bulkhead"], (1800, -900), (320, 220))
    transom(pen, (3600, -900))
    for i, name in enumerate(("aft hatch lid", "fore hatch lid")):
        pen.outline(_box(380, 280, 60), (4800 + 500 * i, -800))
        pen.label(name, (4850 + 500 * i, -670))
    for i, name in enumerate(("aft coaming", "fore coaming")):
        pen.outline(_box(380, 280, 60), (4800 + 500 * i, -400))
        pen.outline(_box(320, 220, 50, 30, 30), (4800 + 500 * i, -400))
        pen.label(name, (4850 + 500 * i, -390), 12)
    pen.save(HERE / "drawings" / "frames.dxf")


def _box(wide: float, high: float, radius: float, x: float = 0, y: float = 0) -> list[Corner]:
    if radius == 0:
        return sharp((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))
    return [
        rounded(x, y, radius),
        rounded(x + wide, y, radius),
        rounded(x + wide, y + high, radius),
        rounded(x, y + high, radius),
    ]


# -- interior --


def seat_box(pen: Pen, at: Point) -> None:
    """Tapered box: 900 long, 300 wide at the top, sides lean in 10 and 15 degrees downward."""
    high, long, wide = 260.0, 900.0, 300.0
    lean_side, lean_end = math.tan(math.radians(15)), math.tan(math.radians(10))
    slant_side, slant_end = high * math.hypot(1, lean_side), high * math.hypot(1, lean_end)
    inner = sharp(
        (high * lean_end, 0), (long - high * lean_end, 0), (long, slant_side), (0, slant_side)
    )
    pen.outline(inner, at)
    pen.label("box inner side", (at[0] + 300, at[1] + 110))
    outer = sharp((high * lean_end, 0), (long - high * lean_end, 0), (long, high), (0, high))
    pen.outline(outer, (at[0] + 1000, at[1]))
    pen.label("box outer side", (at[0] + 1300, at[1] + 110))
    end = sharp((0, 0), (wide - high * lean_side, 0), (wide, slant_end), (0, slant_end))
    for i, name in enumerate(("box aft end", "box fore end")):
        pen.outline(end, (at[0] + 2000 + 400 * i, at[1]))
        pen.label(name, (at[0] + 2020 + 400 * i, at[1] + 110), 20)
    lid = [*sharp((0, 0)), rounded(long + 20, 0, 25), rounded(long + 20, wide + 20, 60)]
    lid.append(rounded(0, wide + 20, 60))
    pen.outline(lid, (at[0] + 2900, at[1]))
    pen.label("box lid", (at[0] + 3250, at[1] + 150))
    pen.outline(sharp((0, 0), (840, 0), (840, 45), (0, 45)), (at[0] + 2900, at[1] + 400))
    pen.label("box lid doubler", (at[0] + 3150, at[1] + 412), 20)


def thwart(pen: Pen, name: str, x: float, deep: float, at: Point) -> None:
    """Thwart between the sides at height 360: ends follow the sides, hollowed edges are arcs."""
    z = 360.0
    aft, fore = _side_at(x - deep / 2, z) - 2, _side_at(x + deep / 2, z) - 2
    a, b = (at[0] - aft, at[1]), (at[0] + aft, at[1])
    c, d = (at[0] + fore, at[1] + deep), (at[0] - fore, at[1] + deep)
    pen.line(a, b)
    pen.line(b, c)
    pen.arc_through(d, c, 18)
    pen.line(d, a)
    pen.label(name, (at[0] - 150, at[1] + deep / 2 - 20))


def half_deck(pen: Pen, name: str, from_x: float, to_x: float, at: Point) -> None:
    """Half of a deck between two stations, port, from the centre line to the sheer."""
    edge = [at_station(SHEER_LINE, from_x + (to_x - from_x) * i / 12) for i in range(13)]
    points = [(at[0] + p[0] - from_x, at[1] + p[1]) for p in edge]
    start, end = (at[0], at[1]), (at[0] + to_x - from_x, at[1])
    pen.line(start, end)
    pen.line(end, points[-1])
    pen.fair(points)
    pen.line(points[0], start)
    pen.label(name, (at[0] + 200, at[1] + 150))


def whole_deck(pen: Pen, name: str, from_x: float, to_x: float, at: Point) -> None:
    """Deck across the boat between two stations."""
    for side in (1, -1):
        edge = [at_station(SHEER_LINE, from_x + (to_x - from_x) * i / 8) for i in range(9)]
        pen.fair([(at[0] + p[0] - from_x, at[1] + side * p[1]) for p in edge])
    for x in (from_x, to_x):
        half = at_station(SHEER_LINE, x)[1]
        pen.line((at[0] + x - from_x, at[1] - half), (at[0] + x - from_x, at[1] + half))
    pen.label(name, (at[0] + 100, at[1]))


def draw_interior() -> None:
    """Decks, seats, thwarts, centreboard case."""
    pen = Pen()
    seat_box(pen, (0, 0))
    thwart(pen, "main thwart", 2400, 240, (800, 800))
    thwart(pen, "aft thwart", 1100, 220, (2600, 800))
    half_deck(pen, "foredeck", 3700, 4690, (0, 1300))
    whole_deck(pen, "aft deck", 0, 500, (1600, 2000))
    pen.outline(
        [
            *sharp((0, 0), (980, 0)),
            rounded(940, 400, 40),
            rounded(120, 400, 90),
        ],
        (2600, 1400),
    )
    pen.label("case side", (2950, 1560))
    pen.outline(_box(900, 90, 20), (2600, 1950))
    pen.outline(_box(760, 24, 12, 70, 33), (2600, 1950))
    pen.label("case cap", (2640, 1957), 14)
    pen.save(HERE / "drawings" / "interior.dxf")


# -- caps along the sheer --


def draw_caps() -> None:
    """Cap 140 wide inside the sheer, port, seen from above, the rise of the sheer rolled out.

    It runs from the transom to 300 mm on to the foredeck.
    """
    pen = Pen()
    line = flat_line(SHEER_LINE, Rise.ROLLED_OUT)
    band = band_along(line, 140.0, Lay.INSIDE, (0.0, SHEER_LINE.where(0, 4000.0)))
    pen.curves(band.outline, (0.0, 0.0), layer="cap")
    pen.label("sheer cap", (1800, 700))
    pen.save(HERE / "drawings" / "caps.dxf")


# -- small parts and blades --


def knee(pen: Pen, name: str, size: tuple[float, float, float], at: Point) -> None:
    """Knee between two straight arms (lengths, angle in degrees), a hollow arc between the tips."""
    long, tall, opening = size[0], size[1], math.radians(size[2])
    end = (at[0] + tall * math.cos(opening), at[1] + tall * math.sin(opening))
    tip = (at[0] + long, at[1])
    nose = 35.0
    p = (tip[0], tip[1] + nose)
    q = (end[0] + nose * math.sin(opening), end[1] - nose * math.cos(opening))
    pen.line(at, tip)
    pen.line(tip, p)
    chord = math.dist(p, q)
    pen.arc_through(q, p, chord * 0.16)
    pen.line(q, end)
    pen.line(end, at)
    pen.label(name, (at[0] + 22, at[1] + 22), 12)


def breasthook(pen: Pen, at: Point) -> None:
    """Breasthook between the sheers at the stem: fair sides, hollow aft edge."""
    xs = [4330 + 330 * i / 6 for i in range(7)]
    for side in (1, -1):
        pen.fair(
            [(at[0] + x - 4330, at[1] + side * (at_station(SHEER_LINE, x)[1] - 6)) for x in xs]
        )
    half, tip = at_station(SHEER_LINE, 4330)[1] - 6, at_station(SHEER_LINE, 4660)[1] - 6
    pen.line((at[0] + 330, at[1] - tip), (at[0] + 330, at[1] + tip))
    a, b = (at[0], at[1] + half), (at[0], at[1] - half)
    pen.arc_through(b, a, 70)
    pen.label("breasthook", (at[0] + 90, at[1] - 8), 16)


def draw_blades() -> None:
    """Centreboard, rudder, tiller, skeg: arcs, an ellipse, splines."""
    pen = Pen()
    # centreboard: straight edges, a rounded heel about the pivot, a tip that is an elliptic arc
    pen.line((180, 0), (900, 0))
    pen.line((900, 300), (180, 300))
    pen.space.add_arc((180, 150), 150, 90, 270, dxfattribs={"layer": "outline"})
    pen.space.add_ellipse(
        (900, 150),
        major_axis=(0, 150),
        ratio=0.8,
        start_param=math.pi,
        end_param=2 * math.pi,
        dxfattribs={"layer": "outline"},
    )
    pen.circle((180, 150), 12)
    pen.label("centreboard", (400, 130))
    # rudder blade
    pen.fair(
        [(1400, 0), (1420, 200), (1410, 420), (1370, 640), (1320, 760)],
    )
    pen.line((1320, 760), (1210, 720))
    pen.fair([(1210, 720), (1190, 500), (1180, 250), (1190, 0)])
    pen.line((1190, 0), (1400, 0))
    pen.circle((1295, 60), 10)
    pen.label("rudder blade", (1210, 300), 18)
    # rudder cheek
    pen.outline(
        [
            *sharp((0, 0)),
            rounded(240, 0, 50),
            rounded(260, 280, 60),
            rounded(140, 420, 40),
            *sharp((0, 420)),
        ],
        (1600, 0),
    )
    pen.circle((1720, 60), 10)
    pen.label("rudder cheek", (1625, 200), 18)
    # tiller
    pen.fair([(2000, 20), (2400, 40), (2800, 25), (3120, 15)])
    pen.space.add_arc((3120, 32.5), 17.5, 270, 90, dxfattribs={"layer": "outline"})
    pen.fair([(3120, 50), (2800, 68), (2400, 92), (2000, 80)])
    pen.line((2000, 80), (2000, 20))
    pen.label("tiller", (2300, 50), 18)
    # skeg under the aft keel
    keel = [(2000.0 + x, 290 + at_station(KEEL_LINE, x)[2]) for x in range(0, 1201, 200)]
    foot = 300 - 95.0
    pen.fair(keel)
    pen.line(keel[0], (2000, foot))
    pen.line((2000, foot), (2250, foot))
    pen.line((2250, foot), keel[-1])
    pen.label("skeg", (2120, 265), 18)
    pen.save(HERE / "drawings" / "blades.dxf")


def draw_small() -> None:
    """Knees, breasthook, mast step and partner, rowlock pads, transom pad."""
    pen = Pen()
    knee(pen, "quarter knee", (260, 230, 99), (100, 0))
    knee(pen, "thwart knee", (170, 200, 104), (600, 0))
    knee(pen, "mast knee", (190, 190, 90), (1000, 0))
    knee(pen, "transom knee", (300, 260, 97), (1400, 0))
    breasthook(pen, (1900, 150))
    pen.outline(_box(320, 140, 20), (0, 500))
    pen.outline(sharp((125, 45), (195, 45), (195, 95), (125, 95)), (0, 500))
    pen.label("mast step", (10, 560), 14)
    half = _side_at(RING[1], section(RING[1])[2][1] - 1)
    partner = [*sharp((-half, 0), (half, 0)), rounded(half - 60, 150, 30)]
    partner.append(rounded(-half + 60, 150, 30))
    pen.outline(partner, (1300, 500))
    pen.circle((1300, 575), 38)
    pen.label("mast partner", (1050, 560), 20)
    pen.outline(_box(260, 70, 25), (0, 750))
    pen.circle((130, 785), 7)
    pen.label("rowlock pad", (30, 765), 10)
    pen.outline([*sharp((0, 0), (420, 0)), rounded(380, 230, 40), rounded(40, 230, 40)], (500, 750))
    pen.label("transom pad", (590, 850), 20)
    pen.save(HERE / "drawings" / "small.dxf")


if __name__ == "__main__":
    draw_hull()
    draw_frames()
    draw_interior()
    draw_caps()
    draw_blades()
    draw_small()
