"""The command that plans one boat in several ways, and puts them side by side."""

from __future__ import annotations

import json
import signal
from dataclasses import replace
from pathlib import Path

import click
import pytest

import nestcut
from nestcut.cli.commands import _run
from nestcut.cli.form import Form
from nestcut.cli.session import Session
from nestcut.cli.supervise import Ended, search_aside
from nestcut.cli.verbs import choices
from nestcut.cli.verbs.choices import Shares, run_choices, table_lines
from nestcut.cli.verbs.plan import Whole
from nestcut.model.plan import StopReason
from nestcut.papers.choices import ChoiceRow
from nestcut.words import Speech
from tests.unit.choices.seat import JOB

QUICK = nestcut.Budget(effort="quick")


def run(job: Path, **words: object) -> int:
    values = {"kerfs": (), "budget": QUICK, "out": None, "form": Form.JSON, "session": Session()}
    return run_choices(job, **{**values, **words})  # type: ignore[arg-type]


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "job.toml"
    path.write_text(JOB)
    return path


def test_each_is_a_whole_plan_that_can_be_proven_again_and_printed(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "all"
    assert run(job, kerfs=("1.5 mm",), out=out) == 0
    rows = {r["name"]: r for r in json.loads(capsys.readouterr().out)}
    assert rows["only large"]["cost"] == 65.0
    assert rows["as the job says, least money"]["cost"] == 65.0
    assert "bottom" in rows["only small"]["fault"]
    for row in rows.values():
        if row["cost"] is not None:
            assert _run(["verify", str(out / row["folder"])]) == 0
    saw = rows["a saw that takes 1.5 mm"]["folder"]
    document = json.loads((out / saw / "plan.json").read_text())
    assert document["kerf_mm"] == 1.5
    assert [f["code"] for f in document["findings"]][-1] == "CHO-101"
    capsys.readouterr()
    assert _run(["report", str(out / saw)]) == 0
    assert (out / saw / "shop.pdf").is_file()
    spoilt = document["pieces"][0]["id"]
    assert _run(["again", str(out / saw), "--spoilt", spoilt, "--effort", "quick"]) == 0
    again = json.loads((out / f"{saw}-2" / "plan.json").read_text())
    assert again["kerf_mm"] == 1.5
    assert _run(["verify", str(out / f"{saw}-2")]) == 0
    page = (out / "choices.html").read_text()
    assert f'href="{saw}/plan.json"' in page
    assert "no plan: bottom" in page
    assert (out / "choices.svg").is_file()
    assert (out / "choices.pdf").is_file()


def test_a_page_that_isnt_ours_is_told_before_anything_is_searched(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "all").mkdir()
    (tmp_path / "all" / "choices.pdf").write_text("mine")
    assert _run(["choices", str(job), "--out", str(tmp_path / "all")]) == 3
    assert "planning" not in capsys.readouterr().err
    assert (tmp_path / "all" / "choices.pdf").read_text() == "mine"


def test_a_kerf_that_is_no_length_is_wrong_usage(job: Path) -> None:
    with pytest.raises(click.BadParameter):
        run(job, kerfs=("elk",))


@pytest.mark.parametrize("at", [2, 3])
def test_a_stop_keeps_what_is_known(
    at: int,
    job: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A signal while a way is searched: its best so far counts, the others aren't begun."""
    calls = 0

    def stopped(*words: object) -> Ended:
        nonlocal calls
        calls += 1
        done = search_aside(*words)  # type: ignore[arg-type]
        if calls == at:
            signal.raise_signal(signal.SIGINT)
        return done

    monkeypatch.setattr(choices, "search_aside", stopped)
    assert run(job, out=tmp_path / "all") == 130
    rows = json.loads(capsys.readouterr().out)
    assert [r["cost"] is not None for r in rows[:at]] == [True] * at
    assert {r["fault"] for r in rows[at:]} == {"no time for a plan"}
    assert calls == at
    assert (tmp_path / "all" / rows[at - 1]["folder"] / "plan.json").is_file()
    assert (tmp_path / "all" / "choices.pdf").is_file()


def test_a_stop_before_the_first_plan_writes_nothing(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def nothing(*words: object) -> Ended:
        del words
        signal.raise_signal(signal.SIGINT)
        return Ended(best=None)

    monkeypatch.setattr(choices, "search_aside", nothing)
    with pytest.raises(KeyboardInterrupt):
        run(job, out=tmp_path / "all")
    assert not (tmp_path / "all").exists()


def test_one_limit_is_shared_out() -> None:
    shares = Shares(60.0)
    first = shares.next(6)
    assert 10.0 < first.remaining_s() <= 20.0
    assert shares.next(5).remaining_s() <= 12.0
    first = shares.now
    shares.interrupt()
    assert first.stop_reason() is StopReason.INTERRUPTED
    assert shares.next(5).stop_reason() is StopReason.INTERRUPTED
    assert Shares(None).next(3).stop_reason() is None


def test_time_that_is_left_goes_to_what_was_cut_short(
    job: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second way is cut short at once; the others take next to nothing of their shares."""
    budgets: list[float] = []

    def hasty(task: Whole, *words: object) -> Ended:
        done = search_aside(task, *words)  # type: ignore[arg-type]
        budgets.append(task.budget.seconds or 0.0)
        if len(budgets) != 2 or done.best is None:
            return done
        plan = replace(done.best.plan, stopped_by=StopReason.TIME_UP)
        return replace(done, best=replace(done.best, plan=plan))

    monkeypatch.setattr(choices, "search_aside", hasty)
    assert run(job, budget=nestcut.Budget(effort="quick", seconds=200.0)) == 0
    out, err = capsys.readouterr()
    rows = json.loads(out)
    assert not any(r["is_cut_short"] for r in rows)
    assert len(budgets) == len(rows) + 1
    assert budgets[-1] > 1.5 * budgets[1]
    assert "planning again, with the time that is left: as the job says, fewest joints" in err
    assert "planning: as the job says, least money" in err


def test_the_table_has_a_line_for_each_way() -> None:
    rows = [
        ChoiceRow(name="a", cost_minor=1000, sheets=1, joints=2, is_cut_short=True),
        ChoiceRow(name="b", cost_minor=900, sheets=1, unplaced=1),
        ChoiceRow(name="c", fault="no plan: seat: it fits nowhere"),
    ]
    lines = table_lines(rows, ["Least money: a."], Speech(currency="EUR"))
    assert lines[1].endswith("(cut short)")
    assert "1 left without a place" in lines[2]
    assert lines[3].endswith("no plan: seat: it fits nowhere")
    assert lines[-1] == "Least money: a."


def test_without_time_for_any_plan_that_is_said(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(choices, "search_aside", lambda *_: Ended(best=None))
    with pytest.raises(nestcut.InputError, match="PLN-002"):
        run(job, out=tmp_path / "all", budget=nestcut.Budget(effort="quick", seconds=20.0))
    assert not (tmp_path / "all").exists()


def test_papers_of_the_same_plan_stay_and_those_of_another_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whoever has printed a way and weighs all of them again finds its pages as they were."""
    place = tmp_path / "only large"
    done, other = (
        nestcut.plan_job(nestcut.read_job(text, drawings={}), QUICK)
        for text in (JOB, JOB.replace('kerf = "3 mm"', 'kerf = "4 mm"'))
    )
    nestcut.write_papers(done, place)
    pages = (place / "shop.pdf").read_bytes()
    choices._write(done, place, Speech(), Session())
    assert (place / "shop.pdf").read_bytes() == pages
    assert capsys.readouterr().err == ""
    choices._write(other, place, Speech(), Session())
    assert not (place / "shop.pdf").exists()
    assert nestcut.plan_text_in(place) == nestcut.plan_text(other)
    assert f"{place}: its papers were of another plan and are gone" in capsys.readouterr().err
