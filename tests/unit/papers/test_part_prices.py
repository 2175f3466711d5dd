"""Prices of pieces add up to what was paid; a board is told once, whatever is sawn from it."""

from __future__ import annotations

import csv
import io
from functools import cache

import nestcut
from nestcut.model.plan import VerifiedPlan
from nestcut.papers.lists import usage_notes, usage_of
from nestcut.papers.lists.csv_lists import buying_list_csv, cut_list_csv
from nestcut.papers.lists.part_prices import piece_prices_minor
from nestcut.papers.view import Figures, plan_view
from nestcut.units import LengthStyle
from tests.purchases_by_highs import mixed_job

MM = Figures(LengthStyle.MM, 16, "EUR")
CAPS = """
[job]
name = "caps"
[saw]
kerf = "2 mm"
[[board]]
name = "1x6 fir"
material = "fir"
thickness = "20 mm"
width = "140 mm"
lengths = [{ length = "2 m", price = 9.00 }]
[[part]]
name = "knee"
from = "board"
material = "fir"
thickness = "20 mm"
count = 4
[part.shape]
kind = "rectangle"
length = "300 mm"
width = "110 mm"
[[rail]]
name = "runner"
material = "fir"
section = ["20 mm", "40 mm"]
length = "1.8 m"
count = 2
joints = "none"
"""


@cache
def planned(seed: int) -> VerifiedPlan:
    return nestcut.plan_job(mixed_job(seed), nestcut.Budget(effort=nestcut.Effort.QUICK))


def test_shares_of_pieces_add_up_to_what_is_bought_for_them() -> None:
    done = planned(1)
    view = plan_view(done)
    prices = piece_prices_minor(view)
    paid = sum((b.count - b.over) * b.price_minor for b in done.plan.buy)
    assert sum(prices.values()) == paid > 0
    rows = list(csv.DictReader(io.StringIO(cut_list_csv(view, MM))))
    assert {r["piece"] for r in rows} == set(prices)
    shares = [round(100 * float(r["share of price"])) for r in rows if r["share of price"]]
    assert sum(shares) == paid


def test_the_buying_list_names_yards_and_what_they_ask_for_bringing_it() -> None:
    done = planned(1)
    rows = list(csv.DictReader(io.StringIO(buying_list_csv(plan_view(done), MM))))
    fees = [r for r in rows if r["stock"] == "delivery"]
    assert [r["supplier"] for r in fees] == [d.supplier for d in done.plan.deliveries]
    bought = [r for r in rows if r["kind"] and r["to buy"] != "0"]
    assert {r["supplier"] for r in bought} == {b.supplier for b in done.plan.buy if b.count}
    together = round(100 * float(rows[-1]["together"]))
    assert together == done.plan.cost_minor
    assert together == sum(
        round(100 * float(r["together"])) for r in (*fees, *bought) if r["together"]
    )


def test_knees_and_rails_of_one_board_are_told_together() -> None:
    done = nestcut.plan_job(
        nestcut.read_job(CAPS, drawings={}), nestcut.Budget(effort=nestcut.Effort.QUICK)
    )
    usage = usage_of(plan_view(done), MM)
    assert usage.sheet_materials == ()
    (line,) = usage.board_materials
    assert line.label == "all 1x6 fir"
    assert line.money_total == done.plan.cost_minor == usage.job.money_total


def test_spares_and_deliveries_are_told_and_all_adds_up_to_what_is_paid() -> None:
    spares = CAPS.replace("lengths =", 'spare = 1\nsupplier = "yard"\nlengths =')
    spares += '[[supplier]]\nname = "yard"\ndelivery = 12.50\n'
    done = nestcut.plan_job(nestcut.read_job(spares, drawings={}), nestcut.Budget(effort="quick"))
    usage = usage_of(plan_view(done), MM)
    (over,) = usage.over
    assert (over.label, over.stock, over.money_total) == ("1 over", "1x6 fir", 900)
    assert over.area_total == over.area_steps[2]
    assert usage.job.money_total + usage.deliveries_minor == done.plan.cost_minor
    assert usage.job.area_total == sum(x.area_total for x in usage.board_materials)
    together = f"{done.plan.cost_minor / 100:.2f} EUR"
    assert usage_notes(usage, MM) == (
        "What is over (spares, the rest of packs) is kept whole.",
        f"Deliveries, 12.50 EUR, are in no row; with them it is {together}.",
    )
