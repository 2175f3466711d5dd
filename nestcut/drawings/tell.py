"""What a reading has to tell: findings in the words of a careful colleague, never a flood."""

from __future__ import annotations

from collections import Counter, defaultdict

from nestcut.drawings.chain import Chain
from nestcut.drawings.crossings import OuterEdge
from nestcut.drawings.loops import Loop
from nestcut.drawings.marks import Marked
from nestcut.drawings.records import DrawnOutline, LeftOut
from nestcut.errors import Finding, Severity
from nestcut.model.curves import Point

MOST = 12
"""Findings of one kind that are listed one by one; the rest is counted. [-]"""


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
        message: str,
        remedy: str = "",
        *,
        layer: str = "",
        handle: str = "",
        at_mm: Point | None = None,
    ) -> None:
        """Add a finding; beyond a dozen of a kind on a layer they are only counted."""
        self._told[(code, layer)] += 1
        if self._told[(code, layer)] > MOST:
            return
        where = self.file + (f", layer {layer}" if layer else "")
        self.findings.append(
            Finding(
                code=code,
                severity=severity,
                where=where,
                message=message,
                remedy=remedy,
                file=self.file,
                layer=layer,
                handle=handle,
                at_mm=at_mm,
            )
        )

    def broken_outlines(self, count: int) -> None:
        """Say that only dashed lines close."""
        self.say(
            "DXF-033",
            Severity.NOTE,
            f"only dashed lines form outlines here; {count} of them were taken as edges.",
        )

    def joined(self, joined: list[tuple[Point, float]], layer: str) -> None:
        """Say which gaps were closed."""
        wide = sorted(joined, key=lambda item: -item[1])
        if not wide:
            return
        (x, y), gap = wide[0]
        self.say(
            "DXF-022",
            Severity.REPAIRED,
            f"{len(wide)} gaps were closed, the widest {gap:.3g} mm at {x:.2f}, {y:.2f}.",
            "Set join_gap under [drawings] lower if these should stay open.",
            layer=layer,
            at_mm=wide[0][0],
        )

    def doubles(self, doubles: list[LeftOut]) -> None:
        """Say what was drawn twice or has no length."""
        counts = Counter((d.layer, d.reason) for d in doubles)
        for (layer, reason), count in sorted(counts.items()):
            first = next(d for d in doubles if (d.layer, d.reason) == (layer, reason))
            twice = "twice" in reason
            what = (
                "lines drawn on top of others were taken once"
                if twice
                else ("specks without length were left out")
            )
            self.say(
                "DXF-025" if twice else "DXF-027",
                Severity.REPAIRED,
                f"{count} {what}.",
                "Nothing to do if the sizes below are right.",
                layer=layer,
                handle=first.handle,
                at_mm=first.at_mm,
            )

    def copies(self, loops: list[Loop], copies: list[LeftOut]) -> None:
        """Say which outlines were drawn again in the same place."""
        if not copies:
            return
        layers = sorted({name for loop in loops for name in loop.also_on})
        on = f", among them on layers {', '.join(layers[:8])}" if layers else ""
        self.say(
            "DXF-028",
            Severity.REPAIRED,
            f"{len(copies)} lines repeat an outline in the same place{on}; it was taken once.",
            "Give count in the job if the part is wanted several times.",
            layer=copies[0].layer,
            handle=copies[0].handle,
            at_mm=copies[0].at_mm,
        )

    def branches(self, outer: OuterEdge, layer: str) -> None:
        """Say that lines branch, and how it was read."""
        points = outer.branch_points
        if not points:
            return
        places = "; ".join(f"{x:.2f}, {y:.2f}" for x, y in points[:4])
        more = f" and {len(points) - 4} more places" if len(points) > 4 else ""
        self.say(
            "DXF-023",
            Severity.WARNING,
            f"lines branch at {places}{more}; the outer edge was taken as "
            f"{'one outline' if len(outer.loops) == 1 else f'{len(outer.loops)} outlines'}, "
            f"{len(outer.inner)} lines inside as marks, {len(outer.tails)} tails left over.",
            "If parts share an edge there, draw each as a closed line of its own.",
            layer=layer,
            at_mm=points[0],
        )

    def across_layers(self, made: Chain) -> None:
        """Say that an outline needed lines of several layers."""
        layers = sorted({s.layer for s in made.strokes})
        self.say(
            "DXF-031",
            Severity.NOTE,
            f"an outline is made of lines on several layers: {', '.join(layers[:6])}.",
            layer=made.strokes[0].layer,
            handle=made.strokes[0].handle,
            at_mm=made.start,
        )

    def too_many_loops(self, count: int) -> None:
        """Say that the drawing is a pattern."""
        self.say(
            "DXF-038",
            Severity.WARNING,
            f"{count} closed lines lie in and over each other, more than are sorted out.",
            "Save only the parts to a new DXF.",
        )

    def frames(self, frames: list[Loop]) -> None:
        """Say which rectangles were taken for frames."""
        for frame in frames[:MOST]:
            x0, y0, x1, y1 = frame.box_mm
            self.say(
                "DXF-030",
                Severity.NOTE,
                f"a rectangle of {x1 - x0:.1f} x {y1 - y0:.1f} mm around parts was taken for a "
                "frame, not for a part.",
                "If it is a part, name it by its handle.",
                layer=frame.layer,
                handle=frame.stroke.handle,
                at_mm=(x0, y0),
            )

    def crossing(self, pairs: list[tuple[Loop, Loop, Point]]) -> None:
        """Say which outlines cross each other."""
        for inner, outer, at in pairs:
            other = "" if inner.layer == outer.layer else f" one of layer '{outer.layer}'"
            self.say(
                "DXF-029",
                Severity.WARNING,
                f"an outline crosses{other or ' another'} at {at[0]:.2f}, {at[1]:.2f}; "
                "it isn't taken for a hole.",
                "Move them apart, or trim the smaller one, if they belong together.",
                layer=inner.layer,
                handle=inner.stroke.handle,
                at_mm=at,
            )

    def lines(self, marked: Marked) -> None:
        """Say which lines stay open, the ones most like outlines first."""
        chains = sorted(marked.open_chains, key=lambda c: -sum(1 for _ in c.curves))
        by_layer: dict[str, list[Chain]] = defaultdict(list)
        for made in chains:
            by_layer[made.strokes[0].layer].append(made)
        for layer, found in sorted(by_layer.items()):
            for made in [c for c in found if len(c.curves) > 1]:
                (ax, ay), (bx, by) = made.start, made.end
                gap = ((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5
                self.say(
                    "DXF-021",
                    Severity.WARNING,
                    f"a chain of {len(made.curves)} lines stays open: its ends at "
                    f"{ax:.2f}, {ay:.2f} and {bx:.2f}, {by:.2f} are {gap:.4g} mm apart.",
                    "Close it in the drawing, or raise join_gap under [drawings].",
                    layer=layer,
                    handle=made.strokes[0].handle,
                    at_mm=made.start,
                )
            rest = sum(1 for c in found if len(c.curves) == 1)
            if rest:
                self.say(
                    "DXF-026",
                    Severity.NOTE,
                    f"{rest} loose lines enclose nothing and lie in no outline; left out.",
                    layer=layer,
                    at_mm=found[-1].start,
                )
        if marked.clipped:
            self.say(
                "DXF-040",
                Severity.NOTE,
                f"{marked.clipped} lines cross outlines; what lies inside was kept as marks.",
            )

    def hidden(self, hidden: tuple[DrawnOutline, ...]) -> None:
        """Say which outlines are on layers that are switched off."""
        layers = Counter(o.layer for o in hidden)
        for layer, count in sorted(layers.items())[:MOST]:
            self.say(
                "DXF-032",
                Severity.NOTE,
                f"{count} outlines are on a layer that is switched off or frozen.",
                "They are found when the job names this layer.",
                layer=layer,
            )

    def count_the_rest(self) -> None:
        """Say how many findings were not listed."""
        for (code, layer), times in sorted(self._told.items()):
            if times > MOST:
                where = self.file + (f", layer {layer}" if layer else "")
                self.findings.append(
                    Finding(
                        code=code,
                        severity=Severity.NOTE,
                        where=where,
                        message=f"{times - MOST} more findings of this kind are not listed.",
                        file=self.file,
                        layer=layer,
                    )
                )

    def hatches(self, count: int) -> None:
        """Say that hatches show outlines that no line follows."""
        if count:
            self.say(
                "DXF-035",
                Severity.NOTE,
                f"{count} hatches have an edge that no closed line follows.",
                "If one is a part, name it by its layer or handle.",
            )

    def halves(self, outlines: tuple[DrawnOutline, ...]) -> None:
        """Say which outlines look like half a part."""
        for outline in outlines:
            line = outline.half_of
            if line is None:
                continue
            x, y = line.start
            self.say(
                "DXF-034",
                Severity.NOTE,
                f"'{outline.name}' looks like half a part: {line.reason}, from {x:.2f}, {y:.2f} "
                f"to {line.end[0]:.2f}, {line.end[1]:.2f}.",
                'To have it mirrored to a whole one, say drawn_half = "mirror" in the job.',
                layer=outline.layer,
                handle=outline.handles[0] if outline.handles else "",
                at_mm=line.start,
            )

    def nothing(self, is_something_offered: bool) -> None:  # noqa: FBT001
        """Say that there is no outline."""
        self.say(
            "DXF-020",
            Severity.WARNING,
            "no outline was found in this drawing.",
            "Name one of the outlines offered below in the job."
            if is_something_offered
            else "Parts must be closed lines; see what was left out and why.",
        )
