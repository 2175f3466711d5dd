"""Nested loops, marks and labels to outlines with true shapes."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field, replace

from shapely import LineString, Point, STRtree

from nestcut.drawings.lines.fineness import fineness_mm
from nestcut.drawings.lines.loops import Loop, unique
from nestcut.drawings.records import DrawnOutline, Label, ReadOptions
from nestcut.drawings.sorting.labels import (
    by_loop,
    in_order,
    may_name,
    nearest,
    plain_name,
    suggestion,
)
from nestcut.drawings.sorting.shopwords import ALLOWANCE_LAYER
from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Fact
from nestcut.geometry.polygons import to_polygon
from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.model.shape import Mark, Ring, Shape
from nestcut.tolerances import SAME_POINT_MM
from nestcut.tolerances.likeness import FINEST_SHARE

_MARK_LABEL_MM = 15.0
"""A text nearer than this to a mark names the mark. [mm]"""

_MOST_WORDS = 6
"""Longer texts are remarks, no names to choose from; a guess of ours. [-]"""


@dataclass(slots=True)
class Family:
    """An outline loop with its holes, before it's dressed."""

    loop: Loop
    holes: list[Loop] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    rivals: list[Label] = field(default_factory=list)
    """Names near it that may as well be another's, over or under which it is drawn."""


def families(loops: list[Loop]) -> tuple[list[Family], list[Family]]:
    """Return outlines (even depth) and cut-outs (odd depth), each with what lies just inside."""
    children: dict[int, list[Loop]] = defaultdict(list)
    for loop in loops:
        if loop.parent is not None:
            children[id(loop.parent)].append(loop)
    made = [Family(loop, children.get(id(loop), [])) for loop in loops]
    return (
        [f for f in made if f.loop.depth % 2 == 0],
        [f for f in made if f.loop.depth % 2 == 1],
    )


def share_labels(
    outlines: list[Family], cut_outs: list[Family], labels: list[Label], nearly: list[Loop]
) -> None:
    """Give each text to the loop it lies in; texts outside everything to the nearest unnamed.

    Texts in what is ``nearly`` an outline, a half or one with gaps, are that one's.  Of outlines
    drawn over each other a text beside them names the one whose layer is called so, or none.
    """
    everything = [*outlines, *cut_outs]
    loops = [f.loop for f in everything]
    inside = by_loop(loops, labels)
    for i, found in inside.items():
        everything[i].labels = in_order(found)
    own = {id(f.loop): f for f in everything}
    for family in outlines:
        if not any(plain_name(label.text) for label in family.labels):
            in_holes = [
                label for hole in family.holes if id(hole) in own for label in own[id(hole)].labels
            ]
            family.labels = in_order([*family.labels, *in_holes])
    taken = {
        id(label) for found in (inside, by_loop(nearly, labels)) for of in found.values()
        for label in of
    }  # fmt: skip
    free = [s for s in labels if id(s) not in taken and may_name(s.text)]
    unnamed = [f for f in outlines if _is_unnamed(f) and not _is_allowance(f.loop)]
    tree = STRtree([f.loop.polygon for f in unnamed])
    for i, found in nearest([f.loop for f in unnamed], free).items():
        _share_beside(unnamed[i], _over_each_other(i, unnamed, tree), in_order(found))


def _share_beside(one: Family, pile: list[Family], found: list[Label]) -> None:
    """Give texts beside an outline to it or, in a pile, to those whose layers are called so.

    What is left over beside a pile may be any one's: where that would settle a count or a
    thickness, or which of several names is whose, it is asked.  A single bare name settles nothing.
    """
    rest = []
    for label in found:
        own = [f for f in pile if _same_word(f.loop.layer, plain_name(label.text))]
        if len(pile) > 1 and len(own) == 1:
            own[0].labels = in_order([*own[0].labels, label])
        else:
            rest.append(label)
    says = any(suggestion(label.text) is not None for label in rest)
    names = [label for label in found if len(label.text.split()) <= _MOST_WORDS]
    if len(pile) > 1 and (says or len(names) > 1):
        for family in pile:
            family.rivals += rest
    else:
        one.labels = in_order([*one.labels, *rest])


def _is_unnamed(family: Family) -> bool:
    """Whether no text in it names it; a thickness or a count may stand there."""
    return all(suggestion(s.text) is not None and not plain_name(s.text) for s in family.labels)


def _over_each_other(one: int, families: list[Family], tree: STRtree) -> list[Family]:
    """Return an outline and all that are drawn over it, or over one of these."""
    pile, waiting = {one: families[one]}, [one]
    while waiting:
        over = tree.query(families[waiting.pop()].loop.polygon, predicate="overlaps")
        more = [k for k in over.tolist() if k not in pile]
        pile |= {k: families[k] for k in more}
        waiting += more
    return [pile[k] for k in sorted(pile)]


def _same_word(layer: str, name: str) -> bool:
    """Whether a layer is called like a name, but for case, blanks and signs."""
    bare = ["".join(c for c in text.casefold() if c.isalnum()) for text in (layer, name)]
    return bare[0] == bare[1] != ""


