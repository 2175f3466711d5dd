"""Plans on the page: prices, other sizes, pins, pieces cut and spoilt, papers; the word on each."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

import nestcut
from nestcut.bench.files import digest_of
from nestcut.bench.plans import joints_of, price_of
from tests.unit.bench.asking import (
    change,
    desk_of,
    let_in,
    planned,
    post,
    told,
    wait_for,
)

JOINED = """
[job]
name = "joined"
[saw]
kerf = "2 mm"
[[sheet]]
name = "ply"
material = "ply"
length = "2440 mm"
width = "1220 mm"
thickness = "6 mm"
price = 40
[[sheet]]
name = "long ply"
material = "ply"
length = "3050 mm"
width = "1220 mm"
thickness = "6 mm"
price = 90
[[part]]
name = "plank"
thickness = "6 mm"
joint = { kind = "scarf", slope = "8:1", at = ["1400 mm"] }
[part.shape]
kind = "rectangle"
length = "2800 mm"
width = "1200 mm"
[[part]]
name = "keelson"
thickness = "6 mm"
joint = { kind = "scarf", slope = "8:1", at = ["2000 mm"] }
[part.shape]
kind = "rectangle"
length = "4000 mm"
width = "200 mm"
"""


def test_one_joint_fewer_has_its_price_from_a_search_of_its_own(
    page: TestClient, folder: Path
) -> None:
    (folder / "joined.toml").write_text(JOINED)
    assert post(page, "open", file="joined.toml").status_code == 200
    assert page.post("/price-joints").status_code == 404
    desk = desk_of(page)
    job = nestcut.read_job("joined.toml")
    plan = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK)).plan
    assert joints_of(plan) == {"plank": 1, "keelson": 1}

    assert price_of(job, plan, "keelson", 0) == {"price": "no plan", "money": ""}
    whole = nestcut.plan_job(
        nestcut.with_most_joints(job, "plank", 0), nestcut.Budget(effort=nestcut.Effort.QUICK)
    ).plan
    more = nestcut.money(whole) - nestcut.money(plan)
    assert more > 0
    assert price_of(job, plan, "plank", 0)["price"] == "more"
    assert f"{more:.2f}" in price_of(job, plan, "plank", 0)["money"]
    with pytest.raises(ValueError, match="no joint rule"):
        nestcut.with_most_joints(job, "mast", 0)

    checks = nestcut.verify_plan(job, plan).checks
    text = nestcut.plan_text(nestcut.VerifiedPlan(job=job, plan=plan, checks=checks))
    keeper = desk.work.at_hand
    keeper.change("planned", seen=digest_of(keeper.current.job), plan=text)
    assert told(page)["fewer"] is None
    assert page.post("/price-joints").status_code == 200
    for _ in range(2400):
        if len(told(page)["fewer"]) == 2:
            break
        time.sleep(0.1)
    assert {p: t["price"] for p, t in told(page)["fewer"].items()} == {
        "plank": "more",
        "keelson": "no plan",
    }
    desk.plans.fewer.stop()


def test_a_plan_from_another_sheet_size_is_whole_and_proven(page: TestClient, folder: Path) -> None:
    (folder / "joined.toml").write_text(JOINED)
    assert post(page, "open", file="joined.toml").status_code == 200
    desk = desk_of(page)
    for left_out, used in (("long ply", "ply"), ("ply", "long ply")):
        message = {"label": used, "effort": "quick", "joints": "cheapest", "without": [left_out]}
        assert post(page, "plan", **message).status_code == 200
        wait_for(desk)
        assert desk.plans.search.faults == []
        assert {s["stock"] for s in told(page)["plan"]["sheets"]} == {used}
        job = nestcut.read_job("joined.toml")
        plan = nestcut.parse_plan(desk.work.at_hand.current.plan, job)
        assert nestcut.verify_plan(job, plan).is_proven
    assert [r["label"] for r in told(page)["results"]] == ["ply", "long ply"]
    first = told(page)["results"][0]["number"]
    assert post(page, "choose", number=first + 500).status_code == 404
    assert post(page, "choose", number=first).status_code == 200
    assert {s["stock"] for s in told(page)["plan"]["sheets"]} == {"ply"}


def test_what_a_plan_warns_of_is_shown_with_it(page: TestClient, folder: Path) -> None:
    """Whoever plans on the page sees what the terminal would have told: a reserve given up."""
    wanted = JOINED.replace('kerf = "2 mm"\n', 'kerf = "2 mm"\nreserve = ["3 m", "1.2 m"]\n', 1)
    for text, codes in ((JOINED, []), (wanted, ["SHT-003"])):
        (folder / "joined.toml").write_text(text)
        assert post(page, "open", file="joined.toml").status_code == 200
        job = nestcut.read_job("joined.toml")
        done = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))
        keeper = desk_of(page).work.at_hand
        keeper.change("planned", seen=digest_of(keeper.current.job), plan=nestcut.plan_text(done))

        shown = told(page)["plan"]["told"]

        assert [f["code"] for f in shown] == codes
        assert all(f["where"] and f["message"] for f in shown)


def test_the_word_on_a_plan_is_the_verifiers(page: TestClient) -> None:
    planned(page)
    desk = desk_of(page)
    for _ in range(600):
        if told(page)["word"] is not None:
            break
        time.sleep(0.05)
    assert told(page)["word"] == []
    keeper = desk.work.at_hand
    plan = json.loads(keeper.current.plan)
    plan["sheets"][0]["placements"][0]["shift_mm"][0] += 500.0
    keeper.change("x", seen=digest_of(keeper.current.job), plan=json.dumps(plan))
    shown = told(page)
    assert shown["unread"] == (shown["plan"] is None)
    for _ in range(600):
        shown = told(page)
        if shown["plan"] is None or shown["word"] is not None:
            break
        time.sleep(0.05)
    assert shown["plan"] is None or shown["word"] != []


def test_pins_are_kept_undone_and_respected(page: TestClient) -> None:
    planned(page)
    desk = desk_of(page)
    assert post(page, "pin", pieces=["knee 1", "knee 2"], holds=True).status_code == 200
    assert post(page, "pin", pieces=["knee 2"], holds=False).status_code == 200
    assert told(page)["job"]["pins"] == ["knee 1"]
    page.post("/undo")
    assert told(page)["job"]["pins"] == ["knee 1", "knee 2"]
    page.post("/redo")
    before = {p["piece"]: p for s in told(page)["plan"]["sheets"] for p in s["pieces"]}
    message = {"label": "again", "effort": "quick", "joints": "cheapest", "keeps_pins": True}
    assert post(page, "plan", **message).status_code == 200
    wait_for(desk)
    assert (desk.plans.search.stage.value, desk.plans.search.faults) == ("done", [])
    plan = json.loads(desk.work.at_hand.current.plan)
    assert not plan["repeatable"], "the job alone knows nothing of pins"
    after = {p["piece"]: p for s in told(page)["plan"]["sheets"] for p in s["pieces"]}
    assert after["knee 1"]["shift_mm"] == before["knee 1"]["shift_mm"]
    assert told(page)["job"]["pins"] == ["knee 1"]


def test_a_cut_piece_stays_and_a_spoilt_one_is_made_again(page: TestClient) -> None:
    planned(page)
    desk = desk_of(page)
    assert post(page, "cut", piece="mast", is_spoilt=False).status_code == 404
    assert post(page, "cut", piece="knee 1", is_spoilt=False).status_code == 200
    state = told(page)
    assert state["plan"]["cut"] == ["knee 1"]
    sheet = next(
        s for s in state["plan"]["sheets"] if any(p["piece"] == "knee 1" for p in s["pieces"])
    )
    knee = next(p for p in sheet["pieces"] if p["piece"] == "knee 1")
    push = {"piece": "knee 1", "sheet": sheet["number"], "shift_mm": [1.0, 1.0]}
    answer = post(page, "push", **push, turn_deg=0.0, face_down=False, keeps=True).json()
    assert (answer["fits"], answer["objections"]) == (False, ["It is cut already."])
    assert post(page, "cut", piece="knee 2", is_spoilt=True).status_code == 200
    wait_for(desk)
    assert desk.plans.search.faults == []
    after = told(page)["plan"]
    pieces = {p["piece"]: p for s in after["sheets"] for p in s["pieces"]}
    assert pieces["knee 1"] == knee
    assert [b["why"] for s in after["sheets"] for b in s["barred"]] == ["knee 2, spoilt"]


def _lies(page: TestClient, piece: str) -> dict[str, Any] | None:
    pieces = [p for s in told(page)["plan"]["sheets"] for p in s["pieces"]]
    return next((p for p in pieces if p["piece"] == piece), None)


@pytest.mark.parametrize("price", [None, 80.0])
def test_what_is_cut_stays_in_whatever_is_planned_later(
    page: TestClient, price: float | None
) -> None:
    """The boat is planned once more, perhaps at another price: what was sawn stays sawn."""
    planned(page)
    desk = desk_of(page)
    pieces = [p["piece"] for s in told(page)["plan"]["sheets"] for p in s["pieces"]]
    cut = pieces[-1]
    other = next(p for p in pieces if p.startswith("knee") and p != cut)
    assert post(page, "cut", piece=cut, is_spoilt=False).status_code == 200
    assert post(page, "cut", piece=other, is_spoilt=True).status_code == 200
    wait_for(desk)
    was = _lies(page, cut)
    barred = [b["d"] for s in told(page)["plan"]["sheets"] for b in s["barred"]]
    assert was is not None
    assert len(barred) == 1
    if price is not None:
        change(page, ["sheet", 0, "price"], price)
        assert told(page)["plan"] is None
    assert told(page)["begun"] == 2

    plan = {"label": "on", "effort": "quick", "joints": "cheapest"}
    assert post(page, "plan", **plan).status_code == 200
    wait_for(desk)

    assert desk.plans.search.faults == []
    state = told(page)
    assert _lies(page, cut) == was
    assert state["plan"]["cut"] == [cut]
    assert [b["d"] for s in state["plan"]["sheets"] for b in s["barred"]] == barred
    assert state["results"][-1]["goes_on"]
    assert post(page, "plan", **plan, anew=True).status_code == 200
    wait_for(desk)
    assert (told(page)["plan"]["cut"], told(page)["begun"]) == ([], 0)
    assert not told(page)["results"][-1]["goes_on"]


def test_an_older_plan_says_how_many_ticks_it_drops(page: TestClient) -> None:
    assert page.post("/demo").status_code == 200
    for label in ("one", "two"):
        plan = {"label": label, "effort": "quick", "joints": "cheapest"}
        assert post(page, "plan", **plan).status_code == 200
        wait_for(desk_of(page))
    pieces = [p["piece"] for s in told(page)["plan"]["sheets"] for p in s["pieces"]]
    assert [r["drops"] for r in told(page)["results"]] == [0, 0]
    for piece in pieces[:3]:
        assert post(page, "cut", piece=piece, is_spoilt=False).status_code == 200
    results = told(page)["results"]
    assert [r["drops"] for r in results] == [3, 3]
    assert post(page, "choose", number=results[0]["number"]).status_code == 200
    assert told(page)["begun"] == 0
    assert [r["drops"] for r in told(page)["results"]] == [0, 0]
    page.post("/undo")
    assert told(page)["plan"]["cut"] == sorted(pieces[:3])


@pytest.mark.parametrize("by", ["page", "editor"])
def test_a_search_that_ends_after_the_job_changed_says_so(
    page: TestClient, folder: Path, by: str
) -> None:
    """What it found isn't kept; the page says so until the next search begins."""
    planned(page)
    plan = {"label": "one", "effort": "quick", "joints": "cheapest"}
    assert post(page, "plan", **plan).status_code == 200
    assert not told(page)["search"]["late"]
    job = folder / "demo.toml"
    if by == "page":
        assert change(page, ["sheet", 0, "price"], 80.0).status_code == 200
        assert told(page)["search"]["late"]
    else:
        job.write_text(job.read_text() + "\n# by hand\n")
    wait_for(desk_of(page))
    assert desk_of(page).plans.search.stage.value == "done"
    assert told(page)["search"]["late"]
    assert told(page)["results"] == []
    if by == "editor":
        page.post("/take-theirs")
    assert post(page, "plan", **plan).status_code == 200
    assert not told(page)["search"]["late"]
    wait_for(desk_of(page))
    assert [r["label"] for r in told(page)["results"]] == ["one"]


