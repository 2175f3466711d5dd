"""A drawing file to a Drawing: outlines with verdicts, what else was met, what to tell."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from shapely.geometry.base import BaseGeometry

from nestcut.drawings.concerns import asked_finding
from nestcut.drawings.entities.explode import Exploded
from nestcut.drawings.entities.formats import open_drawing
from nestcut.drawings.entities.load import refuse
from nestcut.drawings.entities.scale import (
    Scale,
    likely_unit,
    scale_of,
    unit_findings,
)
from nestcut.drawings.lines.chain import Chain
from nestcut.drawings.lines.closing import Closer
from nestcut.drawings.lines.gaps import gap_faults
from nestcut.drawings.lines.loops import MAX_LOOPS, Loop, leave_stroke, unique, without_copies
from nestcut.drawings.pick import holes_in_doubt
from nestcut.drawings.records import (
    ON_SCREEN,
    Drawing,
    DrawnOutline,
    Judgement,
    Label,
    LeftOut,
    Mirroring,
    Pen,
    ReadOptions,
    Seen,
    Stroke,
    Verdict,
    drawing_name,
)
from nestcut.drawings.sorting.assemble import (
    Family,
    dress,
    families,
    label_marks,
    share_labels,
    with_faults_of,
    with_own_names,
)
from nestcut.drawings.sorting.holes import doubts_of, with_hole_names
from nestcut.drawings.sorting.labels import is_part_name, plain_name, with_leaders
from nestcut.drawings.sorting.marks import Marked, areas_of, mark_lines
from nestcut.drawings.sorting.nesting import Nested, nest
from nestcut.drawings.sorting.numbers import Numbers
from nestcut.drawings.sorting.offers import half_families, hatch_families, with_halves
from nestcut.drawings.sorting.open_names import open_names
from nestcut.drawings.sorting.verdicts import features_of, judge
from nestcut.drawings.tell import Teller, pairs_to_tell
from nestcut.errors import DrawingError, Finding, Severity, finding
from nestcut.facts import Fact, fact
from nestcut.model.shape import Mark

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
        All lengths in mm; where the unit is unknown, as if it were the likeliest one.

    Raises
    ------
    DrawingError
        If the file can't be read at all; carries findings.
    """
    options = options or ReadOptions()
    file = drawing_name(path)
    foreign = _FOREIGN.get(path.suffix.lower())
    if foreign is not None:
        refuse("DXF-006", file, kind=foreign)
    try:
        opened = open_drawing(path)

        def read(wish: ReadOptions, plain: Drawing | None) -> Drawing:
            return _read_at(
                scale_of(opened.unit, wish),
                lambda mm: _Reading(file, wish, opened.explode(mm), opened.findings, plain),
            )

        unclosed = replace(options, join_gap_mm=ReadOptions().join_gap_mm, layer_gaps=())
        return read(options, None if unclosed == options else read(unclosed, None))
    except DrawingError:
        raise
    except Exception as error:  # callers are promised a Drawing or a DrawingError
        raise DrawingError([_own_fault(file, error)]) from error


def _read_at(scale: Scale, begin: Callable[[float], _Reading]) -> Drawing:
    """Read at a scale; where only the builder knows it, once more at the likeliest one.

    Gaps, small things and thin ones are judged by their size, so that an answer that is as likely
    as that changes nothing.
    """
    drawing = begin(scale.mm_per_unit).run(scale)
    if drawing.unit is not None:
        return drawing
    longest = _longest(drawing.outlines or drawing.offered, scale.mm_per_unit)
    likely = likely_unit(longest[0]) if longest else scale.assumed
    if likely is scale.assumed:
        return drawing
    at_likely = replace(scale, assumed=likely)
    return begin(at_likely.mm_per_unit).run(at_likely)


_FOREIGN = {".pdf": "PDF", ".dwg": "DWG", ".ai": "AI", ".eps": "EPS", ".png": "picture",
            ".jpg": "picture", ".jpeg": "picture", ".tif": "picture"}  # fmt: skip
"""Files that builders have and that hold no lines to be read here, by their ending."""


def _own_fault(file: str, error: BaseException) -> Finding:
    """Say that the reader stumbled; a traceback would help nobody at the saw."""
    made = finding(OWN_FAULT, Severity.ERROR, file, error=type(error).__name__)
    return replace(made, file=file)


