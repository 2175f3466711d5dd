"""Another engine behind the same questions: sheets ask nothing else of it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import pytest

import nestcut
from nestcut.nesting.engine import Rectangles, Separating
from nestcut.nesting.problem import Budget, Nest, NestPlacement, Problem
from nestcut.planning import trials
from nestcut.sheets import room, search, solve
from tests.builders_jobs import PLY_TO_BUY

PART = """
[[part]]
name = "gusset"
thickness = "6 mm"
count = 9
shape = { kind = "polygon", points = [["0 mm", "0 mm"], ["420 mm", "0 mm"], ["90 mm", "380 mm"]] }
"""


@dataclass
class Counting:
    """The usual engine, asked through another."""

    own: Separating = field(default_factory=Separating)
    asked: list[str] = field(default_factory=list)
    rectangles: Rectangles | None = None

    def is_ready(self) -> bool:
        return True

    def first(self, problem: Problem, budget: Budget) -> Nest:
        self.asked.append("first")
        return self.own.first(problem, budget)

    def pack(self, problem: Problem, budget: Budget, start: Nest | None = None) -> Nest:
        self.asked.append("pack")
        return self.own.pack(problem, budget, start)

    def settle(
        self,
        problem: Problem,
        containers: tuple[tuple[str, int], ...],
        budget: Budget,
        start: tuple[NestPlacement, ...] = (),
    ) -> Nest | None:
        self.asked.append("settle")
        return self.own.settle(problem, containers, budget, start)


def test_another_engine_takes_the_place_of_ours(monkeypatch: pytest.MonkeyPatch) -> None:
    job = nestcut.read_job(PLY_TO_BUY + PART, drawings={})
    usual = nestcut.plan_job(job, nestcut.Budget(effort="quick"))
    other = Counting()
    for module in (search, room, solve, trials):
        monkeypatch.setattr(module, "ENGINE", other)

    done = nestcut.plan_job(job, nestcut.Budget(effort="quick"))

    assert "pack" in other.asked
    assert done.plan.sheets == usual.plan.sheets


def test_an_engine_without_rectangles_of_its_own_is_given_them_as_items(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    shape = '{ kind = "rectangle", length = "700 mm", width = "290 mm" }'
    text = PLY_TO_BUY + re.sub(r"shape = .*", f"shape = {shape}", PART)
    other = Counting()
    for module in (search, room, solve, trials):
        monkeypatch.setattr(module, "ENGINE", other)

    done = nestcut.plan_job(nestcut.read_job(text, drawings={}), nestcut.Budget(effort="quick"))

    assert "first" in other.asked
    assert len([p for s in done.plan.sheets for p in s.placements]) == 9


def test_whether_a_piece_fits_at_all_is_asked_of_the_engine(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A sheet with a corner cut off: its box says nothing, so the engine is asked."""
    outline = '[["0 mm", "0 mm"], ["900 mm", "0 mm"], ["0 mm", "900 mm"]]'
    sheet = f"""
[[sheet]]
name = "corner"
thickness = "6 mm"
length = "900 mm"
width = "900 mm"
count = 1
outline = {outline}
"""
    part = PART.replace("count = 9", "count = 1").replace("420 mm", "780 mm").replace("380", "880")
    other = Counting()
    head = PLY_TO_BUY[: PLY_TO_BUY.index("[[sheet]]")]
    job = nestcut.read_job(head + sheet + part, drawings={})
    monkeypatch.setattr(room, "ENGINE", other)
    with pytest.raises(nestcut.InputError) as told:
        nestcut.plan_job(job, nestcut.Budget(effort="quick"))
    assert {f.code for f in told.value.findings} == {"SHT-002"}
    assert other.asked == ["settle"]
