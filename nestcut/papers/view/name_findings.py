"""Names of a job that paper can't show as they are written, and the warning about them."""

from __future__ import annotations

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Names
from nestcut.model.job import Job
from nestcut.papers.draw import scripts, spelled

MOST_TOLD = 6
"""So many names are told in a finding; the rest are counted."""
SPELLED_WORDS = (
    "Letters that no font has are spelled out in {braces} here; shop.html and the lists show "
    "names as they are written, and every piece has its number on its sheet."
)
"""Printed where a job has such names."""


def spelled_names(job: Job) -> tuple[tuple[str, str], ...]:
    """Names of a job that paper can't show as they're written, each with what it shows."""
    names = [
        job.name,
        *(p.name for p in job.sheet_parts),
        *(p.name for p in job.rail_parts),
        *(s.name for s in job.sheet_stocks),
        *(s.name for s in job.board_stocks),
    ]
    pairs = {name: spelled(name) for name in names}
    return tuple((name, shown) for name, shown in pairs.items() if "{" in shown and shown != name)


def spelling_findings(job: Job) -> tuple[Finding, ...]:
    """Warn of names that are spelled out on paper."""
    found = spelled_names(job)
    if not found:
        return ()
    told = [f"{name} as {shown}" for name, shown in found[:MOST_TOLD]]
    told += [f"{len(found) - MOST_TOLD} more"] if len(found) > MOST_TOLD else []
    code = "OUT-004" if scripts() else "OUT-015"
    return (finding(code, Severity.WARNING, job.file, names=Names(tuple(told))),)
