"""Whole boats drawn as different people and programs write them; each with its parts."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from ezdxf.filemanagement import new
from shapely.geometry import Polygon

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

Points = list[tuple[float, float]]


def _ring(space: Modelspace, points: Points, layer: str = "0") -> None:
    space.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})


def _rectangle(space: Modelspace, x: float, y: float, w: float, h: float, layer: str = "0") -> None:
    _ring(space, [(x, y), (x + w, y), (x + w, y + h), (x, y + h)], layer)


def _text(
    space: Modelspace, text: str, x: float, y: float, h: float = 25, layer: str = "0"
) -> None:
    space.add_text(text, height=h, dxfattribs={"layer": layer}).set_placement((x, y))


def _full_knots(space: Modelspace, points: Points, layer: str) -> None:
    """Bezier pieces written as one spline whose inner knots are all full."""
    control: list[tuple[float, float, float]] = []
    for (ax, ay), (bx, by) in pairwise(points):
        control += [(ax + t * (bx - ax), ay + t * (by - ay), 0.0) for t in (0.0, 1 / 3, 2 / 3)]
    control.append((*points[-1], 0.0))
    n = len(points) - 1
    spline = space.add_spline(dxfattribs={"layer": layer})
    spline.dxf.degree = 3
    spline.control_points = control
    spline.knots = [0.0] * 4 + [float(k) for k in range(1, n) for _ in range(3)] + [float(n)] * 4


def skiff(path: Path) -> None:
    """Layers, double border, title block, stations as circles, edge view, half frames."""
    document = new("R2010")
    document.header["$INSUNITS"] = 4
    space = document.modelspace()
    document.layers.add("OLD").freeze()
    document.linetypes.add("CENTER", pattern=[50, 32, -6, 6, -6])
    _rectangle(space, -500, -500, 10_000, 6500, "BORDER")
    _rectangle(space, -450, -450, 9900, 6400, "BORDER")
    for i, words in enumerate(["SKIFF 14", "DRAWN BY: N.N.", "SCALE 1:10", "SHEET 1 OF 2"]):
        _rectangle(space, 7000, -450 + 150 * i, 2450, 150, "TITLE")
        _text(space, words, 7050, -400 + 150 * i, 60, "TITLE")
    lower = [(700.0 * i, 120 * (i / 3 - 1) ** 2 * i / 6) for i in range(7)]
    upper = [(700.0 * i, 430 + 160 * (i / 6) ** 2) for i in range(7)]
    for line in (lower, upper):
        _full_knots(space, line, "HULL")
    for a, b in ((lower[0], upper[0]), (lower[-1], upper[-1])):
        space.add_line(a, b, dxfattribs={"layer": "HULL"})
    _text(space, "SIDE PANEL  MAKE 2 (P&S)  6mm ply", 1200, 250, 60, "TEXT")
    _rectangle(space, 0, -60, 4200, 6, "HULL")
    port = [(0.0, 1200.0)]
    port += [
        (600.0 * i, 1200 - 480 * math.sin(math.pi * (i / 7) ** 0.8 * 0.93)) for i in range(1, 7)
    ]
    port += [(4200.0, 950.0)]
    starboard = [(x, 2400 - y) for x, y in port]
    for line in (port, starboard):
        _full_knots(space, line, "HULL")
    space.add_line(port[-1], starboard[-1], dxfattribs={"layer": "HULL"})
    _text(space, "BOTTOM 9mm", 1800, 1150, 60, "TEXT")
    for i in range(1, 7):
        space.add_circle((600 * i, 1900), 40, dxfattribs={"layer": "STATIONS"})
        _text(space, str(i), 600 * i - 15, 1880, 40, "STATIONS")
        space.add_line((600 * i, 600), (600 * i, 1860), dxfattribs={"layer": "STATIONS"})
    for i, (w, h) in enumerate([(450, 380), (560, 420), (520, 450)]):
        x, y = 5000 + 1400 * i, 3000
        half = [(x, y), (x + 0.75 * w, y), (x + w, y + h), (x, y + h)]
        space.add_lwpolyline(half, dxfattribs={"layer": "FRAMES"})
        centre = {"layer": "STATIONS", "linetype": "CENTER"}
        space.add_line((x, y - 60), (x, y + h + 60), dxfattribs=centre)
        _text(space, f"FRAME {i + 1} (HALF) 9mm", x + 40, y + h / 2, 30, "TEXT")
    _ring(space, [(5000, 4200), (5700, 4200), (5860, 4600), (4840, 4600)], "FRAMES")
    space.add_circle((5350, 4500), 30, dxfattribs={"layer": "FRAMES"})
    _text(space, "TRANSOM 12mm", 5150, 4350, 40, "TEXT")
    _ring(space, [(7000, 4200), (7200, 4200), (7000, 4400)], "FRAMES")
    _text(space, "KNEE x 6 12mm", 7210, 4300, 30, "TEXT")
    _rectangle(space, 7000, 4700, 1300, 250, "FRAMES")
    _text(space, "THWART 12mm 2 OFF", 7300, 4800, 40, "TEXT")
    space.add_linear_dim(
        base=(0, -200), p1=(0, 0), p2=(4200, 0), dxfattribs={"layer": "DIM"}
    ).render()
    _rectangle(space, -100, -100, 4500, 2600, "OLD")
    _text(space, "OLD HULL", 100, 100, 50, "OLD")
    document.saveas(path)


def dinghy(path: Path) -> None:
    """R12 without a unit, loose lines, one layer, marker discs along an edge, one part twice."""
    document = new("R12")
    space = document.modelspace()

    def loose(points: Points, off: float = 0.0) -> None:
        for i, a in enumerate(points):
            b = points[(i + 1) % len(points)]
            if i == len(points) - 1:
                b = (b[0] + off, b[1])
            space.add_line(a, b, dxfattribs={"layer": "PLY"})

    def named(words: str, x: float, y: float, h: float = 1.5) -> None:
        _text(space, words, x, y, h, "PLY")

    edge = [(2.4 * i, 22 * math.sin(math.pi * (i / 80 + 0.22)) - 8) for i in range(41)]
    whole = [(x, -y) for x, y in edge] + edge[::-1]
    space.add_polyline2d(whole, close=True, dxfattribs={"layer": "PLY"})
    named('BOTTOM 1/4" PLY', 36, 0, 2)
    for i in range(19):
        x, y = edge[2 * i + 1]
        space.add_circle((x, y + 3), 0.75, dxfattribs={"layer": "PLY"})
        named(chr(65 + i), x - 0.3, y + 2.7, 0.8)
    lower = [(4.8 * i, 40 + 2 * math.sin(0.15 * i)) for i in range(21)]
    upper = [(4.8 * i, 56 + 3 * (i / 20) ** 2) for i in range(21)]
    side = lower + upper[::-1]
    space.add_polyline2d(side, close=True, dxfattribs={"layer": "PLY"})
    named("SIDE - PORT", 40, 47, 2)
    other = [(x, 140 - y) for x, y in side]
    space.add_polyline2d(other, close=True, dxfattribs={"layer": "PLY"})
    named("SIDE - STBD", 40, 92, 2)
    loose([(110, 0), (146, 0), (150, 16), (106, 16)], off=0.003)
    named("STERN TRANSOM", 115, 8)
    loose([(110, 30), (134, 30), (137, 44), (107, 44)])
    named("BOW TRANSOM", 112, 36)
    loose([(110, 60), (150, 60), (154, 76), (106, 76)])
    named("BULKHEAD", 112, 62)
    loose([(120, 64), (140, 64), (140, 72), (120, 72)])
    named("CUT OUT", 124, 68, 1)
    board = [(110.0, 90.0), (122.0, 90.0), (122.0, 130.0), (110.0, 130.0)]
    loose(board)
    loose([(x + 0.003, y + 0.003) for x, y in board])
    named("DAGGERBOARD", 111, 110, 1.2)
    document.saveas(path)
    text = path.read_text(encoding="cp1252")
    silent = re.sub(r"  9\n\$INSUNITS\n 70\n *\d+\n", "", text)
    path.write_text(silent, encoding="cp1252")


def router_sheets(path: Path) -> None:
    """Parts as blocks on drawn sheets, tool paths round them on a layer of their own, in cm."""
    document = new("R2000")
    document.header["$INSUNITS"] = 5
    space = document.modelspace()

    def block(name: str, points: Points, drilled: Points = [], label: str = "") -> None:  # noqa: B006
        made = document.blocks.new(name)
        made.add_lwpolyline(points, close=True, dxfattribs={"layer": "CUT"})
        for x, y in drilled:
            made.add_circle((x, y), 0.3, dxfattribs={"layer": "DRILL"})
        path_of_tool = list(Polygon(points).buffer(0.32, join_style="mitre").exterior.coords)[:-1]
        made.add_lwpolyline(path_of_tool, close=True, dxfattribs={"layer": "TOOLPATH"})
        if label:
            made.add_text(label, height=2, dxfattribs={"layer": "ENGRAVE"}).set_placement((5, 5))

    block("SIDE_A", [(0, 0), (120, 4), (230, 2), (230, 38), (120, 34), (0, 30)],
          [(4, 4), (226, 6), (226, 30), (4, 26)], "A")  # fmt: skip
    block("SIDE_B", [(0, 2), (150, 0), (190, 6), (190, 40), (150, 36), (0, 32)],
          [(4, 6), (186, 10), (186, 34)], "B")  # fmt: skip
    block("FRAME_2", [(0, 0), (60, 0), (74, 40), (-14, 40)], label="F2")
    block("KNEE", [(0, 0), (14, 0), (0, 14)])
    for y in (0, 140):
        _rectangle(space, 0, y, 244, 122, "SHEET")
        space.add_blockref("SIDE_A", (4, y + 4))
        space.add_blockref("SIDE_A", (238, y + 79), dxfattribs={"rotation": 180})
        space.add_blockref("SIDE_B", (4, y + 81))
        for at in ((198, 88), (214, 88), (198, 104)):
            space.add_blockref("KNEE", (at[0], at[1] + y))
    _rectangle(space, 300, 0, 244, 122, "SHEET")
    space.add_blockref("FRAME_2", (320, 4))
    space.add_blockref("FRAME_2", (420, 4))
    space.add_blockref("SIDE_B", (540, 60), dxfattribs={"xscale": -1})
    document.saveas(path)


def punt(path: Path) -> None:
    """One layer, inches, every line loose: border, title rows, overshooting corners, dimensions."""
    document = new("R2018")
    document.header["$INSUNITS"] = 1
    space = document.modelspace()

    def box(x: float, y: float, w: float, h: float, over: float = 0.0) -> None:
        space.add_line((x - over, y), (x + w + over, y))
        space.add_line((x + w, y - over), (x + w, y + h + over))
        space.add_line((x + w + over, y + h), (x - over, y + h))
        space.add_line((x, y + h + over), (x, y - over))

    box(-10, -10, 260, 170)
    box(150, -10, 100, 24)
    space.add_line((150, -2), (250, -2))
    space.add_line((150, 6), (250, 6))
    for i, words in enumerate(["10 FT PUNT", "SCALE 1 IN = 1 FT", "DATE 3-4"]):
        _text(space, words, 152, -8 + 8 * i, 3)
    box(0, 20, 119.5, 14, over=0.5)
    _text(space, "SIDE MAKE 2", 40, 26, 2.5)
    for x in (24, 48, 72, 96):
        space.add_line((x, 20), (x, 34))
        _text(space, f"STA {x // 24}", x + 0.5, 35.5, 1)
    box(0, 50, 116, 44)
    _text(space, 'BOTTOM 1/2" PLY', 30, 70, 2.5)
    box(130, 30, 44, 13)
    _text(space, "TRANSOM AFT", 134, 45, 1.5)
    box(130, 60, 40, 11)
    _text(space, "TRANSOM FWD", 134, 73, 1.5)
    box(130, 90, 44, 10)
    _text(space, "SEAT 3 OFF", 140, 94, 1.5)
    for a, b in (((190, 60), (198, 60)), ((198, 60), (190, 68)), ((190, 68), (190, 60))):
        space.add_line(a, b)
    _text(space, "KNEE X 8", 199, 64, 1)
    box(0, 40, 119.5, 0.75)
    space.add_line((0, 14), (119.5, 14))
    space.add_line((0, 13), (0, 19))
    space.add_line((119.5, 13), (119.5, 19))
    _text(space, "9'-11 1/2\"", 52, 14.5, 2)
    document.saveas(path)


def lofted(path: Path) -> None:
    """Metres, 3D polylines: planks laid flat, frames upright in space, a mesh beside."""
    document = new("R2013")
    document.header["$INSUNITS"] = 6
    space = document.modelspace()

    def flat(points: Points, name: str, at: tuple[float, float]) -> None:
        ring = [(x, y, 0.0) for x, y in points]
        space.add_polyline3d(ring, close=True, dxfattribs={"layer": "Layer 03"})
        _text(space, name, *at, 0.05, "Layer 03")

    plank = [(0.12 * i, 0.02 * math.sin(0.1 * i)) for i in range(31)]
    plank += [(0.12 * i, 0.42 + 0.1 * (i / 30) ** 2) for i in reversed(range(31))]
    flat(plank, "Plank 1", (1.0, 0.2))
    edge = [(0.12 * i, 1.5 - 0.5 * math.sin(math.pi * (0.05 + 0.85 * i / 30))) for i in range(31)]
    flat(edge + [(x, 3 - y) for x, y in reversed(edge)], "Bottom", (1.5, 1.5))
    for x, w, h in ((5.0, 0.5, 0.4), (5.8, 0.6, 0.45), (6.6, 0.55, 0.48)):
        ring = [(x, -0.7 * w, 0.0), (x, 0.7 * w, 0.0), (x, w, h), (x, -w, h)]
        space.add_polyline3d(ring, close=True, dxfattribs={"layer": "Layer 04"})
    for i in range(20):
        for j in range(4):
            x, y, z = 8 + 0.18 * i, 0.12 * j, 0.1 * j
            face = [(x, y, z), (x + 0.18, y, z), (x + 0.18, y + 0.12, z + 0.05),
                    (x, y + 0.12, z + 0.05)]  # fmt: skip
            space.add_3dface(face, dxfattribs={"layer": "Layer 05"})
    document.saveas(path)


def tender(path: Path) -> None:
    """SVG in mm: groups moved, curves, clones, texts, a hidden frame round everything."""
    path.write_text(
        """<?xml version="1.0"?>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"
 width="5000mm" height="2500mm" viewBox="0 0 5000 2500">
