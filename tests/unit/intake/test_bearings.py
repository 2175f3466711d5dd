"""Which way a part stands in the boat: as written, or as its kind of figure knows."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.errors import InputError
from nestcut.intake.job import read_job
from nestcut.model.part import Bearings, Outside, SheetPart, Towards

ROOT = Path(__file__).parents[3]
JOB = """
[job]
unit = "mm"
show = "mm"
[saw]
kerf = "2 mm"
[[sheet]]
name = "ply"
thickness = 6
length = 2440
width = 1220
price = 1.0
[[part]]
name = "thing"
thickness = 6
grain = "along"
{keys}
shape = {{ kind = "rectangle", length = "400 mm", width = "200 mm" }}
"""


def thing(tmp_path: Path, keys: str) -> SheetPart:
    path = tmp_path / "job.toml"
    path.write_text(JOB.format(keys=keys), encoding="utf-8")
    (part,) = read_job(path).sheet_parts
    return part


def test_as_written(tmp_path: Path) -> None:
    part = thing(tmp_path, 'forward = "left"\nup = "top"\noutside = "back"')
    assert part.bearings == Bearings(forward=Towards.LEFT, up=Towards.TOP, outside=Outside.BACK)


def test_nothing_is_made_up(tmp_path: Path) -> None:
    assert thing(tmp_path, "").bearings == Bearings()


def test_a_panel_by_its_edges_may_lie_flat(tmp_path: Path) -> None:
    """A knee, a bottom, a side: which edge is up is for the builder to say."""
    shape = 'kind = "panel", stations = [0, 200, 400], lower = [0, 0, 0], upper = [90, 80, 60]'
    path = tmp_path / "job.toml"
    for keys, up in (("", Towards.UNSAID), ('up = "top"', Towards.TOP)):
        text = JOB.format(keys=keys).partition("shape =")[0] + f"shape = {{ {shape} }}\n"
        path.write_text(text, encoding="utf-8")
        (part,) = read_job(path).sheet_parts
        assert part.bearings.up is up


@pytest.mark.parametrize(
    ("forward", "up"), [("left", "right"), ("top", "top"), ("good face", "back")]
)
def test_forward_and_up_are_square_to_each_other(tmp_path: Path, forward: str, up: str) -> None:
    with pytest.raises(InputError) as caught:
        thing(tmp_path, f'forward = "{forward}"\nup = "{up}"')
    assert [f.code for f in caught.value.findings] == ["JOB-011"]


def test_parts_from_lines_know_by_themselves() -> None:
    parts = {
        p.name: p.bearings for p in read_job(ROOT / "parts" / "skiff" / "job.toml").sheet_parts
    }
    assert parts["side"] == Bearings(forward=Towards.RIGHT, outside=Outside.GOOD)
    assert parts["transom, layer 1"] == Bearings(
        forward=Towards.BACK, up=Towards.TOP, outside=Outside.GOOD
    )
    assert parts["frame 2"].up is Towards.TOP
    # the hull widens from the bow to station 3 and narrows from there aft: the larger face is the
    # good one, so it looks aft before the widest frame and forward behind it
    assert parts["bulkhead 1"].forward is Towards.BACK
    assert parts["frame 4"].forward is Towards.GOOD
    assert parts["fore deck"].forward is Towards.RIGHT
    assert parts["middle thwart"] == Bearings()


def test_the_other_hand_looks_the_other_way() -> None:
    one = Bearings(forward=Towards.RIGHT, up=Towards.TOP, outside=Outside.GOOD)
    assert one.turned == Bearings(forward=Towards.LEFT, up=Towards.TOP, outside=Outside.GOOD)
    assert one.turned.turned == one


def test_bevels_keep_which_end_is_steeper(tmp_path: Path) -> None:
    keys = (
        'bevels = [{ edge = "right", larger = "good face", tilt = [8, 11] }, '
        '{ edge = ["left", "top"], larger = "good face", tilt = [15, 9] }]'
    )
    right, others = thing(tmp_path, keys).edge_bevels
    assert (right.tilt_deg, others.tilt_deg) == ((8.0, 11.0), (9.0, 15.0))
    told: dict[tuple[float, float], tuple[float, ...]] = {}
    for bevel in (right, others):
        for (a, *_, b), (first, last) in zip(bevel.lines, bevel.at_ends_deg, strict=True):
            told[a], told[b] = (*told.get(a, ()), first), (*told.get(b, ()), last)
    assert set(told[400.0, 0.0]) == {8.0}
    assert set(told[400.0, 200.0]) == {11.0, 9.0}
    assert set(told[0.0, 200.0]) == {9.0, 15.0}  # the left edge's upper end, the top's left one
    assert set(told[0.0, 0.0]) == {15.0}
