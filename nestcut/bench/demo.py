"""A small job to try the page with: seats of a 4.7 m beach boat, invented for nestcut."""

from __future__ import annotations

import io

from ezdxf.filemanagement import new

DRAWING = "seats.dxf"
_JOB = """\
# Seats of a 4.7 m beach boat, invented for nestcut: something to try the page with.

[job]
name = "seats"
unit = "mm"
show = "mm"
currency = "EUR"
thickness = "9 mm"

[saw]
kerf = "2 mm"   # measure the width of a test cut
gap = "2 mm"

# ---- what the yard sells --------------------------------------------------------------------

[[sheet]]
name = "9 mm ply"
material = "ply"
thickness = "9 mm"
length = "2440 mm"
width = "1220 mm"
price = 74.00

[[board]]
name = "fir 19 x 90"
material = "fir"
thickness = "19 mm"
width = "90 mm"
lengths = [{ length = "2.4 m", price = 8.20 }, { length = "3.0 m", price = 10.50 }]

# ---- parts ----------------------------------------------------------------------------------

[[part]]
name = "side bench"
drawing = "seats.dxf"
label = "side bench"
hand = "pair"       # one port, one starboard

[[part]]
name = "middle thwart"
drawing = "seats.dxf"
label = "middle thwart"

[[part]]
name = "bench front"
drawing = "seats.dxf"
label = "bench front"
hand = "pair"

[[part]]
name = "knee"
drawing = "seats.dxf"
label = "knee"
count = 4
grain = "any"
turn = "free"

[[rail]]
name = "seat cleat"
material = "fir"
section = ["19 mm", "45 mm"]
length = "1.9 m"
hand = "pair"
"""


def demo_job() -> tuple[str, str, bytes]:
    """Return the demo's job text, the name of its drawing and the drawing itself."""
    document = new("R2010", units=4)
    space = document.modelspace()

    def outline(x: float, y: float, points: list[tuple[float, float, float]], name: str) -> None:
        moved = [(px + x, py + y, bulge) for px, py, bulge in points]
        space.add_lwpolyline(moved, format="xyb", close=True)
        cx = sum(p[0] for p in moved) / len(moved)
        cy = sum(p[1] for p in moved) / len(moved)
        space.add_text(name, height=30, dxfattribs={"insert": (cx - 90, cy)})

    bench = [(0.0, 0.0, 0.0), (1950, 0, 0), (1950, 250, 0), (975, 330, 1 / 20), (0, 280, 0)]
    outline(0, 0, bench, "side bench")
    thwart = [(0.0, 0.0, 3 / 50), (1280, 0, 0), (1280, 260, 3 / 50), (0, 260, 0)]
    outline(0, 600, thwart, "middle thwart")
    front = [(0.0, 0.0, 0.0), (1900, 0, 0), (1900, 240, 0), (0, 290, 0)]
    outline(0, 1000, front, "bench front")
    knee = [(0.0, 0.0, 0.0), (230, 0, 0.25), (0, 230, 0)]
    outline(2200, 0, knee, "knee")
    # A fixed header keeps the file the same each time it's made.
    text = io.StringIO()
    document.write(text)
    return _JOB, DRAWING, text.getvalue().encode()
