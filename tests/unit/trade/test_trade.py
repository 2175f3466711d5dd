"""Every number of the trade: sourced, once, and followed from the job file to the paper."""

from __future__ import annotations

import ast
import re
from itertools import pairwise
from pathlib import Path
from types import ModuleType

import pytest

from nestcut import trade
from nestcut.jobfile.read import parse_job_text
from nestcut.trade import COMMON_PRACTICE, Figure, Span
from nestcut.trade.woods import BEND_RADII_MM, WOODS, least_bend_radius_mm
from nestcut.words import Speech, tell
from tests.architecture.sources import modules, text_of

PACKAGE = Path(trade.__file__).parent
ROOMS = [trade.boards, trade.coatings, trade.flotation, trade.joints, trade.shop, trade.woods]


def _numbers(room: ModuleType) -> dict[str, Figure | Span]:
    return {k: v for k, v in vars(room).items() if isinstance(v, Figure | Span)}


@pytest.mark.parametrize("room", ROOMS, ids=lambda r: r.__name__.rpartition(".")[2])
def test_every_number_has_a_unit_and_a_source_without_an_address(room: ModuleType) -> None:
    found = _numbers(room)
    assert found
    for name, number in found.items():
        assert number.unit, name
        assert number.source == COMMON_PRACTICE or len(number.source) > 15, name
        assert not re.search(r"https?:|www\.|\.com|\.net|memory", number.source), name


def test_every_number_is_used() -> None:
    """A number that nobody asks for isn't one of the trade's, or somebody has a copy."""
    outside = (p for p in modules() if PACKAGE not in p.parents)
    words = {w for p in outside for w in re.findall(r"\w+", text_of(p))}
    inside = "".join(p.read_text(encoding="utf-8") for p in PACKAGE.glob("*.py"))
    for room in ROOMS:
        for name in _numbers(room):
            assert name in words or inside.count(name) > 1, name


def test_nobody_else_holds_one() -> None:
    """Constants elsewhere that call themselves common practice belong here."""
    held = []
    calls = re.compile(r"common\s+practice|handbook", re.IGNORECASE)
    for path in modules():
        if PACKAGE in path.parents or not calls.search(text_of(path)):
            continue
        for one, after in pairwise(ast.parse(text_of(path)).body):
            is_number = isinstance(one, ast.Assign) and isinstance(one.value, ast.Constant)
            words = ast.get_docstring(ast.Module([after], [])) or ""
            if is_number and calls.search(words):
                held.append(f"{path.name}: {ast.unparse(one)}")
    assert held == []


PART = """
[saw]
kerf = "2 mm"
[[sheet]]
name = "ply"
material = "ply"
thickness = "6 mm"
length = "2440 mm"
width = "1220 mm"
count = "buy"
[[board]]
name = "boards"
material = "{wood}"
thickness = "6 mm"
width = "300 mm"
lengths = [{{ length = "3 m", price = 5.00 }}]
[[part]]
name = "side"
material = "ply"
thickness = "6 mm"
from = "{cut_from}"
joint = {{ keep_clear = []{more} }}
[part.shape]
kind = "rectangle"
length = "3 m"
width = "200 mm"
[[rail]]
name = "gunwale"
material = "larch"
section = ["20 mm", "40 mm"]
length = "2.9 m"
"""


def _job(more: str = "", cut_from: str = "sheet") -> str:
    return PART.format(more=more, cut_from=cut_from, wood="larch")


def test_defaults_of_a_joint_are_the_trades() -> None:
    rule = parse_job_text(_job().encode(), "job.toml").parts[0].joint
    assert rule is not None
    told = {
        trade.joints.SLOPE_PLYWOOD: rule.slope,
        trade.joints.STRAP_WIDTH_THICKNESSES: rule.strap_width_thicknesses,
        trade.joints.STRAP_MARGIN_MM: rule.strap_margin_mm,
        trade.joints.RUN_OUT: rule.run_out,
        trade.joints.KEY_BIT_MM: rule.key_bit_mm,
        trade.joints.KEY_CLEARANCE_MM: rule.key_clearance_mm,
    }
    assert {f.value: v for f, v in told.items()} == {f.value: f.value for f in told}


