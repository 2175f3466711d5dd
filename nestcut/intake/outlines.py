"""The outline of each part: from its drawing, or from its numbers."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from nestcut.drawings.pick import pick_outline
from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import Drawing, DrawnOutline, OutlineRef, ReadOptions, Whole
from nestcut.drawings.remarks import label_remarks
from nestcut.errors import DrawingError, Finding, Severity
from nestcut.intake.readings import with_readings
from nestcut.jobfile.records import DrawingRules, DrawnSource, Halves, NumberSource, PartText
from nestcut.model.part import Hands
from nestcut.model.shape import Shape
from nestcut.shapes.build import build_shape
from nestcut.shapes.known import Known
from nestcut.shapes.spaceline import SpaceLine


@dataclass(slots=True)
class OutlineFinder:
    """Finds outlines; each drawing is read once, and its findings are told once."""

    folder: Path
    rules: DrawingRules
    flatness_mm: float
    lines: dict[str, SpaceLine] = field(default_factory=dict)
    job_folder: Path = Path()
    """Folder of the job file, for tables of readings beside it."""
    findings: list[Finding] = field(default_factory=list)
    band_widths: dict[str, float] = field(default_factory=dict)
    """Widths of bands that numbers gave, by part. [mm]"""
    _shapes: dict[str, Shape] = field(default_factory=dict)
    _drawings: dict[str, Drawing | None] = field(default_factory=dict)

    def find(self, part: PartText) -> tuple[Shape | None, tuple[Finding, ...]]:
        """Return a part's shape, or None with the findings that say why not."""
        if isinstance(part.source, NumberSource):
            table = with_readings(part.source.table, self.job_folder)
            built = build_shape(table, self.flatness_mm, self.known)
            shape, findings = (None, ()) if built is None else (built.shape, built.findings)
            if built is not None and built.band_width_mm is not None:
                self.band_widths[part.name] = built.band_width_mm
        else:
            shape, findings = self._find_drawn(part, part.source)
        if shape is not None:
            self._shapes[part.name] = shape
        return shape, findings

    @property
    def known(self) -> Known:
        """Shapes found so far and lines, by name, for parts that refer to them."""
        return Known(shapes=self._shapes, lines=self.lines)

    def drawing(self, file: str) -> Drawing | None:
        """Read a drawing, or None if it can't be read."""
        if file not in self._drawings:
            self._drawings[file] = self._read(file)
        return self._drawings[file]

    def _read(self, file: str) -> Drawing | None:
        options = ReadOptions(
            join_gap_mm=self.rules.join_gap_mm, flatness_mm=self.flatness_mm, unit=self.rules.unit
        )
        path = self.folder / file
        if not path.is_file():
            self.findings.append(
                Finding(
                    code="JOB-018",
                    severity=Severity.ERROR,
                    where=file,
                    message=f"the drawing '{path}' isn't there.",
                    remedy="Check the file name, and [drawings] folder.",
                )
            )
            return None
        try:
            drawing = read_drawing(path, options)
        except DrawingError as error:
            self.findings += error.findings
            return None
        self.findings += drawing.findings
        return drawing

    def _find_drawn(
        self, part: PartText, source: DrawnSource
    ) -> tuple[Shape | None, tuple[Finding, ...]]:
        drawing = self.drawing(source.file)
        if drawing is None:
            return None, ()
        picked = pick_outline(drawing, _reference(source))
        if isinstance(picked, DrawnOutline):
            remarks = label_remarks(
                picked,
                file=source.file,
                count=part.count,
                thickness_mm=part.thickness_mm,
                is_pair=part.hands is Hands.PAIR,
            )
            told = (*picked.faults, *remarks)
            named = tuple(replace(f, where=f"{part.path}, {f.where}") for f in told)
            return picked.shape, named
        return None, tuple(replace(f, where=f"{part.path}, {f.where}") for f in picked)


def _reference(source: DrawnSource) -> OutlineRef:
    whole = Whole.AS_DRAWN if source.halves is Halves.WHOLE else Whole.MIRRORED_HALF
    if not source.name:
        return OutlineRef(whole=whole)
    return OutlineRef(**{source.by.value: source.name}, whole=whole)  # type: ignore[arg-type]
