"""Which side of its line a frame stands on: the names that a job gives, held against its lines."""

from __future__ import annotations

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Names
from nestcut.jobfile.records import PartText
from nestcut.model.shape import MarkUse, Shape


def doubtful_stands(entry: PartText, shape: Shape) -> tuple[Finding, ...]:
    """Say which names are no line of the part, and which stand on both sides of theirs."""
    lines = tuple(dict.fromkeys(m.label for m in shape.marks if m.use is MarkUse.PLAIN and m.label))
    sides = (("stands_forward", entry.stands_forward), ("stands_aft", entry.stands_aft))
    unknown = [
        finding("JOB-112", Severity.ERROR, f"{entry.path}.{key}", name=name, lines=Names(lines))
        if lines
        else finding("JOB-114", Severity.ERROR, f"{entry.path}.{key}", name=name)
        for key, names in sides
        for name in names
        if name not in lines
    ]
    both = [
        finding("JOB-113", Severity.ERROR, f"{entry.path}.stands_aft", name=name)
        for name in entry.stands_aft
        if name in entry.stands_forward
    ]
    return (*unknown, *both)