class _Reading:
    """One reading; collects findings and left-outs on its way."""

    def __init__(
        self,
        file: str,
        options: ReadOptions,
        exploded: Exploded,
        findings: Sequence[Finding],
        plain: Drawing | None = None,
    ) -> None:
        self.file = file
        self.options = options
        self.exploded = exploded
        self.tell = Teller(file, [*findings, *exploded.findings])
        self.left_out: list[LeftOut] = list(exploded.left_out)
        self.gap = options.join_gap_mm
        self.flat = options.flatness_mm
        self.unseen: list[Stroke] = []
        self.plain = plain

    def run(self, scale: Scale) -> Drawing:
        """Read loops, nest them, judge and dress them; what isn't seen is read afterwards."""
        strokes, loops, lines, broken_lines = self._visible()
        labels = [s for s in self.exploded.labels if s.seen in ON_SCREEN]
        copies = without_copies(loops, self.gap)
        loops = copies.kept
        self.left_out += copies.left_out
        self.tell.copies(copies)
        nested = self._nest(loops, labels)
        labels, leaders = with_leaders(labels, lines, nested.loops)
        lines = [c for c in lines if not any(c is leader for leader in leaders)]
        self.left_out += [
            leave_stroke(s, "a line that points from a name to its part", c.start)
            for c in leaders
            for s in unique(c.strokes)
        ]
        lines += [loop.chain for loop in nested.marks]
        outlines, cut_outs = families(nested.loops)
        marked = mark_lines(lines, _areas(outlines), self.gap, self.flat)
        self.left_out += marked.left_out
        faults, explained = gap_faults(strokes, marked.open_chains, self.options)
        for fault in faults:
            self.tell.gap(fault)
        for name, open_at in open_names(faults, nested.loops, labels):
            self.tell.open_name(name, open_at.layer, open_at.gaps, open_at.least_mm)
        open_chains = [c for c in marked.open_chains if id(c) not in explained]
        halves = half_families(open_chains, broken_lines, self.options)
        nearly = [*(f.loop for f, _, _ in halves), *(o for f in faults for o in f.outlines)]
        share_labels(outlines, cut_outs, labels, nearly)
        judged = [judge(f) for f in features_of(outlines)]
        doubts = doubts_of(outlines, cut_outs)
        for i, family in enumerate(outlines):
            marked.marks[i] = label_marks(family, marked.marks[i])
        known = {id(made) for _, _, made in halves}
        self.tell.loose([c for c in open_chains if id(c) not in known])
        if marked.clipped:
            self.tell.note("DXF-040", n=marked.clipped)
        made = [
            replace(
                self._dress(f, _because(j), marked.marks[i]),
                mark_handles=tuple(marked.handles[i]),
                judgement=j,
                doubts=doubts[i],
            )
            for i, (f, j) in enumerate(zip(outlines, judged, strict=True))
        ]
        keep = Numbers(self.plain, scale.mm_per_unit)
        made = self._numbered(outlines, made, keep)
        numbers = {id(f.loop): o.number for f, o in zip(outlines, made, strict=True)}
        gone = {
            id(f.loop)
            for f, j in zip(outlines, judged, strict=True)
            if j.verdict is Verdict.NOT_A_PART
        } | {id(f) for f in nested.frames}
        own = {id(f.loop) for f in outlines if any(is_part_name(s.text) for s in f.labels)}
        self.tell.overlays(
            pairs_to_tell(nested.crossing, gone, own),
            pairs_to_tell(nested.over_edges, gone, own),
            numbers,
        )
        last = max((o.number for o in made), default=0)
        made = [*made, *(self._dress(f, fact("DXF-201")) for f in cut_outs)]
        made += [self._dress(Family(f), fact("DXF-202")) for f in nested.frames]
        made += _numbered_on(self._offers(loops, halves, labels), last, keep)
        made += self._aside()
        return self._drawing(scale, made, marked, broken_lines)

    def _visible(self) -> tuple[list[Stroke], list[Loop], list[Chain], list[Chain]]:
        """Close what is seen; locked and unprinted layers count only where nothing else closes."""
        everything = self.exploded.strokes
        k = 1
        while True:
            seen = set(ON_SCREEN[:k])
            strokes = [s for s in everything if s.seen in seen]
            trial = _Reading(self.file, self.options, self.exploded, [])
            full = [s for s in strokes if s.pen is Pen.FULL]
            loops, lines = trial._close(full)
            broken, broken_lines = trial._close([s for s in strokes if s.pen is Pen.BROKEN])
            if not loops and broken:
                trial.tell.note("DXF-033", n=len(broken))
                loops, broken = broken, []
            is_last = all(s.seen in seen or s.seen not in ON_SCREEN for s in everything)
            if loops or is_last:
                break
            k += 1
        self.tell.findings += trial.tell.findings[len(self.exploded.findings) :]
        self.left_out += trial.left_out[len(self.exploded.left_out) :]
        self.unseen = [s for s in everything if s.seen not in seen]
        lines += [*broken_lines, *(loop.chain for loop in broken)]
        return full, loops, lines, broken_lines

    def _numbered(
        self, outlines: list[Family], made: list[DrawnOutline], keep: Numbers
    ) -> list[DrawnOutline]:
        """Number what is seen in the order in which it was drawn."""
        at = {id(s): k for k, s in enumerate(self.exploded.strokes)}
        first = [min(at.get(id(s), 0) for s in f.loop.chain.strokes) for f in outlines]
        order = sorted(range(len(made)), key=lambda i: (first[i], i))
        number = dict(zip(order, keep.of([made[i] for i in order], 0), strict=True))
        return [with_hole_names(_named(o, number[i])) for i, o in enumerate(made)]

    def _aside(self) -> list[DrawnOutline]:
        """Read what isn't seen layer by layer, silently, to be asked for."""
        made: list[DrawnOutline] = []
        groups: dict[tuple[str, Seen], list[Stroke]] = {}
        for s in self.unseen:
            groups.setdefault((s.layer, s.seen), []).append(s)
        counts: Counter[tuple[str, Seen]] = Counter()
        for (layer, seen), strokes in sorted(groups.items()):
            closer = Closer(self.options, Teller(self.file, []))
            closer.close(strokes)
            self.left_out += closer.left_out
            for line in closer.lines:
                self.left_out += [
                    leave_stroke(s, f"an open line on a layer that is {seen.value}", line.start)
                    for s in unique(line.strokes)
                ]
            copies = without_copies(closer.loops, self.gap)
            self.left_out += copies.left_out
            outlines, cut_outs = families(nest(copies.kept, []).loops)
            labels = [s for s in self.exploded.labels if s.layer == layer]
            share_labels(outlines, cut_outs, labels, [])
            counts[(layer, seen)] = len(outlines)
            made += [self._dress(f, fact("DXF-205", seen=seen.value)) for f in outlines]
            made += [self._dress(f, fact("DXF-201")) for f in cut_outs]
        self.tell.aside(counts)
        return made

    def _dress(
        self, family: Family, because: Fact | None, marks: list[Mark] | None = None
    ) -> DrawnOutline:
        return dress(family, marks or [], self.options, self.file, because)

    def _offers(
        self,
        loops: list[Loop],
        halves: list[tuple[Family, Mirroring, Chain]],
        labels: list[Label],
    ) -> list[DrawnOutline]:
        """Outlines that no closed line shows: hatches, and halves up to a centre line."""
        hatches, filled = hatch_families(self.exploded.hatches, loops, self.options)
        self.left_out += filled
        if hatches:
            self.tell.note("DXF-035", n=len(hatches))
        share_labels(hatches, [], labels, [])
        made = [self._dress(f, fact("DXF-203")) for f in hatches]
        share_labels([f for f, _, _ in halves], [], labels, [])
        for family, mirroring, _ in halves:
            outline = self._dress(family, fact("DXF-204"))
            made.append(replace(outline, half_of=mirroring))
        return made

    def _close(self, strokes: list[Stroke]) -> tuple[list[Loop], list[Chain]]:
        names = tuple(s for s in self.exploded.labels if s.seen in ON_SCREEN and plain_name(s.text))
        closer = Closer(self.options, self.tell, names)
        closer.close(strokes)
        self.left_out += closer.left_out
        return closer.loops, closer.lines

    def _nest(self, loops: list[Loop], labels: list[Label]) -> Nested:
        if len(loops) > MAX_LOOPS:
            self.tell.say("DXF-038", Severity.WARNING, n=len(loops))
            self.left_out += [
                leave_stroke(s, "one of too many closed lines", loop.chain.start)
                for loop in loops[MAX_LOOPS:]
                for s in unique(loop.chain.strokes)
            ]
            loops = loops[:MAX_LOOPS]
        nested = nest(loops, labels)
        if not nested.is_complete:
            self.tell.say("DXF-038", Severity.WARNING, n=len(loops))
        self.tell.frames(nested.frames)
        self.tell.marks(nested.marks)
        return nested

    def _drawing(
        self, scale: Scale, made: list[DrawnOutline], marked: Marked, broken: list[Chain]
    ) -> Drawing:
        named = with_own_names(made)
        outlines = tuple(o for o in named if o.offered_because is None)
        outlines = with_halves(outlines, broken, self.options)
        offered = tuple(o for o in named if o.offered_because is not None)
        self.tell.halves((*outlines, *offered))
        for outline in (*outlines, *offered):
            is_beside = outline.judgement.verdict is Verdict.NOT_A_PART
            if outline.seen in ON_SCREEN and not is_beside:  # others are told when asked for
                for fault in outline.faults:
                    self.tell.add(fault)
        numbered = max((o.number for o in named), default=0)
        asked = [o for o in offered if o.judgement.verdict is Verdict.ASKED and o.is_sound]
        if asked:
            self.tell.findings.append(asked_finding(self.file, asked, numbered))
        for outline in outlines:
            if outline.doubts:
                made_of = finding(
                    "DXF-058", Severity.QUESTION, self.file, **holes_in_doubt(outline)
                )
                self.tell.findings.append(replace(made_of, file=self.file, layer=outline.layer))
        if not outlines:
            self.tell.say("DXF-020", Severity.WARNING)
        self.tell.unread(self.exploded.left_out)
        findings = unit_findings(
            self.file, scale, self.options, _longest(outlines or offered, scale.mm_per_unit)
        )
        return Drawing(
            file=self.file,
            unit=scale.unit,
            mm_per_unit=scale.mm_per_unit,
            outlines=outlines,
            offered=offered,
            numbered=numbered,
            unclosed=numbered if self.plain is None else self.plain.numbered,
            open_lines=tuple(_as_stroke(c) for c in marked.open_chains),
            left_out=tuple(self.left_out),
            labels=tuple(self.exploded.labels),
            layers=tuple(dict.fromkeys(s.layer for s in self.exploded.strokes)),
            findings=(*findings, *self.tell.finish()),
            options=self.options,
            entity_count=self.exploded.entity_count,
        )


