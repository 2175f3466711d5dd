"""Jobs that the second checker's lots showed to be refused; each kept as small as it still says so.

All of these once ended in "our fault": the verifier refused a plan whose figures didn't add up.
"""

from __future__ import annotations

from dataclasses import replace

import nestcut
from nestcut.model.stock import Saw

HEAD = '[job]\nname = "by lot"\nunit = "mm"\ncurrency = "EUR"\n'


def first_plan(text: str) -> nestcut.VerifiedPlan:
    """The plan that is made before any search."""
    job = nestcut.read_job(HEAD + text, drawings={})
    return nestcut.plan_job(job, nestcut.Budget(effort="quick", seconds=0.0))


def test_a_board_of_the_draft_that_no_piece_needs_is_not_in_the_bound() -> None:
    plan = first_plan("""
[saw]
kerf = 3
[[board]]
name = "fir"
material = "fir"
thickness = 18
width = 95
end_trim = 10
lengths = [
  { length = 2560, price = 15.47 },
  { length = 1559, count = 1, defects = [{ from = 1092, to = 1132 }] },
]
[[rail]]
name = "rail 1"
material = "fir"
section = [18, 30]
length = 2082
allowance = 20
joint = { slope = "8:1", at = [1041] }
[[rail]]
name = "rail 2"
material = "fir"
section = [18, 20]
length = 2920
joint = { at = [1460] }
[[rail]]
name = "rail 3"
material = "fir"
section = [18, 30]
length = 3407
allowance = 20
joint = { slope = "10:1", keep_clear = "none" }
""").plan
    cost = next(b for b in plan.bounds if b.measure == "money")
    assert cost.used == sum(line.count * line.price_minor for line in plan.buy)
    assert cost.lower <= cost.used


def test_what_is_left_of_a_sheet_is_cut_with_the_sheets_own_saw() -> None:
    """A panel saw that takes nothing, beside a jigsaw for the offcut of the same thickness."""
    done = first_plan("""
[[saw]]
name = "knife"
kerf = 0
[[saw]]
name = "jigsaw"
kerf = 2
[[sheet]]
name = "new"
thickness = 4
length = 2000
width = 900
price = 70.00
[[sheet]]
name = "old"
thickness = 4
length = 600
width = 300
count = 1
saw = "jigsaw"
[[part]]
name = "plate"
thickness = 4
turn = "none"
shape = { kind = "rectangle", length = 700, width = 500 }
""")
    assert done.job.sheet_stocks[1].saw == Saw(name="jigsaw", kerf_mm=2.0, gap_mm=0.0)
    (sheet,) = done.plan.sheets
    first, second = sheet.offcuts[:2]
    gaps = (
        second.from_mm[0] - first.to_mm[0],
        first.from_mm[0] - second.to_mm[0],
        second.from_mm[1] - first.to_mm[1],
        first.from_mm[1] - second.to_mm[1],
    )
    assert max(gaps) == 0.0


def searched(text: str) -> nestcut.VerifiedPlan:
    job = nestcut.read_job(HEAD + text, drawings={})
    return nestcut.plan_job(job, nestcut.Budget(effort="quick"))


def test_no_bound_on_boards_forgets_that_they_may_be_crosscut_first() -> None:
    """One board does: 1000 mm of its full width, then two battens side by side."""
    plan = searched("""
[saw]
kerf = 3
[[board]]
name = "fir"
material = "fir"
thickness = 20
width = 95
lengths = [{ length = 2400, price = 9.00 }]
[[rail]]
name = "slat"
material = "fir"
section = [20, 95]
length = 1000
joints = "none"
[[rail]]
name = "batten"
material = "fir"
section = [20, 45]
length = 1000
count = 2
joints = "none"
""").plan
    (cost,) = (b for b in plan.bounds if b.measure == "money")
    assert cost.lower <= 900.0


def test_no_bound_on_boards_counts_on_a_wider_saw_than_one_of_them_has() -> None:
    """Two pieces of 1000 mm come out of 2000 mm with the knife, not with the saw."""
    plan = searched("""
[[saw]]
name = "knife"
kerf = 0
[[saw]]
name = "saw"
kerf = 5
[[board]]
name = "fir"
material = "fir"
thickness = 20
width = 50
lengths = [{ length = 2000, price = 9.00 }]
[[board]]
name = "wide fir"
material = "fir"
thickness = 20
width = 50
saw = "saw"
lengths = [{ length = 1100, price = 8.00 }]
[[rail]]
name = "batten"
material = "fir"
section = [20, 50]
length = 1000
count = 2
joints = "none"
""").plan
    (cost,) = (b for b in plan.bounds if b.measure == "money")
    assert cost.lower <= 900.0


def test_no_bound_on_sheets_counts_on_a_wider_saw_than_one_of_them_has() -> None:
    """Two plates fill the sheet that is cut with a knife."""
    plan = searched("""
[[saw]]
name = "knife"
kerf = 0
[[saw]]
name = "saw"
kerf = 5
[[sheet]]
name = "new"
thickness = 6
length = 1000
width = 500
price = 30.00
[[sheet]]
name = "other"
thickness = 6
length = 900
width = 500
price = 40.00
saw = "saw"
[[part]]
name = "plate"
thickness = 6
count = 2
shape = { kind = "rectangle", length = 500, width = 500 }
""").plan
    (cost,) = plan.bounds
    assert cost.lower <= (3000.0 if cost.measure == "money" else 1.0)


KNOTTY = """
[saw]
kerf = 2
[[board]]
name = "fir"
material = "fir"
thickness = 20
width = 60
lengths = [
  { length = 2100, price = 6.91 },
  { length = 2100, count = 1, defects = [{ from = 916, to = 956 }] },
]
[[rail]]
name = "rail"
material = "fir"
section = [20, 60]
length = 1340
joints = "none"
"""


def test_a_clear_board_is_bought_where_the_one_in_the_shed_has_a_knot() -> None:
    """The same length lies in the shed; a rail through its knot was once planned from it."""
    plan = searched(KNOTTY).plan
    (line,) = plan.buy
    assert (line.count, line.to_hand) == (1, 0)
    assert [b.used for b in plan.bounds if b.measure == "money"] == [691.0]


def test_a_knotty_board_serves_what_goes_round_its_knot() -> None:
    plan = searched(KNOTTY.replace("length = 1340", "length = 900")).plan
    (line,) = plan.buy
    assert (line.count, line.to_hand) == (0, 1)


def test_the_verifier_refuses_a_buying_list_that_saws_through_a_knot() -> None:
    done = searched(KNOTTY)
    (line,) = done.plan.buy
    from_shed = replace(line, count=0, to_hand=1, price_minor=0, supplier="")
    bad = replace(done.plan, buy=(from_shed,), bounds=())
    codes = {f.code for f in nestcut.verify_plan(done.job, bad).findings}
    assert codes & {"VER-042", "VER-043", "VER-055"}