<g style="display:none"><rect x="10" y="10" width="4900" height="2400"/></g>
<g transform="translate(100,100)" fill="none" stroke="black">
<path d="M0,100 C800,40 2400,20 3600,80 L3640,520 C2400,430 800,420 60,480 Z"/>
<text x="1500" y="300" font-size="60">Side 6 mm pair</text>
<path d="M0,1000 C800,700 2800,640 3600,760 L3600,1240 C2800,1360 800,1300 0,1000 Z"/>
<text x="1500" y="1000" font-size="60">Bottom 9 mm</text>
<rect x="3900" y="100" width="700" height="400"/>
<text x="4000" y="300" font-size="50">Transom 12 mm</text>
<circle cx="4250" cy="200" r="25"/>
<path id="k" d="M3900,700 h150 l-150,150 z"/>
<use xlink:href="#k" x="200"/><use xlink:href="#k" x="400"/><use xlink:href="#k" y="200"/>
<text x="3900" y="690" font-size="30">knee 12 mm</text>
</g></svg>
""",
        encoding="utf-8",
    )


BOATS: dict[str, tuple[Callable[[Path], None], str, dict[str, tuple[int, float, float]]]] = {
    "skiff": (skiff, "skiff.dxf", {
        "SIDE PANEL": (2, 4200, 590), "BOTTOM": (1, 4200, 956.3), "TRANSOM": (1, 1020, 400),
        "KNEE": (6, 200, 200), "THWART": (2, 1300, 250), "FRAME 1": (1, 900, 380),
        "FRAME 2": (1, 1120, 420), "FRAME 3": (1, 1040, 450),
    }),
    "dinghy": (dinghy, "dinghy.dxf", {
        "BOTTOM": (1, 2438.4, 711.1), "SIDE": (2, 2438.4, 482.6),
        "STERN TRANSOM": (1, 1117.6, 406.4), "BOW TRANSOM": (1, 762, 355.6),
        "BULKHEAD": (1, 1219.2, 406.4), "DAGGERBOARD": (1, 304.8, 1016),
    }),
    "router sheets": (router_sheets, "sheets.dxf", {
        "A": (4, 2300, 380), "B": (4, 1900, 400), "KNEE": (6, 140, 140), "F2": (2, 880, 400),
    }),
    "punt": (punt, "punt.dxf", {
        "SIDE": (2, 3035.3, 355.6), "BOTTOM": (1, 2946.4, 1117.6), "SEAT": (3, 1117.6, 254),
        "TRANSOM AFT": (1, 1117.6, 330.2), "TRANSOM FWD": (1, 1016, 279.4),
        "KNEE": (8, 203.2, 203.2),
    }),
    "lofted": (lofted, "lofted.dxf", {"Plank 1": (1, 3600, 520), "Bottom": (1, 3600, 1000)}),
    "tender": (tender, "tender.svg", {
        "Side": (2, 3640, 476.2), "Bottom": (1, 3600, 595.9), "Transom": (1, 700, 400),
        "knee": (4, 150, 150),
    }),
}  # fmt: skip
"""By name: who draws it, its file, and its parts with pieces, length and width. [mm]"""

ANSWERS = {
    "kerf": '"2 mm"', "kind": '"scarf"', "keep_clear": '"none"', "thickness": '"6 mm"',
    "drawn_half": '"mirror"', "doubtful_holes": '"cut"', "unit": '"in"', "count": "2",
}  # fmt: skip
"""What a builder writes where a job file asks."""


def answered(text: str, answers: dict[str, str] = ANSWERS) -> tuple[str, int]:
    """Answer every question of a first job file; returns it with the number of lines changed."""
    lines = text.splitlines()
    made = [
        re.sub(r'\b(\w+) = ""', lambda met: f"{met[1]} = {answers.get(met[1], met[0])}", line)
        if not line.startswith("#") else line
        for line in lines
    ]  # fmt: skip
    return "\n".join(made) + "\n", sum(a != b for a, b in zip(lines, made, strict=True))
