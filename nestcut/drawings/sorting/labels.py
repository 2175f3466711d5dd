"""Texts of a drawing: which outline they name, and what they seem to say about it."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from nestcut.drawings.lines.chain import Chain
from nestcut.drawings.lines.loops import Loop
from nestcut.drawings.records import Label, Suggestion
from nestcut.drawings.sorting.shopwords import (
    COUNT,
    HALF,
    HAND,
    HOLE,
    LAYERS,
    NUMBERED,
    REFERENCE,
    SECTION,
    STATION,
    THICKNESS,
)
from nestcut.model.curves import Curve, Line, Point

_STROKES, _MOST_LEADERS, _BESIDE = 2, 2000, 1.0
"""A leader has so many strokes; more lines aren't looked at; it begins so many heights of letters
from its text. [-]"""

_NUMBER = re.compile(
    r"[\s\d.,+\-/'\"\u2032\u2033\u00d8\u00b0RrxX\u00d7]*(?:mm|cm|m|in|ft)?[\s\d.,/]*"
)


def suggestion(text: str) -> Suggestion | None:
    """Read what people write beside a part: "x 6", "MAKE 2", "6mm ply", "P&S", "(HALF)"."""
    thick, rest = _thickness(text)
    section = SECTION.search(rest)
    rest = SECTION.sub(" ", rest)
    counts = list(COUNT.finditer(rest))
    worded = (m for m in counts if m["c"] or m["d"])  # 32 x 18, MAKE 4: a section before it
    count = next(worded, counts[0] if counts else None)
    hand, pairs = _hand(text)
    is_half = HALF.search(rest) is not None
    layers = LAYERS.search(rest)
    if not (thick or count or hand or section or is_half or layers):
        return None
    number = None if count is None else int(next(g for g in count.groups() if g is not None))
    if number is None and pairs is not None:
        number = 2 * pairs
    return Suggestion(
        text=text,
        count=number if number else None,
        thickness=(thick or "").strip().replace(",", ".").lower(),
        hand=hand,
        is_half=is_half,
        layers=0 if layers is None else int(layers["n"]),
        section_mm=None if section is None else (int(section["a"]), int(section["b"])),
    )


def _hand(text: str) -> tuple[str, int | None]:
    """Which side of the boat a text names, and of how many pairs it speaks.

    In FRAME 2 PAIR the 2 is the frame's number, in KNEE 2 PAIR it isn't.
    """
    met = HAND.search(text)
    if met is None:
        return "", None
    said = met["hand"].lower()
    if not met["pairs"]:
        return said, None
    if _is_numbering(met):
        return said[met.end("pairs") - met.start("hand") :].strip(), None
    return said, int(met["pairs"])


def _is_numbering(met: re.Match[str]) -> bool:
    return bool(met["pairs"]) and NUMBERED.search(met.string[: met.start("pairs")]) is not None


def _without_hand(met: re.Match[str]) -> str:
    return f" {met['pairs']} " if _is_numbering(met) else " "


def _thickness(text: str) -> tuple[str | None, str]:
    """Thickness that a text says, and the text without it.

    In FRAME 1 3/8" the 1 is the frame's number, in TRANSOM 1 3/8" it isn't.
    """
    met = THICKNESS.search(text)
    if met is None:
        return None, text
    said, start = met["t"], met.start()
    whole = _WHOLE.match(said)
    if whole is not None and NUMBERED.search(text[: met.start("t")]):
        start, said = met.start("t") + whole.end(), said[whole.end() :]
    return said, f"{text[:start]} ; {text[met.end() :]}"


_WHOLE = re.compile(r"\d+\s+(?=\d+\s*/\s*\d)")
"""A whole number before a fraction, apart from it."""


def plain_name(text: str) -> str:
    """Return a label without the counts, thicknesses and hands in it; empty if nothing is left."""
    rest = text
    while (parted := _thickness(rest))[0] is not None:
        rest = parted[1].replace(" ; ", " ")
    rest = HAND.sub(_without_hand, COUNT.sub(" ", SECTION.sub(" ", rest)))
    for pattern in (LAYERS, HALF):
        rest = pattern.sub(" ", rest)
    rest = re.sub(r"\(\s*\)|\[\s*\]", " ", rest)
    rest = " ".join(rest.split()).strip(" -,;:/.()=")
    return "" if _NUMBER.fullmatch(rest) else rest


def is_part_name(text: str) -> bool:
    """Whether a text names a part: no bare number, and no word for a hole."""
    return bool(plain_name(text)) and HOLE.search(text) is None


def is_number(text: str) -> bool:
    """Whether a text is a bare dimension, which names nothing."""
    return _NUMBER.fullmatch(text) is not None


def may_name(text: str) -> bool:
    """Whether a text outside everything may name what is near: no dimension, no centre line's."""
    return not is_number(text) and REFERENCE.match(text) is None


