"""Plans that no other run replaces: one that is being cut by, and one of another job file."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from nestcut.errors import Finding, InputError, Severity, finding
from nestcut.outlet.faults import where
from nestcut.outlet.register import matter_of, read_register
from nestcut.outlet.results import PLAN_PAPERS


def check_replaceable(folder: Path, job_file: str, text: str = "") -> None:
    """Refuse to replace a plan that knows what is cut, or that another job file's search made.

    Parameters
    ----------
    folder
        Where a plan is to be written.
    job_file
        Path of its job file.
    text
        The plan that is to be written, as far as it is known: the same one is no other.

    Raises
    ------
    InputError
        If such a plan lies in the folder.
    """
    there = read_register(folder / PLAN_PAPERS.register, PLAN_PAPERS.form)
    if there is None or (text and there.matter == matter_of(text)):
        return
    faults: list[Finding] = []
    cut = count_cut(there.matter)
    if cut:
        faults.append(finding("OUT-017", Severity.ERROR, where(folder), n=cut))
    other = _other_job(folder, there.matter, Path(job_file))
    if other:
        faults.append(finding("OUT-018", Severity.ERROR, where(folder), file=other))
    if faults:
        raise InputError(faults)


def has_papers(folder: Path) -> bool:
    """Whether a plan's papers, to mark out and saw by, lie in a folder as they were written."""
    there = read_register(folder / PLAN_PAPERS.register, PLAN_PAPERS.form)
    return there is not None and there.is_as_written(folder, "shop.pdf")


def count_cut(matter: Mapping[str, Any]) -> int:
    """Return how many pieces a plan says are sawn out, whole or spoilt; 0 of what is no plan."""
    spent = [
        piece
        for key in ("sheets", "boards")
        for layout in _records(matter.get(key))
        for piece in _records(layout.get("spent"))
    ]
    cut = matter.get("already_cut")
    return len(spent) + (len(cut) if isinstance(cut, list) else 0)


def _records(value: object) -> list[Mapping[str, Any]]:
    """Return those of a file's list that are records: anybody may have written the file."""
    return [v for v in value if isinstance(v, dict)] if isinstance(value, list) else []


def _other_job(folder: Path, matter: Mapping[str, Any], job_file: Path) -> str:
    """Return the job file of a plan as the plan names it, if it is there and another; else ""."""
    job = matter.get("job")
    named = str(job.get("file", "")) if isinstance(job, dict) else ""
    places = [Path(), folder.resolve(), *folder.resolve().parents]
    there = next((p / named for p in places if named and (p / named).is_file()), None)
    if there is None or not job_file.is_file() or there.samefile(job_file):
        return ""
    return named
