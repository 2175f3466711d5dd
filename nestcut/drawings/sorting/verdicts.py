"""What each outline seems to be: a part, no part, or one to ask about; every rule has its reason.

A rule looks at features that a person sees as well: size against the rest, roundness, slenderness,
its layer's name, its texts, what runs beside it.  The first rule that speaks decides; where none
does, the outline is a part.  All limits are common practice, no source.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

from nestcut.drawings.lines.loops import Loop
from nestcut.drawings.records import Judgement, LooksLike, Verdict
from nestcut.drawings.sorting import shopwords as words
from nestcut.drawings.sorting.assemble import Family
from nestcut.drawings.sorting.labels import is_number, plain_name
from nestcut.drawings.sorting.nesting import is_bought_size
from nestcut.facts import Fact, Length, Names, fact
from nestcut.model.curves import Arc, Line
from nestcut.tolerances.lengths import LEAST_MM
from nestcut.tolerances.likeness import (
    FILLS_SHARE,
    NEAR_SHARE,
    ROUND_SHARE,
    SMALL_SHARE,
    SQUARE_SHARE,
)

SMALL_MM = 60.0
"""Small is what is no longer than this, and than a share of the longest outline. [mm]"""

THIN_MM, SLENDER = 32.0, 12.0
"""An edge view is no wider than a thick sheet, and that many times as long. [mm, -]"""

NAMED_SHARE, NAMED_LEAST = 0.5, 3
"""Where this share of the outlines has names, and this many, one without is asked about. [-]"""

SHORT_LABEL = 3
"""Texts of so many signs are the number in a marker, not a part's name. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Features:
    """What a person sees of one outline."""

    long_mm: float
    wide_mm: float
    """Mean width: twice the area over the length of the edge. [mm]"""
    is_circle: bool
    is_rectangle: bool
    is_sheet_size: bool
    """Of a usual sheet of plywood or of paper."""
    is_crossed: bool
    """Whether other outlines run over its edge."""
    is_small: bool
    """Beside the largest of the drawing."""
    twins: int
    """Outlines of just this size, itself included."""
    texts: tuple[str, ...]
    name: str
    layer: str
    block: str
    crosses_itself: bool
    is_tilted: bool
    along: float
    """Length of the outline beside which it lies, flush at both ends; 0 where none does. [mm]"""
    ring_at_mm: float
    """Distance to the outline that runs round it or in it all the way; 0 where none does."""
    is_ring: bool
    """Whether it is the outer one of the two."""
    ring_layer: str
    """Layer of the other one of the two."""
    is_over_edge: bool
    is_titled: bool
    """Whether it belongs to a block of cells with title words."""
    has_named_twin: bool
    are_others_named: bool
    rivals: tuple[str, ...]
    """Names beside it that may as well be another's."""
    is_alone: bool
    are_plain_layers: bool
    """Whether outlines lie on layers that aren't called after allowances or tool paths."""


Rule = Callable[[Features], Judgement | None]


def _not(kind: LooksLike, *reasons: Fact) -> Judgement:
    return Judgement(Verdict.NOT_A_PART, kind, reasons)


def _ask(kind: LooksLike, *reasons: Fact) -> Judgement:
    return Judgement(Verdict.ASKED, kind, reasons)


def _by_layer(f: Features) -> Judgement | None:
    for pattern, kind in (
        (words.TITLE_LAYER, LooksLike.TITLE_BLOCK), (words.DIMENSION_LAYER, LooksLike.DIMENSION),
        (words.STATION_LAYER, LooksLike.STATION), (words.MARKER_LAYER, LooksLike.MARKER),
        (words.CONSTRUCTION_LAYER, LooksLike.CONSTRUCTION), (words.TEXT_LAYER, LooksLike.TEXT),
        (words.LOGO_LAYER, LooksLike.LOGO),
    ):  # fmt: skip
        if pattern.search(f.layer):
            return _not(kind, fact("DXF-221", layer=f.layer))
    if words.ALLOWANCE_LAYER.search(f.layer) and f.are_plain_layers and not f.ring_at_mm:
        return _not(LooksLike.ALLOWANCE, fact("DXF-221", layer=f.layer))
    if f.block and words.LOGO_LAYER.search(f.block):
        return _not(LooksLike.LOGO, fact("DXF-222", block=f.block))
    return None


def _border(f: Features) -> Judgement | None:
    """A rectangle that stands for a page or a sheet, whatever lies in it or over its edge."""
    if not f.is_rectangle:
        return None
    if words.BORDER_LAYER.search(f.layer) and not f.name:
        return _not(LooksLike.PAGE_BORDER, fact("DXF-221", layer=f.layer))
    if f.is_sheet_size and f.is_crossed:
        return _ask(LooksLike.PAGE_BORDER, fact("DXF-236"), fact("DXF-237"))
    return None