def _is_allowance(loop: Loop) -> bool:
    """Whether it is the allowance's or the tool's line beside a part: names are the part's."""
    layers = loop.layer, loop.ring_layer
    own, other = (bool(ALLOWANCE_LAYER.search(layer)) for layer in layers)
    return loop.ring_at_mm > 0.0 and own and not other


def label_marks(family: Family, marks: list[Mark]) -> list[Mark]:
    """Give texts that stand on a mark to it; the first text is the outline's name and stays."""
    if not marks or len(family.labels) < 2:
        return marks
    lines = [LineString(m.points) for m in marks]
    tree = STRtree(lines)
    found: dict[int, list[str]] = defaultdict(list)
    kept = family.labels[:1]
    for label in family.labels[1:]:
        spot = Point(label.at_mm)
        reach = max(_MARK_LABEL_MM, 2.0 * label.height_mm)
        i = int(tree.nearest(spot))
        if lines[i].distance(spot) <= reach:
            found[i].append(label.text)
        else:
            kept.append(label)
    family.labels = kept
    return [replace(m, label=", ".join(found[i])) if i in found else m for i, m in enumerate(marks)]


def dress(
    family: Family, marks: list[Mark], options: ReadOptions, file: str, because: Fact | None = None
) -> DrawnOutline:
    """Return the outline of a family; faults are noted, not raised.

    Parameters
    ----------
    marks
        Lines that lie in it.
    file
        The drawing's name, for findings.
    because
        Why it is only offered; None: it is plainly a part.
    """
    loop = family.loop
    faults = [_self_crossing(loop, file)] if loop.crossings else []
    shape = _shape(loop, family.holes, tuple(marks), options.flatness_mm)
    stroke = loop.stroke
    holes_area = sum(h.area_mm2 for h in family.holes)
    texts = [label.text for label in family.labels]
    handles = [s.handle for s in unique(loop.chain.strokes)]
    handles += [s.handle for hole in family.holes for s in unique(hole.chain.strokes)]
    return DrawnOutline(
        name=_name(family),
        shape=shape,
        layer=loop.layer,
        labels=tuple(dict.fromkeys(texts)),
        block=stroke.block,
        colour=stroke.colour,
        handles=tuple(dict.fromkeys(h for h in handles if h)),
        area_mm2=loop.area_mm2 - holes_area,
        box_mm=loop.box_mm,
        seen=loop.seen,
        faults=tuple(faults),
        suggestions=tuple(s for s in map(suggestion, dict.fromkeys(texts)) if s is not None),
        also_on=tuple(loop.also_on),
        offered_because=because,
        texts=tuple(family.labels),
    )


def _name(family: Family) -> str:
    for label in family.labels:
        name = plain_name(label.text)
        if name:
            return name
    block = family.loop.stroke.block.rsplit("/", 1)[-1]
    if block and not block.startswith("*"):
        return block
    return family.loop.layer


def _shape(loop: Loop, holes: list[Loop], marks: tuple[Mark, ...], flatness_mm: float) -> Shape:
    """Flatten on the safe side; finer where safe polygons of one shape would touch."""
    flatness = flatness_mm
    while True:
        shape = Shape(
            _ring(loop, flatness, Side.OUTLINE),
            tuple(_ring(hole, flatness, Side.HOLE) for hole in holes),
            marks,
        )
        if loop.crossings or flatness < FINEST_SHARE * flatness_mm or to_polygon(shape).is_valid:
            return shape
        flatness /= 4.0


def _ring(loop: Loop, flatness_mm: float, side: Side) -> Ring:
    curves = loop.chain.curves
    flatness = fineness_mm(curves, flatness_mm)
    while True:
        try:
            return ring_from_curves(curves, flatness, side)
        except ValueError:  # so thin that its polygon collapses: follow it more finely
            if flatness < SAME_POINT_MM:
                raise
            flatness /= 4.0


def _self_crossing(loop: Loop, file: str) -> Finding:
    where = f"{file}, layer {loop.layer}"
    name = f"a closed line on layer {loop.layer}"
    made = finding("DXF-024", Severity.WARNING, where, name=name, places=len(loop.crossings))
    return replace(made, file=file, layer=loop.layer, at_mm=loop.crossings[0])


def with_faults_of(outline: DrawnOutline, said: str) -> DrawnOutline:
    """Have an outline's faults call it by its number and name."""
    faults = (replace(f, values=tuple({**dict(f.values), "name": said}.items()))
              for f in outline.faults)  # fmt: skip
    return replace(outline, faults=tuple(faults))


def with_own_names(outlines: list[DrawnOutline]) -> tuple[DrawnOutline, ...]:
    """Make names different where several outlines would share one: a number is put behind."""
    total = Counter(o.name for o in outlines)
    met: Counter[str] = Counter()
    taken = set(total)
    result = []
    for outline in outlines:
        name = outline.name
        if total[name] > 1:
            met[name] += 1
            while f"{outline.name} ({met[outline.name]})" in taken:
                met[outline.name] += 1
            name = f"{outline.name} ({met[outline.name]})"
            taken.add(name)
        result.append(replace(outline, name=name))
    return tuple(result)
