"""Pictures to check a job by: lines in three views, doubts ringed, parts, boxes, slats."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from nestcut.cli import main
from nestcut.intake.job import understand_job
from nestcut.intake.pictures import job_fragments
from nestcut.pictures import Fragment, page

PARTS = Path(__file__).parents[3] / "parts"
SKIFF = PARTS / "skiff" / "job.toml"

BOX = """
[job]
unit = "mm"
[saw]
kerf = 2
[[sheet]]
name = "6 mm"
thickness = 6
length = 2440
width = 1220
[[tapered_box]]
name = "seat box"
thickness = 6
hand = "pair"
drawn = "starboard"
length = 900
width = 300
height = 260
slopes = { fore = 10, inboard = 15 }
"""


def fragments(path: Path) -> dict[str, Fragment]:
    return {f.name: f for f in job_fragments(understand_job(path))}


def test_lines_plan_in_three_views_and_every_part() -> None:
    """Each picture is sound SVG with a title; sizes are said as the job shows them."""
    made = fragments(SKIFF)

    assert {"lines-profile", "lines-plan", "lines-body", "part-side", "part-frame 3"} <= set(made)
    for fragment in made.values():
        root = ET.fromstring(fragment.svg)  # noqa: S314 - our own
        assert root.find("{http://www.w3.org/2000/svg}title") is not None
        assert not re.search(r"\d mm", fragment.svg + " ".join(fragment.words))
    assert "5 3/8" in made["part-side"].svg
    assert made["part-bottom"].words[-1] == "6 of floor board lie on it."
    assert made["lines-profile"].words == ()
    assert 'class="ring"' not in made["lines-profile"].svg


def test_a_doubted_reading_is_ringed(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    text = SKIFF.read_text(encoding="utf-8")
    path.write_text(text.replace("1-4-2 | 1-5-0", "1-7-2 | 1-5-0"), encoding="utf-8")
    made = fragments(path)

    assert made["lines-profile"].words == ("Ringed: sheer, station 3: read again",)
    assert made["lines-profile"].svg.count('class="ring"') == 1
    assert made["lines-plan"].words == ()


def test_a_box_is_opened_out_with_its_sides_named(tmp_path: Path) -> None:
    """Walls in one row as they fold; the inboard one is so for both hands."""
    path = tmp_path / "job.toml"
    path.write_text(BOX, encoding="utf-8")
    made = fragments(path)

    assert set(made) == {"box-seat box"}
    walls = re.findall(r">(\w+) wall</text>", made["box-seat box"].svg)
    assert walls == ["fore", "inboard", "aft", "outboard"]


def test_the_page_escapes_what_the_builder_wrote() -> None:
    shown = page("a <boat> & more", [Fragment(name="x", title="<b>", svg="<svg/>", words=("&",))])

    assert "a &lt;boat&gt; &amp; more" in shown
    assert "<b>" not in shown


def test_check_writes_the_page_and_its_pictures(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["check", str(SKIFF), "--draw", str(tmp_path / "pictures")])
    made = {p.name for p in (tmp_path / "pictures").iterdir()}

    assert ended.value.code == 0
    assert {"check.html", "lines-profile.svg", "part-side.svg"} <= made
    assert "check.html, and each of its pictures beside it" in capsys.readouterr().err
