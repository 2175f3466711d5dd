"""Pieces drawn again from the text of marking-out.pdf alone: geometry, but nothing of nestcut."""

from __future__ import annotations

import io
import math
import re
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np
import pdfplumber
import shapely
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.optimize import minimize
from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

Array = NDArray[np.float64]
Point = tuple[float, float]

L = r"-?(?:(?:\d+'-)?\d+(?: \d+/\d+)?\"|\d+/\d+\"|\d+(?:\.\d+)?)"
S = r"(?: (?:lower|upper))?"
"""Which side of a base line through a panel a figure lies to."""
POINT_ROW = re.compile(rf"(\d+) ({L}) ({L}{S}) (line|new batten|batten|arc|end)")
PANEL_ROW = re.compile(rf"({L}) ({L}|-)( •)? ({L}|-)( •)?(?= |$)")
BASE_ROW = re.compile(
    rf"^(\d+) (\d+)(?:, p\. \d+) ({L}) at ({L}), ({L}) ({L}) at ({L}), ({L}) "
    r"(left|right|both) (.*)$"
)
D = rf"({L})(?: mm(?: \({L}\))?)?"
"""A hole's diameter: that of its bit, in mm with its unit, what is sold in inches in both."""
PT = 72 / 25.4


def mm(text: str) -> float:
    """A length in mm, or in feet, inches and fractions."""
    sign = -1.0 if text.startswith("-") or text.endswith("lower") else 1.0
    text = text.lstrip("-").removesuffix(" lower").removesuffix(" upper")
    if not text.endswith('"'):
        return sign * float(text)
    feet, _, inches = text.rstrip('"').rpartition("'-")
    total = 12.0 * float(feet or 0)
    for part in inches.split():
        over, _, under = part.partition("/")
        total += float(over) / float(under or 1)
    return sign * total * 25.4


@dataclass
class Base:
    place: str
    number: int
    chart: int
    start: float
    end: float
    at: Point
    to: Point
    up: str
    name: str


@dataclass
class Told:
    """What the pages tell of one chart: rows in order, and sentences run together."""

    head: str = ""
    words: str = ""
    rows: list[tuple[str, ...]] = field(default_factory=list)
    panel: list[tuple[str, ...]] = field(default_factory=list)


def read_pages(data: bytes) -> tuple[list[Base], dict[int, Told]]:
    """Read base lines and charts from the PDF's text: every chart and sheet stands under a line."""
    bases: list[Base] = []
    charts: dict[int, Told] = {}
    with pdfplumber.open(io.BytesIO(data)) as book:
        place = ""
        for page in book.pages:
            for _, text in lines_of(page):
                found = re.match(r"^((?:Sheet|Board) \d+): ", text)
                place = found[1] if found else place
                table = re.search(rf"(\d+ \d+(?:, p\. \d+) {L} at .*)$", text)
                row = BASE_ROW.match(table[1]) if table else None
                if row:
                    bases.append(_base(place, row))
            for box in _chart_boxes(page):
                _read_column(lines_of(page.crop(box)), charts)
    return bases, charts


def _chart_boxes(page: Any) -> list[tuple[float, float, float, float]]:
    """The room of every chart: from the line over its number down to the next one's line."""
    ruled = {(round(e["x0"], 1), round(e["x1"], 1), round(e["top"], 1)) for e in page.lines}
    heads = []
    for x0, x1, top in ruled:
        strip = page.crop((max(0.0, x0 - 1), top, min(page.width, x1 + 4), top + 24))
        first = next((text for _, text in lines_of(strip)), "")
        if re.match(r"^(Chart \d+|(Sheet|Board) \d+: )", first):
            heads.append((x0, x1, top, first))
    boxes = []
    for x0, x1, top, first in heads:
        below = [t for a, b, t, _ in heads if t > top + 2 and a < x1 and b > x0]
        low = min(below, default=page.height - 14 * PT)
        if first.startswith("Chart"):
            boxes.append((max(0.0, x0 - 4), top, min(page.width, x1 + 6), low))
    return sorted(boxes, key=lambda b: (b[1], b[0]))


def lines_of(page: Any) -> list[tuple[float, str]]:
    """Lines of text, top to bottom, words apart by one space; small drawings' numbers dropped."""
    found = page.extract_text_lines(x_tolerance=1.5, y_tolerance=1.5, return_chars=False)
    return [(line["top"], line["text"]) for line in found]


def _base(place: str, row: re.Match[str]) -> Base:
    n, chart, start, ax, ay, end, bx, by, up, name = row.groups()
    return Base(
        place, int(n), int(chart), mm(start), mm(end), (mm(ax), mm(ay)), (mm(bx), mm(by)), up, name
    )


