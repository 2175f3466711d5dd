"""Closed lines inside an outline: cut-outs for certain, or ones to doubt and ask about."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from statistics import median

import numpy as np
import shapely

from nestcut.drawings.lettering import letters
from nestcut.drawings.lines.loops import Loop
from nestcut.drawings.records import CUT, LEAVE, DrawnOutline, HoleDoubt
from nestcut.drawings.sorting import shopwords as words
from nestcut.drawings.sorting.assemble import Family
from nestcut.drawings.sorting.labels import is_number, plain_name
from nestcut.facts import Fact, Length, Names, Share, fact
from nestcut.geometry.rings import mark_from_curves, shape_area_mm2
from nestcut.tolerances import FLATNESS_MM

THIN_RIM_SHARE = 0.3
"""What is left round a cut-out, as a share of the part, below which it is doubted. [-]"""

THIN_RIM_MM = 3.0
"""What is left between a cut-out and the edge, below which it is doubted. [mm]"""

EVEN_RIM, _RIM_STEPS = 4.0, 64
"""Times that a rim may be as wide in one place as in another and still be one; places looked at."""

HOLE_LAYER_LEAST = 3
"""Where so many cut-outs share a layer that holds no outline, that layer is for cut-outs. [-]"""


def doubts_of(outlines: list[Family], cut_outs: list[Family]) -> list[tuple[HoleDoubt, ...]]:
    """Return each outline's doubted cut-outs.  All limits are common practice, no source."""
    labelled = {id(f.loop): _names(f) for f in cut_outs}
    usual = _hole_layers(outlines)
    areas = sorted(f.loop.area_mm2 for f in outlines)
    typical = median(areas) if len(areas) >= 4 else 0.0
    return [
        tuple(
            HoleDoubt(at=i, reasons=reasons)
            for i, hole in enumerate(family.holes)
            if (reasons := _reasons(family, hole, labelled.get(id(hole), ()), usual, typical))
        )
        for family in outlines
    ]


def _names(family: Family) -> tuple[str, ...]:
    return tuple(s.text for s in family.labels if not is_number(s.text) or len(s.text) <= 3)


def _hole_layers(outlines: list[Family]) -> set[str]:
    """Layers that are for cut-outs: many of them lie there and no outline does."""
    counts = Counter(h.layer for f in outlines for h in f.holes)
    own = {f.loop.layer for f in outlines}
    return {n for n, times in counts.items() if times >= HOLE_LAYER_LEAST and n not in own}


def _reasons(
    family: Family, hole: Loop, texts: tuple[str, ...], usual: set[str], typical: float
) -> tuple[Fact, ...]:
    outer = family.loop
    if any(words.HOLE.search(t) for t in texts):
        return ()
    found = []
    own = [t for t in texts if plain_name(t) or len(t) <= 3]
    theirs = {label.text for label in family.labels}
    own = [t for t in own if t not in theirs]
    if own:
        found.append(fact("DXF-241", texts=Names(tuple(own[:3]))))
    is_other = hole.layer != outer.layer and hole.layer not in usual
    if is_other and not words.HOLE_LAYER.search(hole.layer):
        found.append(fact("DXF-242", layer=hole.layer, outer=outer.layer))
    if hole.polygon.is_valid and outer.polygon.is_valid:
        left = 1.0 - hole.area_mm2 / outer.area_mm2
        if left < THIN_RIM_SHARE:
            found.append(fact("DXF-243", left=Share(left)))
        else:
            rim = float(shapely.distance(hole.polygon, shapely.get_exterior_ring(outer.polygon)))
            if rim < THIN_RIM_MM:
                found.append(fact("DXF-244", rim=Length(rim)))
    if typical and hole.area_mm2 > typical and not _has_even_rim(hole, outer):
        found.append(fact("DXF-245"))
    return tuple(found)


def _has_even_rim(hole: Loop, outer: Loop) -> bool:
    """Whether the rim of a cut-out is of about one width, as of a frame round an opening."""
    edge = shapely.get_exterior_ring(hole.polygon)
    points = shapely.line_interpolate_point(
        edge, np.arange(_RIM_STEPS) / _RIM_STEPS, normalized=True
    )
    away = shapely.distance(points, shapely.get_exterior_ring(outer.polygon))
    return float(away.max()) <= EVEN_RIM * float(away.min())


def with_hole_names(outline: DrawnOutline) -> DrawnOutline:
    """Name doubtful holes by the outline's number and a letter."""
    named = tuple(
        replace(d, name=f"{outline.number}{letters(i).lower()}")
        for i, d in enumerate(outline.doubts)
    )
    return replace(outline, doubts=named)


def settled(outline: DrawnOutline, answer: tuple[str, ...]) -> DrawnOutline | tuple[str, ...]:
    """Cut the doubtful holes that the builder says are holes, and draw the others on the part.

    Returns the outline, or the words of the answer that name none of its doubtful holes.
    """
    said = tuple(" ".join(word.casefold().split()) for word in answer)
    known = {d.name for d in outline.doubts}
    if said == (CUT,):
        return replace(outline, doubts=())
    wrong = tuple(w for w, s in zip(answer, said, strict=True) if s not in known)
    if said != (LEAVE,) and wrong:
        return wrong
    left = {d.at for d in outline.doubts if d.name not in said}
    shape = outline.shape
    drawn = tuple(
        mark_from_curves(hole.curves, FLATNESS_MM)
        for i, hole in enumerate(shape.holes)
        if i in left
    )
    made = replace(
        shape,
        holes=tuple(h for i, h in enumerate(shape.holes) if i not in left),
        marks=(*shape.marks, *drawn),
    )
    return replace(outline, shape=made, area_mm2=shape_area_mm2(made), doubts=())
