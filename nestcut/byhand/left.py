"""What is left of sheets after a hand was at work: rectangles to keep, measured anew."""

from __future__ import annotations

from dataclasses import replace

from nestcut.model.held import with_held
from nestcut.model.job import Job
from nestcut.model.plan import Plan
from nestcut.sheets.left.offcuts import left_on
from nestcut.sheets.left.reserves import with_reserves


def measured(job: Job, plan: Plan) -> Plan:
    """Measure what is left of each sheet and board that has no rectangle to keep, and the reserve.

    Moving a piece forgets what its sheets had to keep (:func:`nestcut.byhand.move.put_down`), as
    measuring takes longer than a pointer waits; whoever keeps the plan asks for it once.

    Parameters
    ----------
    job
        What the plan is of.
    plan
        One that stands. Of boards with rails their rests are known otherwise.

    Returns
    -------
    Plan
        The same, with offcuts in the frame of each sheet, and a word about each rectangle that the
        job wants in reserve. [mm]
    """
    held, pieces = with_held(job, plan.held), {p.id: p for p in plan.pieces}
    with_rails = {b.number for b in plan.boards}
    sheets = tuple(
        s if s.offcuts or s.board in with_rails else replace(s, offcuts=left_on(s, held, pieces))
        for s in plan.sheets
    )
    return with_reserves(job, replace(plan, sheets=sheets))
