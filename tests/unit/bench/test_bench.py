"""The bench's server: who may ask, what is refused, and that nothing shown as saved is lost."""

from __future__ import annotations

import json
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomlkit
from ezdxf.filemanagement import new
from starlette.requests import ClientDisconnect
from starlette.testclient import TestClient

import nestcut
from nestcut.bench.app import make_app
from nestcut.bench.demo import demo_job
from nestcut.bench.desk import Desk
from nestcut.bench.edits import EditError, with_table, with_value, without
from nestcut.bench.fewer import joints_of, price_of
from nestcut.bench.guard import COOKIE, MAX_UPLOAD_BYTES, Guard
from nestcut.bench.keeper import ChangedMeanwhile, Keeper, digest_of
from nestcut.bench.messages import MessageError, Open, Push, SetValue, read_message
from nestcut.bench.search import Stage
from nestcut.byhand import put_down
from nestcut.byhand.slide import outline_of
from nestcut.model.pose import Lie
from nestcut.verify import Prover
from tests.builders_demos import PARTS
from tests.unit.byhand.test_byhand import by_lot

PORT = 4711
KEY = "secret"
HOME = f"http://127.0.0.1:{PORT}"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    made = tmp_path / "boat"
    made.mkdir()
    monkeypatch.chdir(made)
    return made


@pytest.fixture
def page(folder: Path) -> TestClient:
    del folder
    client = TestClient(Guard(make_app(Path()), PORT, KEY), base_url=HOME)
    assert client.get("/", params={"key": KEY}, follow_redirects=False).status_code == 303
    return client


def told(page: TestClient) -> dict[str, Any]:
    answer: dict[str, Any] = page.get("/state").json()
    return answer


def post(page: TestClient, address: str, **message: Any) -> Any:
    return page.post(f"/{address}", content=json.dumps(message))


def wait_for(desk: Desk) -> None:
    """Wait until the search has ended; a busy machine takes its time."""
    for _ in range(2400):
        if desk.plans.search.stage is not Stage.RUNNING:
            return
        time.sleep(0.1)


def planned(page: TestClient) -> dict[str, Any]:
    """Open the demo with a plan, made here to spare a process."""
    assert page.post("/demo").status_code == 200
    desk = page.app.app.state.desk  # type: ignore[attr-defined]
    job = nestcut.read_job("demo.toml")
    done = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))
    keeper = desk.work.keeper
    keeper.change("planned", seen=digest_of(keeper.current.job), plan=nestcut.plan_text(done))
    return told(page)


# -- who may ask ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "headers",
    [
        {"host": "boat.example"},
        {"host": f"192.168.0.9:{PORT}"},
        {"host": f"127.0.0.1:{PORT + 1}"},
        {"origin": "http://boat.example"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"cookie": f"{COOKIE}=guess"},
        {"cookie": ""},
    ],
)
def test_strangers_are_refused(page: TestClient, headers: dict[str, str]) -> None:
    page.post("/demo")
    if "cookie" in headers:
        page.cookies.clear()
    for method, address in (("GET", "/state"), ("POST", "/undo"), ("GET", "/page/main.js")):
        answer = page.request(method, address, headers=headers)
        assert answer.status_code == 403
        assert "knee" not in answer.text


def test_the_key_is_needed_and_a_wrong_one_opens_nothing(folder: Path) -> None:
    del folder
    client = TestClient(Guard(make_app(Path()), PORT, KEY), base_url=HOME)
    assert client.get("/").status_code == 403
    assert client.get("/", params={"key": "other"}).status_code == 403
    answer = client.get("/", params={"key": KEY}, follow_redirects=False)
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert KEY not in answer.headers["location"]


def test_every_answer_carries_a_strict_policy(page: TestClient) -> None:
    for address in ("/", "/state", "/page/main.js", "/picture/none.dxf"):
        policy = page.get(address).headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert page.get(address).headers["x-content-type-options"] == "nosniff"


