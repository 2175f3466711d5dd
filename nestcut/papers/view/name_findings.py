"""Names of a job that paper can't show as they are written, and the warning about them."""

from __future__ import annotations

from nestcut.errors import Finding, Severity
from nestcut.model.job import Job
from nestcut.papers.draw import spelled

MOST_TOLD = 6
"""So many names are told in a finding; the rest are counted."""
SPELLED_WORDS = (
    "Letters that this font lacks are spelled out in {braces} here; shop.html and the lists show "
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
    told = ", ".join(f"{name} as {shown}" for name, shown in found[:MOST_TOLD])
    more = len(found) - MOST_TOLD
    told += f" and {more} more" if more > 0 else ""
    return (
        Finding(
            code="OUT-004",
            severity=Severity.WARNING,
            where=job.file,
            message=f"the printed pages lack letters for some names and spell them out: {told}.",
            remedy="shop.html and the lists show them as written, and each piece has its number "
            "on its sheet. Names in Latin, Greek or Cyrillic letters print as they are.",
        ),
    )
