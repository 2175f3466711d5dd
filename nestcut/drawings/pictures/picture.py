"""A picture (SVG) of a drawing: outlines, marks, what was left out, and every fault ringed."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Mapping, Sequence
from xml.etree import ElementTree as ET

from nestcut.drawings.lettering import letters
from nestcut.drawings.records import Drawing, DrawnOutline, Verdict
from nestcut.drawings.tell import RINGED
from nestcut.errors import Finding
from nestcut.geometry.curves import flatten
from nestcut.geometry.polygons import to_polygon
from nestcut.model.curves import Curve, Point
from nestcut.model.shape import Shape
from nestcut.words import Speech, tell

_WIDTH = 1000.0
"""Width of the drawing's part of the picture. [px]"""

_NOTE_LINE = 16.0
_NOTE_SIGNS = 150
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


def drawing_picture(drawing: Drawing, names: Mapping[int, str] | None = None) -> str:
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
    """
    return ET.tostring(_draw(drawing, names or {}), encoding="unicode") + "\n"


def job_picture(drawings: Sequence[tuple[str, Drawing, Mapping[int, str]]]) -> str:
    """Return one SVG picture of all drawings of a job, one below the other.

    Parameters
    ----------
    drawings
        Each drawing with its file name and with its parts' names by number.
    """
    if len(drawings) == 1:
        _, drawing, names = drawings[0]
        return drawing_picture(drawing, names)
    page = ET.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", **_FACE})
    top = 0.0
    for file, drawing, names in drawings:
        heading = ET.SubElement(page, "text", {"x": "20", "y": f"{top + 24:.0f}"})
        heading.set("font-weight", "bold")
        heading.text = file
        inner = _draw(drawing, names)
        inner.attrib.pop("xmlns")
        width, height = inner.get("viewBox", "").split()[2:]
        inner.attrib.update({"x": "0", "y": f"{top + 32:.0f}", "width": width, "height": height})
        page.append(inner)
        top += 40.0 + float(height)
    page.set("viewBox", f"0 0 {_WIDTH + 40:.0f} {top:.0f}")
    return ET.tostring(page, encoding="unicode") + "\n"


def _draw(drawing: Drawing, names: Mapping[int, str]) -> ET.Element:
    view = _View(_box(drawing))
    ringed = [f for f in drawing.findings if f.at_mm is not None and f.severity in RINGED]
    others = [f for f in drawing.findings if f.at_mm is None or f.severity not in RINGED]
    notes = [(letters(i - 1), f) for i, f in enumerate(ringed, start=1)]
    notes += [("", f) for f in others]
    lines = _note_lines(notes)
    height = view.height + 40.0 + _NOTE_LINE * len(lines)
    svg = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {_WIDTH + 40:.0f} {height:.0f}",
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
        view.line(svg, line.curves, {"stroke": "#555"})
    shown = [*drawing.offered, *drawing.outlines]
    for outline in shown:
        _draw_outline(view, svg, outline)
    for outline in shown:
        _name_outline(view, svg, outline, names.get(outline.number, outline.name))
    for i, finding in enumerate(ringed, start=1):
        _ring(view, svg, finding, i)
    _write_notes(svg, lines, view.height + 40.0)
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


class _View:
    """From mm to picture, y down."""

    def __init__(self, box: tuple[float, float, float, float]) -> None:
        x0, y0, x1, y1 = box
        size = max(x1 - x0, 1e-9)
        self.scale = _WIDTH / max(size, (y1 - y0) * 0.5)
        self.x0, self.y1 = x0, y1
        self.height = (y1 - y0) * self.scale + 40.0

    def at(self, p: Point) -> Point:
        """Map a point."""
        return ((p[0] - self.x0) * self.scale + 20.0, (self.y1 - p[1]) * self.scale + 20.0)

    def path(self, points: list[Point], *, end: str = "") -> str:
        """Return path data through points."""
        mapped = [self.at(p) for p in points]
        return "M" + " L".join(f"{x:.2f} {y:.2f}" for x, y in mapped) + end

    def line(self, parent: ET.Element, curves: tuple[Curve, ...], style: dict[str, str]) -> None:
        """Draw curves head to tail."""
        ET.SubElement(
            parent,
            "path",
            {"d": self.path(self.points(curves)), "fill": "none", "stroke-width": "1", **style},
        )

    def points(self, curves: tuple[Curve, ...]) -> list[Point]:
        """Flatten to a third of a pixel."""
        points: list[Point] = []
        for curve in curves:
            points += flatten(curve, 0.3 / self.scale)[1 if points else 0 :]
        return points


def _draw_outline(view: _View, svg: ET.Element, outline: DrawnOutline) -> None:
    shape: Shape = outline.shape
    group = ET.SubElement(svg, "g")
    ET.SubElement(group, "title").text = outline.name
    style = {"stroke": "black", "fill": "#f2e3c0", "fill-rule": "evenodd", "stroke-width": "2"}
    if outline.offered_because and outline.judgement.verdict is Verdict.ASKED and outline.number:
        style |= {"fill": "url(#asked)", "stroke": "#06c"}
    elif outline.offered_because:
        style |= {"fill": "none", "stroke-width": "0.8", "stroke-dasharray": "6 3"}
    elif not outline.is_sound:
        style["stroke-dasharray"] = "10 4"
    rings = [
        view.path(view.points(r.curves) if r.curves else list(r.points), end=" Z")
        for r in (shape.outline, *shape.holes)
    ]
    ET.SubElement(group, "path", {"d": " ".join(rings), **style})
    for mark in shape.marks:
        data = view.path(list(mark.points))
        ET.SubElement(
            group,
            "path",
            {"d": data, "fill": "none", "stroke": "black", "stroke-dasharray": "8 3 2 3"},
        )


def _name_outline(view: _View, svg: ET.Element, outline: DrawnOutline, name: str) -> None:
    """Write number and name into an outline, never into a cut-out; a small one is numbered only."""
    if not outline.number:
        return
    spot = to_polygon(outline.shape).representative_point()
    x, y = view.at((float(spot.x), float(spot.y)))
    if not (math.isfinite(x) and math.isfinite(y)):
        return
    kind, verdict = outline.judgement.kind, outline.judgement.verdict
    words = f"{outline.number} {name}"
    if kind is not None and verdict is not Verdict.PART:
        words = f"{outline.number} ({kind.value}{'?' if verdict is Verdict.ASKED else ''})"
    x0, y0, x1, y1 = outline.box_mm
    wide, high = (x1 - x0) * view.scale, (y1 - y0) * view.scale
    if _SIGN * len(words) > max(wide, 2.0 * _LINE):
        words = str(outline.number)
    y += 4.0
    if min(wide, high) < _LINE:  # beside it, or the number would hide it
        y = view.at((x0, y1))[1] - 4.0
    text = ET.SubElement(svg, "text", {"x": f"{x:.1f}", "y": f"{y:.1f}", **_HALO})
    text.set("text-anchor", "middle")
    text.text = words


def _ring(view: _View, svg: ET.Element, finding: Finding, number: int) -> None:
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


def _note_lines(notes: list[tuple[str, Finding]]) -> list[tuple[str, str]]:
    """Return (text, colour) of every line below the picture, wrapped to its width."""
    lines = []
    for number, finding in notes:
        told = tell(finding, Speech())
        text = f"{number} {finding.severity} {finding.code}: {told.message}".strip()
        lines += [(part, "black") for part in textwrap.wrap(text, _NOTE_SIGNS)]
        lines += [("    " + part, "#555") for part in textwrap.wrap(told.remedy, _NOTE_SIGNS)]
    return lines


def _write_notes(svg: ET.Element, lines: list[tuple[str, str]], top: float) -> None:
    for i, (line, colour) in enumerate(lines):
        text = ET.SubElement(svg, "text", {"x": "20", "y": f"{top + i * _NOTE_LINE:.0f}"})
        text.set("fill", colour)
        text.set("xml:space", "preserve")
        text.text = line


def _box(drawing: Drawing) -> tuple[float, float, float, float]:
    """Box of everything drawn that lies near the outlines, so that strays don't shrink it all."""
    boxes = [o.box_mm for o in (*drawing.outlines, *drawing.offered)]
    if not boxes:
        points = [p for s in drawing.left_out for c in s.curves for p in flatten(c, 1.0)]
        boxes = [(x, y, x, y) for x, y in points]
    if not boxes:
        return (0.0, 0.0, 100.0, 50.0)
    x0, y0 = min(b[0] for b in boxes), min(b[1] for b in boxes)
    x1, y1 = max(b[2] for b in boxes), max(b[3] for b in boxes)
    margin = 0.03 * max(x1 - x0, y1 - y0, 1e-6)
    return (x0 - margin, y0 - margin, x1 + margin, y1 + margin)