def _title(f: Features) -> Judgement | None:
    return _not(LooksLike.TITLE_BLOCK, fact("DXF-223")) if f.is_titled else None


def _tilted(f: Features) -> Judgement | None:
    return _ask(LooksLike.TILTED, fact("DXF-224")) if f.is_tilted else None


def _crossing(f: Features) -> Judgement | None:
    return _ask(LooksLike.CROSSING, fact("DXF-225")) if f.crosses_itself else None


def _ring(f: Features) -> Judgement | None:
    if not f.ring_at_mm:
        return None
    away = Length(f.ring_at_mm)
    if words.ALLOWANCE_LAYER.search(f.layer):
        return _not(LooksLike.ALLOWANCE, fact("DXF-226", away=away), fact("DXF-221", layer=f.layer))
    if words.ALLOWANCE_LAYER.search(f.ring_layer):
        return None  # the other one is the tool's or the allowance's, so this one is the part's
    return _ask(LooksLike.ALLOWANCE, fact("DXF-226" if f.is_ring else "DXF-227", away=away))


def _over_edge(f: Features) -> Judgement | None:
    return _ask(LooksLike.OVER_AN_EDGE, fact("DXF-228")) if f.is_over_edge and not f.name else None


def _station(f: Features) -> Judgement | None:
    said = [t for t in f.texts if words.STATION.match(t)]
    if f.is_small and said:
        kind = LooksLike.STATION if any(c.isalpha() for c in said[0]) else LooksLike.MARKER
        return _not(kind, fact("DXF-229", text=said[0]), fact("DXF-230", size=Length(f.long_mm)))
    return None


def _marker(f: Features) -> Judgement | None:
    if not f.is_small:
        return None
    size = fact("DXF-230", size=Length(f.long_mm))
    short = next((t for t in f.texts if len(t) <= SHORT_LABEL), "")
    if f.is_circle and short:
        return _not(LooksLike.MARKER, fact("DXF-229", text=short), size)
    if f.is_circle and not f.name:
        return _ask(LooksLike.MARKER, fact("DXF-231", times=f.twins), size)
    return None if f.name else _ask(LooksLike.SMALL, size)


def _edge_view(f: Features) -> Judgement | None:
    if f.wide_mm > THIN_MM or f.long_mm < SLENDER * f.wide_mm or f.is_circle:
        return None
    said = next((t for t in f.texts if words.EDGE.search(t)), "")
    thin = fact("DXF-232", wide=Length(f.wide_mm), long=Length(f.long_mm))
    if said:
        return _not(LooksLike.EDGE_VIEW, thin, fact("DXF-229", text=said))
    if f.name or f.is_alone:
        return None
    if f.along:
        return _not(LooksLike.EDGE_VIEW, thin, fact("DXF-233", along=Length(f.along)))
    return _ask(LooksLike.EDGE_VIEW, thin)


def _unnamed(f: Features) -> Judgement | None:
    if f.rivals and not f.name:
        return _ask(LooksLike.UNNAMED, fact("DXF-238", labels=Names(f.rivals)))
    if f.name or not f.are_others_named or f.has_named_twin:
        return None
    return _ask(LooksLike.UNNAMED, fact("DXF-235"))


RULES: tuple[Rule, ...] = (
    _by_layer, _border, _title, _tilted, _ring, _crossing, _over_edge, _station, _marker,
    _edge_view, _unnamed,
)  # fmt: skip
"""In the order in which they are asked."""


def judge(features: Features) -> Judgement:
    """Return the verdict of the first rule that speaks; a part where none does."""
    return next((said for rule in RULES if (said := rule(features)) is not None), Judgement())


