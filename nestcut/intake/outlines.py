"""The outline of each part: from its drawing, or from its numbers."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from nestcut.drawings.concerns import OF_UNITS, findings_for
from nestcut.drawings.pick import pick_outline, same_size
from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import CUT, Drawing, DrawnOutline, OutlineRef, ReadOptions, Whole
from nestcut.drawings.remarks import label_remarks
from nestcut.errors import DrawingError, Finding, Severity, finding
from nestcut.facts import Length, Names
from nestcut.gate import is_plain_file
from nestcut.intake.numbers import LinesPlan
from nestcut.intake.readings import with_readings
from nestcut.jobfile.choices import Halves
from nestcut.jobfile.records import DrawingRules, DrawnSource, NumberSource, OutlineBy, PartText
from nestcut.model.shape import Shape
from nestcut.shapes.build import BuiltShape, Extent, build_shape
from nestcut.shapes.known import Known
from nestcut.trade.joints import GENTLE_PANEL_RADII
from nestcut.trade.woods import BEND_STEP_MM, least_bend_radius_mm


@dataclass(slots=True)
class OutlineFinder:
    """Finds outlines; each drawing is read once, and its findings are told once."""

    folder: Path
    rules: DrawingRules
    flatness_mm: float
    plan: LinesPlan
    """Lines in space that parts may follow."""
    written: tuple[str, ...] = ()
    """Names of all parts, in the order of the file."""
    failed: set[str] = field(default_factory=set)
    """Parts that are written but at fault."""
    job_folder: Path = Path()
    """Folder of the job file, for tables of readings beside it."""
    failed_drawn: tuple[DrawnSource, ...] = ()
    """Outlines that parts at fault point at."""
    drawings_named: tuple[str, ...] = ()
    """Drawings that the job names; its unit for all overrules a file's only where it is one."""
    findings: list[Finding] = field(default_factory=list)
    """Of drawings that can't be read."""
    extras: dict[str, BuiltShape] = field(default_factory=dict)
    """What numbers gave beside outlines, by part."""
    _shapes: dict[str, Shape] = field(default_factory=dict)
    _drawings: dict[str, Drawing | None] = field(default_factory=dict)
    _taken: dict[str, list[DrawnOutline]] = field(default_factory=dict)
    """Outlines that parts took, by drawing."""
    _refused: dict[str, list[Finding]] = field(default_factory=dict)
    """Why outlines that parts point at can't be taken, by drawing."""
    _waiting: dict[str, list[DrawnOutline]] = field(default_factory=dict)
    """Outlines that parts point at and an answer is due for, by drawing."""

    def find(self, part: PartText) -> tuple[Shape | None, tuple[Finding, ...]]:
        """Return a part's shape, or None with the findings that say why not."""
        if isinstance(part.source, NumberSource):
            table = with_readings(part.source.table, self.job_folder)
            extent = Extent.HALF if part.source.halves is Halves.MIRRORED else Extent.WHOLE
            built = build_shape(table, self.flatness_mm, self.known, extent)
            shape, findings = (None, ()) if built is None else (built.shape, built.findings)
            if built is not None:
                self.extras[part.name] = built
                if not self.plan.doubts:  # a reading in doubt is the root of a tight bend
                    findings = (*findings, *_tight_bends(part, built.findings))
        else:
            shape, findings = self._find_drawn(part, part.source)
        if shape is not None:
            self._shapes[part.name] = shape
        else:
            self.failed.add(part.name)
        return shape, tuple(
            replace(f, file=f.file or part.file, about=f.about or part.name) for f in findings
        )

    @property
    def known(self) -> Known:
        """Shapes found so far and lines, by name, for parts that refer to them."""
        return Known(
            shapes=self._shapes,
            lines=self.plan.lines,
            table=self.plan.table,
            is_table_at_fault=self.plan.is_table_at_fault,
            failed=frozenset(self.failed) | self.plan.failed,
            ahead=frozenset(self.written) - set(self._shapes) - self.failed,
        )

    @property
    def found(self) -> tuple[str, ...]:
        """Names of parts whose outline was found."""
        return tuple(self._shapes)

    def drawing(self, file: str) -> Drawing | None:
        """Read a drawing, or None if it can't be read."""
        if file not in self._drawings:
            self._drawings[file] = self._read(file)
        return self._drawings[file]

    def _read(self, file: str) -> Drawing | None:
        own = self.rules.of(file)
        gap = own.join_gap_mm
        usual = self.rules.unit if len(self.drawings_named) == 1 else None
        options = ReadOptions(
            join_gap_mm=self.rules.join_gap_mm if gap is None else gap,
            layer_gaps=own.layer_gaps,
            flatness_mm=self.flatness_mm,
            unit=own.unit or usual,
            silent_unit=self.rules.unit,
        )
        path = self.folder / file
        if not is_plain_file(path):
            self.findings.append(finding("JOB-018", Severity.ERROR, file, path=str(path)))
            return None
        try:
            return read_drawing(path, options)
        except DrawingError as error:
            self.findings += error.findings
            return None

    def told(self) -> tuple[Finding, ...]:
        """What there is to tell of the drawings, once all parts were looked for."""
        made = [*self.findings]
        for file, drawing in self._drawings.items():
            if drawing is not None:
                taken, refused = self._taken.get(file, []), self._refused.get(file, [])
                spoken_for = numbers_of(self.rules.of(file).no_parts, drawing)
                failed = (
                    pointed_at(drawing, reference(s)) for s in self.failed_drawn if s.file == file
                )
                meant = [*self._waiting.get(file, []), *(o for o in failed if o is not None)]
                spoken_for |= _with_copies(meant, drawing)
                told = findings_for(drawing, taken, refused, spoken_for)
                at_fault = self.rules.of(file).is_unit_at_fault or self.rules.is_unit_at_fault
                made += [f for f in told if not (at_fault and f.code in OF_UNITS)]
        for own in self.rules.single:
            if own.file and own.file not in self.drawings_named:
                made.append(_unknown("JOB-062", f"{own.path}.file", own.file, self.drawings_named))
            drawing = self._drawings.get(own.file)
            known = () if drawing is None else drawing.layers
            for i, (layer, _) in enumerate(own.layer_gaps, start=1):
                if known and layer.casefold() not in {n.casefold() for n in known}:
                    where = f"{own.path}.layers[{i}].name"
                    made.append(_unknown("JOB-063", where, layer, known))
        return tuple(made)

    def _find_drawn(
        self, part: PartText, source: DrawnSource
    ) -> tuple[Shape | None, tuple[Finding, ...]]:
        drawing = self.drawing(source.file)
        if drawing is None or not self.rules.of(source.file).is_sound:
            return None, ()  # told at the drawing, or at its table
        usual = self.rules.of(source.file)
        default = usual.doubtful_holes
        holes = source.doubtful_holes or (() if default is None else (default.value,))
        wanted = replace(reference(source), doubtful_holes=holes)
        if source.halves is None and usual.halves is Halves.MIRRORED:
            wanted = replace(wanted, whole=Whole.MIRRORED_IF_HALF)
        elif Halves.WHOLE in {source.halves, usual.halves if source.halves is None else None}:
            wanted = replace(wanted, whole=Whole.CLOSED)
        picked = pick_outline(drawing, wanted)
        if isinstance(picked, DrawnOutline):
            self._taken.setdefault(source.file, []).append(picked)
            remarks = label_remarks(
                picked,
                file=source.file,
                count=part.count,
                thickness_mm=part.thickness_mm,
                hands=part.hands,
            )
            told = (*(f for f in picked.faults if not _is_counted(f, part)), *remarks)
            named = tuple(replace(f, where=f"{part.path}, {f.where}") for f in told)
            return picked.shape, named
        if usual.has_open_gaps and _NOT_THERE & {f.code for f in picked}:
            return None, ()  # told at the layer: it may be there once the gap is closed
        self._refused.setdefault(source.file, []).extend(picked)
        meant = pointed_at(drawing, wanted)
        if meant is not None:
            self._waiting.setdefault(source.file, []).append(meant)
        return None, tuple(replace(f, where=f"{part.path}, {f.where}") for f in picked)


