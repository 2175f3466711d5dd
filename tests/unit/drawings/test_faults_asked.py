"""Outlines that can't be cut as drawn are asked of; nothing named is left out in silence."""

from __future__ import annotations

import math
import tomllib
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from nestcut.drawings.concerns import findings_for
from nestcut.drawings.first.start import FirstJob, first_job
from nestcut.drawings.pick import pick_outline
from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import Drawing, DrawnOutline, LooksLike, OutlineRef, ReadOptions
from nestcut.drawings.sorting.labels import plain_name, suggestion
from nestcut.errors import Severity
from nestcut.units import Unit
from nestcut.words import Speech, tell
from tests.unit.drawings.pens import blank, box, read_back

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

AS_SAID = ReadOptions()
WEB = [(0, 0), (1000, 0), (1000, 300), (400, 300), (400, 200), (450, 320), (0, 300)]


def write(space: Modelspace, text: str, x: float, y: float, h: float = 20) -> None:
    space.add_text(text, height=h).set_placement((x, y))


def web_and_seat(folder: Path) -> Drawing:
    document, space = blank()
    box(space, 0, 500, 800, 300)
    write(space, "seat 9mm", 50, 600)
    space.add_lwpolyline(WEB, close=True)
    write(space, "web 9mm", 50, 100)
    return read_back(document, folder, AS_SAID)


def started(drawing: Drawing) -> FirstJob:
    return first_job(((drawing.file, drawing),), name="boat")


def test_a_part_whose_line_crosses_itself_is_asked_of_with_its_ring(tmp_path: Path) -> None:
    drawing = web_and_seat(tmp_path)
    (fault,) = [f for f in drawing.findings if f.code == "DXF-024"]
    assert fault.where.endswith("ring A")
    assert "outline 2 (web)" in tell(fault, Speech()).message
    text = started(drawing).text
    web = tomllib.loads(text)["part"][1]
    assert (web["name"], web["count"], web["outline"]) == ("web", "", "2 of 2")
    assert "ring A in the picture" in text
    assert not any(f.code == "DXF-048" for f in drawing.findings)


def test_a_job_is_told_of_a_crossing_line_that_it_doesnt_take(tmp_path: Path) -> None:
    drawing = web_and_seat(tmp_path)
    seat = pick_outline(drawing, OutlineRef(label="seat"))
    assert isinstance(seat, DrawnOutline)
    told = findings_for(drawing, [seat])
    assert [f.code for f in told if f.severity is Severity.WARNING] == ["DXF-024"]


def test_a_part_that_points_at_a_crossing_line_is_told_once_as_a_fault(tmp_path: Path) -> None:
    drawing = web_and_seat(tmp_path)
    refused = pick_outline(drawing, OutlineRef(number=2, of=2))
    assert isinstance(refused, tuple)
    assert (refused[0].code, refused[0].severity) == ("DXF-024", Severity.ERROR)
    assert refused[0].where.endswith("ring A")
    assert not [f for f in findings_for(drawing, [], refused) if f.code == "DXF-024"]


def test_a_named_part_with_crossing_holes_is_asked_of_too(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 2000, 700)
    write(space, "bottom 9mm", 900, 600)
    box(space, 300, 100, 200, 100)
    box(space, 450, 150, 200, 100)
    box(space, 0, 900, 900, 300)
    write(space, "seat 9mm", 50, 1000)
    text = started(read_back(document, tmp_path, AS_SAID)).text
    (bottom,) = [p for p in tomllib.loads(text)["part"] if p["name"] == "bottom"]
    assert bottom["count"] == ""
    assert "an edge runs into another one" in text


def test_parts_of_a_drawing_that_no_table_takes_are_counted(tmp_path: Path) -> None:
    document, space = blank()
    for i, size in enumerate((300, 340, 340, 380)):
        box(space, 500 * i, 0, 400, size)
    drawing = read_back(document, tmp_path)
    first, second = drawing.outlines[:2]
    (left,) = [f for f in findings_for(drawing, [first, second]) if f.code == "DXF-066"]
    assert tell(left, Speech()).message.endswith(": 4 in the picture.")
    everything = findings_for(drawing, drawing.outlines)
    assert not [f for f in everything if f.code == "DXF-066"]


@pytest.mark.parametrize("step", [1, -1])
def test_an_end_that_stops_short_of_its_own_line_is_measured_there(
    step: int, tmp_path: Path
) -> None:
    corners = [(2000.0, 0.0), (0.0, 0.0), (0.0, 330.0), (2000.0, 400.0), (1960.0, 1.5)]
    document, space = blank()
    ends = list(pairwise(corners))
    for a, b in ends[::step]:
        space.add_line(a, b)
    (fault,) = [
        f for f in read_back(document, tmp_path).findings if f.code in {"DXF-047", "DXF-021"}
    ]
    assert fault.code == "DXF-047"
    assert "1.5 mm short" in tell(fault, Speech()).message


def test_a_label_that_two_different_parts_bear_points_at_neither(tmp_path: Path) -> None:
    document, space = blank()
    for x, size in ((0, 300), (600, 400)):
        space.add_lwpolyline([(x, 0), (x + size, 0), (x, size)], close=True)
        write(space, "knee", x + 40, 60)
    drawing = read_back(document, tmp_path)
    told = pick_outline(drawing, OutlineRef(label="knee"))
    assert isinstance(told, tuple)
    assert told[0].code == "DXF-052"


# ---- the unit first -------------------------------------------------------------------------


