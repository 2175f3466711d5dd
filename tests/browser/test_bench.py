"""The bench in a real browser: from an empty folder to printed pages, with pointer and with keys.

Skipped, saying so, where Chromium, Node.js or the packages of package.json are absent.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from ezdxf.filemanagement import new

from tests.browser.test_page import HERE, tools


@contextmanager
def bench(folder: Path) -> Iterator[tuple[str, int]]:
    """Serve a folder; gives the address with the key, and the server's process."""
    server = subprocess.Popen(
        [sys.executable, "-m", "nestcut", "bench", str(folder), "--no-browser"],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    try:
        assert server.stdout is not None
        yield server.stdout.readline().strip(), server.pid
        server.stdout.close()
    finally:
        server.terminate()
        server.wait(20)


def way(folder: Path, script: str, shots: Path, *more: str) -> dict[str, Any]:
    node, chromium = tools()
    with bench(folder) as (address, server):
        given = [m.format(server=server) for m in more]
        run = subprocess.run(
            [node, str(HERE / script), address, str(shots), chromium, *given],
            capture_output=True,
            text=True,
            check=False,
            timeout=280,
        )
    assert run.returncode == 0, run.stderr
    told: dict[str, Any] = json.loads(run.stdout)
    return told


@pytest.mark.parametrize(("how", "width"), [("pointer", 1280), ("keys", 768), ("keys", 375)])
def test_from_an_empty_folder_to_the_papers(tmp_path: Path, how: str, width: int) -> None:
    folder = tmp_path / "boat"
    folder.mkdir()

    told = way(folder, "bench_way.mjs", tmp_path, how, str(width))

    assert told["errors"] == []
    assert told["requests"] == []
    assert {step: found for step, found in told["axe"].items() if found} == {}
    assert {step: wide for step, wide in told["overflow"].items() if wide > 0} == {}
    assert told["word"] == "It fits; the plan is proven again."
    assert told.get("dragged", told["word"]).startswith(("It fits", "It can't lie there"))
    assert told["undone"]
    assert told["thrown"]
    assert told["taken"]
    assert told["begunAgain"]
    assert told["numbers"]
    assert told["knot"]
    assert told["unknotted"]
    assert told["typed"], "what is typed and not saved stays"
    assert told["stale"] == [0, True], "a job that changed meanwhile is said, nothing is lost"
    assert told["joint"]
    assert told["pinned"] == 1
    assert {"shop.pdf", "shop.html", "cut-list.csv", "plan.json"} <= set(told["files"])
    assert (folder / "demo papers" / "shop.pdf").read_bytes().startswith(b"%PDF")
    assert (folder / "demo.toml").is_file()


def test_ticks_are_not_dropped_unasked(tmp_path: Path) -> None:
    folder = tmp_path / "boat"
    folder.mkdir()

    told = way(folder, "bench_ticks.mjs", tmp_path)

    assert told.pop("warned") == [200, True], "no kerf at all is warned of where plans are made"
    asked, put = told.pop("asked"), told.pop("put")
    assert asked.startswith("Ticked off as cut: 2 of 1")
    assert put.startswith("Put into the stock book: ")
    assert "ply " in put
    assert "not cut yet" in told["unticked"][2]
    assert told == {
        "errors": [],
        "askedOlder": 2,
        "askedAnew": [2, "done"],
        "back": 2,
        "unticked": [1, 1, told["unticked"][2]],
        "undone": "Undo: " + told["unticked"][2].replace(": ", " ").replace("not", "isn't"),
    }


def test_what_is_typed_is_not_lost_where_it_cannot_be_saved(tmp_path: Path) -> None:
    folder = tmp_path / "boat"
    folder.mkdir()

    told = way(folder, "bench_away.mjs", tmp_path, str(folder), sys.executable, "{server}")

    assert told["errors"] == []
    assert told["said"].startswith("Not saved: say above first")
    assert told["outside"] == ["44", "74.00", 1]
    assert told["settled"] == "44"
    assert told["saved"] == ["44", ""]
    price, box, news = told["stopped"]
    assert (price, "Typed, but not saved: Price, 9 mm ply: 55" in box) == ("55", True)
    assert news.startswith("Not saved")
    assert "saved" not in news.replace("Not saved", "").replace("save it", "")
    assert told["reloaded"] == [403, True]
    assert (told["back"][0], "has stopped" in told["back"][1]) == ("55", False)
    assert told["savedAgain"] == "55"
    assert list(told["broken"]) == ["2 Parts", "3 Stock", "4 Joints"]
    assert list(told["broken"].values()) == [[["line 67"], 1]] * 3


def test_a_boat_from_numbers_is_asked_in_words(tmp_path: Path) -> None:
    folder = tmp_path / "boat"
    folder.mkdir()

    told = way(folder, "bench_fresh.mjs", tmp_path)

    assert told["errors"] == []
    assert (told["shape"]["length"], told["shape"]["width"]) == ("800 mm", "300 mm")
    assert told["pairs"] == "pair"
    assert told["kerf"] == 1
    assert told["asked"] == "Still to be filled in: Thickness, Length, Width"
    assert {step: wide for step, wide in told["wide"].items() if wide > 0} == {}


def a_strangers_drawing(path: Path) -> None:
    """No unit said; a side whose corners don't meet, a bottom up to its centre line, a seat."""
    document = new("R2010", units=0)
    space = document.modelspace()
    side = [(0.0, 900.0), (3200.0, 1050.0), (3060.0, 640.0), (40.0, 480.0)]
    for k, (start, end) in enumerate(zip(side, [*side[1:], side[0]], strict=True)):
        apart = 0.6 + 0.2 * k  # so far from where the line before it ends
        space.add_line((start[0] + apart, start[1]), end, dxfattribs={"layer": "SIDES"})
    space.add_text("SIDE (PAIR) 6 mm PLY", height=45, dxfattribs={"insert": (1400, 760)})
    space.add_lwpolyline(
        [(3000, 1800), (2400, 2080), (1500, 2230), (0, 2150), (0, 1800)],
        dxfattribs={"layer": "BOTTOM"},
    )
    space.add_line((-100, 1800), (3100, 1800), dxfattribs={"linetype": "CENTER", "layer": "CL"})
    document.linetypes.add("CENTER", [1.0, 0.6, -0.2, 0.0, -0.2])
    space.add_text("BOTTOM (HALF) 6 mm PLY", height=45, dxfattribs={"insert": (1000, 1950)})
    space.add_lwpolyline(
        [(0, 0), (1100, 0), (1100, 300), (0, 300)], close=True, dxfattribs={"layer": "SEATS"}
    )
    space.add_text("SEAT", height=45, dxfattribs={"insert": (300, 100)})
    gunwale = [(0, -400), (1600, -400), (1600, -368), (0, -368)]
    space.add_lwpolyline(gunwale, close=True, dxfattribs={"layer": "GUNWALE"})
    space.add_text("GUNWALE 32 x 18 PINE MAKE 4", height=20, dxfattribs={"insert": (100, -394)})
    document.saveas(path)


def test_a_strangers_drawing_becomes_pages_by_clicking_alone(tmp_path: Path) -> None:
    drawing, folder = tmp_path / "lines.dxf", tmp_path / "boat"
    a_strangers_drawing(drawing)
    folder.mkdir()

    told = way(folder, "bench_strange.mjs", tmp_path, str(drawing))

    assert told["errors"] == []
    assert {step: found for step, found in told["axe"].items() if found} == {}
    assert {step: wide for step, wide in told["overflow"].items() if wide > 0} == {}
    assert told["seen"], "what was found is looked at at once"
    assert told["unitAskedAgain"] == 0
    assert (told["pointed"], told["pointedAfter"]) == ("3 of 3", "3 of 3")
    assert told["asked"] == 2, "how the side and the bottom are joined is asked"
    assert told["boxes"] == 0, "a joint isn't typed into a box"
    assert told["guessed"] == {
        "name": "new board",
        "material": "pine",
        "thickness": "18 mm",
        "width": "95 mm",
        "lengths": [{"length": "3500 mm"}],
    }
    side = told["side"]
    assert (side["hand"], side["thickness"], side["grain"]) == ("pair", "6 mm", "along")
    assert told["planDead"]
    assert any("BOTTOM" in place for place in told["blocked"])
    assert told["bottom"] == "3000 x 860 mm"
    assert {"BOTTOM scarf", "SIDE butt strap"} <= set(told["joints"])
    assert (folder / "boat papers" / "shop.pdf").read_bytes().startswith(b"%PDF")


def test_what_is_typed_is_taken_whole_or_refused(tmp_path: Path) -> None:
    folder = tmp_path / "boat"
    folder.mkdir()

    told = way(folder, "bench_typed.mjs", tmp_path)

    assert told["errors"] == []
    assert told["files"] == [
        "That didn't work: 'holiday.jpg' is no drawing: save or export it as DXF or SVG, and "
        "choose that file.",
        "That didn't work: bad.dxf: this is no drawing that can be read (it isn't a DXF file). In "
        "the drawing program, open it and save or export it as DXF, then name that file.",
        False,
    ]
    assert told["prices"] == {
        "-5": ["-5", True],
        "6O": ["6O", True],
        "61.50 USD": ["61.50 USD", True],
        "1.234": ["1.234", True],
        "61.50 EUR": [61.5, False],
        "EUR 61,50": [61.5, False],
        "62": [62, False],
    }
    assert told["marked"] == [[True, "62", 0, 2], [True, "62", 1, 1]]
    assert told["bevels"] == [
        ["side bench, bevel: not filled in yet: larger", []],
        [True, [{"edge": "bottom", "larger": "good face", "tilt": "steep"}]],
        [False, [{"edge": "bottom", "larger": "good face", "tilt": 12.5}]],
        [False, [{"edge": "bottom", "larger": "good face", "tilt": [8, 15]}]],
    ]
    assert told["joints"] == {
        "650,5 mm": [["650,5 mm"], False, "650,5 mm"],
        "400; 800,25": [["400", "800,25"], False, "400; 800,25"],
        "400, 800": [["400", "800"], False, "400; 800"],
        "400,1000": [["400", "1000"], False, "400; 1000"],
        "40 cm,80 cm": [["40 cm", "80 cm"], False, "40 cm; 80 cm"],
        "1,650": [["1,650"], True, "1,650"],
        "abc": [["abc"], True, "abc"],
    }
    assert "joint positions 800 mm; 400 mm don't rise." in told["falling"]
    assert told["clear"] == [
        "middle thwart, Where no joint may lie: not filled in yet: Middle, from the left end",
        "50 mm",
        "650 mm, either way 50 mm",
        "Rules: clear of 600 mm to 700 mm.",
    ]
