"""What is settled on the page: gaps closed, pieces exchanged, the next job out of what is left."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
import tomlkit
from ezdxf.filemanagement import new
from starlette.testclient import TestClient

from tests.unit.bench.asking import change, planned, post, told


def _seats(path: Path) -> None:
    """One seat, and above it another with a gap of 15 mm that takes the label when it is closed."""
    document = new("R2010", units=4)
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (600, 0), (600, 300), (0, 300)], close=True)
    space.add_lwpolyline([(0, 400), (600, 400), (600, 700), (0, 700), (0, 415)])
    space.add_text("SEAT", height=30, dxfattribs={"insert": (250, 410)})
    document.saveas(path)


@pytest.mark.usefixtures("folder")
def test_a_part_stays_its_outline_when_gaps_are_closed(page: TestClient) -> None:
    _seats(Path("seats.dxf"))
    Path("seats.toml").write_text(
        '[job]\nname = "seats"\n\n[[part]]\nname = "seat"\ndrawing = "seats.dxf"\n'
        'label = "SEAT"\nthickness = "9 mm"\n'
    )
    post(page, "open", file="seats.toml")
    seen = told(page)["job"]["digest"]

    answer = post(
        page,
        "close-gaps",
        seen=seen,
        file="seats.dxf",
        layer="0",
        setting="17 mm",
        what="gaps closed",
    )

    assert answer.json() == {"digest": told(page)["job"]["digest"]}
    job = tomlkit.parse(Path("seats.toml").read_text()).unwrap()
    assert job["part"][0] == {
        "name": "seat",
        "drawing": "seats.dxf",
        "thickness": "9 mm",
        "outline": "1 of 2",
    }
    assert job["drawing"] == [{"file": "seats.dxf", "layers": [{"name": "0", "join_gap": "17 mm"}]}]
    stale = post(
        page, "close-gaps", seen=seen, file="seats.dxf", layer="0", setting="9 mm", what="again"
    )
    assert stale.status_code == 409


def _plan(path: Path) -> None:
    """A side whose corners don't meet, half a bottom, a gunwale of solid wood; no unit is said."""
    document = new("R2010", units=0)
    space = document.modelspace()
    space.add_lwpolyline([(0, 900), (3200, 1050), (3060, 640), (40, 480), (1, 899)])
    space.add_text("SIDE (PAIR) 6 mm PLY", height=45, dxfattribs={"insert": (1400, 760)})
    space.add_lwpolyline([(3000, 1800), (1500, 2230), (0, 2150), (0, 1800)])
    space.add_line((-100, 1800), (3100, 1800), dxfattribs={"layer": "centre line"})
    space.add_text("BOTTOM (HALF) 6 mm PLY", height=45, dxfattribs={"insert": (1000, 1900)})
    gunwale = [(0, 0), (1600, 0), (1600, 32), (0, 32)]
    space.add_lwpolyline(gunwale, close=True, dxfattribs={"layer": "gunwale"})
    space.add_text("GUNWALE 32 x 18 PINE MAKE 4", height=20, dxfattribs={"insert": (100, 6)})
    document.saveas(path)


@pytest.mark.usefixtures("folder")
def test_a_part_with_open_questions_has_its_outline_all_the_same(page: TestClient) -> None:
    """How it is joined isn't answered: it isn't asked on top of it whether it is a part."""
    _plan(Path("lines.dxf"))
    post(page, "begin", name="boat", units="mm", drawings=["lines.dxf"])
    change(page, ["drawings", "unit"], "mm")
    seen = told(page)["job"]["digest"]
    closing = {"file": "lines.dxf", "layer": "0", "setting": "1.5 mm"}
    assert post(page, "close-gaps", seen=seen, what="x", **closing).status_code == 200
    view = told(page)["view"]
    assert [p["name"] for p in view["written"]["part"]].count("SIDE") == 1
    assert {f["where"] for f in view["findings"]} >= {"part[3].joint.kind"}
    assert "DXF-068" not in {f["code"] for f in view["findings"]}


