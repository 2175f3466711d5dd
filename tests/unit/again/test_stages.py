"""Buying in stages: each gives its parts whole, out of what is bought by then."""

from __future__ import annotations

import pytest

import nestcut
from nestcut.again.order import Stage, parse_stages
from nestcut.again.stages import plan_in_stages, told_by_stage, whole_order
from nestcut.cli.verbs.stages import stage_lines
from nestcut.errors import InputError
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.words import Speech
from tests.unit.again.test_again import JOB, planned, spend, where

ORDER = (
    Stage(name="rails and pads", parts=frozenset({"pad", "cleat"})),
    Stage(name="sides", parts=frozenset({"side"})),
)


def staged(*stages: Stage):  # type: ignore[no-untyped-def]
    done = planned()
    settings = Settings(effort=Effort.QUICK)
    order = whole_order(done.job, done.plan, stages)
    made = plan_in_stages(done.job, done.plan, order, settings, Deadline(), Silent())
    return told_by_stage(done.plan, order, made)


def test_each_stage_cuts_its_parts_from_what_is_bought_by_then() -> None:
    made = staged(*ORDER)
    plan = made.verified.plan
    place = where(plan)
    assert [s.name for s in made.stages] == ["rails and pads", "sides", "the rest"]
    sheets: set[int] = set()
    boards: set[int] = set()
    rails = {p.id for p in plan.rail_pieces}
    for stage in made.stages:
        sheets |= set(stage.sheets)
        boards |= set(stage.boards)
        for piece in stage.pieces:
            number = place[piece][0]  # type: ignore[index]
            assert number in (boards if piece in rails else sheets)
    assert sorted(i for s in made.stages for i in s.pieces) == sorted(place)
    assert made.cost_minor == spend(plan)
    assert made.cost_minor >= made.least_minor == spend(planned().plan)


def test_one_stage_for_all_costs_no_more_than_the_plan() -> None:
    made = staged(Stage(name="all", parts=frozenset({"side", "plank", "pad", "gunwale", "cleat"})))
    assert [s.name for s in made.stages] == ["all"]
    assert made.cost_minor <= made.least_minor


def test_the_lines_add_up() -> None:
    made = staged(*ORDER)
    lines = stage_lines(made, 2, Speech(currency="EUR"))
    assert lines[-1].startswith(f"Together {made.cost_minor / 100:.2f} EUR, ")
    assert lines[0].startswith("1. rails and pads: ")


def test_a_strap_is_cut_with_the_part_that_it_joins() -> None:
    strapped = JOB.replace(
        'kind = "scarf", slope = "8:1", at = ["800', 'kind = "butt strap", at = ["800'
    )
    job = nestcut.read_job(strapped, drawings={})
    plan = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK)).plan
    order = whole_order(job, plan, ORDER)
    (strap,) = (p.name for p in plan.added_parts)
    assert [strap in s.parts for s in order] == [False, True, False]
    named = (*ORDER, Stage(name="straps", parts=frozenset({strap})))
    assert [strap in s.parts for s in whole_order(job, plan, named)] == [False, False, True, False]


def test_pieces_are_named_as_on_the_papers() -> None:
    lines = stage_lines(staged(*ORDER), 2, Speech())
    assert any("side, port, piece A of 2; side, port, piece B of 2" in line for line in lines)


def test_faults_of_an_order_are_told_together() -> None:
    with pytest.raises(InputError) as caught:
        staged(
            Stage(name="a", parts=frozenset({"mast", "pad"})),
            Stage(name="b", parts=frozenset({"pad"})),
        )
    assert [f.code for f in caught.value.findings] == ["AGN-004", "AGN-005"]


@pytest.mark.parametrize("text", ["stage = 3", "[[stage", "", "[[stage]]\nparts = 'pad'"])
def test_an_order_that_is_none_is_told(text: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_stages(text, "order.toml")
    assert [f.code for f in caught.value.findings] == ["AGN-006"]


def test_an_order_is_read() -> None:
    text = '[[stage]]\nname = "frames"\nparts = ["pad"]\n[[stage]]\nparts = ["side"]\n'
    assert parse_stages(text, "o") == (
        Stage(name="frames", parts=frozenset({"pad"})),
        Stage(name="stage 2", parts=frozenset({"side"})),
    )
