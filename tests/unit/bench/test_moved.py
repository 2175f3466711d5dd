"""Pieces moved on the page: kept where the verifier lets the plan stand, undone to the byte."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from starlette.testclient import TestClient

import nestcut
from nestcut.bench.desk import Desk
from nestcut.bench.files import digest_of
from nestcut.bench.messages import Open, Push
from nestcut.byhand import put_down
from nestcut.byhand.left import measured
from nestcut.byhand.slide import outline_of
from nestcut.model.pose import Lie
from nestcut.verify import Prover
from tests.builders_demos import PARTS
from tests.unit.bench.asking import desk_of, planned, post, told
from tests.unit.byhand.test_byhand import by_lot


def test_hand_moves_are_kept_only_where_the_plan_still_stands(page: TestClient) -> None:
    state = planned(page)
    desk = desk_of(page)
    luck = np.random.default_rng(1)
    kept = 0
    for _ in range(40):
        sheets = told(page)["plan"]["sheets"]
        sheet = sheets[luck.integers(len(sheets))]
        piece = sheet["pieces"][luck.integers(len(sheet["pieces"]))]
        x, y = piece["shift_mm"]
        message = {
            "piece": piece["piece"],
            "sheet": sheet["number"],
            "shift_mm": [x + luck.uniform(-300, 300), y + luck.uniform(-300, 300)],
            "turn_deg": piece["turn_deg"] + float(luck.choice([0.0, 0.0, 90.0])),
            "face_down": bool(piece["face_down"]),
            "keeps": True,
        }
        before = desk.work.at_hand.current.plan
        answer = post(page, "push", **message).json()
        after = desk.work.at_hand.current.plan
        assert (after != before) <= answer["fits"]
        plan = nestcut.parse_plan(after, nestcut.read_job("demo.toml"))
        assert nestcut.verify_plan(nestcut.read_job("demo.toml"), plan).is_proven
        kept += answer["fits"]
    assert 5 < kept < 40
    assert state["plan"]["cost"] == told(page)["plan"]["cost"]


def _moves_on_the_page(folder: Path, boat: str, count: int, seed: int) -> int:
    """Move pieces of a demo by lot; fits and verifier agree, undo brings the same bytes."""
    shutil.copytree(PARTS / boat, folder, dirs_exist_ok=True)
    desk = Desk(Path(), lambda: None)
    desk.open(Open(file="job.toml"))
    job = nestcut.read_job("job.toml")
    done = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))
    keeper = desk.work.at_hand
    keeper.change("planned", seen=digest_of(keeper.current.job), plan=nestcut.plan_text(done))
    luck, prover, plan = np.random.default_rng(seed), Prover(), done.plan
    files = (folder / "job.toml", folder / "job.plan.json")
    states = [[f.read_bytes() for f in files]]
    for k in range(count):
        at, number = by_lot(plan, luck)
        push = Push(
            piece=at.piece,
            sheet=number,
            shift_mm=list(at.shift_mm),
            turn_deg=at.turn_deg,
            face_down=at.lie is Lie.FACE_DOWN,
            keeps=bool(luck.uniform() < 0.5),
        )
        told = desk.plans.push(push)
        lies = replace(at, shift_mm=tuple(told["shift_mm"]))
        moved = put_down(job, plan, lies, number, prover)
        assert told["fits"] == moved.stands
        if k % 100 == 0:
            kept = measured(job, moved.plan) if moved.stands else moved.plan
            assert moved.stands == nestcut.verify_plan(job, kept).is_proven
        if not (told["fits"] and push.keeps):
            assert files[1].read_bytes() == states[-1][1]
        else:  # which may have settled where it lay
            plan = moved.plan
            states.append([f.read_bytes() for f in files])
    for state in reversed(states):
        assert [f.read_bytes() for f in files] == state
        desk.undo()
    return len(states) - 1


def test_moves_by_lot_on_the_page_are_judged_by_the_verifier_and_undone(folder: Path) -> None:
    assert _moves_on_the_page(folder, "punt", 60, 1) > 5


@pytest.mark.deep
@pytest.mark.parametrize("boat", ["punt", "beach-boat"])
def test_two_thousand_moves_on_the_page(folder: Path, boat: str) -> None:
    assert _moves_on_the_page(folder, boat, 2000, 2) > 100


def test_asking_how_a_piece_would_lie_changes_nothing(page: TestClient, folder: Path) -> None:
    state = planned(page)
    sheet = state["plan"]["sheets"][0]
    piece = sheet["pieces"][0]
    before = (folder / "demo.plan.json").read_bytes()
    answer = post(
        page,
        "push",
        piece=piece["piece"],
        sheet=sheet["number"],
        shift_mm=[piece["shift_mm"][0] + 900, piece["shift_mm"][1] + 400],
        turn_deg=piece["turn_deg"],
        face_down=piece["face_down"],
        keeps=False,
    ).json()
    assert answer["fits"]
    assert (folder / "demo.plan.json").read_bytes() == before
    job = nestcut.read_job("demo.toml")
    plan = nestcut.parse_plan(before.decode(), job)
    moved = {p.id: p for p in plan.pieces}[piece["piece"]]
    at = next(p for p in plan.sheets[0].placements if p.piece == piece["piece"])
    assert outline_of(moved, at).is_valid


def test_a_pinned_piece_is_neither_turned_nor_exchanged(page: TestClient, folder: Path) -> None:
    sheet = planned(page)["plan"]["sheets"][0]
    piece, other = sheet["pieces"][:2]
    assert post(page, "pin", pieces=[piece["piece"]], holds=True).status_code == 200
    before = (folder / "demo.plan.json").read_bytes()
    push = {"piece": piece["piece"], "sheet": sheet["number"], "shift_mm": piece["shift_mm"]}
    lies = {"turn_deg": piece["turn_deg"], "face_down": piece["face_down"]}
    answer = post(page, "push", **push, **lies, keeps=True).json()
    assert (answer["fits"], answer["objections"]) == (False, ["It is pinned: let it go first."])
    answer = post(page, "exchange", piece=other["piece"], other=piece["piece"]).json()
    assert answer["objections"] == ["One of them is pinned: let it go first."]
    assert (folder / "demo.plan.json").read_bytes() == before
    post(page, "pin", pieces=[piece["piece"]], holds=False)
    assert post(page, "push", **push, **lies, keeps=True).json()["fits"]
