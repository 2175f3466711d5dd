"""Bevels of a job file: read, found on their edges, or told why not."""

from pathlib import Path

import pytest

from nestcut.errors import Finding
from nestcut.intake.job import understand_job
from nestcut.model.joint import Face
from nestcut.model.part import EdgeBevel
from nestcut.words import Speech, tell

HEAD = """
[job]
unit = "mm"
[saw]
kerf = 2
gap = 1
[[sheet]]
name = "ply"
material = "ply"
thickness = 9
length = 2440
width = 1220
"""
JOB = (
    HEAD
    + """
[[part]]
name = "transom"
thickness = 9
grain = "along"
hand = "{hand}"
bevels = {bevels}
[part.shape]
kind = "trapezoid"
bottom = 300
top = 400
height = 200
"""
)


def read(
    folder: Path, bevels: str, hand: str = "none"
) -> tuple[tuple[str, ...], tuple[EdgeBevel, ...], list[Finding]]:
    path = folder / "job.toml"
    path.write_text(JOB.format(bevels=bevels, hand=hand), encoding="utf-8")
    understood = understand_job(path)
    part = next(iter(understood.job.sheet_parts), None)
    told = [f for f in understood.findings if "bevels" in f.where]
    return (part.bevels, part.edge_bevels, told) if part else ((), (), told)


def test_words_and_edges_may_stand_together(tmp_path: Path) -> None:
    words, edges, told = read(
        tmp_path,
        '["by hand", { edge = ["left", "right"], tilt = [11, 8], larger = "good face" }, '
        '{ near = [200, -5], larger = "back", words = "to the ramp" }]',
    )

    assert told == []
    assert words == ("by hand",)
    assert [e.name for e in edges] == ["left and right edges", "edge as marked"]
    assert [e.tilt_deg for e in edges] == [(8.0, 11.0), None]
    assert [e.larger for e in edges] == [Face.GOOD, Face.BACK]
    assert len(edges[0].lines) == 2
    assert {p[1] for p in edges[1].lines[0]} == {0.0}
    assert edges[1].words == "to the ramp"


def test_left_of_a_pair_is_left_as_drawn(tmp_path: Path) -> None:
    bevels = '[{ edge = "left", larger = "back" }, { edge = "top", larger = "back" }]'

    assert [e.name for e in read(tmp_path, bevels, "pair")[1]] == ["left edge as drawn", "top edge"]
    assert [e.name for e in read(tmp_path, bevels)[1]] == ["left edge", "top edge"]


def test_a_point_near_no_edge_is_told_with_the_way_to_it(tmp_path: Path) -> None:
    _, edges, (told,) = read(tmp_path, '[{ near = [200, -60], larger = "back" }]')

    assert edges == ()
    assert (told.code, told.where) == ("JOB-071", "part[1].bevels[1].near")
    assert told.is_blocking
    assert "60 mm away" in tell(told, Speech()).message
    assert "from 0 mm to 400 mm in x and from 0 mm to 200 mm in y" in tell(told, Speech()).remedy


def test_a_steep_bevel_is_a_warning(tmp_path: Path) -> None:
    _, edges, (told,) = read(tmp_path, '[{ edge = "top", tilt = 48, larger = "back" }]')

    assert len(edges) == 1
    assert told.code == "JOB-028"
    assert not told.is_blocking


@pytest.mark.parametrize(
    ("bevels", "code", "where"),
    [
        ('[{ larger = "back" }]', "JOB-011", "edge"),
        ('[{ edge = "top", near = [0, 0], larger = "back" }]', "JOB-011", "edge"),
        ('[{ edge = "tip", larger = "back" }]', "JOB-008", "edge"),
        ('[{ edge = "top" }]', "JOB-004", "larger"),
        ('[{ edge = "top", larger = "inside" }]', "JOB-008", "larger"),
        ('[{ edge = "top", larger = "back", tilt = 90 }]', "JOB-007", "tilt"),
        ('[{ edge = "top", larger = "back", tilt = "steep" }]', "JOB-007", "tilt"),
        ('[{ edge = "top", larger = "back", angle = 9 }]', "JOB-003", "angle"),
    ],
)
def test_faults_have_their_place(tmp_path: Path, bevels: str, code: str, where: str) -> None:
    told = read(tmp_path, bevels)[2]

    assert [(f.code, f.where) for f in told] == [(code, f"part[1].bevels[1].{where}")]


def test_what_is_neither_words_nor_table_is_a_fault(tmp_path: Path) -> None:
    (told,) = read(tmp_path, "[7]")[2]

    assert (told.code, told.where) == ("JOB-005", "part[1].bevels[1]")


def test_a_side_that_a_part_lacks_is_told(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    text = JOB.format(bevels='[{ edge = "right", larger = "back" }]', hand="none")
    figure = 'kind = "polygon"\npoints = [[0, 0], [400, 0], [0, 100]]\n'
    path.write_text(text[: text.index('kind = "trapezoid"')] + figure, encoding="utf-8")
    told = [f for f in understand_job(path).findings if "bevels" in f.where]

    assert [(f.code, tell(f, Speech()).message) for f in told] == [
        ("JOB-027", "no edge of this part faces right.")
    ]


BOAT = (
    HEAD
    + """
[[part]]
name = "bottom"
thickness = 9
grain = "along"
forward = "right"
[part.shape]
kind = "polygon"
points = [[0, 0], [2000, 0], [2000, {fore}], [0, {aft}]]
[[part]]
name = "transom"
thickness = 9
grain = "along"
forward = "{forward}"
outside = "good face"
bevels = [{{ edge = "bottom", larger = "{larger}", words = "to the bottom" }}]
[part.shape]
kind = "trapezoid"
bottom = 300
top = 400
height = 200
"""
)


@pytest.mark.parametrize("forward", ["back", "good face"])
@pytest.mark.parametrize("larger", ["back", "good face"])
@pytest.mark.parametrize(("aft", "fore"), [(500, 800), (800, 500), (600, 601)])
def test_the_larger_face_is_asked_where_a_neighbour_speaks_for_the_other(
    tmp_path: Path, forward: str, larger: str, aft: int, fore: int
) -> None:
    """A panel that widens away from a transom has it larger inside, whichever end it stands at."""
    path = tmp_path / "job.toml"
    path.write_text(
        BOAT.format(forward=forward, larger=larger, aft=aft, fore=fore), encoding="utf-8"
    )
    told = [f for f in understand_job(path).findings if f.code == "JOB-109"]
    # the good face is outside: where it looks forward, the transom stands at the bow
    end, inner = (fore, aft) if forward == "good face" else (aft, fore)
    widens = inner > end + 5
    narrows = inner < end - 5
    is_doubted = (widens and larger == "good face") or (narrows and larger == "back")
    assert len(told) == int(is_doubted)
    if told:
        message = tell(told[0], Speech()).message
        assert f"the {'inner' if widens else 'outer'} face should be the larger" in message
