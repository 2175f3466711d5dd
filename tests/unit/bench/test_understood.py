"""What the page is shown of a job: parts, drawings, forms, faults with their places."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from ezdxf.filemanagement import new
from starlette.testclient import TestClient

from nestcut.bench.demo import demo_job
from nestcut.bench.files import with_table
from nestcut.drawings.entities.formats import FORMATS
from nestcut.joints.kinds import KINDS
from nestcut.model.joint import JointKind
from tests.unit.bench.asking import change, post, told


def test_a_fault_is_told_with_its_place(page: TestClient) -> None:
    page.post("/demo")
    change(page, ["part", 0, "thickness"], "thick")
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


def test_the_page_asks_the_registers_for_kinds_of_joints_and_endings(page: TestClient) -> None:
    kinds = page.get("/forms").json()["joint"]["kinds"]
    assert kinds["part"] == [k.value for k in JointKind]
    assert set(kinds["rail"]) == {k.value for k in JointKind if not KINDS[k].no_rail}
    taken = set(told(page)["files"]["taken"])
    assert taken == {f.ending for f in FORMATS} | {".csv", ".toml"}


def test_a_broken_heading_is_all_that_is_said_of_a_job(page: TestClient, folder: Path) -> None:
    """What is made of the rest of such a text leads astray; nothing of it is shown as empty."""
    assert page.post("/demo").status_code == 200
    assert told(page)["view"]["readable"]
    job = folder / "demo.toml"
    job.write_text(job.read_text() + "\n[[part\n")
    page.post("/take-theirs")
    view = told(page)["view"]
    assert not view["readable"]
    assert not view["usable"]
    assert [f["code"] for f in view["findings"]] == ["JOB-045"]
