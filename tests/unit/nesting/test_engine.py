"""Another engine behind the same questions: sheets ask nothing else of it."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

import nestcut
from nestcut.nesting.engine import Separating
from nestcut.nesting.problem import Budget, Nest, NestPlacement, Problem
from nestcut.sheets import search
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
    monkeypatch.setattr(search, "ENGINE", other)

    done = nestcut.plan_job(job, nestcut.Budget(effort="quick"))

    assert "pack" in other.asked
    assert done.plan.sheets == usual.plan.sheets