def in_inches(folder: Path, gap: float) -> Path:
    """A side 96 by 5 in, drawn without a word on the unit, its last corner not quite closed."""
    corners = [(0.0, 0.0), (96.0, 0.0), (96.0, 5.0), (0.0, 5.0), (0.0, gap)]
    lines = ["0", "SECTION", "2", "ENTITIES"]
    for (a, b), (c, d) in pairwise(corners):
        lines += ["0", "LINE", "8", "0", "10", str(a), "20", str(b), "11", str(c), "21", str(d)]
    path = folder / "silent.dxf"
    path.write_text("\n".join([*lines, "0", "ENDSEC", "0", "EOF", ""]), encoding="ascii")
    return path


def test_a_gap_is_no_gap_by_the_likeliest_unit_not_by_mm(tmp_path: Path) -> None:
    """0.05 drawn is within the joining gap as mm, and half a millimetre and more as what it is."""
    silent = read_drawing(in_inches(tmp_path, 0.05))
    assert silent.unit is None
    assert not silent.outlines
    closed = read_drawing(in_inches(tmp_path, 0.001))
    assert len(closed.outlines) == 1
    x0, _, x1, _ = closed.outlines[0].box_mm
    assert (x1 - x0) / closed.mm_per_unit == pytest.approx(96.0)


def test_the_answer_that_is_likeliest_changes_no_number(tmp_path: Path) -> None:
    path = in_inches(tmp_path, 0.001)
    silent = read_drawing(path)
    assert silent.mm_per_unit == 10.0
    answered = read_drawing(path, ReadOptions(silent_unit=Unit.CM))
    assert [o.number for o in answered.outlines] == [o.number for o in silent.outlines]
    assert [o.area_mm2 for o in answered.outlines] == [o.area_mm2 for o in silent.outlines]


def test_sizes_in_the_job_are_in_the_drawings_own_unit_until_it_is_said(tmp_path: Path) -> None:
    text = started(read_drawing(in_inches(tmp_path, 0.001))).text
    assert "96 x 5 in the drawing's own unit" in text
    assert '"in": the longest outlines are 2,438 mm (8 ft)' in text


def test_kinds_are_judged_at_the_likeliest_unit(tmp_path: Path) -> None:
    """Nineteen times as long as wide: an edge view if it were 5 mm wide, a plank as 50 mm."""
    document, space = blank(insunits=0)
    box(space, 0, 0, 96, 5)
    box(space, 0, 20, 96, 30)
    drawing = read_back(document, tmp_path, AS_SAID)
    assert not [o for o in drawing.offered if o.judgement.kind is LooksLike.EDGE_VIEW]
    assert math.isclose(drawing.mm_per_unit, 10.0)


# ---- found with boats drawn in awkward ways -------------------------------------------------


def test_names_of_frames_over_each_other_follow_their_layers(tmp_path: Path) -> None:
    """The name of the third stands within the second, which is smaller, on a layer of its own."""
    document, space = blank()
    sizes = {1: (300, 360), 2: (420, 390), 3: (500, 400), 4: (520, 420)}
    for i, (half, high) in sizes.items():
        points = [(-0.7 * half, 0), (0.7 * half, 0), (half, high), (-half, high)]
        space.add_lwpolyline(points, close=True, dxfattribs={"layer": f"FRAME {i}"})
        text = space.add_text(f"FRAME {i} 9mm", height=18, dxfattribs={"layer": f"FRAME {i}"})
        text.set_placement((-0.5 * half, high - 28))
    drawing = read_back(document, tmp_path)
    wide = {o.name: (o.box_mm[2] - o.box_mm[0]) / 2.0 for o in drawing.outlines}
    assert wide == {f"FRAME {i}": half for i, (half, _) in sizes.items()}
    assert not [f for f in drawing.findings if f.code in {"DXF-029", "DXF-043"}]


def routed(space: Modelspace) -> None:
    """A frame with a hole and a knee, each with the tool's line on its outer or inner side."""
    box(space, 0, 0, 700, 400, "CUT")
    box(space, -3, -3, 706, 406, "TOOLPATH")
    write(space, "frame 9mm", 100, 300)
    for radius, layer in ((40.0, "CUT"), (37.0, "TOOLPATH")):
        space.add_circle((350, 150), radius, dxfattribs={"layer": layer})
    box(space, 1000, 0, 250, 250, "CUT")
    box(space, 997, -3, 256, 256, "TOOLPATH")
    write(space, "knee 12mm", 1000, 280)


def test_the_tools_line_inside_a_hole_is_no_part_and_takes_no_name(tmp_path: Path) -> None:
    document, space = blank()
    routed(space)
    drawing = read_back(document, tmp_path)
    assert sorted(o.name for o in drawing.outlines) == ["frame", "knee"]
    kinds = {o.judgement.kind for o in drawing.offered if o.layer == "TOOLPATH"}
    assert kinds == {LooksLike.ALLOWANCE}


def test_a_drawing_of_tool_paths_alone_keeps_its_parts(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 700, 400, "TOOLPATH")
    write(space, "frame 9mm", 100, 300)
    assert [o.name for o in read_back(document, tmp_path).outlines] == ["frame"]


@pytest.mark.parametrize(
    ("text", "name", "thickness"),
    [
        ('FRAME 1 3/8" ply', "FRAME 1", '3/8"'),
        ('BHD. 2 1/2"', "BHD. 2", '1/2"'),
        ('TRANSOM 1 1/8"', "TRANSOM", '1 1/8"'),
        ('FRAME 3 1-1/8"', "FRAME 3", '1-1/8"'),
        ("FRAME 4 9mm", "FRAME 4", "9mm"),
    ],
)
def test_the_number_of_a_frame_is_no_part_of_its_thickness(
    text: str, name: str, thickness: str
) -> None:
    said = suggestion(text)
    assert said is not None
    assert (plain_name(text), said.thickness) == (name, thickness)
