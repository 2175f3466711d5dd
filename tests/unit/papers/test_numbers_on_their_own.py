"""A number stands in its own piece or in waste that is nobody's, and once."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import Point, Polygon, box

from nestcut.model.job import CuttingRules
from nestcut.model.plan import Offcut
from nestcut.model.shape import Ring, Shape
from nestcut.papers.draw import figure_text, merged
from nestcut.papers.draw.diagram import Area, Disc, Group, Item, Text
from nestcut.papers.sheet.drawing import draw_sheet
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.view import Figures, SheetView, keeps_of
from nestcut.units import LengthStyle
from tests.builders_demos import demo_view
from tests.builders_pages import circle, laid

MM = Figures(LengthStyle.MM)
SAW = CuttingRules(kerf_mm=2.0, gap_mm=3.0)


def slab(x: float, y: float, long: float, wide: float) -> Shape:
    return Shape(Ring(((x, y), (x + long, y), (x + long, y + wide), (x, y + wide))))


def drawn(sheet: SheetView, scale: float) -> tuple[SheetFrame, dict[int, list[Item]]]:
    """What is written in or beside each piece, by its number."""
    size = (sheet.layout.length_mm, sheet.layout.width_mm)
    frame = SheetFrame(scale, (40.0, 60.0), (0.0, 0.0, *size))
    keeps = keeps_of(sheet, SAW, MM)
    numbers = {p.piece.id: p.number for p in sheet.placed}
    found: dict[int, list[Item]] = {}
    for item in draw_sheet(sheet, frame, MM, frame.paper_window, keeps=keeps).items:
        if isinstance(item, Group) and item.kind == "label":
            found.setdefault(numbers[item.key], []).extend(item.items)
    return frame, found


def places(number: int, items: list[Item]) -> list[Point]:
    return [Point(i.at) for i in items if isinstance(i, Text) and i.text == str(number)]


def test_a_number_beside_its_piece_stands_in_no_keep() -> None:
    """A ring's number stood beyond the first cut: on the wrong board once that is sawn."""
    ring = Shape(circle(1070.0, 600.0, 57.0), (circle(1070.0, 600.0, 25.0, clockwise=True),))
    keep = Offcut(from_mm=(1132.0, 0.0), to_mm=(2440.0, 1220.0))
    beside = slab(600.0, 400.0, 405.0, 400.0)
    sheet = laid({"ring": ring, "beside": beside}, [keep])
    frame, told = drawn(sheet, 16.0)
    (at,) = places(1, told[1])
    assert not frame.shape(box(*keep.from_mm, *keep.to_mm)).intersects(at.buffer(1.0))
    assert not frame.shape(sheet.placed[1].polygon).intersects(at)


def test_a_number_stands_in_no_other_pieces_hole() -> None:
    """Beside the ring's own number it read as a second one of the ring."""
    bar = slab(1000.0, 0.0, 500.0, 22.0)
    outer, inner = slab(1050.0, 27.0, 380.0, 280.0), slab(1075.0, 52.0, 330.0, 230.0)
    ring = Shape(outer.outline, (Ring(inner.outline.points[::-1]),))
    sheet = laid({"bar": bar, "ring": ring, "high": slab(0.0, 320.0, 2440.0, 300.0)})
    frame, told = drawn(sheet, 20.0)
    (at,) = places(1, told[1])
    assert not frame.shape(Polygon(outer.outline.points)).intersects(at)


@pytest.mark.parametrize("scale", [12.5, 16.0])
@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
def test_a_number_stands_once_and_in_no_circle(demo: str, scale: float) -> None:
    """Twice it reads as two pieces; in a circle as a round piece, or a hole to be bored."""
    seen = 0
    for sheet in demo_view(demo).sheets:
        _, told = drawn(sheet, scale)
        for number, items in told.items():
            assert len(places(number, items)) <= 1
            assert not any(isinstance(i, Disc) and i.radius_mm > 1.0 for i in items)
            seen += 1
    assert seen > 15


@pytest.mark.parametrize("number", [8, 88, 888])
def test_a_long_numbers_frame_has_its_room(number: int) -> None:
    """Room for two figures let a frame of three lie on the piece and on its neighbour."""
    beside = {"left": slab(600.0, 0.0, 395.0, 1220.0), "right": slab(1154.0, 0.0, 400.0, 1220.0)}
    sheet = laid({"bar": slab(1000.0, 0.0, 20.0, 1220.0), **beside})
    bar, *others = sheet.placed
    frame, told = drawn(replace(sheet, placed=(replace(bar, number=number), *others)), 20.0)
    frames = [Polygon(i.outline) for i in told.get(number, ()) if isinstance(i, Area)]
    assert len(frames) == (number < 100)  # three figures have no room there: a page of details
    assert all(frame.shape(p.polygon).distance(f) > 0.1 for p in sheet.placed for f in frames)


def test_numbers_stand_before_keeps() -> None:
    """ "960 (KEEP 2, 1)" reads as KEEP 2 and KEEP 1."""
    (figure,) = merged([(960.0, "KEEP 2"), (960.1, "12"), (960.2, "1")])
    assert figure_text(figure, MM.place) == "960 (1, 12, KEEP 2)"
