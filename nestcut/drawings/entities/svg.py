"""An SVG file to strokes and texts: groups, transforms, reused symbols, units; y turned upward.

Path data and transforms are read by svgpathtools; the tree is walked here, since it passes the
layers, the units and what is hidden over.  Terms and rules: W3C, Scalable Vector Graphics 2.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np

from nestcut.drawings.entities.amounts import MAX_DEPTH, MAX_DRAWN
from nestcut.drawings.entities.explode import Exploded, clean
from nestcut.drawings.entities.load import read_bytes, refuse
from nestcut.drawings.entities.primitives import UnusableError, numbers
from nestcut.drawings.entities.svg_figures import (
    LENGTH,
    PHYSICAL_MM,
    SHAPES,
    Floats,
    mapped,
    number_of,
    numbers_in,
    shifted,
    tag_of,
)
from nestcut.drawings.records import Label, LeftOut, Pen, Seen, Stroke, drawing_name
from nestcut.units import Unit

MAX_SVG_BYTES = 20_000_000
"""Larger files aren't read. [bytes]"""

_SKIPPED = frozenset(
    {"defs", "symbol", "metadata", "title", "desc", "style", "script", "clipPath", "mask",
     "pattern", "marker", "linearGradient", "radialGradient", "filter", "namedview"}
)  # fmt: skip
"""Elements that draw nothing where they stand."""

_UNREAD = {
    "image": "a picture; only drawn lines can be read",
    "foreignObject": "a foreign document",
}


@dataclass(frozen=True, slots=True)
class _At:
    """Where the walk stands."""

    matrix: Floats
    layer: str = "0"
    seen: Seen = Seen.SHOWN
    pen: Pen = Pen.FULL
    depth: int = 0
    path: tuple[str, ...] = ()
    instance: int = 0


_TRANSFORM = re.compile(
    r"\s*(?:(?:matrix|translate|scale|rotate|skewX|skewY)\s*"
    r"\(\s*[-+.\d][-+.\d\seE,]*\)[\s,]*)+|\s*(?:none)?\s*"
)
"""A list of transforms as the standard writes them (SVG 1.1, section 7.6)."""


@dataclass(frozen=True, slots=True)
class SvgFile:
    """An SVG tree with what its root says of its size."""

    name: str
    root: ET.Element
    mm_per_unit: float | None
    """What one of its units measures; None if it doesn't say. [mm]"""

    @property
    def said(self) -> Unit | None:
        """Mm if it says what its units measure (they are converted), else None."""
        return None if self.mm_per_unit is None else Unit.MM

    def explode(self, mm_per_unit: float) -> Exploded:
        """Return its strokes and texts; ``mm_per_unit`` counts where the file says nothing."""
        factor = mm_per_unit if self.mm_per_unit is None else self.mm_per_unit
        walk = _Walk(self)
        walk.run(np.array(((factor, 0.0, 0.0), (0.0, -factor, 0.0), (0.0, 0.0, 1.0))))
        return walk.out


def is_svg(path: Path) -> bool:
    """Whether a file calls itself an SVG, or begins like one."""
    if path.suffix.lower() == ".svg":
        return True
    try:
        with path.open("rb") as file:
            head = file.read(600).lstrip(b"\xef\xbb\xbf \t\r\n")
    except (OSError, ValueError):
        return False
    return head.startswith(b"<") and b"<svg" in head


def load_svg(path: Path) -> SvgFile:
    """Open an SVG file.

    Raises
    ------
    DrawingError
        If it can't be read.
    """
    name = drawing_name(path)
    data = read_bytes(path, MAX_SVG_BYTES)
    if b"<!ENTITY" in data:
        refuse("DXF-002", name, reason="it defines words of its own, as only attacks do")
    try:
        root = ET.fromstring(data)  # noqa: S314 - entities are refused above
    except (ET.ParseError, ValueError, LookupError) as error:
        refuse("DXF-002", name, reason=f"damaged SVG: {error}")
    if tag_of(root) != "svg":
        refuse("DXF-002", name, reason="it isn't an SVG file")
    return SvgFile(name, root, _root_scale(root))


