"""A part's true outline: from its drawing, or from the plain figures of ``[part.shape]``."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from tests.second.curves import Points, arc_points, points_of, polygons_of, rings_of
from tests.second.drawing import Read

Table = dict[str, Any]
Mm = Callable[[object], float]
_UNITS = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0}
"""$INSUNITS of a drawing to mm (DXF reference, header variables)."""
_NAMED = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}


class NotUnderstoodError(Exception):
    """This checker doesn't know that kind of part."""


def shape_of(part: Table, job: Table, folder: Path, mm: Mm, read: Read) -> tuple[Polygon, bool]:
    """Return a part's outline with its holes, and whether it has smooth curves. [mm]"""
    if part.get("band_width") is not None or part.get("layers", 1) != 1:
        raise NotUnderstoodError("a band or layers")
    if "shape" in part:
        return _by_numbers(part["shape"], mm), part["shape"]["kind"] == "ellipse"
    if part.get("drawn_half", "no") != "no" or not ({"label", "layer"} & set(part)):
        raise NotUnderstoodError("a drawing named otherwise than by layer or label")
    settings = job.get("drawings", {})
    path = folder / settings.get("folder", "") / part["drawing"]
    return _drawn(
        path,
        part.get("layer"),
        part.get("label"),
        settings.get("unit"),
        mm(settings.get("join_gap", "0.1 mm")),
        read,
    )


@lru_cache(maxsize=8)
def _drawing(path: Path, stamp: float, unit: str | None, read: Read) -> tuple[list[Any], list[Any]]:
    drawn = read(path)
    scale = _NAMED[unit] if unit else _UNITS.get(drawn.units, 1.0)
    lines, texts = [], []
    for entity in drawn.entities:
        if isinstance(entity, Text | MText):
            words = entity.plain_text() if isinstance(entity, MText) else entity.dxf.text
            at = entity.dxf.insert
            texts.append((str(words).strip(), shapely.Point(at.x * scale, at.y * scale)))
            continue
        points, is_smooth = points_of(entity, scale)
        if points is not None:
            lines.append((str(entity.dxf.layer), points, is_smooth))
    return lines, texts


_HAIR_MM2 = 0.5
"""Area that is lost where the ends of an outline cross within the gap that is closed. [mm2]"""


def _drawn(
    path: Path, layer: str | None, label: str | None, unit: str | None, join_mm: float, read: Read
) -> tuple[Polygon, bool]:
    lines, texts = _drawing(path, path.stat().st_mtime, unit, read)
    own = [(p, s) for name, p, s in lines if layer is None or name == layer]
    shapes = polygons_of(rings_of([p for p, _ in own], join_mm))
    if label is not None:
        spots = [at for words, at in texts if words == label]
        shapes = [s for s in shapes if any(Polygon(s.exterior).covers(at) for at in spots)]
        # a label may lie in the outline of another part as well: the nearest round it is its own
        shapes = sorted(shapes, key=lambda s: s.area)[:1]
    if len(shapes) != 1:
        raise NotUnderstoodError(f"{len(shapes)} outlines in {path.name}")
    # ends that meet within the drawing's gap may cross by a hair, which leaves the area alone
    tidy: BaseGeometry = shapes[0].buffer(0.0)
    if not isinstance(tidy, Polygon) or abs(tidy.area - shapes[0].area) > _HAIR_MM2:
        raise NotUnderstoodError("outlines that cross each other")
    ring = shapes[0].exterior
    is_smooth = any(s and ring.distance(shapely.LineString(p)) < join_mm for p, s in own)
    return shapes[0], is_smooth


# ---- plain figures ----


def _by_numbers(t: Table, mm: Mm) -> Polygon:
    kind = t["kind"]
    if "notches" in t:
        raise NotUnderstoodError("notches")
    if kind == "circle":
        r = mm(t["diameter"]) / 2.0
        ring = arc_points((r, r), r, 0.0, 2.0 * math.pi)
    elif kind == "ellipse":
        a, b = mm(t["length"]) / 2.0, mm(t["width"]) / 2.0
        angle = 2.0 * math.pi * np.arange(2001) / 2000
        ring = np.column_stack([a + a * np.cos(angle), b + b * np.sin(angle)])
    else:
        corners = _corners(kind, t, mm)
        cuts = ["sharp"] * len(corners)
        sizes = [0.0] * len(corners)
        for word, cut in (("radius", "round"), ("chamfer", "chamfer")):
            if word in t:
                cuts, sizes = [cut] * len(corners), [mm(t[word])] * len(corners)
        for c in t.get("corners", []):
            cuts[c["corner"] - 1], sizes[c["corner"] - 1] = c["cut"], mm(c.get("size", 0))
        ring = _treated(corners, cuts, sizes)
    outline = Polygon(ring)
    box = outline.bounds
    return Polygon(outline.exterior, [_hole(h, box, mm) for h in t.get("holes", [])])


