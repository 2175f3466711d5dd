"""A job that lies nowhere: its text and its drawings as they are handed over."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from nestcut.intake.job import Understanding, understand_job


def understand_text(text: str, drawings: Mapping[str, bytes]) -> Understanding:
    """Read as much of a job as can be read from its text.

    Parameters
    ----------
    drawings
        Contents of the drawings, by their paths from where the job file would lie.

    Raises
    ------
    ValueError
        If one of these paths leads elsewhere.
    """
    with tempfile.TemporaryDirectory() as folder:
        path = _laid_out(text, drawings, Path(folder))
        return _beside_nothing(understand_job(path), f"{Path(folder).as_posix()}/")


def _beside_nothing(read: Understanding, folder: str) -> Understanding:
    """Take the passing folder out of file names: to the caller the text lies nowhere."""
    findings = tuple(replace(f, file=f.file.removeprefix(folder)) for f in read.findings)
    kept = tuple(f for f in findings if not f.is_blocking)
    job = replace(read.job, file=read.job.file.removeprefix(folder), findings=kept)
    return replace(read, job=job, findings=findings)


def _laid_out(text: str, drawings: Mapping[str, bytes], folder: Path) -> Path:
    """Lay a job's text and drawings out as files, as the readers want them."""
    for name, content in drawings.items():
        path = (folder / name).resolve()
        if not path.is_relative_to(folder.resolve()):
            raise ValueError(f"a drawing lies beside its job or below, not at '{name}'")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    job = folder / "job.toml"
    job.write_text(text, encoding="utf-8")
    return job
