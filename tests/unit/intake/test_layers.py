# ruff: noqa: E501 - job lines stand as they are
"""What intake makes of shapes: layers of their own size, half parts, joints the long way."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from nestcut.geometry.rings import shape_area_mm2, true_bounds_mm
from nestcut.intake.job import Understanding, understand_job
from nestcut.model.joint import JointAxis
from nestcut.model.part import SheetPart
from nestcut.planning.fit import find_misfits
from nestcut.words import Speech, tell

HEAD = """
[job]
unit = "mm"
[saw]
kerf = 2
[[sheet]]
name = "18 mm"
thickness = 18
length = 2440
width = 1220
"""


def understood(parts: str, tmp_path: Path) -> Understanding:
    (tmp_path / "job.toml").write_text(HEAD + parts, encoding="utf-8")
    return understand_job(tmp_path / "job.toml")


def parts_of(parts: str, tmp_path: Path) -> dict[str, SheetPart]:
    found = understood(parts, tmp_path)
    assert found.is_usable, found.findings
    return {p.name: p for p in found.job.sheet_parts}


TRANSOM = """
[[part]]
name = "transom"
thickness = 18
layers = 2
bevels = [{ edge = "bottom", tilt = 20, larger = "LARGER" }]
shape = { kind = "rectangle", length = 900, width = 400, notches = [{ edge = "top", width = 80, radius = 40 }] }
"""


@pytest.mark.parametrize(("larger", "smaller"), [("good face", 2), ("back", 1)])
def test_each_layer_has_the_size_that_its_depth_asks_for(
    larger: str, smaller: int, tmp_path: Path
) -> None:
    """The layer one thickness from the larger face is lower by t tan(tilt); the other is whole."""
    made = parts_of(TRANSOM.replace("LARGER", larger), tmp_path)
    high = {}
    for number in (1, 2):
        part = made[f"transom, layer {number}"]
        _, y0, _, y1 = true_bounds_mm(part.shape.outline)
        high[number] = y1 - y0
        [bevel] = part.edge_bevels
        assert bevel.lines[0][0][1] == pytest.approx(y0)

    assert high[3 - smaller] == pytest.approx(400.0)
    assert high[smaller] == pytest.approx(400.0 - 18.0 * math.tan(math.radians(20.0)))


def test_a_bevelled_curve_has_no_layers_of_its_own(tmp_path: Path) -> None:
    text = TRANSOM.replace(
        'kind = "rectangle", length = 900, width = 400', 'kind = "circle", diameter = 500'
    )
    found = understood(
        text.replace("LARGER", "back").replace(
            ', notches = [{ edge = "top", width = 80, radius = 40 }]', ""
        ),
        tmp_path,
    )

    assert [f.code for f in found.findings if f.is_blocking] == ["JOB-036"]


def test_half_a_part_by_numbers_is_mirrored(tmp_path: Path) -> None:
    """About its base line, holes included."""
    made = parts_of(
        """
[[part]]
name = "deck"
thickness = 18
drawn_half = "mirror"
shape = { kind = "panel", stations = [0, 500, 1000], upper = [200, 300, 250], curve = "straight", holes = [{ diameter = 50, centre = [500, 150] }] }
""",
        tmp_path,
    )
    part = made["deck"]
    _, y0, _, y1 = true_bounds_mm(part.shape.outline)
    half = 500 * (200 + 300) / 2 + 500 * (300 + 250) / 2

    assert (y0, y1) == pytest.approx((-300.0, 300.0))
    assert len(part.shape.holes) == 2
    assert shape_area_mm2(part.shape) == pytest.approx(2 * (half - math.pi * 25**2))


BULKHEAD = """
[[part]]
name = "bottom"
thickness = 18
joint = { kind = "scarf", keep_clear = "none" }
shape = { kind = "bulkhead", heights = [0, 1000, 3600], half_breadths = [200, 400, 300] }
"""


def test_free_joints_follow_the_longer_side(tmp_path: Path) -> None:
    """A bottom given as a section stands upright in its frame: its pieces follow each other up."""
    part = parts_of(BULKHEAD, tmp_path)["bottom"]
    flat = parts_of(BULKHEAD.replace("3600", "1010").replace("[0, 1000", "[0, 500"), tmp_path)

    assert part.joint is not None
    assert part.joint.axis is JointAxis.WIDTH
    turned = flat["bottom"].joint
    assert turned is not None
    assert turned.axis is JointAxis.WIDTH


def test_joints_that_can_not_help_are_told_by_check(tmp_path: Path) -> None:
    """Along its breadth the pieces would be 3.6 m high: told before any search."""
    text = BULKHEAD.replace('kind = "scarf"', 'kind = "scarf", along = "length"')
    found = understood(text, tmp_path)

    (told,) = find_misfits(found.job)
    assert told.code == "JNT-114"
    assert "no sheet has that" in tell(told, Speech()).message
    assert find_misfits(understood(BULKHEAD, tmp_path).job) == ()


def test_open_questions_of_a_shape_are_told_with_those_of_its_part(tmp_path: Path) -> None:
    """A first job file asks everything at once."""
    found = understood(
        """
[[part]]
name = ""
thickness = ""
[part.shape]
kind = "rectangle"
length = ""
width = ""
""",
        tmp_path,
    )

    assert [f.where for f in found.findings] == [
        "part[1].name",
        "part[1].thickness",
        "part[1].shape.length",
        "part[1].shape.width",
    ]


CAMBERED = """
[[part]]
name = "transom"
thickness = 18
layers = 2
bevels = [{ edge = ["left", "right"], tilt = 20, larger = "good face" }]
shape = { kind = "bulkhead", heights = [0, 400], half_breadths = [300, 300], camber = 50 }
"""


def test_a_cambered_top_is_cut_off_along_its_arc_where_the_sides_go_in(tmp_path: Path) -> None:
    """The second layer is narrower by t tan(tilt) a side; its corners stay on the camber's circle.

    Camber 50 over a half-breadth of 300: R = 300^2 / 100 + 25 = 925 mm.
    """
    made = parts_of(CAMBERED, tmp_path)
    x0, y0, x1, y1 = true_bounds_mm(made["transom, layer 2"].shape.outline)
    half = 300.0 - 18.0 * math.tan(math.radians(20.0))

    assert (x1 - x0) / 2.0 == pytest.approx(half)
    assert y1 - y0 == pytest.approx(450.0)
    corner = 450.0 - 925.0 + math.sqrt(925.0**2 - half**2)
    tops = [y for x, y in made["transom, layer 2"].shape.outline.points if abs(x - x1) < 1e-6]
    assert max(tops) - y0 == pytest.approx(corner)
