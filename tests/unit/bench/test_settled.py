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
    assert put["added"] > 0
    assert page.post("/put-away").status_code == 422  # once for each plan
    assert told(page)["files"]["books"] == ["shed.toml"]

    taken = page.post("/take-stock").json()["taken"]

    assert taken > 0
    written = told(page)["view"]["written"]
    assert sum(s["name"].startswith("shed ") for s in (*written["sheet"], *written["board"])) > 0
    page.post("/undo")
    written = told(page)["view"]["written"]
    assert not any(s["name"].startswith("shed ") for s in written["sheet"])
