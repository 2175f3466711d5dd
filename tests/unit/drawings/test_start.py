"""A first job file and a picture from drawings."""

from __future__ import annotations

import tomllib
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from ezdxf.document import Drawing as Document

from nestcut.drawings.first.entries import Drawings
from nestcut.drawings.first.gaps import read_for_start
from nestcut.drawings.first.start import first_job
from nestcut.drawings.pictures.picture import drawing_picture, job_picture
from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import Drawing, ReadOptions
from nestcut.drawings.remarks import said_terms
from nestcut.jobfile.read import parse_job_text
from nestcut.model.joint import JointKind
from nestcut.units import LengthStyle
from tests.unit.drawings.pens import blank, box, read_back

SLANT = ((0, 0), (600, 0), (500, 300), (0, 200))


def boat(insunits: int = 4) -> Document:
    document, space = blank(insunits=insunits)
    space.add_lwpolyline(SLANT, close=True)
    space.add_text("side x2 6mm", height=20).set_placement((50, 50))
    space.add_lwpolyline([(2000 - x, y) for x, y in SLANT], close=True)
    for i in range(3):
        box(space, 200 * i, 500, 100, 80, "knees")
    space.add_lwpolyline([(0, 900), (2900, 900), (2900, 1200), (0, 1200)], close=True,
                         dxfattribs={"layer": "bottom 'n"})  # fmt: skip
    space.add_circle((1450, 1050), 60)
    space.add_lwpolyline([(3000, 0), (3400, 0), (3400, 400)])
    return document


def start_job(
    drawings: Drawings, *, name: str, folder: str = "", style: LengthStyle = LengthStyle.MM
) -> str:
    return first_job(drawings, name=name, folder=folder, style=style).text


def parsed(text: str) -> tuple[dict[str, object], list[dict[str, object]]]:
    data = tomllib.loads(text)
    return data, data["part"]


def test_pairs_repeats_and_labels_become_entries(tmp_path: Path) -> None:
    text = start_job((("boat.dxf", read_back(boat(), tmp_path, ReadOptions())),), name="boat")
    _, parts = parsed(text)
    by_name = {p["name"]: p for p in parts}
    side = by_name["side"]
    assert (side["hand"], side["count"], side["label"]) == ("pair", 1, "side")
    assert side["thickness"] == "6mm"
    knees = by_name["knees"]
    assert (knees["count"], knees["layer"]) == (3, "knees")
    assert by_name["bottom 'n"]["layer"] == "bottom 'n"
    assert "longer than a sheet" in text
    assert len(parts) == 3


def test_every_question_is_refused_until_answered_then_the_job_is_sound(tmp_path: Path) -> None:
    text = start_job((("boat.dxf", read_back(boat(), tmp_path, ReadOptions())),), name="boat")
    open_questions = text.count('= ""')
    lines = [k for k, line in enumerate(text.splitlines(), start=1) if '= ""' in line]
    assert f"{len(lines)} questions, on lines {', '.join(map(str, lines))}:" in text
    found = parse_job_text(text.encode(), "job.toml").findings
    assert len([f for f in found if f.is_blocking]) == open_questions
    answered = text.replace('kerf = ""', 'kerf = "2 mm"').replace('kind = ""', 'kind = "scarf"')
    answered = answered.replace('keep_clear = ""', 'keep_clear = "none"')
    answered = answered.replace('thickness = ""', 'thickness = "6 mm"')
    answered = answered.replace('doubtful_holes = ""', 'doubtful_holes = "cut"')
    assert not [f for f in parse_job_text(answered.encode(), "job.toml").findings if f.is_blocking]


def test_silent_unit_is_a_question_with_all_sizes(tmp_path: Path) -> None:
    drawing = read_back(boat(insunits=0), tmp_path, ReadOptions())
    text = start_job((("boat.dxf", drawing),), name="boat", style=LengthStyle.INCH)
    data, _ = parsed(text)
    assert data["drawings"] == {"unit": ""}
    assert '"ft": ' not in text
    assert data["sheet"][0]["length"] == "8ft"  # type: ignore[index]


def test_same_drawing_same_text(tmp_path: Path) -> None:
    def make() -> str:
        drawing = read_drawing(tmp_path / "drawing.dxf")
        return start_job((("boat.dxf", drawing),), name="boat")

    read_back(boat(), tmp_path)
    assert make() == make()


