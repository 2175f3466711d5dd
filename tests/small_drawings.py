"""Small drawings of every kind of line that is read, as plain text: quick to damage and to read."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path

from ezdxf.filemanagement import new

Tags = list[tuple[int, object]]
Points = list[tuple[float, float]]

RING = [(0.0, 0.0), (600.0, 0.0), (560.0, 300.0), (0.0, 280.0)]


def _dxf(entities: Iterable[Tags], blocks: Iterable[tuple[str, list[Tags]]] = ()) -> bytes:
    tags: Tags = [(0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1015"),
                  (9, "$INSUNITS"), (70, 4), (0, "ENDSEC")]  # fmt: skip
    if blocks:
        tags += [(0, "SECTION"), (2, "BLOCKS")]
        for name, inside in blocks:
            tags += [(0, "BLOCK"), (8, "0"), (2, name), (70, 0), (10, 0.0), (20, 0.0), (3, name)]
            tags += [tag for entity in inside for tag in entity] + [(0, "ENDBLK"), (8, "0")]
        tags.append((0, "ENDSEC"))
    tags += [(0, "SECTION"), (2, "ENTITIES")]
    tags += [tag for entity in entities for tag in entity]
    tags += [(0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code:3}\n{value}\n" for code, value in tags).encode()


def _line(a: tuple[float, float], b: tuple[float, float], layer: str) -> Tags:
    return [(0, "LINE"), (8, layer), (10, a[0]), (20, a[1]), (11, b[0]), (21, b[1])]


def _loose(points: Points, layer: str = "0") -> list[Tags]:
    return [_line(a, b, layer) for a, b in pairwise([*points, points[0]])]


def _ring(points: Points, layer: str = "0", bulge: float = 0.0) -> Tags:
    tags: Tags = [(0, "LWPOLYLINE"), (100, "AcDbEntity"), (8, layer), (100, "AcDbPolyline"),
                  (90, len(points)), (70, 1)]  # fmt: skip
    for i, (x, y) in enumerate(points):
        tags += [(10, x), (20, y), *([(42, bulge)] if i == 0 and bulge else [])]
    return tags


def _circle(x: float, y: float, r: float, layer: str = "0") -> Tags:
    return [(0, "CIRCLE"), (8, layer), (10, x), (20, y), (40, r)]


def _arc(x: float, y: float, r: float, start: float, end: float) -> Tags:
    return [
        (0, "ARC"), (8, "0"), (10, x), (20, y), (40, r), (50, start), (51, end)
    ]  # fmt: skip


def _text(words: str, x: float, y: float, layer: str = "0") -> Tags:
    return [(0, "TEXT"), (8, layer), (10, x), (20, y), (40, 25.0), (1, words)]


def _spline(points: Points) -> Tags:
    """One cubic with four control points at a time, inner knots full."""
    pieces = (len(points) - 1) // 3
    knots = [0.0] * 4 + [float(k) for k in range(1, pieces) for _ in range(3)] + [
        float(pieces)
    ] * 4  # fmt: skip
    tags: Tags = [(0, "SPLINE"), (100, "AcDbEntity"), (8, "0"), (100, "AcDbSpline"), (70, 8),
                  (71, 3), (72, len(knots)), (73, len(points)), (74, 0)]  # fmt: skip
    tags += [(40, k) for k in knots]
    return tags + [tag for x, y in points for tag in ((10, x), (20, y), (30, 0.0))]


def _moved(points: Points, x: float, y: float) -> Points:
    return [(a + x, b + y) for a, b in points]


def _svg(body: str) -> bytes:
    return (
        '<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg" width="900mm" '
        f'height="900mm" viewBox="0 0 900 900">\n{body}\n</svg>\n'
    ).encode()


CURVE = [(0.0, 0.0), (200.0, 90.0), (400.0, 90.0), (600.0, 0.0), (700.0, -50.0), (800.0, -50.0),
         (900.0, 0.0)]  # fmt: skip

SMALL: dict[str, tuple[str, bytes]] = {
    "loose lines": (
        ".dxf",
        _dxf(
            [*_loose(RING), _text("side 6mm x 2", 100, 100), *_loose(_moved(RING, 0, 500), "keel")]
        ),
    ),
    "rings and holes": (
        ".dxf",
        _dxf(
            [
                _ring(RING, bulge=0.2),
                _circle(200, 150, 40),
                _ring(_moved(RING, 900, 0), "frames"),
                _text("frame 9mm", 1000, 100, "frames"),
            ]
        ),
    ),
    "arcs": (
        ".dxf",
        _dxf(
            [
                _line((0, 0), (400, 0), "0"),
                _arc(400, 100, 100, -90, 90),
                _line((400, 200), (0, 200), "0"),
                _arc(0, 100, 100, 90, 270),
                _circle(200, 100, 30),
            ]
        ),
    ),
    "splines": (
        ".dxf",
        _dxf(
            [
                _spline(CURVE),
                _line((900, 0), (900, 400), "0"),
                _line((900, 400), (0, 400), "0"),
                _line((0, 400), (0, 0), "0"),
                _text("bottom", 300, 200),
            ]
        ),
    ),
    "blocks": (
        ".dxf",
        _dxf(
            [
                [
                    (0, "INSERT"),
                    (8, "0"),
                    (2, "knee"),
                    (10, x),
                    (20, 0.0),
                    (41, s),
                    (42, 1.0),
                    (50, 30.0),
                ]
                for x, s in ((0.0, 1.0), (900.0, -1.0))
            ],
            [("knee", [_ring([(0, 0), (200, 0), (0, 250)]), _circle(50, 50, 12)])],
        ),
    ),
    "frames over each other": (
        ".dxf",
        _dxf(
            [
                _ring([(-a, 0), (a, 0), (1.3 * a, h), (-1.3 * a, h)], f"frame {i}")
                for i, (a, h) in enumerate(((300, 300), (380, 330), (420, 390)))
            ]
        ),
    ),
    "page": (
        ".dxf",
        _dxf(
            [
                _ring([(0, 0), (1189, 0), (1189, 841), (0, 841)], "border"),
                _ring(_moved(RING, 100, 100), "hull"),
                _text("web", 200, 200),
                _ring([(700, 0), (1189, 0), (1189, 80), (700, 80)], "title"),
                _text("SCALE 1:10", 720, 30, "title"),
                _circle(900, 500, 8, "hull"),
            ]
        ),
    ),
    "paths": (
        ".svg",
        _svg(
            '<g id="hull" transform="translate(20 30) rotate(5)">'
            '<path d="M0 0 L400 0 C420 80 420 120 400 200 L0 180 Z"/>'
            '<circle cx="120" cy="90" r="30"/></g>'
            '<text x="90" y="150">side 6mm</text>'
        ),
    ),
    "figures": (
        ".svg",
        _svg(
            '<rect x="10" y="10" width="300" height="200"/>'
            '<polygon points="400,10 700,10 650,250 400,220"/>'
            '<g transform="scale(2)"><ellipse cx="100" cy="250" rx="60" ry="40"/>'
            '<polyline points="200,200 300,200 300,300 200,200"/></g>'
            '<line x1="0" y1="0" x2="0" y2="5"/>'
        ),
    ),
}
"""File ending and content of each, by name."""


def write_knee(path: Path) -> None:
    """Write a knee with an arc in its outline and a round hole, on a layer of its name. [mm]"""
    document = new("R2000", units=4)
    rows = [(0, 0, 0), (300, 0, 0), (300, 60, -0.15), (80, 220, 0), (0, 220, 0)]
    layer = {"layer": "knee"}
    document.modelspace().add_lwpolyline(rows, format="xyb", close=True, dxfattribs=layer)
    document.modelspace().add_circle((60, 60), 20, dxfattribs=layer)
    document.saveas(path)
