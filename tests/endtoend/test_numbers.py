"""Jobs that need no CAD: lines, entries and the shape command, from the job file to the DXF."""

from __future__ import annotations

from pathlib import Path

import pytest
from ezdxf.filemanagement import readfile

from nestcut.cli import main
from nestcut.drawings.pick import pick_outline
from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import DrawnOutline, OutlineRef
from nestcut.geometry.rings import shape_area_mm2
from nestcut.intake.job import understand_job
from nestcut.words import Speech, finding_line
from tests.builders_jobs import CHINE_AND_SHEER, LARCH, SKIFF

PARTS = Path(__file__).parents[2] / "parts"

JOB = (
    SKIFF.replace("kerf = 2", "kerf = 2\ngap = 2")
    + LARCH
    + """[[board]]
name = "thin larch"
material = "larch"
thickness = 12
width = 95
lengths = [{ length = "4.2 m", price = 9.0 }]
"""
    + CHINE_AND_SHEER
    + """
[[part]]
name = "side"
thickness = 6
hand = "pair"
drawn = "starboard"
[part.shape]
kind = "developed"
lower = "chine"
upper = "sheer"
mark_at = [600, 1200]
mark_names = ["frame 1", "frame 2"]

[[part]]
name = "floor"
thickness = 6
[part.shape]
kind = "trapezoid"
bottom = 900
top = 700
height = 500

[[tapered_box]]
name = "seat"
thickness = 6
length = 700
width = 320
height = 240
slopes = { fore = 8, port = 12 }
cleats = { section = [20, 20] }

[[slats]]
name = "slat"
over = "floor"
section = [12, 80]
gap = 10
clearance = 5
middle = "edge"
through = 6

[[cleats]]
name = "floor cleat"
of = "floor"
edge = "bottom"
section = [20, 20]
short = 15

[[rail]]
name = "gunwale"
section = [20, 45]
along = { line = "sheer" }
hand = "pair"
"""
)


def test_a_boat_without_drawings_is_understood(tmp_path: Path) -> None:
    """Parts of all entries arrive with materials filled in; the rail has its true length.

    Straight from station to station it would be 2339.8 mm long.
    """
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")
    found = understand_job(tmp_path / "job.toml")
    assert found.is_usable, [str(f) for f in found.findings]
    rails = {r.name: r for r in found.job.rail_parts}

    assert [p.name for p in found.job.sheet_parts] == [
        "side",
        "floor",
        "seat fore wall",
        "seat port wall",
        "seat aft wall",
        "seat starboard wall",
    ]
    assert {p.material for p in found.job.sheet_parts} == {"ply"}
    assert 2339.8 < rails["gunwale"].length_mm < 2345.0
    assert rails["floor cleat"].length_mm == pytest.approx(870.0)
    assert {r.material for r in rails.values()} == {"larch"}
    assert "seat fore-and-aft cleat" in rails
    assert "slat 1" in rails


def test_faults_of_numbers_are_all_told(tmp_path: Path) -> None:
    """A wrong line name, a part of an entry named twice, an unknown key: in one go, exit 3."""
    text = JOB.replace('lower = "chine"', 'lower = "chime"')
    text = text.replace('name = "floor cleat"', 'name = "gunwale"').replace("short =", "shrot =")
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    found = understand_job(tmp_path / "job.toml")
    told = "\n".join(finding_line(f, Speech()) for f in found.findings)

    assert not found.is_usable
    assert "part[1].shape.lower: there is no line 'chime'" in told
    assert "unknown key 'shrot'" in told


def test_doubled_name_from_an_entry(tmp_path: Path) -> None:
    """An entry may not give a name that a rail has."""
    text = JOB.replace('name = "floor cleat"', 'name = "gunwale"')
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    codes = {f.code for f in understand_job(tmp_path / "job.toml").findings}

    assert "JOB-009" in codes


def test_shape_command_writes_drawings_that_read_back(tmp_path: Path) -> None:
    """Each part's DXF holds the same outline, true curves and all, and is clean."""
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")
    out = tmp_path / "shapes"
    with pytest.raises(SystemExit) as stopped:
        main(["shape", str(tmp_path / "job.toml"), "--out", str(out)])
    assert stopped.value.code == 0

    for part in understand_job(tmp_path / "job.toml").job.sheet_parts:
        path = out / f"{part.name.replace(' ', '-')}.dxf"
        assert not readfile(path).audit().errors
        picked = pick_outline(read_drawing(path), OutlineRef())
        assert isinstance(picked, DrawnOutline)
        assert shape_area_mm2(picked.shape) == pytest.approx(shape_area_mm2(part.shape), rel=1e-7)