def test_names_with_control_characters_stay_inside_their_strings(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 300, 200, "b 1+1")
    space.add_text('x"\\u0007 [part] ../../etc', height=10).set_placement((20, 20))
    text = start_job(
        (("a/b.dxf", read_back(document, tmp_path, ReadOptions())),), name='n"\n[[part]]'
    )
    data, parts = parsed(text)
    assert len(parts) == 1
    assert set(data) == {"job", "saw", "drawings", "sheet", "part"} - (
        {"drawings"} if "drawings" not in data else set()
    )


def _picture(drawing: Drawing) -> ET.Element:
    return ET.fromstring(drawing_picture(drawing))  # noqa: S314 - our own text


def test_picture_rings_faults_and_names_outlines(tmp_path: Path) -> None:
    drawing = read_back(boat(), tmp_path)
    svg = _picture(drawing)
    names = {e.text for e in svg.iter("{http://www.w3.org/2000/svg}text")}
    assert "1 side" in names
    rings = list(svg.iter("{http://www.w3.org/2000/svg}circle"))
    placed = [f for f in drawing.findings if f.at_mm is not None]
    in_key = 1
    assert len(rings) == len([f for f in placed if f.severity != "note"]) + in_key


def test_picture_of_nothing_is_a_picture(tmp_path: Path) -> None:
    document, _ = blank()
    assert _picture(read_back(document, tmp_path)).tag.endswith("svg")


def test_picture_of_a_job_fills_parts_hatches_what_is_asked_and_uses_the_names_of_the_job(
    tmp_path: Path,
) -> None:
    document, space = blank()
    box(space, 0, 0, 900, 300)
    box(space, 0, 400, 800, 300)
    box(space, 0, 800, 900, 300)
    space.add_circle((1000, 1000), 10)
    drawing = read_back(document, tmp_path, ReadOptions())
    again = read_drawing(tmp_path / "drawing.dxf")
    made = first_job((("a.dxf", drawing), ("b.dxf", again)), name="two", picture="two.svg")
    assert "two.svg shows every outline" in made.text
    names = {p["name"] for p in parsed(made.text)[1]}
    assert {made.names[0][n] for n in (1, 2)} == names
    assert made.names[0][3] == made.names[0][1]  # drawn twice, one part
    assert made.names[1] == made.names[0]
    svg = ET.fromstring(job_picture([("a.dxf", drawing, {1: "stem"}), ("b.dxf", drawing, {})]))  # noqa: S314
    texts = [e.text for e in svg.iter("{http://www.w3.org/2000/svg}text")]
    assert {"a.dxf", "b.dxf", "1 stem", "4"} <= set(texts)
    fills = [e.get("fill") for e in svg.iter("{http://www.w3.org/2000/svg}path")]
    assert fills.count("#f2e3c0") == 6
    assert fills.count("url(#asked)") == 2


def halves(folder: Path, count: int) -> Drawing:
    """Half parts of different lengths up to a dashed centre line, each with its name."""
    document, space = blank()
    document.linetypes.add("CENTRE", [30.0, 20.0, -10.0])
    for k in range(count):
        y, long = 900.0 * k, 1000.0 + 100.0 * k
        space.add_lwpolyline(
            [(0, y), (long, y), (long - 200, y + 300), (0, y + 400)], close=True,
            dxfattribs={"layer": f"part {k}"},
        )  # fmt: skip
        space.add_text(f"PANEL {'ABCDEF'[k]} (HALF) 6 mm", height=30).set_placement((200, y + 100))
        space.add_line((-100, y), (long + 100, y),
                       dxfattribs={"layer": "CENTRE", "linetype": "CENTRE"})  # fmt: skip
    return read_back(document, folder)


def test_every_half_is_asked_about_at_its_own_part(tmp_path: Path) -> None:
    """No question for the whole drawing, whose answer would mirror a whole part as well."""
    data, parts = parsed(start_job((("a.dxf", halves(tmp_path, 3)),), name="a"))

    assert [p.get("drawn_half") for p in parts] == ["", "", ""]
    assert "drawing" not in data


def test_many_halves_are_asked_about_at_once(tmp_path: Path) -> None:
    text = start_job((("a.dxf", halves(tmp_path, 6)),), name="a")
    data, parts = parsed(text)

    assert not any("drawn_half" in p for p in parts)
    assert data["drawing"] == [{"file": "a.dxf", "drawn_half": ""}]
    assert "1 (PANEL A), 2 (PANEL B)" in text
    assert "Otherwise for one?" in text