@pytest.mark.usefixtures("folder")
def test_a_drawing_is_settled_as_a_builder_reads_it(page: TestClient) -> None:
    """Gaps closed, the named side is a part; the half is shown whole; the gunwale is a rail."""
    _plan(Path("lines.dxf"))
    assert post(page, "begin", name="boat", units="mm", drawings=["lines.dxf"]).status_code == 200
    change(page, ["drawings", "unit"], "mm")
    (drawing,) = page.get("/drawings").json()["told"]
    (gap,) = drawing["gaps"]
    assert gap["names"] == ["SIDE"]
    assert {r["gap"] for r in drawing["rings"] if r["letter"]} == {True}
    names = [p["name"] for p in told(page)["view"]["written"]["part"]]
    seen = told(page)["job"]["digest"]
    post(page, "remove", seen=seen, path=["part", names.index("SIDE")], what="not asked for")
    seen = told(page)["job"]["digest"]
    closing = {"file": "lines.dxf", "layer": gap["layer"], "setting": gap["setting"]}
    assert post(page, "close-gaps", seen=seen, what="x", **closing).status_code == 200

    view = told(page)["view"]
    side = next(p for p in view["written"]["part"] if p["name"] == "SIDE")
    assert (side["hand"], side["thickness"]) == ("pair", "6 mm")
    assert [f["where"] for f in view["findings"] if f["code"] == "JNT-116"] == ["SIDE"]
    assert [p["name"] for p in view["written"]["part"]].count("SIDE") == 1
    (drawing,) = page.get("/drawings").json()["told"]
    outlines = {o["name"]: o for o in drawing["outlines"]}
    assert outlines["BOTTOM"]["whole"]["size"] == "3000 x 860 mm"
    gunwale = outlines["GUNWALE PINE"]
    assert gunwale["rail"] == {"section": ["18 mm", "32 mm"], "length": "1600 mm"}
    assert outlines["SIDE"]["rail"] is None

    before = Path("boat.toml").read_bytes()
    no_part = {
        "file": "lines.dxf",
        "outline": f"{gunwale['number']} of {drawing['of']}",
        "part": gunwale["part"],
        "rail": {"name": "GUNWALE PINE", **gunwale["rail"], "count": 4},
    }
    seen = told(page)["job"]["digest"]
    assert post(page, "no-part", seen=seen, what="a rail", **no_part).status_code == 200
    view = told(page)["view"]
    assert "GUNWALE PINE" not in {p["name"] for p in view["written"]["part"]}
    assert [r["section"] for r in view["rails"]] == ["18 x 32 mm"]
    (drawing,) = page.get("/drawings").json()["told"]
    outline = next(o for o in drawing["outlines"] if o["name"] == "GUNWALE PINE")
    assert (outline["declined"], outline["part"]) == (True, None)
    seen = told(page)["job"]["digest"]
    values = {"name": "gunwale", "drawing": "lines.dxf", "outline": no_part["outline"]}
    assert post(page, "add", seen=seen, kind="part", values=values, what="x").status_code == 200
    (on,) = told(page)["view"]["written"]["drawing"]
    assert "no_parts" not in on
    for _ in range(2):
        page.post("/undo")
    assert Path("boat.toml").read_bytes() == before


def test_what_is_larger_than_all_its_stock_stands_before_a_plan(page: TestClient) -> None:
    assert page.post("/demo").status_code == 200
    view = told(page)["view"]
    assert view["usable"]
    change(page, ["sheet", 0, "length"], "1500 mm")
    view = told(page)["view"]
    assert not view["usable"]
    assert {f["about"] or f["where"] for f in view["findings"] if f["blocking"]} & {
        "side bench",
        "bench front",
    }


def test_pieces_exchanged_on_the_page_are_kept_only_where_the_plan_stands(
    page: TestClient, folder: Path
) -> None:
    sheet = planned(page)["plan"]["sheets"][0]
    pieces = [p["piece"] for p in sheet["pieces"]]
    states = [(folder / "demo.plan.json").read_bytes()]
    for one, other in pairwise(pieces):
        answer = post(page, "exchange", piece=one, other=other).json()
        now = (folder / "demo.plan.json").read_bytes()
        assert answer["fits"] or now == states[-1]
        if now != states[-1]:
            states.append(now)
    assert len(states) > 1
    for state in reversed(states):
        assert (folder / "demo.plan.json").read_bytes() == state
        page.post("/undo")
    assert post(page, "exchange", piece=pieces[0], other="none").status_code == 404


def test_what_a_cut_plan_leaves_is_stock_of_the_next_job(page: TestClient) -> None:
    planned(page)
    assert page.post("/put-away").status_code == 404  # the papers aren't written
    post(page, "papers")
    put = page.post("/put-away").json()
    assert put["added"]
    assert all(words.startswith(("ply ", "fir ")) for words in put["added"])
    assert page.post("/put-away").status_code == 422  # once for each plan
    assert told(page)["files"]["books"] == ["shed.toml"]

    taken = page.post("/take-stock").json()["taken"]

    assert taken > 0
    written = told(page)["view"]["written"]
    assert sum(s["name"].startswith("shed ") for s in (*written["sheet"], *written["board"])) > 0
    page.post("/undo")
    written = told(page)["view"]["written"]
    assert not any(s["name"].startswith("shed ") for s in written["sheet"])
