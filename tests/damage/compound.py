"""Plans damaged in several fields that go together, then written down as if they were sound."""

from __future__ import annotations

from collections.abc import Iterator

from nestcut.model.job import Job
from nestcut.model.plan import Plan
from tests.damage import joints, shapes, stock
from tests.damage.changes import DAMAGES


def compound_edits(job: Job, plan: Plan) -> Iterator[tuple[str, Plan]]:
    """Return every damage that a plan can take, under its name."""
    for name, made in DAMAGES.items():
        for number, changed in enumerate(made(job, plan), start=1):
            yield f"{name} {number}", changed


ROOMS = (joints, shapes, stock)
"""What registers its damages when it is imported, in this order."""