def test_a_part_added_by_hand_has_what_its_label_says(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 400, 900, "x")
    space.add_text("SIDE (PAIR) make 4  6 mm ply", height=30).set_placement((50, 100))
    box(space, 900, 0, 700, 200, "y")
    (side, plain) = read_back(document, tmp_path).outlines

    assert said_terms(side) == {"thickness": "6 mm", "count": 2, "hand": "pair", "grain": "across"}
    assert said_terms(plain) == {"count": 1, "grain": "along"}


def test_a_named_side_with_gaps_is_in_the_first_job_of_a_drawing_without_a_unit(
    tmp_path: Path,
) -> None:
    """Gaps are closed on trial and asked about; the side is a part, with its joint question."""
    document, space = blank(insunits=0)
    box(space, 0, 2000, 1100, 350, "seats")
    corners = [(0, 900), (3200, 1050), (3060, 640), (40, 480), (0, 898.7)]
    space.add_lwpolyline(corners, dxfattribs={"layer": "sides"})
    space.add_text("SIDE (PAIR) 6 mm PLY", height=45).set_placement((1400, 760))
    document.saveas(tmp_path / "boat.dxf")

    text = start_job((("boat.dxf", read_for_start(tmp_path / "boat.dxf")),), name="boat")

    data, parts = parsed(text)
    (side,) = [p for p in parts if p["name"] == "SIDE"]
    assert (side["hand"], side["thickness"]) == ("pair", "6 mm")
    assert side["joint"] == {"kind": "", "slope": "8:1", "keep_clear": ""}
    assert data["drawing"] == [{"file": "boat.dxf", "layers": [{"name": "sides", "join_gap": ""}]}]
    assert '"1.3 mm" closes them if it is drawn in mm, "1.3 in" if in inches' in text


def test_numbers_in_a_first_job_hold_before_its_gaps_are_closed_and_after(tmp_path: Path) -> None:
    document, space = blank()
    for x in (0, 1500):
        box(space, x, 2000, 1100, 350 + x / 10)
    line = [(0, 0), (900, 0), (900, 400), (0, 400), (0, 1.3)]
    space.add_lwpolyline(line, dxfattribs={"layer": "sides"})
    document.saveas(tmp_path / "boat.dxf")

    _, parts = parsed(start_job((("b", read_for_start(tmp_path / "boat.dxf")),), name="boat"))

    pointers = [str(p.get("outline", "")) for p in parts]
    assert {"1 of 2", "2 of 2"} <= set(pointers), "the same with gaps open or closed"


@pytest.mark.parametrize(
    ("label", "keys"),
    [
        ('KNEE 3/8" 3 PR', {"name": "KNEE", "hand": "pair", "count": 3, "thickness": '3/8"'}),
        ("TRANSOM 2 layers", {"name": "TRANSOM", "count": 1, "layers": 2}),
        ("SEAT 2 layers x2", {"name": "SEAT", "count": 2, "layers": 2}),
    ],
)
def test_pairs_and_layers_of_a_label_are_written_down(
    label: str, keys: dict[str, object], tmp_path: Path
) -> None:
    """And an outline that is added later takes the same of it."""
    document, space = blank()
    box(space, 0, 0, 500, 300)
    space.add_text(label, height=20).set_placement((50, 50))
    drawing = read_back(document, tmp_path)
    (part,) = parsed(start_job((("a.dxf", drawing),), name="boat"))[1]
    assert {k: part[k] for k in keys} == keys
    assert label not in {part["name"], part.get("label")}
    terms = said_terms(drawing.outlines[0])
    assert {k: terms[k] for k in keys if k != "name"} == {
        k: v for k, v in keys.items() if k != "name"
    }


def test_the_question_of_joints_names_every_kind(tmp_path: Path) -> None:
    """What stands beside the question is what the answer is held against."""
    document, space = blank()
    box(space, 0, 0, 4000, 300)
    text = start_job((("a.dxf", read_back(document, tmp_path, ReadOptions())),), name="boat")
    (line,) = (line for line in text.splitlines() if line.startswith("joint = "))
    assert [kind for kind in JointKind if f'"{kind.value}"' not in line] == []