def test_papers_in_a_frame_cannot_ask_the_server(page: TestClient) -> None:
    planned(page)
    assert post(page, "papers").status_code == 200
    policy = page.get("/papers/shop.html").headers["content-security-policy"]
    assert policy.startswith("sandbox ")
    assert "allow-same-origin" not in policy


def test_too_much_is_refused_before_it_is_read(page: TestClient, folder: Path) -> None:
    answer = page.post(
        "/upload?name=big.dxf", content=b"", headers={"content-length": str(MAX_UPLOAD_BYTES + 1)}
    )
    assert answer.status_code == 413
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("pieces", [3, 5])
def test_a_request_that_names_no_length_is_counted(
    folder: Path, monkeypatch: pytest.MonkeyPatch, pieces: int
) -> None:
    monkeypatch.setattr("nestcut.bench.guard.MAX_UPLOAD_BYTES", 40)
    client = TestClient(Guard(make_app(Path()), PORT, KEY), base_url=HOME)
    client.get("/", params={"key": KEY})

    def in_pieces() -> Iterator[bytes]:
        yield from [b"ten bytes!"] * pieces

    try:
        client.post("/upload", params={"name": "a.dxf"}, content=in_pieces())
    except ClientDisconnect:
        assert pieces == 5
    assert [p.name for p in folder.glob("*.dxf")] == (["a.dxf"] if pieces == 3 else [])


@pytest.mark.parametrize(
    "name",
    ["../out.dxf", "/etc/passwd", "..", ".hidden.dxf", "boat.exe", "", "a/b.toml", "x\0.dxf"],
)
def test_only_files_of_the_folder_exist(page: TestClient, folder: Path, name: str) -> None:
    (folder.parent / "secret.toml").write_text("[job]\n")
    (folder / "link.toml").symlink_to(folder.parent / "secret.toml")
    assert page.get("/papers/../../secret.toml").status_code in {400, 404}
    assert post(page, "open", file="link.toml").status_code == 404
    assert post(page, "open", file=name).status_code == 404
    page.post("/upload", params={"name": name}, content=b"x")
    outside = {p.name for p in folder.parent.iterdir()} - {"boat", "secret.toml"}
    assert outside == set()


def test_an_upload_never_replaces_another_file(page: TestClient, folder: Path) -> None:
    for content in (b"one", b"two", b"one"):
        page.post("/upload", params={"name": "a.dxf"}, content=content)
    assert {p.name: p.read_bytes() for p in folder.glob("*.dxf")} == {
        "a.dxf": b"one",
        "a 2.dxf": b"two",
    }


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        (SetValue, b"nonsense"),
        (SetValue, b"[]"),
        (SetValue, b'{"seen": "", "path": "part", "value": 1, "what": ""}'),
        (SetValue, b'{"seen": "", "path": [-1], "value": 1, "what": ""}'),
        (SetValue, b'{"seen": "", "path": ["a"], "value": 1, "what": "", "more": 1}'),
        (
            Push,
            b'{"piece":"a","sheet":1,"shift_mm":[NaN,1],"turn_deg":0,"face_down":0,"keeps":true}',
        ),
        (
            Push,
            b'{"piece":"a","sheet":true,"shift_mm":[1,1],"turn_deg":0,"face_down":false,"keeps":true}',
        ),
    ],
)
def test_messages_that_are_not_as_agreed_are_refused(kind: type, body: bytes) -> None:
    with pytest.raises(MessageError):
        read_message(body, kind)


# -- edits ----------------------------------------------------------------------------------------


def test_an_edit_keeps_comments_and_order() -> None:
    text, _, _ = demo_job()
    after = with_value(text, ["saw", "kerf"], "3 mm")
    assert after == text.replace('kerf = "2 mm"   #', 'kerf = "3 mm"   #')
    added = with_table(after, "part", {"name": "lid", "shape": {"kind": "rectangle"}})
    assert without(added, ["part", 4]).rstrip() == after.rstrip()
    assert without(with_value(text, ["part", 1, "count"], 2), ["part", 1, "count"]) == text


