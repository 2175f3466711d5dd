"""What a plan says of its joints, and why pieces were left out: small jobs through the door."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

import nestcut
from nestcut.facts import Fact, Facts, Value
from nestcut.joints.curved.offer import offer_band_positions
from nestcut.joints.curved.places import Plank
from nestcut.model.plan import Plan
from nestcut.planning.joints_told import Prices, widths_told
from tests.builders_jobs import SKIFF
from tests.told import said
from tests.unit.joints.caps import arc_cap


def plan_of(text: str) -> Plan:
    job = nestcut.read_job(SKIFF + text, drawings={})
    return nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK)).plan


def panel(length: int, width: int, joint: str, more: str = "", name: str = "panel") -> str:
    shape = f'shape = {{ kind = "rectangle", length = {length}, width = {width} }}'
    joint = f'joint = {{ kind = "scarf", {joint} }}'
    return f'[[part]]\nname = "{name}"\nthickness = 6\n{shape}\n{joint}\n{more}\n'


def clauses(value: Value | Fact) -> Iterator[str]:
    """Codes of a fact and of all that stand in it."""
    if isinstance(value, Facts):
        for each in value.facts:
            yield from clauses(each)
    elif isinstance(value, Fact):
        yield value.code
        for _, inner in value.values:
            yield from clauses(inner)


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        (
            panel(4832, 1200, 'keep_clear = "none", most_joints = 1'),
            "JNT-302",
            "panel: joint at 2416 mm; no other way keeps the rules",
        ),
        (panel(2000, 300, 'keep_clear = "none"'), "JNT-304", "panel: in one piece"),
        (
            panel(3000, 300, 'keep_clear = "none", stagger = 400', 'hand = "pair"'),
            "JNT-307",
            "panel: port joint at",
        ),
        (
            panel(3000, 300, "keep_clear = [{ at = 1500, within = 200 }], most_joints = 1"),
            "JNT-321",
            "no equal stretches keep the rules",
        ),
    ],
)
def test_what_was_chosen_is_said_in_the_form_that_fits(text: str, code: str, words: str) -> None:
    told = {c: said(n) for n in plan_of(text).notes for c in clauses(n)}
    assert words in told[code]


def test_joints_that_leave_pieces_out_say_how_many() -> None:
    few = SKIFF.replace("price = 50.0", "count = 1")
    parts = panel(3000, 300, 'keep_clear = "none"', "count = 2") + panel(
        2400, 1100, 'keep_clear = "none"', name="bottom"
    )
    job = nestcut.read_job(few + parts, drawings={})
    plan = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK)).plan
    told = {c: said(n) for n in plan.notes for c in clauses(n)}
    assert f"{len(plan.unplaced)} pieces without a place" in told["JNT-325"]


TWO_WIDTHS = (
    Plank(name="slim", length_mm=2000.0, width_mm=200.0, price_minor=1000.0),
    Plank(name="wide", length_mm=3600.0, width_mm=260.0, price_minor=1300.0),
)


@pytest.mark.parametrize(
    ("chord_mm", "sagitta_mm", "codes", "words"),
    [
        (1000.0, 20.0, {"JNT-376"}, "wider boards change nothing: it is one piece already"),
        (4000.0, 100.0, {"JNT-381", "JNT-383"}, "instead of 3, since the boards are longer, for"),
        (4800.0, 200.0, {"JNT-381", "JNT-384"}, "instead of 3, since it fits better, for"),
    ],
)
def test_what_wider_boards_change_in_a_curve(
    chord_mm: float, sagitta_mm: float, codes: set[str], words: str
) -> None:
    told = widths_told(
        offer_band_positions(arc_cap(chord_mm, sagitta_mm), TWO_WIDTHS), Prices.KNOWN
    )[-1]
    assert codes <= set(clauses(told))
    assert words in said(told)


RAIL = """
[[board]]
name = "larch"
material = "larch"
thickness = 20
width = 45
lengths = [{ length = 3000, count = 1 LONG }, SHORT]
[[rail]]
name = "stringer"
section = [20, 45]
length = 2500
count = 2
joint = { kind = "scarf", JOINT }
"""
ROTTEN = ', defects = [{ from = 0, to = 3000, why = "rot" }]'
SHORT = "{ length = 2000, price = 5 }"


def left_out(**words: str) -> list[Fact]:
    text = RAIL
    for key, word in words.items():
        text = text.replace(key, word)
    return [u.reason for u in plan_of(text).unplaced]


def test_a_piece_whose_only_board_is_taken_says_so() -> None:
    (told,) = left_out(LONG="", SHORT=SHORT, JOINT="at = []")
    assert told.code == "BRD-120"
    assert "2500 mm long" in said(told)
    assert "clear stretch of a board is 3000 mm" in said(told)


@pytest.mark.parametrize("joint", ["at = []", 'keep_clear = "none"'])
def test_boards_that_are_rotten_from_end_to_end_give_nothing(joint: str) -> None:
    for told in left_out(LONG=ROTTEN, SHORT="", JOINT=joint):
        assert told.code == "BRD-104"
        assert "defects and end trims take their whole length" in said(told)
