"""What a reading has to tell: findings as codes and values, never a flood."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING

from nestcut.drawings.lettering import letters
from nestcut.drawings.lines.chain import Chain
from nestcut.drawings.lines.crossings import OuterEdge
from nestcut.drawings.lines.loops import Copies, Loop
from nestcut.drawings.records import DrawnOutline, LeftOut, Seen
from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Length, Names, Size, Value, fact
from nestcut.geometry.curves import length_mm
from nestcut.model.curves import Point
from nestcut.tolerances.lengths import TOLD_MM

if TYPE_CHECKING:  # gaps are tried with a closer, which tells
    from nestcut.drawings.lines.gaps import GapFault

MOST = 6
"""Findings of one kind that are listed one by one; the rest is counted. [-]"""

MISSING_SHARE = 0.4
"""What may be missing of a line that is told as almost round, as a share of its length: a square
without its fourth side misses 0.33. [-]"""

RINGED = {Severity.ERROR, Severity.QUESTION, Severity.WARNING, Severity.REPAIRED}
"""Findings with a place that get a ring in the picture."""


class Teller:
    """Collects findings of one drawing."""

    def __init__(self, file: str, findings: list[Finding]) -> None:
        self.file = file
        self.findings = findings
        self._told: Counter[tuple[str, str]] = Counter()

    def say(
        self,
        code: str,
        severity: Severity,
        *,
        layer: str = "",
        at_mm: Point | None = None,
        **values: Value,
    ) -> None:
        """Add a finding; beyond some of a kind on a layer they are only counted.

        Parameters
        ----------
        code
            Such as ``"DXF-029"``.
        layer
            Where in the drawing; empty: nowhere in particular.
        at_mm
            Where on it. [mm]
        values
            What the code's sentence names.
        """
        where = self.file + (f", layer {layer}" if layer else "")
        on_layer: dict[str, Value] = {"layer": layer} if layer else {}
        made = finding(code, severity, where, **on_layer, **values)
        self.add(replace(made, file=self.file, layer=layer, at_mm=at_mm))

    def add(self, made: Finding) -> None:
        """Add a finding that is made already; likewise."""
        self._told[(made.code, made.layer)] += 1
        if self._told[(made.code, made.layer)] <= MOST:
            self.findings.append(made)

    def note(self, code: str, **values: Value) -> None:
        """Add a note about the whole drawing."""
        self.say(code, Severity.NOTE, layer="", at_mm=None, **values)

    def joined(self, joined: list[tuple[Point, float]], layer: str) -> None:
        """Say which gaps were closed."""
        if joined:
            at, gap = max(joined, key=lambda item: item[1])
            self.say("DXF-022", Severity.REPAIRED, layer=layer, at_mm=at, n=len(joined),
                     widest=Length(gap))  # fmt: skip

    def doubles(self, doubles: list[LeftOut]) -> None:
        """Say what was drawn twice or has no length."""
        counts = Counter((d.layer, "twice" in d.reason) for d in doubles)
        for (layer, twice), count in sorted(counts.items()):
            first = next(d for d in doubles if (d.layer, "twice" in d.reason) == (layer, twice))
            code = "DXF-025" if twice else "DXF-027"
            self.say(code, Severity.REPAIRED, layer=layer, at_mm=first.at_mm, n=count)

    def copies(self, copies: Copies) -> None:
        """Say which outlines were drawn again in the same place, or nearly so."""
        if copies.left_out:
            first = copies.left_out[0]
            self.say("DXF-028", Severity.REPAIRED, layer=first.layer, at_mm=first.at_mm,
                     n=len(copies.left_out),
                     off=Length(max(copies.furthest_mm, TOLD_MM)))  # fmt: skip

    def branches(self, outer: OuterEdge, layer: str) -> None:
        """Say that lines branch, and how it was read."""
        points = outer.branch_points
        longest = max((length_mm(t.curve) for t in outer.tails), default=0.0)
        if points and not outer.inner:
            self.say("DXF-065", Severity.REPAIRED, layer=layer, at_mm=points[0],
                     n=len(outer.tails), longest=Length(longest))  # fmt: skip
        elif points:
            self.say("DXF-023", Severity.WARNING, layer=layer, at_mm=points[0], forks=len(points),
                     outlines=len(outer.loops), inner=len(outer.inner),
                     tails=len(outer.tails))  # fmt: skip

    def cells(self, n: int, named: int, at: Point, layer: str) -> None:
        """Say that cells with names share edges.

        Parameters
        ----------
        n, named
            How many cells, and how many of them have names.
        at
            Where one of them is. [mm]
        layer
            Where they are.
        """
        self.say("DXF-044", Severity.WARNING, layer=layer, at_mm=at, n=n, named=named)

    def across_layers(self, made: Chain) -> None:
        """Say that an outline needed lines of several layers."""
        layers = sorted({s.layer for s in made.strokes})
        self.say("DXF-031", Severity.NOTE, layer=made.strokes[0].layer, at_mm=made.start,
                 layers=Names(tuple(layers[:6])))  # fmt: skip

    def frames(self, frames: list[Loop]) -> None:
        """Say which rectangles were taken for page borders."""
        for frame in frames:
            x0, y0, x1, y1 = frame.box_mm
            self.say("DXF-030", Severity.NOTE, layer=frame.layer, at_mm=(x0, y0),
                     size=Size((x1 - x0, y1 - y0)))  # fmt: skip

    def overlays(
        self,
        crossing: list[tuple[Loop, Loop, Point]],
        over_edges: list[tuple[Loop, Loop, Point]],
        numbers: dict[int, int],
    ) -> None:
        """Say which outlines cross each other, and which lie over the edge of another.

        ``numbers`` are those in the picture, by the loop's id.

        Parameters
        ----------
        crossing
            Pairs that cross each other, and where. [mm]
        over_edges
            Pairs of which the first lies over the second's edge, and where. [mm]
        numbers
            Those in the picture, by the loop's id.
        """
        for code, pairs in (("DXF-029", crossing), ("DXF-043", over_edges)):
            for inner, outer, at in pairs:
                self.say(code, Severity.WARNING, at_mm=at, inner=_numbered(inner, numbers),
                         outer=_numbered(outer, numbers))  # fmt: skip

    def marks(self, marks: list[Loop]) -> None:
        """Say which closed lines inside parts are drawn and not cut."""
        for layer, n in sorted(Counter(loop.layer for loop in marks).items()):
            self.say("DXF-045", Severity.NOTE, layer=layer, n=n)

    def gap(self, fault: GapFault) -> None:
        """Tell two ends, or an end and a line, that belong together and don't meet."""
        code = "DXF-046" if fault.is_end_to_end else "DXF-047"
        values: dict[str, Value] = {"gaps": fault.gaps} if fault.is_end_to_end else {}
        changed = fact("DXF-212", n=fault.others) if fault.others else fact("DXF-211")
        told = finding(code, Severity.WARNING, f"{self.file}, layer {fault.layer}",
                       layer=fault.layer, away=Length(fault.away_mm), least=Length(fault.least_mm),
                       others=fault.others, changed=changed, file=self.file,
                       setting=f"{fault.least_mm:g} mm", **values)  # fmt: skip
        self.add(replace(told, file=self.file, layer=fault.layer, at_mm=fault.at_mm))

    def open_name(self, name: str, layer: str, gaps: int, least_mm: float) -> None:
        """Ask to close an outline that has a name; ``least_mm`` is the setting that does it.

        Parameters
        ----------
        name
            Of the outline.
        layer
            Where it is.
        gaps
            How many gaps it has.
        least_mm
            Setting that closes them. [mm]
        """
        told = finding("DXF-067", Severity.QUESTION, f"{self.file}, layer {layer}", name=name,
                       gaps=gaps, layer=layer, file=self.file,
                       setting=f"{least_mm:g} mm")  # fmt: skip
        self.findings.append(replace(told, file=self.file, layer=layer))

    def loose(self, chains: list[Chain]) -> None:
        """Say which lines stay open, the ones most like outlines first."""
        by_layer: dict[str, list[Chain]] = defaultdict(list)
        for made in sorted(chains, key=lambda c: -len(c.curves)):
            by_layer[made.strokes[0].layer].append(made)
        for layer, found in sorted(by_layer.items()):
            around = [c for c in found if _is_almost_round(c)]
            for made in around:
                away = math.dist(made.start, made.end)
                self.say("DXF-021", Severity.WARNING, layer=layer, at_mm=made.start,
                         n=len(made.curves), away=Length(away))  # fmt: skip
            rest = len(found) - len(around)
            if rest:
                self.say("DXF-026", Severity.NOTE, layer=layer, at_mm=found[-1].start, n=rest)

    def aside(self, counts: Counter[tuple[str, Seen]]) -> None:
        """Say which layers aren't shown, one line each."""
        for (layer, seen), n in sorted(counts.items()):
            self.say("DXF-032", Severity.NOTE, layer=layer, seen=seen.value, n=n)

    def halves(self, outlines: tuple[DrawnOutline, ...]) -> None:
        """Say which outlines look like half a part."""
        for outline in outlines:
            line = outline.half_of
            if line is not None:
                self.say("DXF-034", Severity.NOTE, layer=outline.layer, at_mm=line.start,
                         name=outline.name, number=outline.number, why=line.reason)  # fmt: skip

    def unread(self, left_out: list[LeftOut]) -> None:
        """Say what kinds of things weren't read, one line a kind."""
        counts = Counter((item.kind, item.reason) for item in left_out)
        for (kind, reason), n in sorted(counts.items()):
            self.say("DXF-042", Severity.NOTE, n=n, kind=kind.replace("_", " "), reason=reason)

    def finish(self) -> tuple[Finding, ...]:
        """Count what was not listed, and give each ringed finding its ring's letter."""
        for (_, layer), times in sorted(self._told.items()):
            if times > MOST:
                where = self.file + (f", layer {layer}" if layer else "")
                made = finding("DXF-049", Severity.NOTE, where, n=times - MOST)
                self.findings.append(replace(made, file=self.file, layer=layer))
        return with_rings(tuple(self.findings))