@pytest.mark.parametrize("path", [["nope", 0, "a"], ["part", 99, "name"], ["part", "name", "x"]])
def test_an_edit_without_a_place_is_refused(path: list[str | int]) -> None:
    text, _, _ = demo_job()
    with pytest.raises(EditError):
        with_value(text, path, 1)


def test_two_hundred_edits_by_page_and_by_hand_mean_the_same() -> None:
    """Edits in turn on the text and on plain values: both end with the same meaning."""
    text, _, _ = demo_job()
    comments = [line.partition("#")[2] for line in text.splitlines() if "#" in line]
    plain: Any = tomlkit.parse(text).unwrap()
    luck = np.random.default_rng(5)
    for k in range(200):
        place = int(luck.integers(len(plain["part"])))
        match int(luck.integers(5)):
            case 0:
                text = with_value(text, ["part", place, "count"], k)
                plain["part"][place]["count"] = k
            case 1:
                text = with_value(text, ["part", place, "note"], f'say "{k}" # é')
                plain["part"][place]["note"] = f'say "{k}" # é'
            case 2:
                text = text.replace("# one port", f"# {k}, one port", 1)
            case 3 if "note" in plain["part"][place]:
                text = without(text, ["part", place, "note"])
                del plain["part"][place]["note"]
            case _:
                values = {"name": f"new {k}", "shape": {"kind": "circle", "radius": "50 mm"}}
                text = with_table(text, "part", values)  # type: ignore[arg-type]
                plain["part"].append(values)
    assert tomlkit.parse(text).unwrap() == plain
    for comment in comments:
        assert comment.split("one port")[-1] in text


# -- files and history ----------------------------------------------------------------------------


def test_a_change_outside_is_noticed_and_nothing_is_overwritten(
    page: TestClient, folder: Path
) -> None:
    page.post("/demo")
    seen = told(page)["job"]["digest"]
    job = folder / "demo.toml"
    job.write_text(job.read_text() + "# mine\n")
    theirs = job.read_text()

    change = {"seen": seen, "path": ["saw", "kerf"], "value": "3 mm", "what": "kerf"}
    answer = post(page, "set", **change)

    assert (answer.status_code, answer.json()["theirs"]) == (409, theirs)
    assert job.read_text() == theirs
    assert told(page)["job"]["changed_outside"]
    page.post("/keep-mine")
    assert "# mine" not in job.read_text()
    page.post("/undo")
    assert job.read_text() == theirs
    page.post("/redo")
    job.write_text(theirs)
    page.post("/take-theirs")
    assert told(page)["job"]["text"] == theirs


def test_a_change_outside_is_seen_by_whoever_listens(page: TestClient, folder: Path) -> None:
    desk = page.app.app.state.desk  # type: ignore[attr-defined]
    assert desk.stamp() is None
    page.post("/demo")
    before = desk.stamp()
    assert desk.stamp() == before
    job = folder / "demo.toml"
    job.write_text(job.read_text() + "# mine\n")
    assert desk.stamp() not in {None, before}
    job.unlink()
    assert desk.stamp() is None


def test_undo_and_redo_bring_the_same_bytes_through_job_and_plan(
    page: TestClient, folder: Path
) -> None:
    state = planned(page)
    files = (folder / "demo.toml", folder / "demo.plan.json")
    first = [f.read_bytes() for f in files]
    seen = state["job"]["digest"]
    change = {"seen": seen, "path": ["saw", "kerf"], "value": "3 mm", "what": "kerf"}
    assert post(page, "set", **change).status_code == 200
    assert not files[1].exists()
    after = files[0].read_bytes()
    page.post("/undo")
    assert [f.read_bytes() for f in files] == first
    page.post("/redo")
    assert files[0].read_bytes() == after


