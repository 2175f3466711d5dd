"""Progress in words: what is being worked on, what it has come to, what can't be undercut."""

from __future__ import annotations

import pytest

import nestcut
from nestcut.facts import Length, fact
from nestcut.model.progress import Phase, Progress, SoFar
from nestcut.units import LengthStyle
from nestcut.words import Speech, progress_line
from tests.unit.again.test_again import JOB

EUR = Speech(currency="EUR")


@pytest.mark.parametrize("phase", list(Phase))
def test_every_phase_has_words_and_none_counts_ways(phase: Phase) -> None:
    line = progress_line(Progress(phase=phase, subject=("6 mm ply",)), EUR)
    assert line
    assert "ways" not in line
    assert ("6 mm ply" in line) == (phase not in {Phase.FIRST_PLAN, Phase.PROVEN})


def test_figures_are_told_where_there_are_any() -> None:
    sheets = Progress(
        phase=Phase.SHEETS,
        subject=("6 mm ply",),
        share=0.251,
        counts=(SoFar("6 mm ply", 5, 4), SoFar("9 mm ply", 2, 2), SoFar("18 mm ply", 1)),
        cost_minor=86800.0,
    )
    assert progress_line(sheets, EUR) == (
        "fewer sheets of 6 mm ply (25 % done); 5 x 6 mm ply (at least 4), 2 x 9 mm ply, "
        "1 x 18 mm ply; 868.00 EUR to buy"
    )
    rails = Progress(phase=Phase.JOINED_RAILS, subject=("larch",), bound_minor=4420.0)
    assert progress_line(rails, EUR) == "boards and joints for larch; trying 44.20 EUR and more"
    many = Progress(phase=Phase.JOINTS, subject=tuple("abcdef"))
    assert progress_line(many, EUR) == "joints of a, b, c, d and 2 more"


def test_a_material_without_a_name_is_told_in_the_readers_units() -> None:
    fir = fact("SHT-105", material="fir", thickness=Length(19.05))
    told = Progress(phase=Phase.SHEETS, subject=(fir,), counts=(SoFar(fir, 2),))
    inch = Speech(style=LengthStyle.INCH)
    assert progress_line(told, inch) == 'fewer sheets of fir 3/4"; 2 x fir 3/4"'


class Notebook:
    """A watcher that keeps everything."""

    def __init__(self) -> None:
        self.told: list[nestcut.Progress] = []

    def tell(self, progress: nestcut.Progress) -> None:
        self.told.append(progress)


def test_a_library_watcher_gets_records_with_the_layouts_so_far() -> None:
    """From the first plan on, every better plan comes whole, and all of them are proven."""
    job = nestcut.read_job(JOB, drawings={})
    notebook = Notebook()
    done = nestcut.plan_job(job, nestcut.Budget(effort="quick"), watcher=notebook)
    plans = [p.plan for p in notebook.told if p.plan is not None]
    assert notebook.told[0].phase is Phase.FIRST_PLAN
    assert plans
    assert all(nestcut.verify_plan(job, plan).is_proven for plan in plans)
    costs = [p.cost_minor for p in notebook.told if p.phase in {Phase.FIRST_PLAN, Phase.PROVEN}]
    assert costs == sorted(costs, key=lambda cost: -(cost or 0.0))
    assert nestcut.money(done.plan) * 100 <= (costs[-1] or 0.0)
    assert {Phase.SHEETS, Phase.OFFCUTS} <= {p.phase for p in notebook.told}
    assert all(0.0 <= p.share <= 1.0 for p in notebook.told)
    sheets = [p for p in notebook.told if p.phase is Phase.SHEETS]
    assert all(c.least <= c.count for p in sheets for c in p.counts)