def test_plans_side_by_side_are_there_in_the_next_server(page: TestClient) -> None:
    assert page.post("/demo").status_code == 200
    plan = {"label": "one", "effort": "quick", "joints": "cheapest"}
    assert post(page, "plan", **plan).status_code == 200
    wait_for(desk_of(page))
    before = told(page)["results"]
    assert [r["label"] for r in before] == ["one"]
    again = let_in()
    post(again, "open", file="demo.toml")
    assert told(again)["results"] == before
    change(again, ["sheet", 0, "price"], 80.0)
    assert [r["stale"] for r in told(again)["results"]] == [True]


def test_the_papers_are_those_of_the_plan_on_the_page(page: TestClient, folder: Path) -> None:
    assert post(page, "papers").status_code == 404
    planned(page)
    assert told(page)["papers"] == []
    assert post(page, "papers").status_code == 200
    assert "shop.pdf" in told(page)["papers"]
    written = nestcut.plan_text_in(folder / "demo papers")
    assert written == (folder / "demo.plan.json").read_text()
    assert page.get("/papers/shop.pdf").content.startswith(b"%PDF")
    assert page.get("/papers/none.pdf").status_code == 404


def test_papers_stay_at_hand_when_pieces_are_ticked_off_and_when_the_job_changes(
    page: TestClient,
) -> None:
    planned(page)
    assert post(page, "papers").status_code == 200
    names = told(page)["papers"]
    assert told(page)["papers_are"] == "now"
    assert post(page, "cut", piece="knee 1", is_spoilt=False).status_code == 200
    assert (told(page)["papers_are"], told(page)["papers"]) == ("before ticks", names)
    assert page.post("/put-away").status_code == 200
    change(page, ["sheet", 0, "price"], 80.0)
    assert told(page)["plan"] is None
    assert (told(page)["papers_are"], told(page)["papers"]) == ("older", names)
    assert page.post("/put-away").status_code == 404


def test_a_tick_is_taken_back_and_undo_says_what_it_undoes(page: TestClient, folder: Path) -> None:
    planned(page)
    before = (folder / "demo.plan.json").read_bytes()
    assert post(page, "cut", piece="knee 1", is_spoilt=False).status_code == 200
    assert post(page, "uncut", piece="knee 1").status_code == 200
    assert told(page)["plan"]["cut"] == []
    assert (folder / "demo.plan.json").read_bytes() == before
    assert post(page, "uncut", piece="mast").status_code == 404
    assert post(page, "cut", piece="mast", is_spoilt=True).status_code == 404
    assert page.post("/undo").json() == {"what": "knee, no. 1 of 4 isn't cut yet"}
    assert told(page)["plan"]["cut"] == ["knee 1"]
    assert page.post("/undo").json() == {"what": "knee, no. 1 of 4 is cut"}
    assert page.post("/redo").json() == {"what": "knee, no. 1 of 4 is cut"}
