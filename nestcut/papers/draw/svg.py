"""Drawings as SVG: text stays text, pieces are groups with their id, sizes are true mm on paper."""

from __future__ import annotations

from collections.abc import Callable
from xml.etree import ElementTree as ET

from nestcut.model.curves import Point
from nestcut.papers.draw.diagram import (
    Area,
    Disc,
    Drawing,
    Fill,
    Group,
    Item,
    Lines,
    Path,
    Pen,
    Text,
    texts_of,
)
from nestcut.papers.draw.letters import WEB_FAMILIES, Weight, fenced, spelled, web_fonts

KEEPS_BLANKS = "{http://www.w3.org/XML/1998/namespace}space"
"""Two blanks between a name and its size stay two, as on paper (SVG 1.1, 10.15)."""
FILLS = {Fill.NONE: "none", Fill.PAPER: "#fff", Fill.SHADE: "#ddd", Fill.INK: "#000"}
FAMILY = f"'DejaVu Sans Condensed','DejaVu Sans',{WEB_FAMILIES},Verdana,sans-serif"


def svg_element(drawing: Drawing) -> ET.Element:
    """Turn a drawing into an SVG element; ``viewBox`` is in mm on paper."""
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{_n(drawing.width_mm)}mm",
            "height": f"{_n(drawing.height_mm)}mm",
            "viewBox": f"0 0 {_n(drawing.width_mm)} {_n(drawing.height_mm)}",
            "font-family": FAMILY,
            "fill": "none",
            "stroke-linecap": "round",
            "stroke-linejoin": "round",
        },
    )
    title = ET.SubElement(root, "title")
    title.text = _clean(drawing.caption)
    _add(root, drawing.items, drawing.height_mm)
    return root


def svg_text(drawing: Drawing) -> str:
    """Turn a drawing into an SVG file's text."""
    element = svg_element(drawing)
    fonts = web_fonts("".join(text.text for text in texts_of(drawing.items)))
    if fonts:
        style = ET.Element("style")
        style.text = fonts
        element.insert(1, style)
    body = ET.tostring(element, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{body}\n'


def _add(parent: ET.Element, items: tuple[Item, ...], height: float) -> None:
    def flip(p: Point) -> tuple[str, str]:
        return _n(p[0]), _n(height - p[1])

    for item in items:
        match item:
            case Group(key, kind, inner):
                group = ET.SubElement(parent, "g", {"class": kind})
                if key:
                    group.set("data-piece", _clean(key))
                    ET.SubElement(group, "title").text = _clean(key)
                _add(group, inner, height)
            case Text():
                _add_text(parent, item, flip)
            case Disc(centre, radius, pen, fill):
                x, y = flip(centre)
                ET.SubElement(
                    parent,
                    "circle",
                    {"cx": x, "cy": y, "r": _n(radius), "fill": FILLS[fill], **_stroke(pen)},
                )
            case Path(points, pen):
                ET.SubElement(parent, "path", {"d": _way(points, flip, ""), **_stroke(pen)})
            case Area(outline, holes, pen, fill):
                way = "".join(_way(r, flip, "Z") for r in (outline, *holes))
                ET.SubElement(
                    parent,
                    "path",
                    {"d": way, "fill": FILLS[fill], "fill-rule": "evenodd", **_stroke(pen)},
                )
            case Lines(segments, pen):
                if segments:
                    way = "".join(_way(s, flip, "") for s in segments)
                    ET.SubElement(parent, "path", {"d": way, **_stroke(pen)})


def _add_text(parent: ET.Element, text: Text, flip: Callable[[Point], tuple[str, str]]) -> None:
    x, y = flip(text.start)
    attributes = {
        "x": x,
        "y": y,
        "font-size": _n(text.size_mm),
        "fill": "#000",
    }
    if spelled(text.text) == text.text:  # as wide as it's printed, whatever font shows it
        attributes["textLength"] = _n(text.width_mm)
        attributes["lengthAdjust"] = "spacingAndGlyphs"
    if text.weight is Weight.BOLD:
        attributes["font-weight"] = "bold"
    if "  " in text.text:
        attributes[KEEPS_BLANKS] = "preserve"
    if text.angle_deg:
        attributes["transform"] = f"rotate({_n(-text.angle_deg)} {x} {y})"
    ET.SubElement(parent, "text", attributes).text = fenced(_clean(text.text))


def _stroke(pen: Pen | None) -> dict[str, str]:
    if pen is None:
        return {"stroke": "none"}
    grey = round(pen.value.grey * 255)
    look = {"stroke": f"#{grey:02x}{grey:02x}{grey:02x}", "stroke-width": _n(pen.value.width_mm)}
    if pen.value.dashes:
        look["stroke-dasharray"] = " ".join(_n(d) for d in pen.value.dashes)
    return look


def _way(points: tuple[Point, ...], flip: Callable[[Point], tuple[str, str]], end: str) -> str:
    return "M" + "L".join(" ".join(flip(p)) for p in points) + end


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"", "-0"} else text


def _clean(text: str) -> str:
    """Leave out control characters, which XML can't hold."""
    return "".join(
        c for c in text if c >= " " and c not in "\ufffe\uffff" and not "\ud800" <= c <= "\udfff"
    )