def _read_column(lines: list[tuple[float, str]], charts: dict[int, Told]) -> None:
    told: Told | None = None
    mode = ""
    for _, text in lines:
        begun = re.match(r"^Chart (\d+)(, continued)?\b", text)
        if begun:
            told = charts.setdefault(int(begun[1]), Told())
            mode = "name"
            continue
        if told is None:
            continue
        if text.startswith("no. along"):
            mode = "points"
            told.rows.append(("table",))
            continue
        if text.startswith("along lower upper"):
            mode = "panel"
            continue
        rows = POINT_ROW.findall(text) if mode == "points" else []
        if rows and POINT_ROW.sub("", text).strip() == "":
            told.rows += rows
            continue
        cells = [m.groups() for m in PANEL_ROW.finditer(text)] if mode == "panel" else []
        if cells and PANEL_ROW.sub("", text).strip() == "":
            told.panel += [tuple(c or "" for c in cell) for cell in cells]
            continue
        if mode in {"points", "panel"}:
            mode = "words"
        if text in {"Hole:", "Hole both sides:"} or re.match(r"^[^.]*:$", text):
            told.rows.append(("line", text))
        told.words += f" {text}"


def largest(shape: BaseGeometry) -> Polygon:
    """The largest piece of what was cut."""
    found = max(shapely.get_parts(shape), key=lambda g: g.area)
    assert isinstance(found, Polygon)
    return found


def spline(points: list[Point], *, closed: bool = False) -> Array:
    """A batten: natural cubic spline over the straight distances."""
    at = np.array(points)
    keep = np.concatenate([[True], np.hypot(*np.diff(at, axis=0).T) > 0])
    at = at[keep]
    if len(at) < 2:
        return np.asarray(at, dtype=np.float64)
    distance = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(at, axis=0).T))])
    curve = CubicSpline(distance, at, bc_type="periodic" if closed else "natural")
    drawn: Array = np.asarray(curve(np.linspace(0.0, distance[-1], 50 * len(at))), dtype=np.float64)
    return drawn


def arc(start: Point, end: Point, centre: Point, radius: float, by: Point | None) -> Array:
    """The short way round, or the one by way of a point."""
    a, b = (math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in (start, end))
    sign = 1.0 if (b - a) % (2 * math.pi) < math.pi else -1.0
    if by is not None:
        middle = math.atan2(by[1] - centre[1], by[0] - centre[0])
        sign = 1.0 if (middle - a) % (2 * math.pi) < (b - a) % (2 * math.pi) else -1.0
    angles = np.linspace(a, a + sign * ((sign * (b - a)) % (2 * math.pi)), 150)
    ring = np.column_stack(
        [centre[0] + radius * np.cos(angles), centre[1] + radius * np.sin(angles)]
    )
    return np.vstack([[start], ring, [end]])


def circle(x: float, y: float, diameter: float) -> Array:
    a = np.linspace(0, 2 * math.pi, 400, endpoint=False)
    return np.column_stack([x + diameter / 2 * np.cos(a), y + diameter / 2 * np.sin(a)])


def ring_of(rows: list[tuple[str, ...]], words: str, *, closed: bool) -> Array:
    """Draw a line from its numbered points."""
    rows = sorted(rows, key=lambda r: int(r[0]))
    points = [(mm(r[1]), mm(r[2])) for r in rows]
    ways = [r[3] for r in rows]
    arcs = {
        int(m[0]): ((mm(m[2]), mm(m[3])), mm(m[4]), (mm(m[5]), mm(m[6])) if m[5] else None)
        for m in re.findall(
            rf"Arc (\d+) to (\d+): centre ({L}), ({L}{S}), radius ({L})"
            rf"(?:, by way of ({L}), ({L}{S}))?\.",
            words,
        )
    }
    if closed and all(w == "batten" for w in ways):
        return spline([*points, points[0]], closed=True)
    n = len(points)
    order = [*range(n), 0] if closed else list(range(n))
    lines: list[Array] = []
    run: list[Point] = []
    for k, after in pairwise(order):
        if ways[k] in {"batten", "new batten"}:
            run = run or [points[k]]
            run.append(points[after])
            goes_on = ways[after] == "batten" and after != order[0]
            if goes_on:
                continue
            lines.append(spline(run))
            run = []
        elif ways[k] == "arc":
            lines.append(arc(points[k], points[after], *arcs[int(rows[k][0])]))
        else:
            lines.append(np.array([points[k], points[after]]))
    return np.vstack(lines)


def panel_ring(rows: list[tuple[str, ...]], *, is_through: bool) -> Array:
    """Two edges of a panel; battens between corners; the base line below both, or between."""
    edges: list[Array] = []
    rows = sorted(rows, key=lambda r: mm(r[0]))
    for value, mark in ((1, 2), (3, 4)):
        way = -1.0 if is_through and value == 1 else 1.0
        found = [(mm(r[0]), way * mm(r[value]), bool(r[mark])) for r in rows if r[value] != "-"]
        runs: list[list[Point]] = [[]]
        for x, y, is_corner in found:
            runs[-1].append((x, y))
            if is_corner and len(runs[-1]) > 1:
                runs.append([(x, y)])
        edges.append(np.vstack([spline(r) for r in runs if len(r) > 1]))
    return np.vstack([edges[0], edges[1][::-1]])


