"""Papers made beside the search: ready when it is stopped, left out where there is no time."""

from __future__ import annotations

import json
import math
import multiprocessing
import time
from dataclasses import replace
from pathlib import Path

import pytest

import nestcut
from nestcut.cli.commands import _run
from nestcut.cli.press import Press
from nestcut.model.plan import StopReason, VerifiedPlan
from nestcut.outlet.results import PLAN_PAPERS, choose_paper, write_plan_alone, write_results
from nestcut.papers.draw import Paper
from nestcut.units import LengthStyle
from tests.unit.again.test_again import JOB


@pytest.fixture(scope="module")
def verified() -> VerifiedPlan:
    job = nestcut.read_job(JOB, drawings={})
    return nestcut.plan_job(job, nestcut.Budget(effort="quick"))


def one_more(verified: VerifiedPlan, folder: Path, paper: Paper, style: LengthStyle) -> None:
    """Make one paper, and count beside it how often that was done."""
    del verified, paper, style
    (folder / "shop.pdf").write_text("a page")
    (folder.parent / f"made-{time.monotonic_ns()}").touch()


def for_ever(verified: VerifiedPlan, folder: Path, paper: Paper, style: LengthStyle) -> None:
    time.sleep(60.0)


def failing(verified: VerifiedPlan, folder: Path, paper: Paper, style: LengthStyle) -> None:
    raise ZeroDivisionError("of ours")


def tend_until_ready(press: Press, best: VerifiedPlan) -> None:
    until = time.monotonic() + 60.0
    while press.expects_s(best) > 0.0 and time.monotonic() < until:
        press.tend(best)
        time.sleep(0.01)


def test_papers_of_the_best_are_ready_when_it_is_stopped(verified: VerifiedPlan) -> None:
    """Who stopped the search makes no difference to the papers: they aren't made again."""
    with Press(verified.job, Paper.A4, LengthStyle.MM, one_more) as press:
        tend_until_ready(press, replaced(verified, StopReason.INTERRUPTED))
        place = press.finish(replaced(verified, StopReason.TIME_UP), lambda: 0.0)
        assert place is not None
        assert (place / "shop.pdf").read_text() == "a page"
        assert len(list(place.parent.glob("made-*"))) == 1

        other = press.finish(replaced(verified, StopReason.PROVEN), lambda: math.inf)
        assert other is not None
        assert other != place
    assert not other.exists()


def test_what_takes_too_long_is_left_out_and_what_fails_is_known(verified: VerifiedPlan) -> None:
    with Press(verified.job, Paper.A4, LengthStyle.MM, for_ever) as press:
        end = time.monotonic() + 0.2
        assert press.finish(verified, lambda: end - time.monotonic()) is None
        assert not press.has_failed
    with Press(verified.job, Paper.A4, LengthStyle.MM, failing) as press:
        assert press.finish(verified, lambda: math.inf) is None
        assert press.has_failed
        press.takes_s = 5.0
        assert press.finish(verified, lambda: 0.5) is None  # a stop doesn't hide it
        assert press.has_failed


def test_past_the_limit_only_what_may_be_done_in_time_is_waited_for(verified: VerifiedPlan) -> None:
    """Half a second is left: papers of five aren't begun, and not waited for where they are."""
    with Press(verified.job, Paper.A4, LengthStyle.MM, for_ever) as press:
        press.takes_s = 5.0
        assert press.finish(verified, lambda: 0.5) is None
        assert not press.is_at(verified)

        lefts = iter([60.0, 0.5, -1.0])
        assert press.finish(verified, lambda: next(lefts)) is None
        assert next(lefts) == -1.0
        assert multiprocessing.active_children() == []  # lists to be written have the machine

        while not press.is_at(verified):
            press.tend(verified)
        other = replace(verified, plan=replace(verified.plan, seed=verified.plan.seed + 1))
        assert press.finish(other, lambda: 0.5) is None
        assert multiprocessing.active_children() == []
    with Press(verified.job, Paper.A4, LengthStyle.MM, one_more) as press:
        press.takes_s = 0.1
        assert press.finish(verified, lambda: 0.9) is not None


def test_made_papers_are_the_same_as_those_made_in_place(
    verified: VerifiedPlan, tmp_path: Path
) -> None:
    style = verified.job.style
    paper = choose_paper(None, style)
    write_results(verified, tmp_path / "direct", paper, style)
    with Press(verified.job, paper, style) as press:
        made = press.finish(verified, lambda: math.inf)
        assert made is not None
        write_results(verified, tmp_path / "pressed", paper, style, made=made)
    names = sorted(p.relative_to(tmp_path / "direct") for p in (tmp_path / "direct").rglob("*.*"))
    assert len(names) > 8
    for name in names:
        one, other = tmp_path / "direct" / name, tmp_path / "pressed" / name
        assert one.read_bytes() == other.read_bytes(), name


def test_a_plan_without_papers_can_be_printed_later_and_planned_over(
    tmp_path: Path,
) -> None:
    """A stop that left no time for drawings leaves a folder like any other, only thinner."""
    job = tmp_path / "job.toml"
    job.write_text(JOB)
    own = nestcut.plan_job(nestcut.read_job(job), nestcut.Budget(effort="quick"))
    folder = tmp_path / "out"
    write_plan_alone(own, folder, LengthStyle.MM)
    files = json.loads((folder / PLAN_PAPERS.register).read_text())["files"]
    assert [f["name"] for f in files] == [
        "buying-list.csv",
        "cut-list.csv",
        "joints.csv",
        "usage.csv",
    ]
    assert _run(["verify", str(folder)]) == 0
    assert _run(["report", str(folder)]) == 0
    assert (folder / "shop.pdf").exists()

    write_plan_alone(own, folder, LengthStyle.MM)
    assert _run(["plan", str(job), "--out", str(folder), "--effort", "quick"]) == 0
    assert (folder / "shop.pdf").exists()


def replaced(verified: VerifiedPlan, reason: StopReason) -> VerifiedPlan:
    return replace(verified, plan=replace(verified.plan, stopped_by=reason))