def _corners(kind: str, t: Table, mm: Mm) -> list[tuple[float, float]]:
    if kind == "rectangle":
        x, y = mm(t["length"]), mm(t["width"])
        return [(0, 0), (x, 0), (x, y), (0, y)]
    if kind == "trapezoid":
        bottom, top, high = mm(t["bottom"]), mm(t["top"]), mm(t["height"])
        shift = mm(t["shift"]) if "shift" in t else (bottom - top) / 2.0
        low = max(0.0, -shift)
        return [(low, 0), (low + bottom, 0), (low + shift + top, high), (low + shift, high)]
    if kind == "taper":
        x, a, b = mm(t["length"]), mm(t["start"]), mm(t["end"])
        most = max(a, b)
        # both ends are centred on the same line, or share the lower edge: told apart by fitting
        del most
        return [(0, 0), (x, 0), (x, b), (0, a)]
    if kind == "polygon":
        return [(mm(x), mm(y)) for x, y in t["points"]]
    raise NotUnderstoodError(f"shape {kind}")


def _treated(corners: list[tuple[float, float]], cuts: list[str], sizes: list[float]) -> Points:
    """Cut or round the corners of a polygon that runs anticlockwise."""
    rows = []
    n = len(corners)
    for k, (cut, size) in enumerate(zip(cuts, sizes, strict=True)):
        at, before, after = (np.array(corners[j % n], float) for j in (k, k - 1, k + 1))
        back, on = before - at, after - at
        back, on = back / np.hypot(*back), on / np.hypot(*on)
        if cut == "sharp" or size == 0.0:
            rows.append(at[None, :])
        elif cut == "chamfer":
            rows.append(np.array([at + size * back, at + size * on]))
        elif cut == "round":
            angle = math.acos(float(np.clip(back @ on, -1.0, 1.0)))
            reach = size / math.tan(angle / 2.0)
            middle = (back + on) / np.hypot(*(back + on))
            centre = at + middle * size / math.sin(angle / 2.0)
            rows.append(_between(centre, size, at + reach * back, at + reach * on))
        else:
            raise NotUnderstoodError(f"corner {cut}")
    return np.concatenate(rows)


def _between(centre: Points, radius: float, a: Points, b: Points) -> Points:
    """The shorter arc from one point to another."""
    start, end = (math.atan2(*(p - centre)[::-1]) for p in (a, b))
    sweep = (end - start + math.pi) % (2.0 * math.pi) - math.pi
    return arc_points((float(centre[0]), float(centre[1])), radius, start, sweep)


def _hole(t: Table, box: tuple[float, float, float, float], mm: Mm) -> Points:
    x0, y0, x1, y1 = box
    x = (x0 + x1) / 2.0 + mm(t.get("off_centre", 0))
    y = (y0 + y1) / 2.0 + mm(t.get("off_middle", 0))
    if "from_left" in t:
        x = x0 + mm(t["from_left"])
    if "from_right" in t:
        x = x1 - mm(t["from_right"])
    if "from_bottom" in t:
        y = y0 + mm(t["from_bottom"])
    if "from_top" in t:
        y = y1 - mm(t["from_top"])
    if "centre" in t:
        x, y = (mm(v) for v in t["centre"])
    form = t.get("form", "round")
    if form == "round":
        return arc_points((x, y), mm(t["diameter"]) / 2.0, 0.0, 2.0 * math.pi)
    length, width = mm(t["length"]), mm(t["width"])
    if form == "rectangle":
        r = mm(t.get("radius", 0))
        box_corners = [(-length / 2, -width / 2), (length / 2, -width / 2),
                       (length / 2, width / 2), (-length / 2, width / 2)]  # fmt: skip
        ring = _treated(box_corners, ["round"] * 4, [r] * 4)
    elif form == "slot":
        r, half = min(length, width) / 2.0, (max(length, width) - min(length, width)) / 2.0
        ring = np.concatenate(
            [arc_points((half, 0.0), r, -math.pi / 2, math.pi),
             arc_points((-half, 0.0), r, math.pi / 2, math.pi)]
        )  # fmt: skip
        if width > length:
            ring = ring[:, ::-1] * (-1.0, 1.0)
    else:
        raise NotUnderstoodError(f"hole {form}")
    turned = affinity.rotate(Polygon(ring), float(t.get("turn", 0)), origin=(0, 0))
    points: Points = shapely.get_coordinates(turned.exterior)
    return np.add(points, (x, y))