def draw(told: Told) -> Polygon:
    """The whole shape of a chart, holes included."""
    words = told.words
    size = re.search(rf"Rectangle: ({L}) x ({L}),", words)
    whole = re.search(rf"Circle: centre ({L}), ({L}{S}), diameter {D}\.", words)
    groups: list[tuple[str, list[tuple[str, ...]]]] = [("outline", [])]
    for row in told.rows:
        if row[0] == "line":
            groups.append((row[1], []))
        elif row[0] != "table":
            groups[-1][1].append(row)
    is_half = "From the centre line" in words
    if size:
        w, h = mm(size[1]), mm(size[2])
        outline = np.array([(0, 0), (w, 0), (w, h), (0, h)], dtype=float)
    elif whole:
        outline = circle(*(mm(g) for g in whole.groups()))
    elif told.panel:
        outline = panel_ring(
            told.panel, is_through="each edge, to either side" in " ".join(words.split())
        )
    else:
        outline = ring_of(groups[0][1], words, closed=not is_half)
        if is_half:
            outline = np.vstack([outline, outline[::-1] * (1, -1)])
    holes = []
    found = re.findall(rf"Hole: centre ({L}), ({L}{S}), diameter {D}(, both sides)?\.", words)
    for x, y, d, twice in found:
        holes.append(circle(mm(x), mm(y), mm(d)))
        if twice:
            holes.append(circle(mm(x), -mm(y), mm(d)))
    for name, rows in groups[1:]:
        if not name.startswith("Hole") or not rows:
            continue
        is_open = sorted(rows, key=lambda r: int(r[0]))[-1][3] == "end"
        ring = ring_of(rows, words, closed=not is_open)
        if is_open:
            ring = np.vstack([ring, ring[::-1] * (1, -1)])
        holes.append(ring)
        if name == "Hole both sides:" and not is_open:
            holes.append(ring * (1, -1))
    return Polygon(outline, holes)


def cut(shape: Polygon, told: Told, name: str) -> Polygon:
    """The piece of a joined panel, from where it begins to where it ends."""
    letter = re.search(r"piece ([A-Z]\d*) of", name)
    if letter is None or not re.search(r"[Pp]iece [A-Z]\d* (begins|ends) at", told.words):
        return shape
    hand = "port" if ", port" in name else "starboard" if ", starboard" in name else ""
    cuts = 0
    for whose, words in re.findall(r"(J\d+[^:.]*|): ?([Pp]iece [A-Z].*?)\.(?= |$)", told.words):
        if hand and not re.search(rf"\b{hand}\b", whose):
            continue
        for which, how, ax, ay, bx, by in re.findall(
            rf"[Pp]iece ([A-Z]\d*) (begins|ends) at ({L}), ({L}{S}) to ({L}), ({L}{S})", words
        ):
            if which != letter[1]:
                continue
            cuts += 1
            a, b = np.array([mm(ax), mm(ay)]), np.array([mm(bx), mm(by)])
            along = (b - a) / np.hypot(*(b - a))
            far = 1e5 * np.array([along[1], -along[0]]) * (1 if how == "begins" else -1)
            low, high = a - along * 1e4, b + along * 1e4
            side = Polygon([low, high, high + far, low + far])
            shape = largest(shape.intersection(side))
    assert cuts, f"no cut is told for {name}"
    return shape


def placed(shape: Polygon, base: Base) -> Polygon:
    """A chart's shape where its base line lies on the sheet."""
    up = -1.0 if base.up == "right" else 1.0
    turn = math.atan2(base.to[1] - base.at[1], base.to[0] - base.at[0])
    c, s = math.cos(turn), math.sin(turn)

    def at(points: Array) -> Array:
        x, y = points[:, 0] - base.start, points[:, 1] * up
        return np.column_stack([base.at[0] + x * c - y * s, base.at[1] + x * s + y * c])

    return shapely.transform(shape, at)


def apart(drawn: Polygon, true: Polygon) -> float:
    """Greatest distance between two outlines with their holes, either way. [mm]"""
    a, b = drawn.boundary, true.boundary
    there = shapely.points(shapely.get_coordinates(shapely.segmentize(a, 4.0)))
    back = shapely.points(shapely.get_coordinates(shapely.segmentize(b, 4.0)))
    return float(max(shapely.distance(there, b).max(), shapely.distance(back, a).max()))


def shape_apart(drawn: Polygon, true: Polygon) -> float:
    """The same, wherever the shape lies: slid and turned onto the true one as well as can be."""
    first = apart(drawn, true)
    if first <= 0.9:
        return first

    def off(v: Array) -> float:
        moved = translate(rotate(drawn, v[2], "centroid"), v[0], v[1])
        return apart(moved, true)

    simplex = np.array([[0, 0, 0], [0.5, 0, 0], [0, 0.5, 0], [0, 0, 0.05]], dtype=float)
    options = {"initial_simplex": simplex, "maxfev": 120}
    best = minimize(off, np.zeros(3), method="Nelder-Mead", options=options)
    return float(min(first, best.fun))


__all__ = ["LineString", "apart", "cut", "draw", "placed", "read_pages", "shape_apart", "spline"]
