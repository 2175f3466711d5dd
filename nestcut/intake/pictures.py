"""Pictures of a job's drawings with what was found in them, for the builder's eye."""

from __future__ import annotations

from pathlib import Path

from nestcut.drawings.picture import drawing_picture
from nestcut.intake.job import finder_of, read_job_text
from nestcut.jobfile.records import DrawnSource


def pictures_of(job: Path) -> tuple[tuple[str, str], ...]:
    """Return (drawing's file name, SVG text) for every drawing a job names and that can be read."""
    text = read_job_text(job)
    finder = finder_of(text, job.parent)
    files = sorted({p.source.file for p in text.parts if isinstance(p.source, DrawnSource)})
    drawings = ((file, finder.drawing(file)) for file in files)
    return tuple((file, drawing_picture(d)) for file, d in drawings if d is not None)