def _root_scale(root: ET.Element) -> float | None:
    """Return what one unit of the view box measures, if the root says it. [mm]"""
    width = LENGTH.fullmatch(root.get("width", ""))
    if width is None or width[2] not in PHYSICAL_MM:
        return None
    size = float(width[1]) * PHYSICAL_MM[width[2]]
    box = numbers_in(root.get("viewBox", ""))
    if len(box) != 4 or not box[2] > 0.0:
        return 25.4 / 96.0  # without a view box the units are CSS px, 96 to an inch
    scale = size / box[2]
    return scale if math.isfinite(scale) and scale > 0.0 else None


class _Walk:
    """One walk through the tree; ``out`` is what it found."""

    def __init__(self, file: SvgFile) -> None:
        self.file = file
        self.out = Exploded()
        self.by_id = {e.get("id", ""): e for e in file.root.iter() if e.get("id")}
        self.drawn = 0
        self.instances = 0

    def run(self, matrix: Floats) -> None:
        """Walk from the root."""
        for child in self.file.root:
            self._visit(child, _At(matrix))

    def _visit(self, element: ET.Element, at: _At) -> None:
        tag = tag_of(element)
        if tag in _SKIPPED or not tag:
            return
        self.out.entity_count += 1
        self._count(1)
        try:
            here = self._place(element, tag, at)
            self._take(element, tag, here)
        except (UnusableError, ValueError, TypeError, KeyError, IndexError, AssertionError,
                ZeroDivisionError, OverflowError) as error:  # fmt: skip
            said = str(error) if isinstance(error, UnusableError) else type(error).__name__
            self._leave(element, tag, at, f"it is damaged ({said})")

    def _count(self, n: int) -> None:
        self.drawn += n
        if self.drawn > MAX_DRAWN:
            refuse("DXF-003", self.file.name, met=f"more than {MAX_DRAWN:,} lines",
                   limit=f"{MAX_DRAWN:,}")  # fmt: skip

    def _place(self, element: ET.Element, tag: str, at: _At) -> _At:
        style = _style(element)
        matrix = at.matrix
        moved = element.get("transform")
        if moved:
            from svgpathtools.parser import parse_transform

            if _TRANSFORM.fullmatch(moved) is None:  # the library would pass over it
                raise UnusableError("where it lies can't be read")
            with np.errstate(over="ignore", invalid="ignore"):  # told right below
                matrix = matrix @ np.asarray(parse_transform(moved), dtype=float)
        if not np.isfinite(matrix).all():
            raise UnusableError("a number is out of range")
        seen = at.seen
        if style.get("display") == "none" or style.get("visibility") in {"hidden", "collapse"}:
            seen = Seen.OFF
        layer = at.layer
        if tag == "g":
            label = next((v for k, v in element.attrib.items() if k.endswith("}label")), "")
            layer = clean(label or element.get("id", "")) or layer
            locked = any(
                k.endswith("}insensitive") and v == "true" for k, v in element.attrib.items()
            )
            seen = Seen.LOCKED if locked and seen is Seen.SHOWN else seen
        dash = style.get("stroke-dasharray", "")
        pen = Pen.BROKEN if re.search(r"[1-9]", dash) else at.pen if not dash else Pen.FULL
        return replace(at, matrix=matrix, layer=layer, seen=seen, pen=pen, depth=at.depth + 1)

    def _take(self, element: ET.Element, tag: str, at: _At) -> None:
        if tag in {"g", "a", "svg", "switch"}:
            if at.depth > 4 * MAX_DEPTH:
                self._leave(element, tag, at, "groups nested too deep")
                return
            for child in element:
                self._visit(child, self._inner(element, at) if tag == "svg" else at)
        elif tag == "use":
            self._use(element, at)
        elif tag == "text":
            self._text(element, at)
        elif tag in SHAPES:
            self._strokes(element, tag, at)
        else:
            self._leave(element, tag, at, _UNREAD.get(tag, "a thing without known lines"))

    def _inner(self, element: ET.Element, at: _At) -> _At:
        """An svg in an svg: moved, and scaled to its view box."""
        x, y = number_of(element, "x"), number_of(element, "y")
        matrix = at.matrix @ shifted(x, y)
        box, width = numbers_in(element.get("viewBox", "")), number_of(element, "width")
        if len(box) == 4 and box[2] > 0 and width > 0:
            scale = width / box[2]
            matrix = matrix @ np.diag((scale, scale, 1.0)) @ shifted(-box[0], -box[1])
        return replace(at, matrix=matrix)

    def _use(self, element: ET.Element, at: _At) -> None:
        name = next((v for k, v in element.attrib.items() if k.split("}")[-1] == "href"), "")
        key = name.removeprefix("#")
        target = self.by_id.get(key)
        if target is None or key in at.path or len(at.path) >= MAX_DEPTH:
            self._leave(element, "use", at, f"what it repeats, {clean(name)}, is missing")
            return
        self.instances += 1
        inside = replace(
            at,
            matrix=at.matrix @ shifted(number_of(element, "x"), number_of(element, "y")),
            path=(*at.path, key),
            instance=at.instance or self.instances,
        )
        if tag_of(target) == "symbol":
            for child in target:
                self._visit(child, inside)
        else:
            self._visit(target, inside)

    def _text(self, element: ET.Element, at: _At) -> None:
        text = clean(" ".join("".join(element.itertext()).split()))
        if not text:
            return
        first = next((e for e in element.iter() if e.get("x")), element)
        size = LENGTH.match(_style(element).get("font-size", "") or "12")
        height = 0.7 * (float(size[1]) if size else 12.0)
        x, y = number_of(first, "x"), number_of(first, "y")
        anchor = _style(element).get("text-anchor", "start")
        right = {"start": 0.35, "middle": 0.0, "end": -0.35}.get(anchor, 0.35) * len(text) * height
        spot = mapped(at.matrix, (x, y))
        numbers(*spot)
        scale = abs(float(np.linalg.det(at.matrix[:2, :2]))) ** 0.5
        self.out.labels.append(
            Label(
                text=text, at_mm=spot, height_mm=height * scale, layer=at.layer,
                handle=clean(element.get("id", "")), block=clean("/".join(at.path)), seen=at.seen,
                middle_mm=mapped(at.matrix, (x + right, y - height / 2.0)),
            )
        )  # fmt: skip

    def _strokes(self, element: ET.Element, tag: str, at: _At) -> None:
        for pieces, closed in SHAPES[tag](element):
            self._count(len(pieces))
            curves = tuple(c for piece in pieces if (c := piece(at.matrix)) is not None)
            if not curves:
                self._leave(element, tag, at, "it has no length")
                continue
            self.out.strokes.append(
                Stroke(
                    curves=curves, is_closed=closed, kind=tag, layer=at.layer,
                    handle=clean(element.get("id", "")), block=clean("/".join(at.path)),
                    pen=at.pen, seen=at.seen, instance=at.instance,
                )
            )  # fmt: skip

    def _leave(self, element: ET.Element, tag: str, at: _At, reason: str) -> None:
        self.out.left_out.append(
            LeftOut(kind=clean(tag), layer=at.layer, handle=clean(element.get("id", "")),
                    reason=reason)
        )  # fmt: skip


def _style(element: ET.Element) -> dict[str, str]:
    found = {k: element.get(k, "") for k in ("display", "visibility", "stroke-dasharray",
                                             "font-size", "text-anchor")}  # fmt: skip
    for item in element.get("style", "").split(";"):
        key, _, value = item.partition(":")
        found[key.strip()] = value.strip()
    return found