def features_of(families: list[Family]) -> list[Features]:
    """Look at all outlines of a drawing together."""
    loops = [f.loop for f in families]
    if not loops:
        return []
    longest = max(_long(loop) for loop in loops)
    sizes = Counter(_size_key(loop) for loop in loops)
    names = [_own_name(f) for f in families]
    named = sum(1 for name in names if name)
    keys = {_size_key(loop) for loop, name in zip(loops, names, strict=True) if name}
    titled = _titled(families)
    flush = _flush(loops)
    are_plain_layers = any(not words.ALLOWANCE_LAYER.search(loop.layer) for loop in loops)
    return [
        Features(
            long_mm=_long(loop),
            wide_mm=2.0 * loop.area_mm2 / max(float(loop.polygon.length), LEAST_MM),
            is_circle=_is_circle(loop),
            is_rectangle=is_rectangle(loop),
            is_sheet_size=is_bought_size(_long(loop), _short(loop)),
            is_crossed=loop.is_crossed,
            is_small=_long(loop) <= min(SMALL_SHARE * longest, SMALL_MM),
            twins=sizes[_size_key(loop)],
            texts=tuple(label.text for label in family.labels),
            name=names[i],
            layer=loop.layer,
            block=loop.stroke.block,
            crosses_itself=bool(loop.crossings),
            is_tilted=any(s.is_laid_flat for s in loop.chain.strokes),
            along=flush[i],
            ring_at_mm=loop.ring_at_mm,
            is_ring=loop.is_ring,
            ring_layer=loop.ring_layer,
            is_over_edge=loop.is_over_edge,
            is_titled=titled[i],
            has_named_twin=_size_key(loop) in keys,
            rivals=tuple(label.text for label in family.rivals),
            are_others_named=named >= NAMED_LEAST and named >= NAMED_SHARE * len(loops),
            is_alone=len(loops) == 1,
            are_plain_layers=are_plain_layers,
        )
        for i, (family, loop) in enumerate(zip(families, loops, strict=True))
    ]


def _own_name(family: Family) -> str:
    return next((n for s in family.labels if (n := plain_name(s.text)) and not _is_note(n)), "")


def _is_note(name: str) -> bool:
    return bool(words.STATION.match(name) or is_number(name))


def _long(loop: Loop) -> float:
    x0, y0, x1, y1 = loop.box_mm
    return max(x1 - x0, y1 - y0)


def _short(loop: Loop) -> float:
    x0, y0, x1, y1 = loop.box_mm
    return min(x1 - x0, y1 - y0)


def _size_key(loop: Loop) -> tuple[int, int, int]:
    """Sizes that agree to a thousandth share a key; quarter turns are alike."""
    x0, y0, x1, y1 = loop.box_mm
    sides = sorted((x1 - x0, y1 - y0, math.sqrt(loop.area_mm2)))
    a, b, c = (round(700.0 * math.log(max(s, LEAST_MM))) for s in sides)
    return a, b, c


def _is_circle(loop: Loop) -> bool:
    curves = loop.chain.curves
    if all(isinstance(c, Arc) for c in curves):
        radii = [c.radius_mm for c in curves if isinstance(c, Arc)]
        return max(radii) - min(radii) <= ROUND_SHARE * max(radii) and _fills(loop, math.pi / 4.0)
    return len(curves) >= 8 and _fills(loop, math.pi / 4.0)


def is_rectangle(loop: Loop) -> bool:
    """Whether it is a rectangle that stands straight."""
    return all(isinstance(c, Line) for c in loop.chain.curves) and _fills(loop, 1.0)


def _fills(loop: Loop, share: float) -> bool:
    x0, y0, x1, y1 = loop.box_mm
    box = (x1 - x0) * (y1 - y0)
    is_square = share == 1.0 or abs((x1 - x0) - (y1 - y0)) <= SQUARE_SHARE * (x1 - x0)
    return box > 0.0 and is_square and abs(loop.area_mm2 / box - share) <= FILLS_SHARE


def _flush(loops: list[Loop]) -> list[float]:
    """For each outline the length of a wider one that it lies beside, flush at both ends."""
    result = [0.0] * len(loops)
    for axis in (0, 1):
        spans = sorted(
            (loop.box_mm[axis], loop.box_mm[axis + 2], i) for i, loop in enumerate(loops)
        )
        for k, (low, high, i) in enumerate(spans):
            near = max(2.0, NEAR_SHARE * (high - low))
            for step in (-1, 1):
                j = k + step
                while 0 <= j < len(spans) and abs(spans[j][0] - low) <= near:
                    other = loops[spans[j][2]]
                    if abs(spans[j][1] - high) <= near and _is_wider(other, loops[i]):
                        result[i] = high - low
                    j += step
                    if abs(j - k) > 40:
                        break
    return result


def _is_wider(a: Loop, b: Loop) -> bool:
    return a.area_mm2 > 3.0 * b.area_mm2 and not a.polygon.intersects(b.polygon)


def _titled(families: list[Family]) -> list[bool]:
    """Cells with title words, and the cells that touch these or lie around or in them."""
    boxes = [i for i, f in enumerate(families) if is_rectangle(f.loop)]
    titled = {i for i in boxes if any(words.TITLE.search(s.text) for s in families[i].labels)}
    if not titled or len(families) > 3000:
        return [i in titled for i in range(len(families))]
    waiting = list(titled)
    while waiting:
        here = families[waiting.pop()].loop.polygon
        for i in boxes:
            if i not in titled and families[i].loop.polygon.distance(here) <= 1.0:
                titled.add(i)
                waiting.append(i)
    return [i in titled for i in range(len(families))]
