"""What labels seem to say; likeness of shapes."""

from __future__ import annotations

import math

import pytest

from nestcut.drawings.sorting.labels import is_number, plain_name, suggestion
from nestcut.drawings.sorting.likeness import Likeness, likeness
from nestcut.geometry.pose import move_shape
from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.model.curves import Arc, Line
from nestcut.model.pose import Lie, Pose
from nestcut.model.shape import Shape


@pytest.mark.parametrize(
    ("text", "count", "thickness", "hand", "name"),
    [
        ("FRAME 2 x2 6mm", 2, "6mm", "", "FRAME 2"),
        ("knee, 4 off", 4, "", "", "knee"),
        ("2x thwart 9 mm ply", 2, "9 mm", "", "thwart"),
        ("seat (P&S) 1/4in", None, "1/4in", "p&s", "seat"),
        ('Transom 3/4 " marine', None, '3/4 "', "", "Transom"),
        ("qty: 3 cleat", 3, "", "", "cleat"),
        ("side panel port", None, "", "port", "side panel"),
        ("12 pcs 18mm", 12, "18mm", "", ""),
        ('KNEE 3/8" 3 PR', 6, '3/8"', "3 pr", "KNEE"),
        ("cleat 2 pairs", 4, "", "2 pairs", "cleat"),
        ("1 pair knees 9mm", 2, "9mm", "1 pair", "knees"),
        ("FRAME 2 pair", None, "", "pair", "FRAME 2"),
        ("Knie 2 Paar", 4, "", "2 paar", "Knie"),
        ("TRANSOM 2 layers", None, "", "", "TRANSOM"),
        ('transom 3/8" (2 layers) x2', 2, '3/8"', "", "transom"),
    ],
)
def test_suggestions_are_read_as_people_write_them(
    text: str, count: int | None, thickness: str, hand: str, name: str
) -> None:
    said = suggestion(text)
    assert said is not None
    assert (said.count, said.thickness, said.hand) == (count, thickness, hand)
    assert plain_name(text) == name


@pytest.mark.parametrize(
    ("text", "layers"),
    [("TRANSOM 2 layers", 2), ("stem, 3 Lagen", 3), ("seat 2 off", 0), ("two layers", 0)],
)
def test_layers_that_are_glued_up_are_read(text: str, layers: int) -> None:
    said = suggestion(text)
    assert (0 if said is None else said.layers) == layers


@pytest.mark.parametrize("text", ["frame 2", "bulkhead A", "B3", "mast step 16"])
def test_plain_names_suggest_nothing(text: str) -> None:
    assert suggestion(text) is None
    assert plain_name(text) == text


@pytest.mark.parametrize("text", ["1200", "12.5 mm", "R 25", "3'-4\"", "2440 x 1220"])
def test_bare_dimensions_name_nothing(text: str) -> None:
    assert is_number(text)


def bracket() -> Shape:
    edge = (
        Line((0, 0), (300, 0)),
        Arc((300, 40), 40, 270, 180),
        Line((300, 80), (60, 200)),
        Line((60, 200), (0, 0)),
    )
    hole = (Arc((100, 60), 15, 0, 360),)
    return Shape(
        ring_from_curves(edge, 0.05, Side.OUTLINE), (ring_from_curves(hole, 0.05, Side.HOLE),)
    )


@pytest.mark.parametrize("turn", [0.0, 33.0, 180.0, 271.0])
def test_turned_shapes_are_the_same_mirrored_ones_are_mirrored(turn: float) -> None:
    moved = move_shape(bracket(), Pose(Lie.FACE_UP, turn, (1234.5, -77.0)))
    assert likeness(bracket(), moved) is Likeness.SAME
    flipped = move_shape(bracket(), Pose(Lie.FACE_DOWN, turn, (50.0, 900.0)))
    assert likeness(bracket(), flipped) is Likeness.MIRRORED


def test_nearly_the_same_shape_is_another() -> None:
    edge = (
        Line((0, 0), (300, 0)),
        Arc((300, 40), 40, 270, 180),
        Line((300, 80), (61.5, 200)),
        Line((61.5, 200), (0, 0)),
    )
    hole = (Arc((100, 60), 15, 0, 360),)
    other = Shape(
        ring_from_curves(edge, 0.05, Side.OUTLINE), (ring_from_curves(hole, 0.05, Side.HOLE),)
    )
    assert likeness(bracket(), other) is Likeness.OTHER


def test_symmetric_shape_is_the_same_not_mirrored() -> None:
    edge = (Line((-50, 0), (50, 0)), Arc((0, 0), 50, 0, 180))
    half_disc = Shape(ring_from_curves(edge, 0.05, Side.OUTLINE))
    moved = move_shape(half_disc, Pose(Lie.FACE_DOWN, 40.0, (math.pi, 9.0)))
    assert likeness(half_disc, moved) is Likeness.SAME
