"""Draws the invented 10 ft punt, in inches: ``python parts/punt/draw_punt.py``."""

from __future__ import annotations

from pathlib import Path

from ezdxf._options import options
from ezdxf.filemanagement import new

options.write_fixed_meta_data_for_testing = True  # same bytes on every run

Point = tuple[float, float]

SIDE: list[Point] = [
    (1, 6.5), (14, 3), (27, 0.75), (40, 0), (84, 0), (98, 1), (110, 3.25), (118, 6),
    (120, 14), (100, 13.25), (60, 13), (24, 13.75), (0, 15),
]  # fmt: skip
PARTS: dict[str, list[Point]] = {
    "side": SIDE,
    "bottom": [(0, 0), (45, 0), (45, 36), (0, 36)],
    "bow ramp": [(0, 0), (41, 4), (41, 32), (0, 36)],
    "stern ramp": [(0, 0), (36, 2.5), (36, 33.5), (0, 36)],
    "bow transom": [(1.25, 0), (29.25, 0), (30.5, 8.5), (0, 8.5)],
    "stern transom": [(1, 0), (32, 0), (33, 8), (0, 8)],
    "frame": [
        (1.5, 0), (17.25, 0), (17.25, 0.75), (18.75, 0.75), (18.75, 0), (34.5, 0), (36, 13),
        (33, 13), (31.875, 3), (4.125, 3), (3, 13), (0, 13),
    ],
    "middle thwart": [(0, 0), (35.25, 0), (35.25, 10), (0, 10)],
    "stern seat": [(0, 0), (33, 0), (34.5, 16), (-1.5, 16)],
    "bow deck": [(0, 0), (30.5, 0), (34, 18), (-3.5, 18)],
    "knee": [(0, 0), (8, 0), (8, 1.25), (3.5, 3.5), (1.25, 8), (0, 8)],
    "rowlock pad": [(0, 0), (10, 0), (9, 2.5), (1, 2.5)],
    "skeg": [(0, 0), (34, 0), (34, 5.5), (30, 5.5)],
}  # fmt: skip


def draw(path: Path) -> None:
    """Write every outline with its name inside."""
    doc = new("R2000")
    doc.header["$INSUNITS"] = 1
    doc.header["$MEASUREMENT"] = 0
    space = doc.modelspace()
    at = 0.0
    for name, points in PARTS.items():
        moved = [(x, y + at) for x, y in points]
        space.add_lwpolyline(moved, close=True, dxfattribs={"layer": "outline"})
        inside = {"frame": (10, at + 1), "knee": (0.5, at + 0.5), "skeg": (27, at + 1.5)}
        where = inside.get(name, (4, at + 1)) if name != "side" else (50, at + 6)
        size = 0.5 if name in {"knee", "rowlock pad", "skeg"} else 1
        space.add_text(name, height=size, dxfattribs={"layer": "names"}).set_placement(where)
        at += 2 + max(y for _, y in points)
    doc.saveas(path)


if __name__ == "__main__":
    draw(Path(__file__).parent / "drawings" / "punt.dxf")