def test_a_new_server_comes_back_where_the_old_one_was(page: TestClient, folder: Path) -> None:
    before = planned(page)
    again = TestClient(Guard(make_app(Path()), PORT, KEY), base_url=HOME)
    again.get("/", params={"key": KEY})
    assert post(again, "open", file="demo.toml").status_code == 200
    after = told(again)
    assert after["plan"] == before["plan"]
    assert after["job"] == before["job"]
    assert (folder / "demo.history").is_dir()


_EDITOR = """
import sys
from pathlib import Path
from nestcut.bench.edits import with_value
from nestcut.bench.keeper import Keeper, digest_of
keeper = Keeper(Path(sys.argv[1]))
start = int(sys.argv[2])
print("ready", flush=True)
for k in range(start, start + 100000):
    here = keeper.current.job
    job = with_value(here, ["saw", "gap"], f"{k} mm")
    keeper.change(f"edit {k}", seen=digest_of(here), job=job)
    print(k, flush=True)
"""


def _kill_while_editing(folder: Path, times: int) -> None:
    path = folder / "boat.toml"
    path.write_text('[saw]\nkerf = "2 mm"  # slot\ngap = "0 mm"\n')
    luck = np.random.default_rng(2)
    shown = 0
    for _ in range(times):
        editor = subprocess.Popen(
            [sys.executable, "-c", _EDITOR, str(path), str(shown + 1)],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert editor.stdout is not None
        editor.stdout.readline()
        time.sleep(luck.uniform(0.01, 0.08))
        editor.send_signal(signal.SIGKILL)
        editor.wait()
        told_lines = [int(line) for line in editor.stdout.read().split()]
        editor.stdout.close()
        shown = max([shown, *told_lines])
        keeper = Keeper(path)
        text = path.read_text()
        assert keeper.current.job == text
        gap = int(str(tomlkit.parse(text).unwrap()["saw"]["gap"]).split()[0])
        assert gap in {shown, shown + 1}
        assert "# slot" in text
        shown = gap


def test_killed_while_editing_nothing_shown_as_saved_is_lost(tmp_path: Path) -> None:
    _kill_while_editing(tmp_path, 4)


@pytest.mark.deep
def test_killed_a_hundred_times_nothing_shown_as_saved_is_lost(tmp_path: Path) -> None:
    _kill_while_editing(tmp_path, 100)


def test_a_keeper_refuses_what_was_seen_before_another_change(tmp_path: Path) -> None:
    path = tmp_path / "boat.toml"
    path.write_text("a = 1\n")
    keeper = Keeper(path)
    seen = digest_of("a = 1\n")
    keeper.change("b", seen=seen, job="a = 2\n")
    with pytest.raises(ChangedMeanwhile):
        keeper.change("c", seen=seen, job="a = 3\n")
    assert path.read_text() == "a = 2\n"


# -- parts, plan, hand ----------------------------------------------------------------------------


def test_names_stay_text(page: TestClient) -> None:
    page.post("/demo")
    seen = told(page)["job"]["digest"]
    nasty = '<img src=x onerror="alert(1)">'
    change = {"seen": seen, "path": ["part", 0, "name"], "value": nasty, "what": "name"}
    assert post(page, "set", **change).status_code == 200
    state = told(page)
    assert state["view"]["parts"][0]["name"] == nasty
    assert nasty not in page.get("/").text


def test_a_fault_is_told_with_its_place(page: TestClient) -> None:
    page.post("/demo")
    seen = told(page)["job"]["digest"]
    change = {"seen": seen, "path": ["part", 0, "thickness"], "value": "thick", "what": "t"}
    post(page, "set", **change)
    view = told(page)["view"]
    assert not view["usable"]
    assert [f["table"] for f in view["findings"] if f["blocking"]] == [["part", 0]]


def test_a_job_is_begun_from_a_drawing_and_from_numbers(page: TestClient) -> None:
    _, name, drawing = demo_job()
    page.post("/upload", params={"name": name}, content=drawing)
    answer = post(page, "begin", name="mine", units="mm", drawings=[name])
    assert answer.status_code == 200
    assert len(told(page)["view"]["written"]["part"]) == 4
    assert page.get(f"/picture/{name}").headers["content-type"].startswith("image/svg")
    assert post(page, "begin", name="mine", units="mm", drawings=[name]).status_code == 422
    assert post(page, "begin", name="plain", units="inch", drawings=[]).status_code == 200


FILLED: dict[str, dict[str, Any]] = {
    "rectangle": {"length": "600 mm", "width": "300 mm"},
    "trapezoid": {"bottom": "600 mm", "top": "400 mm", "height": "300 mm"},
    "taper": {"length": "600 mm", "start": "300 mm", "end": "100 mm"},
    "polygon": {"points": [["0 mm", "0 mm"], ["200 mm", "0 mm"], ["0 mm", "200 mm"]]},
    "circle": {"diameter": "300 mm"},
    "ellipse": {"length": "400 mm", "width": "250 mm"},
}


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_figures_that_the_page_asks_for_can_be_planned(page: TestClient, units: str) -> None:
    """What the form calls needed is all that a figure needs."""
    forms = page.get("/forms").json()
    assert post(page, "begin", name=f"by {units}", units=units, drawings=[]).status_code == 200
    text = told(page)["job"]["text"]
    for kind, values in FILLED.items():
        needed = {k["name"] for k in forms[f"shape:{kind}"]["keys"] if k["needed"]} - {"kind"}
        assert needed <= set(values)
        shape: dict[str, Any] = {"kind": kind, **values}
        part: dict[str, Any] = {"name": f"made {kind}", "thickness": "6 mm", "shape": shape}
        text = with_table(text, "part", part)
    seen = told(page)["job"]["digest"]
    assert post(page, "text", seen=seen, text=text, what="all").status_code == 200
    view = told(page)["view"]
    faulty = [f for f in view["findings"] if f["blocking"] and "made" in f["where"]]
    assert faulty == []
    assert {f"made {kind}" for kind in FILLED} <= {p["name"] for p in view["parts"]}


def test_hand_moves_are_kept_only_where_the_plan_still_stands(page: TestClient) -> None:
    state = planned(page)
    desk = page.app.app.state.desk  # type: ignore[attr-defined]
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
        before = desk.work.keeper.current.plan
        answer = post(page, "push", **message).json()
        after = desk.work.keeper.current.plan
        assert (after != before) <= answer["fits"]
        plan = nestcut.parse_plan(after, nestcut.read_job("demo.toml"))
        assert nestcut.verify_plan(nestcut.read_job("demo.toml"), plan).is_proven
        kept += answer["fits"]
    assert 5 < kept < 40
    assert state["plan"]["cost"] == told(page)["plan"]["cost"]


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
    desk = page.app.app.state.desk  # type: ignore[attr-defined]
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
    keeper = desk.work.keeper
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
    desk = page.app.app.state.desk  # type: ignore[attr-defined]
    for left_out, used in (("long ply", "ply"), ("ply", "long ply")):
        message = {"label": used, "effort": "quick", "joints": "cheapest", "without": [left_out]}
        assert post(page, "plan", **message).status_code == 200
        wait_for(desk)
        assert desk.plans.search.faults == []
        assert {s["stock"] for s in told(page)["plan"]["sheets"]} == {used}
        job = nestcut.read_job("joined.toml")
        plan = nestcut.parse_plan(desk.work.keeper.current.plan, job)
        assert nestcut.verify_plan(job, plan).is_proven
    assert [r["label"] for r in told(page)["results"]] == ["ply", "long ply"]
    assert post(page, "choose", number=0).status_code == 200
    assert {s["stock"] for s in told(page)["plan"]["sheets"]} == {"ply"}


def test_the_word_on_a_plan_is_the_verifiers(page: TestClient) -> None:
    planned(page)
    desk = page.app.app.state.desk  # type: ignore[attr-defined]
    for _ in range(600):
        if told(page)["word"] is not None:
            break
        time.sleep(0.05)
    assert told(page)["word"] == []
    keeper = desk.work.keeper
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


def _moves_on_the_page(folder: Path, boat: str, count: int, seed: int) -> int:
    """Move pieces of a demo by lot; fits and verifier agree, undo brings the same bytes."""
    shutil.copytree(PARTS / boat, folder, dirs_exist_ok=True)
    desk = Desk(Path(), lambda: None)
    desk.open(Open(file="job.toml"))
    job = nestcut.read_job("job.toml")
    done = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))
    keeper = desk.work.keeper
    assert keeper is not None
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
            assert moved.stands == nestcut.verify_plan(job, moved.plan).is_proven
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


