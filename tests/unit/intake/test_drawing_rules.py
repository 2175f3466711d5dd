"""What a job says of a single drawing, a single layer and doubtful holes, and what it is told."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from nestcut.errors import Finding
from nestcut.intake.job import Understanding, understand_job
from nestcut.words import Speech, tell
from tests.unit.drawings.pens import blank, box

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

JOB = """
[saw]
kerf = "2 mm"
gap = "3 mm"
[[sheet]]
name = "ply"
material = "ply"
thickness = "6 mm"
length = "2440 mm"
width = "1220 mm"
"""


def part(name: str, **keys: str) -> str:
    lines = [f'[[part]]\nname = "{name}"\nthickness = "6 mm"\ngrain = "along"']
    return "\n".join([*lines, *(f"{key} = {value}" for key, value in keys.items())]) + "\n"


def understood(folder: Path, text: str) -> Understanding:
    path = folder / "job.toml"
    path.write_text(JOB + text, encoding="utf-8")
    made = understand_job(path)
    for item in made.findings:
        assert tell(item, Speech()).message
    return made


def blocking(made: Understanding) -> list[str]:
    return [f.code for f in made.findings if f.is_blocking]


def holes(made: Understanding) -> tuple[int, int]:
    (found,) = made.job.sheet_parts
    return len(found.shape.holes), len(found.shape.marks)


def doubtful(folder: Path) -> None:
    """A panel with a bolt hole on its own layer and two lines of which nobody knows."""
    document, space = blank()
    box(space, 0, 0, 900, 400, "panel")
    box(space, 100, 100, 100, 80, "seat")
    box(space, 300, 100, 100, 80, "rest")
    space.add_circle((700, 200), 20, dxfattribs={"layer": "panel"})
    document.saveas(folder / "a.dxf")


def test_doubtful_holes_bar_a_plan_until_they_are_answered(tmp_path: Path) -> None:
    doubtful(tmp_path)
    text = part("panel", drawing='"a.dxf"', layer='"panel"')
    made = understood(tmp_path, text)
    assert blocking(made) == ["DXF-058"]
    (asked,) = [f for f in made.findings if f.code == "DXF-058"]
    assert "1a, 1b" in tell(asked, Speech()).message


@pytest.mark.parametrize(
    ("answer", "expected"),
    [('"cut"', (3, 0)), ('"leave"', (1, 2)), ('["1a"]', (2, 1)), ('["1B", "1a"]', (3, 0))],
)
def test_each_answer_cuts_what_it_names_and_draws_the_rest(
    answer: str, expected: tuple[int, int], tmp_path: Path
) -> None:
    doubtful(tmp_path)
    made = understood(
        tmp_path, part("panel", drawing='"a.dxf"', layer='"panel"', doubtful_holes=answer)
    )
    assert not blocking(made)
    assert holes(made) == expected


def test_one_answer_holds_for_a_drawing_and_a_part_may_say_otherwise(tmp_path: Path) -> None:
    doubtful(tmp_path)
    text = '[[drawing]]\nfile = "a.dxf"\ndoubtful_holes = "leave"\n'
    named = {"drawing": '"a.dxf"', "layer": '"panel"'}
    assert holes(understood(tmp_path, text + part("panel", **named))) == (1, 2)
    own = part("panel", **named, doubtful_holes='"cut"')
    assert holes(understood(tmp_path, text + own)) == (3, 0)


def test_an_answer_that_names_no_doubtful_hole_is_told(tmp_path: Path) -> None:
    doubtful(tmp_path)
    text = part("panel", drawing='"a.dxf"', layer='"panel"', doubtful_holes='["1c"]')
    made = understood(tmp_path, text)
    assert blocking(made) == ["DXF-060"]
    (wrong,) = [f for f in made.findings if f.code == "DXF-060"]
    assert '"1a", "1b"' in tell(wrong, Speech()).remedy


def gapped(space: Modelspace, x: float, gap: float, layer: str) -> None:
    """A square of 300 mm with a gap in one corner."""
    points = [(x, 0), (x + 300, 0), (x + 300, 300), (x, 300), (x, gap)]
    space.add_lwpolyline(points, dxfattribs={"layer": layer})


def test_a_gap_is_told_with_the_setting_that_closes_it_and_that_setting_does(
    tmp_path: Path,
) -> None:
    document, space = blank()
    gapped(space, 0, 0.84, "keel")
    gapped(space, 400, 0.05, "deck")
    document.saveas(tmp_path / "a.dxf")
    deck = part("deck", drawing='"a.dxf"', layer='"deck"')
    keel = part("keel", drawing='"a.dxf"', layer='"keel"')
    made = understood(tmp_path, deck + keel)
    (gap,) = [f for f in made.findings if f.code == "DXF-046"]
    told = tell(gap, Speech())
    assert "0.84 mm apart" in told.message
    assert "nothing else on its layer changes" in told.message
    written = 'layers = [{ name = "keel", join_gap = "0.9 mm" }]'
    assert 'the [[drawing]] of "a.dxf" that is there' in told.remedy
    assert told.remedy.endswith(f"{written}.")
    mended = understood(tmp_path, f'[[drawing]]\nfile = "a.dxf"\n{written}\n' + deck + keel)
    assert not blocking(mended)
    assert len(mended.job.sheet_parts) == 2


def test_the_gap_of_one_layer_leaves_another_alone(tmp_path: Path) -> None:
    document, space = blank()
    gapped(space, 0, 0.8, "keel")
    gapped(space, 400, 0.8, "deck")
    document.saveas(tmp_path / "a.dxf")
    text = '[[drawing]]\nfile = "a.dxf"\nlayers = [{ name = "KEEL", join_gap = "1 mm" }]\n'
    made = understood(tmp_path, text + part("keel", drawing='"a.dxf"', layer='"keel"'))
    assert [p.name for p in made.job.sheet_parts] == ["keel"]
    assert [f.layer for f in made.findings if f.code == "DXF-046"] == ["deck"]


def test_an_open_question_of_a_drawing_is_asked_alone(tmp_path: Path) -> None:
    document, space = blank()
    gapped(space, 0, 0.8, "keel")
    document.saveas(tmp_path / "a.dxf")
    text = '[[drawing]]\nfile = "a.dxf"\nlayers = [{ name = "keel", join_gap = "" }]\n'
    made = understood(tmp_path, text + part("keel", drawing='"a.dxf"', layer='"keel"'))
    assert blocking(made) == ["JOB-022"]


def test_units_are_of_each_drawing(tmp_path: Path) -> None:
    for name in ("a.dxf", "b.dxf"):
        document, space = blank()
        box(space, 0, 0, 30, 20)
        document.saveas(tmp_path / name)
    text = '[[drawing]]\nfile = "a.dxf"\nunit = "in"\n[[drawing]]\nfile = "b.dxf"\nunit = "cm"\n'
    text += part("a", drawing='"a.dxf"') + part("b", drawing='"b.dxf"')
    made = understood(tmp_path, text)
    widths = {p.name: max(x for x, _ in p.shape.outline.points) for p in made.job.sheet_parts}
    assert widths == pytest.approx({"a": 762.0, "b": 300.0})


@pytest.mark.parametrize(
    ("table", "code"),
    [
        ('file = "b.dxf"', "JOB-062"),
        ('file = "a.dxf"\nlayers = [{ name = "pannel", join_gap = "1 mm" }]', "JOB-063"),
        ('file = "a.dxf"\nunit = ""', "JOB-022"),
        ('file = "a.dxf"\njoin_gap = "x"', "JOB-006"),
        ('file = "a.dxf"\njoingap = "1 mm"', "JOB-003"),
    ],
)
def test_a_table_that_means_nothing_is_told(table: str, code: str, tmp_path: Path) -> None:
    doubtful(tmp_path)
    keys = {"drawing": '"a.dxf"', "layer": '"panel"', "doubtful_holes": '"cut"'}
    made = understood(tmp_path, f"[[drawing]]\n{table}\n" + part("panel", **keys))
    assert blocking(made) == [code]


def far_away(findings: tuple[Finding, ...]) -> list[str]:
    return [f.code for f in findings if f.code in {"DXF-022", "DXF-064"}]


def test_a_job_is_told_of_its_own_parts_and_of_the_rest_in_one_line(tmp_path: Path) -> None:
    document, space = blank()
    gapped(space, 0, 0.05, "keel")
    gapped(space, 4000, 0.05, "deck")
    document.saveas(tmp_path / "a.dxf")
    keel = part("keel", drawing='"a.dxf"', layer='"keel"')
    deck = part("deck", drawing='"a.dxf"', layer='"deck"')
    assert far_away(understood(tmp_path, keel + deck).findings) == ["DXF-022", "DXF-022"]
    assert far_away(understood(tmp_path, keel).findings) == ["DXF-022", "DXF-064"]


def test_a_sheet_without_a_thickness_has_that_of_the_job(tmp_path: Path) -> None:
    text = '[job]\nthickness = "9 mm"\n' + JOB.replace('thickness = "6 mm"\n', "")
    path = tmp_path / "job.toml"
    keys = {"shape": '{ kind = "rectangle", length = "500 mm", width = "300 mm" }'}
    path.write_text(text + part("shelf", **keys).replace('thickness = "6 mm"\n', ""))
    made = understand_job(path)
    assert made.is_usable
    assert [s.thickness_mm for s in made.job.sheet_stocks] == [9.0]


@pytest.mark.parametrize("answer", ['""', '"yd"'])
def test_a_unit_that_isnt_said_rightly_is_told_where_it_stands_alone(
    answer: str, tmp_path: Path
) -> None:
    document, space = blank(insunits=0)
    box(space, 0, 0, 96, 14, "panel")
    document.saveas(tmp_path / "a.dxf")
    text = f"[drawings]\nunit = {answer}\n" + part("panel", drawing='"a.dxf"', layer='"panel"')
    made = understood(tmp_path, text)
    assert blocking(made) == ["JOB-022" if answer == '""' else "JOB-008"]
    assert not [f for f in made.findings if f.code in {"DXF-010", "DXF-011", "DXF-013"}]


def test_a_named_outline_with_gaps_bars_a_plan_until_it_is_closed(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 900, 400, "transom")
    line = [(0, 500), (1900, 500), (1900, 900), (0, 900), (0, 501)]
    space.add_lwpolyline(line, dxfattribs={"layer": "sides"})
    space.add_text("SIDE MAKE 2", height=40, dxfattribs={"layer": "T"}).set_placement((99, 700))
    document.saveas(tmp_path / "boat.dxf")
    text = part("t", drawing='"boat.dxf"', layer='"transom"', count="1")
    made = understood(tmp_path, text)
    (asked,) = [f for f in made.findings if f.is_blocking]
    assert tell(asked, Speech()).message.startswith("'SIDE': its line stays open at 1 gap,")
    closed = '[[drawing]]\nfile = "boat.dxf"\nlayers = [{ name = "sides", join_gap = "1.0 mm" }]\n'
    (asked,) = [f for f in understood(tmp_path, text + closed).findings if f.is_blocking]
    assert asked.code == "DXF-068", "closed, it isn't left out in silence"
    said = tell(asked, Speech())
    assert said.message.startswith("'SIDE' (2 in the picture) is an outline now")
    pair = {"drawing": '"boat.dxf"', "outline": '"2 of 2"', "count": "2"}
    assert not blocking(understood(tmp_path, text + closed + part("SIDE", **pair)))
    declined = 'no_parts = ["2 of 2"]'
    assert declined in said.remedy
    assert not blocking(understood(tmp_path, text + closed + declined + "\n"))


def test_a_second_table_for_the_same_drawing_is_told(tmp_path: Path) -> None:
    doubtful(tmp_path)
    tables = '[[drawing]]\nfile = "a.dxf"\n' * 2
    keys = {"drawing": '"a.dxf"', "layer": '"panel"', "doubtful_holes": '"cut"'}
    made = understood(tmp_path, tables + 'join_gap = "1 mm"\n' + part("panel", **keys))
    (told,) = [f for f in made.findings if f.is_blocking]
    assert (told.code, told.where.rpartition(": ")[2]) == ("JOB-100", "drawing[2].file")


def test_a_gap_that_is_not_answered_hides_only_what_it_keeps_open(tmp_path: Path) -> None:
    """The question stands at the layer; parts on others are read, the open one isn't refused."""
    document, space = blank()
    box(space, 0, 0, 900, 400, "ply 9")
    box(space, 0, 500, 700, 300, "ply 9 too")
    corners = [(2000, 1.5), (2000, 300), (2600, 300), (2600, 0), (2000, 0)]
    for a, b in pairwise(corners):
        space.add_line(a, b, dxfattribs={"layer": "ply 6"})
    document.saveas(tmp_path / "a.dxf")
    asked = '[[drawing]]\nfile = "a.dxf"\nlayers = [{ name = "ply 6", join_gap = "" }]\n'
    text = asked + part("seat", drawing='"a.dxf"', layer='"ply 9"')
    text += part("lid", drawing='"a.dxf"', outline='"2 of 2"')
    text += part("knee", drawing='"a.dxf"', outline='"3 of 3"')
    made = understood(tmp_path, text)
    assert blocking(made) == ["JOB-022"]
    assert [p.name for p in made.job.sheet_parts] == ["seat", "lid"]
    assert made.missed_parts == 1
    answered = understood(tmp_path, text.replace('join_gap = ""', 'join_gap = "2 mm"'))
    assert blocking(answered) == []
    assert [p.name for p in answered.job.sheet_parts] == ["seat", "lid", "knee"]


def test_other_faults_of_a_drawings_part_are_told_beside_an_open_gap(tmp_path: Path) -> None:
    doubtful(tmp_path)
    asked = '[[drawing]]\nfile = "a.dxf"\nlayers = [{ name = "seat", join_gap = "" }]\n'
    made = understood(tmp_path, asked + part("panel", drawing='"a.dxf"', layer='"panel"'))
    assert sorted(blocking(made)) == ["DXF-058", "JOB-022"]


def test_copies_of_a_part_that_waits_for_an_answer_are_not_left_over(tmp_path: Path) -> None:
    """Its outline may be drawn as often as it is cut; nobody is told to add the others."""
    document, space = blank()
    for k in range(3):
        box(space, 500 * k, 0, 400, 300, "knee")
    box(space, 0, 500, 900, 300, "seat")
    box(space, 0, 900, 800, 250, "lid")
    document.saveas(tmp_path / "a.dxf")
    knee = part("knee", drawing='"a.dxf"', outline='"1 of 5"', count="3")
    text = knee.replace('"6 mm"', '""') + part("seat", drawing='"a.dxf"', layer='"seat"')
    (left,) = [f for f in understood(tmp_path, text).findings if f.code == "DXF-066"]
    assert dict(left.values)["n"] == 1
