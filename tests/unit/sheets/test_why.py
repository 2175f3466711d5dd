"""Why so many sheets are needed: pieces of which no two share one are named."""

from __future__ import annotations

import nestcut
from nestcut.words import Speech, tell_fact

JOB = """
[job]
name = "why"
[saw]
kerf = "3 mm"
[[sheet]]
name = "9 mm ply"
material = "ply"
thickness = "9 mm"
length = "1200 mm"
width = "600 mm"
price = 40
[[part]]
name = "bulkhead"
thickness = "9 mm"
count = 3
[part.shape]
kind = "rectangle"
length = "700 mm"
width = "400 mm"
[[part]]
name = "pad"
thickness = "9 mm"
count = 2
[part.shape]
kind = "rectangle"
length = "100 mm"
width = "90 mm"
"""


def test_three_bulkheads_that_cannot_share_a_sheet_are_named() -> None:
    job = nestcut.read_job(JOB, drawings={})
    plan = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK)).plan
    (bound,) = plan.bounds
    assert (bound.lower, bound.used) == (3, 3)
    assert bound.reason is not None
    assert tell_fact(bound.reason, Speech()) == (
        "no two of these share a sheet: bulkhead 1, bulkhead 2, bulkhead 3"
    )


def test_where_area_alone_asks_for_more_nobody_is_blamed() -> None:
    small = JOB.replace(
        'length = "700 mm"\nwidth = "400 mm"', 'length = "290 mm"\nwidth = "190 mm"'
    )
    job = nestcut.read_job(small.replace("count = 3", "count = 20"), drawings={})
    plan = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK)).plan
    reason = plan.bounds[0].reason
    assert reason is not None
    assert tell_fact(reason, Speech()) == (
        "pieces and kerf alone fill 1.58 of these sheets"
    )  # (20 x 293 x 193 + 2 x 103 x 93) / (1203 x 603) = 1.5855
