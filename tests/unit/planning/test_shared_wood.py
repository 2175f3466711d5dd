"""Rails and parts sawn from boards are laid out apart: nothing is claimed of both together."""

from __future__ import annotations

import nestcut
from nestcut.model.plan import Plan
from nestcut.words import Speech
from nestcut.words.bounds import bound_line

SKEG = """
[job]
name = "skeg and cleats"
[saw]
kerf = "3 mm"
[[board]]
name = "fir wide"
material = "fir"
thickness = "19 mm"
width = "140 mm"
lengths = [{ length = "2440 mm", price = 18 }]
[[board]]
name = "fir"
material = "fir"
thickness = "19 mm"
width = "89 mm"
lengths = [{ length = "2440 mm", price = 11 }]
[[rail]]
name = "floor cleat"
material = "fir"
section = ["19 mm", "38 mm"]
length = "914 mm"
count = 2
joints = "none"
"""
PART = """
[[part]]
name = "skeg"
thickness = "19 mm"
material = "fir"
from = "board"
shape = { kind = "taper", length = "1067 mm", start = "114 mm", end = "13 mm" }
"""
AS_RAIL = """
[[rail]]
name = "skeg"
material = "fir"
section = ["19 mm", "114 mm"]
length = "1067 mm"
joints = "none"
"""


def planned(text: str) -> Plan:
    job = nestcut.read_job(text, drawings={})
    return nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK)).plan


def test_a_plan_that_the_same_pieces_undercut_as_rails_claims_nothing() -> None:
    """29.00 with the skeg sawn from a board of its own, 18.00 with all three from one board."""
    apart, together = planned(SKEG + PART), planned(SKEG + AS_RAIL)
    assert (apart.cost_minor, together.cost_minor) == (2900, 1800)
    assert sum(b.lower for b in apart.bounds) <= 1800
    said = [bound_line(b, Speech()) for b in apart.bounds]
    assert any("whether less is possible is open: rails and parts sawn from" in s for s in said)
    assert not any("no plan can use" in s for s in said)


def test_boards_that_only_rails_or_only_curves_use_keep_their_bounds() -> None:
    apart = planned(
        SKEG
        + PART.replace('"fir"', '"oak"')
        + """
[[board]]
name = "oak"
material = "oak"
thickness = "19 mm"
width = "140 mm"
lengths = [{ length = "2440 mm", price = 30 }]
"""
    )
    assert [(b.lower, b.used) for b in apart.bounds] == [(1100, 1100), (1, 1)]
