"""Fairness reports on the panels that a job gives by stations."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from nestcut.intake.readings import with_readings
from nestcut.jobfile.book import FindingBook
from nestcut.jobfile.records import JobText, NumberSource
from nestcut.jobfile.tables import Table
from nestcut.shapes.build import ShapeKind
from nestcut.shapes.fair.comb import comb_svg
from nestcut.shapes.fair.fairness import fairness_rows
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.read.outlines import read_panel_readings
from nestcut.shapes.table.doubts import panel_row_doubts

COLUMNS = (
    "edge",
    "station_mm",
    "offset_mm",
    "second_difference_per_m",
    "off_by_mm",
    "gain",
    "check",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelReport:
    """Fairness of one panel: its curvature comb (SVG) and its rows under :data:`COLUMNS`."""

    part: str
    picture: str
    rows: tuple[tuple[str, ...], ...]


def panel_reports(text: JobText, folder: Path) -> tuple[PanelReport, ...]:
    """Reports on all panels by stations whose readings are sound, in the order of the job.

    ``folder`` is the job file's.
    """
    reports = []
    for part in text.parts:
        if not isinstance(part.source, NumberSource):
            continue
        written = part.source.table
        if written.data.get("kind") != ShapeKind.PANEL:
            continue
        # Read once more beside the job's own findings, which have told every fault already.
        fresh = Table(written.data, written.path, FindingBook(written.book.file), written.bare)
        again = with_readings(fresh, folder)
        try:
            panel = read_panel_readings(again)
        except ShapeFaultError:
            continue
        if not again.is_sound:
            continue
        edges = (("lower", panel.lower), ("upper", panel.upper))
        doubts = panel_row_doubts(panel)
        reports.append(
            PanelReport(
                part=part.name,
                picture=comb_svg(edges, doubts),
                rows=fairness_rows(edges, doubts),
            )
        )
    return tuple(reports)