def with_leaders(
    labels: list[Label], lines: list[Chain], loops: list[Loop]
) -> tuple[list[Label], list[Chain]]:
    """Return names with the far ends of plain lines that begin beside them, and those lines.

    Such a line is a leader drawn by hand, of one or two straight strokes.  Station numbers have
    lines beside them that are none, and names that stand in an outline need none.
    """
    short = [c for c in lines if len(c.curves) <= _STROKES and all(map(_is_straight, c.curves))]
    if not short or len(short) > _MOST_LEADERS:
        return labels, []
    ends = np.array([(c.start, c.end) for c in short])
    at_home = {id(label) for found in by_loop(loops, labels).values() for label in found}
    made, used = [], []
    for label in labels:
        led = _led(label, ends) if id(label) not in at_home and _may_be_led(label) else None
        made.append(label if led is None else led[0])
        used += [] if led is None else [short[led[1]]]
    return made, used


def _is_straight(curve: Curve) -> bool:
    return isinstance(curve, Line)


def _may_be_led(label: Label) -> bool:
    plain = plain_name(label.text)
    return label.leader_mm is None and bool(plain) and STATION.match(plain) is None


def _led(label: Label, ends: NDArray[np.float64]) -> tuple[Label, int] | None:
    """Give a name the far end of the nearest line that begins beside it, if there is one.

    ``ends`` are both ends of each line, shape (n, 2, 2). [mm]
    """
    middle = label.at_mm if label.middle_mm is None else label.middle_mm
    far = (2.0 * middle[0] - label.at_mm[0], 2.0 * middle[1] - label.at_mm[1])
    box = shapely.LineString([label.at_mm, far]).buffer(0.5 * label.height_mm)
    away = np.asarray(shapely.distance(shapely.points(ends), box), dtype=float)
    near = np.where(away < away[:, ::-1], away, np.inf)  # alike far: it runs along the text
    i, end = divmod(int(near.argmin()), 2)
    if not near[i, end] <= _BESIDE * label.height_mm:
        return None
    tip = ends[i, 1 - end]
    return replace(label, leader_mm=(float(tip[0]), float(tip[1]))), i


def _spot(label: Label) -> Point:
    """Where a text points: the tip of its leader, or itself."""
    return label.at_mm if label.leader_mm is None else label.leader_mm


def by_loop(loops: list[Loop], labels: list[Label]) -> dict[int, list[Label]]:
    """Return the labels of each loop by its index: those whose innermost loop it is."""
    found: dict[int, list[Label]] = defaultdict(list)
    if not loops or not labels:
        return found
    polygons = [loop.polygon for loop in loops]
    tree = shapely.STRtree(polygons)
    points = shapely.points(np.array([_spot(label) for label in labels]))
    text, loop = tree.query(points, predicate="intersects")
    around: dict[int, list[int]] = defaultdict(list)
    for t, i in zip(text.tolist(), loop.tolist(), strict=True):
        around[t].append(i)
    for t, candidates in sorted(around.items()):
        found[_home(labels[t], candidates, loops)].append(labels[t])
    return found


def _home(label: Label, candidates: list[int], loops: list[Loop]) -> int:
    """Return the innermost loop around a text; of outlines drawn over each other its own layer's.

    What lies properly in another is meant before that one, whatever the layers.
    """
    by_area = sorted(candidates, key=lambda i: (loops[i].area_mm2, i))
    inner = loops[by_area[0]]
    if inner.layer == label.layer:
        return by_area[0]
    around, up = set(), inner.parent
    while up is not None and id(up) not in around:
        around.add(id(up))
        up = up.parent
    own = (i for i in by_area if loops[i].layer == label.layer and id(loops[i]) not in around)
    return next(own, by_area[0])


def nearest(loops: list[Loop], labels: list[Label]) -> dict[int, list[Label]]:
    """Return, for top loops without a label, texts outside everything that lie nearest to them.

    A text further away than the outline is long names it no more.
    """
    found: dict[int, list[Label]] = defaultdict(list)
    if not loops or not labels:
        return found
    tree = shapely.STRtree([loop.polygon for loop in loops])
    points = shapely.points(np.array([_spot(label) for label in labels]))
    (text, loop), distance = tree.query_nearest(points, return_distance=True, all_matches=False)
    for t, i, d in zip(text.tolist(), loop.tolist(), distance.tolist(), strict=True):
        x0, y0, x1, y1 = loops[i].box_mm
        if d <= max(x1 - x0, y1 - y0):
            found[i].append(labels[t])
    return found


def in_order(labels: list[Label]) -> list[Label]:
    """Return labels with the one first that most likely is the name: words, tall, high up."""
    return sorted(
        labels, key=lambda s: (plain_name(s.text) == "", -s.height_mm, -s.at_mm[1], s.at_mm[0])
    )
