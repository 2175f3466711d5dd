"""A DXF file to a Drawing: outlines, what else was met, and everything worth telling."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from shapely.geometry.base import BaseGeometry

from nestcut.drawings.assemble import (
    Family,
    dress,
    families,
    label_marks,
    share_labels,
    with_own_names,
)
from nestcut.drawings.chain import Chain
from nestcut.drawings.closing import Closer
from nestcut.drawings.explode import Exploded, explode
from nestcut.drawings.load import load_document
from nestcut.drawings.loops import MAX_LOOPS, Loop, leave_stroke, unique, without_copies
from nestcut.drawings.marks import Marked, areas_of, mark_lines
from nestcut.drawings.nesting import Nested, nest
from nestcut.drawings.offers import half_families, hatch_families, with_halves
from nestcut.drawings.records import (
    Drawing,
    DrawnOutline,
    LeftOut,
    Pen,
    ReadOptions,
    Seen,
    Stroke,
    drawing_name,
)
from nestcut.drawings.scale import header_unit, unit_findings
from nestcut.drawings.tell import Teller
from nestcut.errors import DrawingError, Finding, Severity
from nestcut.model.shape import Mark
from nestcut.units import MM_PER, Unit

OWN_FAULT = "DXF-099"
"""Code of a fault of ours; tests look for it."""


def read_drawing(path: Path, options: ReadOptions | None = None) -> Drawing:
    """Read a drawing.

    Parameters
    ----------
    path
        The file.
    options
        How it is read.

    Returns
    -------
    Drawing
        All lengths in mm; where the unit is unknown, as if it were mm.

    Raises
    ------
    DrawingError
        If the file can't be read at all; carries findings.
    """
    options = options or ReadOptions()
    file = drawing_name(path)
    document, findings = load_document(path)
    said = header_unit(document)
    unit = options.unit or (said if isinstance(said, Unit) else None)
    factor = 1.0 if unit is None else float(MM_PER[unit])
    try:
        exploded = explode(document, file, factor)
        return _Reading(file, options, exploded, list(findings)).run(unit, said, factor)
    except Exception as error:  # callers are promised a Drawing or a DrawingError
        raise DrawingError([_own_fault(file, error)]) from error


def _own_fault(file: str, error: BaseException) -> Finding:
    """Say that the reader stumbled; a traceback would help nobody at the saw."""
    return Finding(
        code=OWN_FAULT,
        severity=Severity.ERROR,
        where=file,
        message=f"the reader stumbled over this drawing ({type(error).__name__}).",
        remedy="Explode blocks and splines to plain lines, save it as DXF R12 and try again; "
        "please report the drawing.",
        file=file,
    )


class _Reading:
    """One reading; collects findings and left-outs on its way."""

    def __init__(
        self, file: str, options: ReadOptions, exploded: Exploded, findings: list[Finding]
    ) -> None:
        self.file = file
        self.options = options
        self.exploded = exploded
        self.tell = Teller(file, [*findings, *exploded.findings])
        self.left_out: list[LeftOut] = list(exploded.left_out)
        self.gap = options.join_gap_mm
        self.flat = options.flatness_mm

    def run(self, unit: Unit | None, said: Unit | str | None, factor: float) -> Drawing:
        """Read loops, nest them, dress them."""
        full = [s for s in self.exploded.strokes if s.pen is Pen.FULL]
        broken = [s for s in self.exploded.strokes if s.pen is Pen.BROKEN]
        loops, lines = self._close(full)
        broken_loops, broken_lines = self._close(broken)
        if not loops and broken_loops:
            self.tell.broken_outlines(len(broken_loops))
            loops, broken_loops = broken_loops, []
        lines += broken_lines
        lines += [loop.chain for loop in broken_loops]
        loops, copies = without_copies(loops, self.gap)
        self.left_out += copies
        self.tell.copies(loops, copies)
        nested = self._nest(loops)
        outlines, cut_outs = families(nested.loops)
        share_labels(outlines, cut_outs, self.exploded.labels)
        marked = mark_lines(lines, _areas(outlines), self.gap, self.flat)
        for i, family in enumerate(outlines):
            marked.marks[i] = label_marks(family, marked.marks[i])
        self.left_out += marked.left_out
        self.tell.lines(marked)
        made = [
            replace(self._dress(f, "", marked.marks[i]), mark_handles=tuple(marked.handles[i]))
            for i, f in enumerate(outlines)
        ]
        made += [self._dress(f, "it is a cut-out of another outline") for f in cut_outs]
        made += [
            self._dress(Family(f), "it looks like a frame around the parts") for f in nested.frames
        ]
        made += self._offers(loops, marked.open_chains, broken_lines)
        return self._drawing(unit, said, factor, made, marked, broken_lines)

    def _dress(self, family: Family, because: str, marks: list[Mark] | None = None) -> DrawnOutline:
        return dress(family, marks or [], self.options, self.file, because)

    def _offers(
        self, loops: list[Loop], open_chains: list[Chain], broken: list[Chain]
    ) -> list[DrawnOutline]:
        """Outlines that no closed line shows: hatches, and halves up to a centre line."""
        hatches, filled = hatch_families(self.exploded.hatches, loops, self.options)
        self.left_out += filled
        self.tell.hatches(len(hatches))
        share_labels(hatches, [], self.exploded.labels)
        made = [self._dress(f, "only a hatch shows it") for f in hatches]
        halves = half_families(open_chains, broken, self.options)
        share_labels([f for f, _ in halves], [], self.exploded.labels)
        for family, mirroring in halves:
            outline = self._dress(family, "it is drawn only up to a centre line")
            made.append(replace(outline, half_of=mirroring))
        return made

    def _close(self, strokes: list[Stroke]) -> tuple[list[Loop], list[Chain]]:
        closer = Closer(self.options, self.tell)
        closer.close(strokes)
        self.left_out += closer.left_out
        return closer.loops, closer.lines

    def _nest(self, loops: list[Loop]) -> Nested:
        if len(loops) > MAX_LOOPS:
            self.tell.too_many_loops(len(loops))
            self.left_out += [
                leave_stroke(s, "one of too many closed lines", loop.chain.start)
                for loop in loops[MAX_LOOPS:]
                for s in unique(loop.chain.strokes)
            ]
            loops = loops[:MAX_LOOPS]
        nested = nest(loops, self.exploded.labels)
        if not nested.is_complete:
            self.tell.too_many_loops(len(loops))
        self.tell.frames(nested.frames)
        self.tell.crossing(nested.crossing)
        return nested

    def _drawing(
        self,
        unit: Unit | None,
        said: Unit | str | None,
        factor: float,
        made: list[DrawnOutline],
        marked: Marked,
        broken: list[Chain],
    ) -> Drawing:
        named = with_own_names(made)
        outlines = tuple(o for o in named if not o.offered_because and o.seen is Seen.SHOWN)
        outlines = with_halves(outlines, broken, self.options)
        hidden = tuple(
            replace(o, offered_because="its layer is switched off or frozen")
            for o in named
            if not o.offered_because and o.seen is Seen.HIDDEN
        )
        offered = (*hidden, *(o for o in named if o.offered_because))
        self.tell.hidden(hidden)
        self.tell.halves((*outlines, *offered))
        for outline in outlines:
            self.tell.findings += outline.faults
        if not outlines:
            self.tell.nothing(bool(offered))
        self.tell.count_the_rest()
        findings = [*unit_findings(self.file, said, self.options.unit, _longest(named) / factor)]
        return Drawing(
            file=self.file,
            unit=unit,
            outlines=outlines,
            offered=offered,
            open_lines=tuple(_as_stroke(c) for c in marked.open_chains),
            left_out=tuple(self.left_out),
            labels=tuple(self.exploded.labels),
            findings=(*findings, *self.tell.findings),
            options=self.options,
            entity_count=self.exploded.entity_count,
        )


def _areas(found: list[Family]) -> list[BaseGeometry]:
    return areas_of([(f.loop.polygon, [h.polygon for h in f.holes]) for f in found])


def _longest(outlines: tuple[DrawnOutline, ...]) -> float:
    boxes = [o.box_mm for o in outlines]
    return max((max(b[2] - b[0], b[3] - b[1]) for b in boxes), default=0.0)


def _as_stroke(made: Chain) -> Stroke:
    return replace(made.strokes[0], curves=made.curves, is_closed=False)