def _with_copies(meant: Sequence[DrawnOutline], drawing: Drawing) -> frozenset[int]:
    """Numbers of outlines that are meant, and of those that may be the same part drawn again."""
    again = (o for o in drawing.outlines if any(same_size(o, m) for m in meant))
    return frozenset(o.number for o in (*meant, *again))


_NOT_THERE = frozenset({"DXF-050", "DXF-051", "DXF-059"})
"""No such outline in the drawing as it is read."""


def pointed_at(drawing: Drawing, ref: OutlineRef) -> DrawnOutline | None:
    """Return the one outline that a part points at, half or whole, holes in doubt or not."""
    for whole in (Whole.AS_DRAWN, Whole.MIRRORED_HALF):
        picked = pick_outline(drawing, replace(ref, whole=whole, doubtful_holes=(CUT,)))
        if isinstance(picked, DrawnOutline):
            return picked
    return None


def numbers_of(named: Sequence[str], drawing: Drawing) -> frozenset[int]:
    """Return the numbers of outlines that are named ``"10 of 12"``; of other counts none."""
    refs = (reference(DrawnSource(file="", by=OutlineBy.NUMBER, name=n)) for n in named if n)
    return frozenset(r.number for r in refs if r.number and r.of == drawing.numbered)


def reference(source: DrawnSource) -> OutlineRef:
    """Return the outline that a part's source points at."""
    whole = Whole.MIRRORED_HALF if source.halves is Halves.MIRRORED else Whole.AS_DRAWN
    if not source.name:
        return OutlineRef(whole=whole)
    if source.by is OutlineBy.NUMBER:
        met = re.fullmatch(r"\s*(\d{1,6})(?:\s+of\s+(\d{1,6}))?\s*", source.name)
        if met is None:
            return OutlineRef(number=0, whole=whole)
        of = None if met[2] is None else int(met[2])
        return OutlineRef(number=int(met[1]), of=of, whole=whole)
    return OutlineRef(**{source.by.value: source.name}, whole=whole)  # type: ignore[arg-type]