def test_pins_are_kept_undone_and_respected(page: TestClient) -> None:
    planned(page)
    desk = page.app.app.state.desk  # type: ignore[attr-defined]
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
    after = {p["piece"]: p for s in told(page)["plan"]["sheets"] for p in s["pieces"]}
    assert after["knee 1"]["shift_mm"] == before["knee 1"]["shift_mm"]
    assert told(page)["job"]["pins"] == ["knee 1"]


def test_a_cut_piece_stays_and_a_spoilt_one_is_made_again(page: TestClient) -> None:
    planned(page)
    desk = page.app.app.state.desk  # type: ignore[attr-defined]
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


def test_outlines_are_shown_with_the_parts_that_they_are(page: TestClient) -> None:
    """Clicked out and clicked in again: the job says so, the drawing shows it."""
    assert page.post("/demo").status_code == 200
    (drawing,) = page.get("/drawings").json()["told"]
    assert drawing["sizes"] == []
    names = [p["name"] for p in told(page)["view"]["written"]["part"]]
    shown = {names[o["part"]] for o in drawing["outlines"] if o["part"] is not None}
    assert shown
    assert shown <= set(names)

    outline = next(o for o in drawing["outlines"] if o["part"] is not None)
    seen = told(page)["job"]["digest"]
    out = post(page, "remove", seen=seen, path=["part", outline["part"]], what="not a part")
    assert out.status_code == 200
    (after,) = page.get("/drawings").json()["told"]
    now = next(o for o in after["outlines"] if o["number"] == outline["number"])
    assert now["part"] is None