def test_solid_wood_falls_back_to_its_own_slope() -> None:
    """1 in 12 for a rail, and for a cap from a board (Wood Handbook FPL-GTR-190, ch. 10)."""
    text = parse_job_text(_job(cut_from="board").encode(), "job.toml")
    assert [r.joint.slope for r in text.rails if r.joint] == [12.0]
    assert [p.joint.slope for p in text.parts if p.joint] == [12.0]


@pytest.mark.parametrize(
    ("joint", "code"),
    [
        ('slope = "5:1"', "JOB-092"),
        ('slope = "6:1"', None),
        ('slope = "5:1", accept = "weak joint"', None),
        ('kind = "butt strap", strap_width = 7', "JOB-093"),
        ('kind = "butt strap", strap_width = 8', None),
        ('kind = "butt strap", strap_width = 7, accept = "weak joint"', None),
        ('kind = "butt strap", strap_width = "40 mm"', "JOB-093"),
        ('kind = "butt strap", strap_width = "4in"', None),
        ('kind = "butt strap", strap_width = "40in"', "JOB-096"),
        ('kind = "butt strap", slope = "5:1"', None),
    ],
)
def test_weak_joints_are_refused_unless_accepted(joint: str, code: str | None) -> None:
    found = parse_job_text(_job(f", {joint}").encode(), "job.toml").findings
    assert [f.code for f in found if f.code.startswith("JOB-09")] == [c for c in [code] if c]


@pytest.mark.parametrize(
    ("answer", "is_asked"),
    [
        ("", True),
        ("keep_clear = []", False),
        ('keep_clear = "none"', False),
        ('at = ["1 m"]', False),
        ('keep_clear = [{ at = "1 m", why = "rowlock" }]', False),
    ],
)
def test_free_joints_ask_what_must_be_kept_clear(answer: str, is_asked: bool) -> None:  # noqa: FBT001
    text = _job().replace("keep_clear = []", answer)
    found = parse_job_text(text.encode(), "job.toml").findings
    assert [f.code for f in found if f.code == "JOB-091"] == ["JOB-091"] * is_asked


@pytest.mark.parametrize(
    ("rail", "is_asked"),
    [
        ('length = "2.9 m"', False),
        ('length = "4 m"', True),
        ('length = "4 m"\njoints = "none"', False),
        ('length = "4 m"\njoint = { keep_clear = "none" }', False),
    ],
)
def test_a_rail_longer_than_every_board_asks_too(rail: str, is_asked: bool) -> None:  # noqa: FBT001
    text = _job().replace('length = "2.9 m"', rail)
    found = [f for f in parse_job_text(text.encode(), "job.toml").findings if f.code == "JOB-091"]
    assert [f.where for f in found] == ["rail[1].joint.keep_clear"] * is_asked


@pytest.mark.parametrize(("show", "example"), [("mm", '"1.2 m"'), ("inch", '"4ft"')])
def test_what_is_kept_clear_is_asked_in_the_units_of_the_job(show: str, example: str) -> None:
    text = f'[job]\nshow = "{show}"\n' + _job().replace("keep_clear = []", "")
    found = parse_job_text(text.encode(), "job.toml").findings
    asked = [f for f in found if f.code == "JOB-091"]
    assert asked
    assert all(f"at = {example}" in tell(f, Speech()).remedy for f in asked)


def test_bend_radii_by_the_handbooks_table() -> None:
    """FAA AC 43.13-1B, Table 1-2: 1/4 in 31 in, 3/8 in 54 in with the grain across."""
    for thick, radius in BEND_RADII_MM:
        assert least_bend_radius_mm(thick) == pytest.approx(radius)
    assert 31.0 < least_bend_radius_mm(0.3 * 25.4) / 25.4 < 54.0
    steps = [least_bend_radius_mm(t / 2.0) for t in range(2, 60)]
    assert all(a < b for a, b in pairwise(steps))


def test_woods_have_spans_that_are_honest() -> None:
    assert all(w.density.high > w.density.low for w in WOODS)