def _named(outline: DrawnOutline, number: int) -> DrawnOutline:
    """Number an outline; one that nothing names is called by its number."""
    is_nameless = not outline.labels and not outline.block and outline.layer == "0"
    name = f"part {number}" if is_nameless else outline.name
    said = f"outline {number}" if is_nameless else f"outline {number} ({name})"
    return replace(with_faults_of(outline, said), number=number, name=name)


def _numbered_on(offers: list[DrawnOutline], last: int, keep: Numbers) -> list[DrawnOutline]:
    """Number halves after all that is closed, so that the picture and the job can name them."""
    halves = [o for o in offers if o.half_of is not None]
    number = {id(o): k for o, k in zip(halves, keep.of(halves, last), strict=True)}
    return [replace(o, number=number.get(id(o), o.number)) for o in offers]


def _because(judged: Judgement) -> Fact | None:
    if judged.kind is None or judged.verdict is Verdict.PART:
        return None
    code = "DXF-206" if judged.verdict is Verdict.ASKED else "DXF-207"
    return fact(code, kind=judged.kind.value)


def _areas(found: list[Family]) -> list[BaseGeometry]:
    return areas_of([(f.loop.polygon, [h.polygon for h in f.holes]) for f in found])


def _longest(outlines: tuple[DrawnOutline, ...], mm_per_unit: float) -> tuple[float, ...]:
    """Lengths of the two longest outlines, in drawing units."""
    boxes = [o.box_mm for o in outlines]
    sizes = sorted((max(b[2] - b[0], b[3] - b[1]) / mm_per_unit for b in boxes), reverse=True)
    return tuple(sizes[:2])


def _as_stroke(made: Chain) -> Stroke:
    return replace(made.strokes[0], curves=made.curves, is_closed=False)
