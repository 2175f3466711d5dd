"""What a folder of results holds: the sheets' drawings and the lists."""

from __future__ import annotations

import csv
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import shapely
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.text import Text
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from tests.second.curves import Points, points_of
from tests.second.drawing import Drawn, Read, read_whole

Row = dict[str, str]
_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")
_BESIDE_MM = 0.3
FACE_DOWN = " (face down)"


def plain(text: str) -> str:
    """A text without the apostrophe that keeps a spreadsheet from running it."""
    return text[1:] if text.startswith("'") and text[1:].lstrip(" ").startswith(_STARTS) else text


@dataclass
class DrawnPiece:
    """One piece on a sheet's drawing. [mm]"""

    name: str
    is_face_down: bool
    cut: Polygon
    finished: Points | None = None
    marks: list[Points] = field(default_factory=list)


@dataclass
class DrawnSheet:
    file: str
    number: int
    edge: Polygon
    keep_outs: list[Polygon]
    pieces: list[DrawnPiece]
    faults: list[str]


@dataclass
class Written:
    sheets: list[DrawnSheet]
    cut: list[Row]
    unplaced: list[Row]
    buy: list[Row]
    total: Row
    joints: list[Row]
    usage: list[Row]


def read_written(folder: Path, read: Read = read_whole) -> Written:
    """Read the DXF and CSV files of a result, and no other."""
    rows = {name: _rows(folder / f"{name}.csv") for name in
            ("cut-list", "buying-list", "joints", "usage")}  # fmt: skip
    cut = [r for r in rows["cut-list"] if r["from"] != "NOT PLACED"]
    names = {r["name in words"]: r["piece"] for r in cut}
    return Written(
        sheets=[_sheet(read(p), p, names) for p in sorted(folder.glob("sheets/*.dxf"))],
        cut=cut,
        unplaced=[r for r in rows["cut-list"] if r["from"] == "NOT PLACED"],
        buy=[r for r in rows["buying-list"] if r["kind"]],
        total=rows["buying-list"][-1],
        joints=rows["joints"],
        usage=rows["usage"],
    )


def _rows(path: Path) -> list[Row]:
    with path.open(encoding="utf-8", newline="") as text:
        return [{k: plain(v) for k, v in row.items()} for row in csv.DictReader(text)]


def _sheet(drawn: Drawn, path: Path, names: dict[str, str]) -> DrawnSheet:
    faults = []
    if drawn.units != 4:
        faults.append(f"{path.name}: not in mm")
    rings: dict[str, list[Points]] = {}
    marks: list[Points] = []
    labels: list[tuple[str, bool, shapely.Point]] = []
    for entity in drawn.entities:
        layer = str(entity.dxf.layer)
        if isinstance(entity, Text):
            words = str(entity.dxf.text)
            name = words.removesuffix(FACE_DOWN)
            # marks have texts too, and may be called as a part is; those of pieces are centred
            if name in names and entity.dxf.get("halign", 0):
                at = entity.dxf.align_point or entity.dxf.insert
                labels.append((names[name], words != name, shapely.Point(at.x, at.y)))
            continue
        points, _ = points_of(entity)
        if points is None:
            continue
        if isinstance(entity, Line) or (isinstance(entity, LWPolyline) and not entity.closed):
            marks.append(points)
        else:
            rings.setdefault(layer, []).append(points)
    unknown = set(rings) - {"sheet edge", "keep out", "outline to cut", "cut-out", "finished edge",
                            "mark"}  # fmt: skip
    faults += [f"{path.name}: something closed on layer {layer!r}" for layer in sorted(unknown)]
    edges = rings.get("sheet edge", [])
    if len(edges) != 1:
        faults.append(f"{path.name}: {len(edges)} sheet edges")
    return DrawnSheet(
        file=path.name,
        number=int(path.name.split("-")[0]),
        edge=Polygon(edges[0]) if edges else Polygon(),
        keep_outs=[Polygon(r) for r in rings.get("keep out", [])],
        pieces=_pieces(path.name, rings, marks, labels, faults),
        faults=faults,
    )


def _pieces(
    file: str,
    rings: dict[str, list[Points]],
    marks: list[Points],
    labels: list[tuple[str, bool, shapely.Point]],
    faults: list[str],
) -> list[DrawnPiece]:
    """Put outlines, cut-outs, finished edges, marks and names together by where they lie."""
    outer = rings.get("outline to cut", [])
    solids = [Polygon(r) for r in outer]
    holes: list[list[Points]] = [[] for _ in outer]
    for hole in rings.get("cut-out", []):
        # the smallest outline round a hole is its own: parts may lie in holes, holes in these
        owner = _owner(Polygon(hole), solids)
        if owner is None:
            faults.append(f"{file}: a cut-out that lies in no outline")
        else:
            holes[owner].append(hole)
    pieces = []
    shapes = [Polygon(r, h) for r, h in zip(outer, holes, strict=True)]
    for shape in shapes:
        own = [(name, down) for name, down, at in labels if shape.covers(at)]
        if len(own) != 1 or not shape.is_valid:
            faults.append(f"{file}: an outline that holds {len(own)} names, or crosses itself")
            continue
        pieces.append(DrawnPiece(own[0][0], own[0][1], shape))
    if len(pieces) != len(labels):
        faults.append(f"{file}: {len(labels)} names on {len(pieces)} outlines")
    cuts = [Polygon(p.cut.exterior) for p in pieces]
    for ring in rings.get("finished edge", []):
        owner = _owner(Polygon(ring), cuts)
        if owner is not None:
            pieces[owner].finished = ring
    for line in marks:
        # a keyed piece's line lies beside it by half the play; neighbours may have it as well
        for piece, cut in zip(pieces, cuts, strict=True):
            if all(cut.distance(shapely.Point(end)) < _BESIDE_MM for end in (line[0], line[-1])):
                piece.marks.append(line)
    return pieces


def _owner(thing: BaseGeometry, solids: list[Polygon]) -> int | None:
    """Return which outline a thing lies in: the smallest that covers all but a hair of it."""
    size = max(thing.area, thing.length, 1e-9)
    found = [
        (s.area, k)
        for k, s in enumerate(solids)
        if s.intersects(thing) and _size(s.buffer(0.02).intersection(thing)) >= 0.999 * size
    ]
    return min(found)[1] if found else None


def _size(thing: BaseGeometry) -> float:
    return float(max(thing.area, thing.length))


def number(text: str) -> float:
    """A figure of a list; empty counts as nothing."""
    return float(text) if text else 0.0


def as_points(polygon: Polygon) -> Points:
    """All points of a polygon's lines."""
    return np.asarray(shapely.get_coordinates(polygon))
