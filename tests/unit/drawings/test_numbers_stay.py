"""Numbers of outlines hold whatever gaps are closed."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from ezdxf.filemanagement import new

from nestcut.drawings.pick import pick_outline
from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import DrawnOutline, OutlineRef, ReadOptions
from nestcut.units import Unit

PLAIN = ReadOptions(unit=Unit.MM)
CLOSED = ReadOptions(unit=Unit.MM, layer_gaps=(("SIDES", 1.5),))


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    """An open side drawn first, two plain parts, an open deck, and half a bottom."""
    document = new("R2000")
    model = document.modelspace()

    def run(points: list[tuple[float, float]], layer: str) -> None:
        for a, b in pairwise(points):
            model.add_line(a, b, dxfattribs={"layer": layer})

    run([(0, 0), (2000, 0), (2000, 400), (0, 400), (0, 1.2)], "SIDES")
    for x, wide, layer in ((3000, 500, "SEAT"), (4000, 300, "KNEE")):
        run([(x, 0), (x + wide, 0), (x + wide, 250), (x, 250), (x, 0)], layer)
    run([(100, 1000), (900, 1000), (900, 1300), (100, 1300), (100, 1001)], "SIDES")
    run([(3000, 1000), (3000, 1330)], "BOTTOM")
    run([(3000, 1330), (4500, 1400), (5500, 1000)], "BOTTOM")
    model.add_line((2900, 1000), (5700, 1000), dxfattribs={"layer": "CENTRE", "linetype": "CENTER"})
    path = tmp_path / "boat.dxf"
    document.saveas(path)
    return path


def numbers(path: Path, options: ReadOptions) -> dict[tuple[str, int], int]:
    """Number of each outline, by layer and left edge."""
    read = read_drawing(path, options)
    found = (*read.outlines, *read.offered)
    return {(o.layer, round(o.box_mm[0])): o.number for o in found if o.number}


def test_what_closes_later_is_numbered_after_all_that_was_there(drawing: Path) -> None:
    before, after = numbers(drawing, PLAIN), numbers(drawing, CLOSED)
    new = {k: n for k, n in after.items() if k not in before}

    assert before == {k: n for k, n in after.items() if k in before}
    assert len(before) >= 2
    assert sorted(new.values()) == [len(before) + 1, len(before) + 2]
    assert new["SIDES", 0] > max(before.values())


def test_a_wider_gap_for_all_keeps_them_too(drawing: Path) -> None:
    wide = ReadOptions(unit=Unit.MM, join_gap_mm=1.5)
    before, after = numbers(drawing, PLAIN), numbers(drawing, wide)

    assert {k: after.get(k) for k in before} == before


@pytest.mark.parametrize("of", ["before", "after"])
def test_a_number_written_before_the_gap_was_closed_finds_its_outline(
    drawing: Path, of: str
) -> None:
    """Both ways of saying how many there are hold, as the numbers are the same."""
    plain, closed = read_drawing(drawing, PLAIN), read_drawing(drawing, CLOSED)
    count = plain.numbered if of == "before" else closed.numbered
    seat = next(o for o in plain.outlines if o.layer == "SEAT")
    picked = pick_outline(closed, OutlineRef(number=seat.number, of=count))

    assert isinstance(picked, DrawnOutline)
    assert picked.layer == "SEAT"
    assert closed.numbered == plain.numbered + 2


def test_a_number_of_another_drawing_is_still_asked(drawing: Path) -> None:
    closed = read_drawing(drawing, CLOSED)
    for number, of in ((1, closed.numbered + 1), (closed.numbered, closed.unclosed)):
        picked = pick_outline(closed, OutlineRef(number=number, of=of))

        assert isinstance(picked, tuple)
        assert [f.code for f in picked] == ["DXF-059"]
