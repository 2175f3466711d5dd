"""Ticks saved by the page, read back."""

from __future__ import annotations

import json

import pytest

from nestcut.model.digest import plan_digest
from nestcut.papers.ticks import (
    CutSource,
    ProgressFileError,
    match_progress,
    read_progress,
)
from nestcut.papers.view.rows import plan_view
from nestcut.words import Speech, tell
from tests.builders_papers import small_plan

VIEW = plan_view(small_plan())


def ticks(**changes: object) -> str:
    sheet = VIEW.verified.plan.sheets[0]
    entry = {
        "piece": sheet.placements[0].piece,
        "from": "sheet",
        "stock": sheet.stock,
        "number": sheet.number,
    }
    whole = {
        "format": "nestcut progress",
        "version": 1,
        "job": {"name": "small boat", "sha256": "ab"},
        "plan": plan_digest(VIEW.verified.plan),
        "cut": [entry],
    }
    return json.dumps({**whole, **changes})


def test_what_is_cut_is_read() -> None:
    progress = read_progress(ticks(), "ticks.json")

    assert progress.job_name == "small boat"
    assert [c.piece for c in progress.cut] == [VIEW.verified.plan.sheets[0].placements[0].piece]
    sheet = VIEW.verified.plan.sheets[0]
    (entry,) = progress.cut
    assert (entry.source, entry.stock, entry.number) == (
        CutSource.SHEET,
        sheet.stock,
        sheet.number,
    )
    assert match_progress(progress, VIEW) == ()


def test_ticks_twice_count_once() -> None:
    (entry,) = json.loads(ticks())["cut"]

    assert len(read_progress(ticks(cut=[entry, entry]), "t").cut) == 1


def test_spoilt_pieces_are_told_from_done_ones() -> None:
    (entry,) = json.loads(ticks())["cut"]
    other = {**entry, "piece": "another"}

    progress = read_progress(ticks(cut=[{**entry, "spoilt": True}, other]), "t")

    assert progress.spoilt == {entry["piece"]}
    assert progress.done == {"another"}


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("not json", "TCK-001"),
        ("[]", "TCK-007"),
        ('{"format": "something else"}', "TCK-007"),
        (ticks(version=2), "TCK-002"),
        (ticks(cut="all"), "TCK-003"),
        (ticks(job=None), "TCK-003"),
        (ticks(cut=["pad 1"]), "TCK-003"),
        (ticks(cut=[{"piece": "a", "from": "sheet", "stock": "b", "number": True}]), "TCK-003"),
        (
            ticks(cut=[{"piece": "a", "from": "sheet", "stock": "b", "number": 1, "spoilt": 1}]),
            "TCK-003",
        ),
        (ticks(cut=[{"piece": "a", "from": "tree", "stock": "b", "number": 1}]), "TCK-003"),
        (ticks(cut=[{"piece": 1, "from": "sheet", "stock": "b", "number": 1}]), "TCK-003"),
    ],
)
def test_other_files_are_refused(text: str, code: str) -> None:
    with pytest.raises(ProgressFileError) as caught:
        read_progress(text, "ticks.json")

    assert {f.code for f in caught.value.findings} == {code}
    assert all(
        f.where.startswith("ticks.json") and tell(f, Speech()).remedy for f in caught.value.findings
    )


def test_every_faulty_entry_is_told() -> None:
    with pytest.raises(ProgressFileError) as caught:
        read_progress(ticks(cut=[1, 2, 3]), "t")

    assert len(caught.value.findings) == 3


def test_ticks_of_another_plan_are_noticed() -> None:
    (entry,) = json.loads(ticks())["cut"]
    elsewhere = [{**entry, "number": 77 + k} for k in range(7)]

    findings = match_progress(read_progress(ticks(plan="f" * 16, cut=elsewhere), "t"), VIEW)

    assert [f.code for f in findings] == ["TCK-004", "TCK-010"]
    assert "and 2 more" in tell(findings[1], Speech()).message