def test_shape_command_reports_on_panels(tmp_path: Path) -> None:
    """The punt's side comes with a comb and a table; an unknown part is refused."""
    job = str(PARTS / "punt" / "job.toml")
    with pytest.raises(SystemExit) as stopped:
        main(["shape", job, "--out", str(tmp_path), "--part", "side"])
    assert stopped.value.code == 0
    assert sorted(p.name for p in tmp_path.iterdir()) == [
        "nestcut-files.json",
        "side-fairness.csv",
        "side-fairness.svg",
        "side.dxf",
    ]
    with pytest.raises(SystemExit) as stopped:
        main(["shape", job, "--out", str(tmp_path), "--part", "sides"])
    assert stopped.value.code == 3


def test_punt_is_the_same_in_inches_and_millimetres() -> None:
    """Every shape and every rail, to the last bit."""
    inch, mm = (understand_job(PARTS / "punt" / f).job for f in ("job.toml", "job-mm.toml"))

    assert inch.sheet_parts == mm.sheet_parts
    assert inch.rail_parts == mm.rail_parts
    assert inch.sheet_stocks == mm.sheet_stocks
    assert inch.board_stocks == mm.board_stocks
    assert sum(p.count * (2 if p.hands == "pair" else 1) for p in inch.sheet_parts) == 24


def test_readings_may_stand_in_a_csv_file(tmp_path: Path) -> None:
    """A line and a panel read from tables beside the job file give the same parts."""
    chine = "stations;half_breadths;heights\n0;420;120\n600;500;90\n1200;510;85\n"
    chine += "1800;420;110\n2300;260;160\n"
    (tmp_path / "chine.csv").write_text(chine, encoding="utf-8")
    start, stop = JOB.index("stations"), JOB.index('[[line]]\nname = "sheer"')
    (tmp_path / "csv.toml").write_text(
        JOB[:start] + 'readings = "chine.csv"\n' + JOB[stop:], encoding="utf-8"
    )
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")
    written, read = (understand_job(tmp_path / f).job for f in ("job.toml", "csv.toml"))

    assert read.sheet_parts == written.sheet_parts
    (tmp_path / "chine.csv").unlink()
    assert "FIL-001" in {f.code for f in understand_job(tmp_path / "csv.toml").findings}


def test_cap_from_numbers_is_a_band(tmp_path: Path) -> None:
    """A cap along a line carries its width, so that it can be split along its curve."""
    cap = """
[[part]]
name = "cap"
thickness = 12
from = "board"
hand = "pair"
joint = { kind = "scarf", keep_clear = "none" }
[part.shape]
kind = "cap"
along = "sheer"
width = 70
"""
    (tmp_path / "job.toml").write_text(JOB + cap, encoding="utf-8")
    parts = {p.name: p for p in understand_job(tmp_path / "job.toml").job.sheet_parts}

    assert parts["cap"].width_along_mm == 70.0
    assert parts["side"].width_along_mm is None


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("heights = [480, 450, 445, 470, 520]", "heights = [480, 450, 45, 470, 520]", "SHP-085"),
        ("heights = [120, 90, 85, 110, 160]", "heights = [620, 590, 585, 610, 660]", "SHP-077"),
        (
            "stations = [0, 600, 1200, 1800, 2300]",
            "stations = [0, 1200, 600, 1800, 2300]",
            "SHP-126",
        ),
        ("heights = [480, 450, 445, 470, 520]", "heights = [480, 450, 545, 470, 520]", "SHP-072"),
    ],
)
def test_misread_lines_are_doubted(old: str, new: str, code: str, tmp_path: Path) -> None:
    """Single lines as tables of offsets: crossing, exchanged, out of order, one figure wrong."""
    text = JOB.replace(old, new, 1)
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    codes = {f.code for f in understand_job(tmp_path / "job.toml").findings}

    assert code in codes
    assert not codes & ({"SHP-077", "SHP-085"} - {code})