def _is_counted(item: Finding, part: PartText) -> bool:
    """Whether several equal outlines are met and the part is wanted as often."""
    n = dict(item.values).get("n")
    return item.code == "DXF-053" and n in (part.count, 2 * part.count)


def _unknown(code: str, where: str, name: str, known: Sequence[str]) -> Finding:
    """Say that a name is none of those that are known, with the nearest one."""
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    nearest = f" Did you mean '{near[0]}'?" if near else ""
    listed = Names(tuple(known[:12]) or ("none",))
    key = "file" if code == "JOB-062" else "layer"
    return finding(code, Severity.ERROR, where, **{key: name}, nearest=nearest, known=listed)


def _tight_bends(part: PartText, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Hold a developed panel's tightest bend against what its thickness is usually bent to."""
    limit = least_bend_radius_mm(part.thickness_mm)
    bends = [(v["bend"], v["near"]) for f in findings if "bend" in (v := dict(f.values))]
    return tuple(
        finding(
            "SHP-014" if bend.mm < limit else "SHP-015",
            Severity.WARNING if bend.mm < limit else Severity.NOTE,
            part.path,
            bend=bend,
            near=near,
            thickness=Length(part.thickness_mm),
            limit=Length(_rounded_up(limit)),
        )
        for bend, near in bends
        if isinstance(bend, Length) and bend.mm < GENTLE_PANEL_RADII.value * limit
    )


def _rounded_up(radius_mm: float) -> float:
    """Round a radius up to what a rule of thumb can know. [mm]"""
    return math.ceil(radius_mm / BEND_STEP_MM.value) * BEND_STEP_MM.value