Overlay = tuple[Loop, Loop, Point]
"""Two loops of which one crosses or touches the other, and where."""


def pairs_to_tell(pairs: list[Overlay], gone: set[int], named: set[int]) -> list[Overlay]:
    """Return the pairs that a builder must look at.

    What lies over a border is nobody's business (``gone``), and parts of which each has a name
    (``named``) and a layer of its own are drawn over each other on purpose.

    Parameters
    ----------
    pairs
        Two loops each, and where they meet.
    gone
        Ids of the loops that lie over a border.
    named
        Ids of the loops with a name.
    """
    return [
        (a, b, at)
        for a, b, at in pairs
        if id(a) not in gone and id(b) not in gone
        and not ({id(a), id(b)} <= named and a.layer != b.layer)
    ]  # fmt: skip


def _is_almost_round(made: Chain) -> bool:
    """Whether a line goes most of the way round: what is missing is shorter than a side."""
    whole = sum(length_mm(c) for c in made.curves)
    return len(made.curves) > 1 and math.dist(made.start, made.end) <= MISSING_SHARE * whole


def _numbered(loop: Loop, numbers: dict[int, int]) -> str:
    number = numbers.get(id(loop))
    return f"outline {number}" if number else f"a closed line on layer {loop.layer}"


def with_rings(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Name the ring in the picture in each finding that has one."""
    result, count = [], 0
    for item in findings:
        if item.at_mm is not None and item.severity in RINGED:
            result.append(replace(item, where=f"{item.where}, ring {letters(count)}"))
            count += 1
        else:
            result.append(item)
    return tuple(result)
