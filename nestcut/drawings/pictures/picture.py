"""A picture (SVG) of a drawing: outlines, marks, what stays open, and every fault ringed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from xml.etree import ElementTree as ET

import shapely

from nestcut.drawings.lettering import letters
from nestcut.drawings.pictures.notes import KEY_HEIGHT, NOTE_LINE, draw_key, note_lines, write_notes
from nestcut.drawings.pictures.strokes import ASKED, GREY, MIDDLE, NOT_TAKEN, OPEN, PART
from nestcut.drawings.pictures.view import WIDTH, View, box_of
from nestcut.drawings.records import ON_SCREEN, Drawing, DrawnOutline, Verdict
from nestcut.drawings.tell import RINGED
from nestcut.errors import Finding
from nestcut.geometry.polygons import to_polygon
from nestcut.model.curves import Point
from nestcut.model.shape import Shape
from nestcut.words import Speech

_MOST_LEFT_OUT = 5_000
_SIGN, _LINE = 6.5, 16.0
"""Mean width of a letter, and height of a line. [px]"""
_FACE = {"font-family": "sans-serif", "font-size": "12"}
_HALO = {
    "stroke": "white",
    "stroke-width": "3",
    "paint-order": "stroke",
    "stroke-linejoin": "round",
}
"""Names stay readable over lines and hatches."""


def drawing_picture(
    drawing: Drawing, names: Mapping[int, str] | None = None, speech: Speech | None = None
) -> str:
    """Return an SVG picture of a drawing.

    Parts are filled, outlines asked about hatched, others only dashed; each has its number and its
    name, cut-outs stay white, marks are dashed, lines left out dotted.  Findings with a place get
    a lettered ring, listed below in words.

    Parameters
    ----------
    drawing
        The drawing as read.
    names
        Names of parts in the job by the outline's number; others keep their own.
    speech
        How lengths are said below the picture; None: in mm.
    """
    svg = _draw(drawing, names or {}, speech or Speech())
    return ET.tostring(svg, encoding="unicode") + "\n"


def job_picture(
    drawings: Sequence[tuple[str, Drawing, Mapping[int, str]]], speech: Speech | None = None
) -> str:
    """Return one SVG picture of all drawings of a job, one below the other.

    Parameters
    ----------
    drawings
        Each drawing with its file name and with its parts' names by number.
    speech
        How lengths are said below the pictures; None: in mm.
    """
    if len(drawings) == 1:
        _, drawing, names = drawings[0]
        return drawing_picture(drawing, names, speech)
    page = ET.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", **_FACE})
    top = 0.0
    for file, drawing, names in drawings:
        heading = ET.SubElement(page, "text", {"x": "20", "y": f"{top + 24:.0f}"})
        heading.set("font-weight", "bold")
        heading.text = file
        inner = _draw(drawing, names, speech or Speech())
        inner.attrib.pop("xmlns")
        width, height = inner.get("viewBox", "").split()[2:]
        inner.attrib.update({"x": "0", "y": f"{top + 32:.0f}", "width": width, "height": height})
        page.append(inner)
        top += 40.0 + float(height)
    page.set("viewBox", f"0 0 {WIDTH + 40:.0f} {top:.0f}")
    return ET.tostring(page, encoding="unicode") + "\n"


def _draw(drawing: Drawing, names: Mapping[int, str], speech: Speech) -> ET.Element:
    view = View(box_of(drawing))
    ringed = [f for f in drawing.findings if f.at_mm is not None and f.severity in RINGED]
    lines = note_lines(drawing, ringed, speech)
    height = view.height + KEY_HEIGHT + NOTE_LINE * len(lines) + 20.0
    svg = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {WIDTH + 40:.0f} {height:.0f}",
            **_FACE,
        },
    )
    ET.SubElement(svg, "title").text = f"{drawing.file}: what was found"
    _define_hatch(svg)
    ET.SubElement(svg, "rect", {"width": "100%", "height": "100%", "fill": "white"})
    for left in drawing.left_out[:_MOST_LEFT_OUT]:
        for curve in left.curves:
            view.line(svg, (curve,), {"stroke": "#888", "stroke-dasharray": "1 3"})
    for line in drawing.open_lines:
        view.line(svg, line.curves, OPEN)
    shown = [*(o for o in drawing.offered if o.seen in ON_SCREEN), *drawing.outlines]
    for outline in shown:
        _draw_outline(view, svg, outline)
    for outline in shown:
        _name_outline(view, svg, outline, names.get(outline.number, outline.name))
    for i, finding in enumerate(ringed, start=1):
        _ring(view, svg, finding, i)
    draw_key(svg, view.height)
    write_notes(svg, lines, view.height + KEY_HEIGHT)
    return svg


def _define_hatch(svg: ET.Element) -> None:
    """Define the hatch of outlines that are asked about."""
    hatch = ET.SubElement(
        ET.SubElement(svg, "defs"),
        "pattern",
        {"id": "asked", "width": "8", "height": "8", "patternUnits": "userSpaceOnUse"},
    )
    ET.SubElement(hatch, "rect", {"width": "8", "height": "8", "fill": "white"})
    ET.SubElement(hatch, "path", {"d": "M-2 2 L2 -2 M0 8 L8 0 M6 10 L10 6", "stroke": "#06c"})


def _draw_outline(view: View, svg: ET.Element, outline: DrawnOutline) -> None:
    shape: Shape = outline.shape
    group = ET.SubElement(svg, "g")
    ET.SubElement(group, "title").text = outline.name
    style = {**PART, "fill-rule": "evenodd"}
    is_open_half = outline.half_of is not None and outline.half_of.must_be_mirrored
    is_asked = outline.judgement.verdict is Verdict.ASKED
    if outline.offered_because and outline.number and (is_asked or is_open_half):
        style |= ASKED
    elif outline.offered_because:
        style |= NOT_TAKEN
    elif not outline.is_sound:
        style["stroke-dasharray"] = "10 4"
    rings = [
        view.path(view.points(r.curves) if r.curves else list(r.points), end=" Z")
        for r in (shape.outline, *shape.holes)
    ]
    ET.SubElement(group, "path", {"d": " ".join(rings), **style})
    for doubt in outline.doubts:
        ring = shape.holes[doubt.at]
        points = view.points(ring.curves) if ring.curves else list(ring.points)
        ET.SubElement(group, "path", {"d": view.path(points, end=" Z"), **PART, **ASKED})
    for mark in shape.marks:
        data = view.path(list(mark.points))
        ET.SubElement(
            group,
            "path",
            {"d": data, "fill": "none", "stroke": "black", "stroke-dasharray": "8 3 2 3"},
        )


def _name_outline(view: View, svg: ET.Element, outline: DrawnOutline, name: str) -> None:
    """Write number and name into an outline, never into a cut-out; a small one is numbered only.

    What is no part is numbered in grey at its corner, so that names of parts stay readable.
    """
    if not outline.number:
        return
    spot = to_polygon(outline.shape).representative_point()
    x, y = view.at((float(spot.x), float(spot.y)))
    if not (math.isfinite(x) and math.isfinite(y)):
        return
    kind, verdict = outline.judgement.kind, outline.judgement.verdict
    x0, y0, x1, y1 = outline.box_mm
    wide, high = (x1 - x0) * view.scale, (y1 - y0) * view.scale
    words = f"{outline.number} {name}"
    if kind is not None and verdict is Verdict.ASKED:
        words = f"{outline.number} ({kind.value}?)"
    if kind is not None and verdict is Verdict.NOT_A_PART:
        left, top = view.at((x0, y1))
        words = f"{outline.number} {kind.value}"
        words = words if _SIGN * len(words) < max(wide, 2.0 * _LINE) else str(outline.number)
        _write(svg, (left, top - 2.0), words, GREY)
        return
    needed = _SIGN * len(words)
    is_upright = needed > wide and needed < high and wide > _LINE
    if needed > max(wide, 2.0 * _LINE) and not is_upright:
        words = str(outline.number)
    y += 4.0
    if min(wide, high) < _LINE:  # beside it, or the number would hide it
        y = view.at((x0, y1))[1] - 4.0
    turn = {"transform": f"rotate(-90 {x:.1f} {y:.1f})"} if is_upright else {}
    _write(svg, (x, y), words, MIDDLE | turn)
    for doubt in outline.doubts:
        points = outline.shape.holes[doubt.at].points
        spot = shapely.Polygon(points).representative_point()
        x, y = view.at((float(spot.x), float(spot.y)))
        _write(svg, (x, y + 4.0), doubt.name, MIDDLE)


def _write(svg: ET.Element, at: Point, words: str, style: dict[str, str]) -> None:
    place = {"x": f"{at[0]:.1f}", "y": f"{at[1]:.1f}"}
    ET.SubElement(svg, "text", {**place, **_HALO, **style}).text = words


def _ring(view: View, svg: ET.Element, finding: Finding, number: int) -> None:
    if finding.at_mm is None:
        return
    x, y = view.at(finding.at_mm)
    if not (math.isfinite(x) and math.isfinite(y)):
        return
    ET.SubElement(
        svg,
        "circle",
        {"cx": f"{x:.1f}", "cy": f"{y:.1f}", "r": "12", "fill": "none", "stroke": "#c00",
         "stroke-width": "2.5"},
    )  # fmt: skip
    label = ET.SubElement(svg, "text", {"x": f"{x + 14:.1f}", "y": f"{y - 10:.1f}", "fill": "#c00"})
    label.set("font-weight", "bold")
    label.text = letters(number - 1)