def test_a_drawing_without_a_unit_is_asked_by_its_sizes(page: TestClient, folder: Path) -> None:
    """Sizes that no boat has aren't offered."""
    document = new("R12")
    document.modelspace().add_polyline2d([(0, 0), (96, 0), (96, 20), (0, 20)], close=True)
    document.saveas(folder / "side.dxf")
    assert post(page, "begin", name="skiff", units="inch", drawings=["side.dxf"]).status_code == 200

    (drawing,) = page.get("/drawings").json()["told"]
    offered = {s["unit"]: s["sizes"] for s in drawing["sizes"]}
    assert set(offered) == {"mm", "cm", "in"}
    assert offered["in"] == ["8'-0\" x 1'-8\""]


def test_forms_and_pictures_of_what_was_understood(page: TestClient) -> None:
    forms = page.get("/forms").json()
    assert {"part", "offsets", "shape:rectangle", "sheet"} <= set(forms)
    assert [k["name"] for k in forms["saw"]["keys"] if k["needed"]] == ["kerf"]
    assert page.post("/demo").status_code == 200
    shown = page.get("/shown").json()["told"]
    assert shown
    picture = page.get(f"/shown/{shown[0]['name']}")
    assert picture.headers["content-type"].startswith("image/svg+xml")
    assert page.get("/shown/none").status_code == 404
