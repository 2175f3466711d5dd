"""Laws of free joints: whatever is on offer keeps the rules, mirrors its hands, wastes nothing."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import unary_union
from shapely.geometry import Polygon

from nestcut.geometry.polygons import to_polygon
from nestcut.joints.candidates import offer_positions
from nestcut.joints.curved.offer import offer_band_positions
from nestcut.joints.curved.places import Plank
from nestcut.joints.offers import Choice
from nestcut.joints.split import SplitPart, split_part
from nestcut.model.joint import JointKind, JointRule, KeepClear
from nestcut.model.part import Hand, SheetPart
from nestcut.model.stock import SheetStock
from tests.unit.joints.caps import arc_cap
from tests.unit.joints.panels import plain_panel

SHEET = SheetStock(name="ply", material="ply", thickness_mm=6, length_mm=2440, width_mm=1220)
PLANK = Plank(name="board", length_mm=2400.0, width_mm=200.0, price_minor=1000.0)


@st.composite
def rules(draw: st.DrawFn, length: float) -> JointRule:
    """Up to two stretches to keep clear, and perhaps a stagger of the twins."""
    zones = []
    for k in range(draw(st.integers(0, 2))):
        at = draw(st.floats(100.0, length - 400.0))
        wide = draw(st.floats(20.0, 300.0))
        zones.append(KeepClear(from_mm=at, to_mm=at + wide, reason=f"z{k}"))
    return JointRule(
        kind=draw(st.sampled_from([JointKind.SCARF, JointKind.BUTT_STRAP])),
        slope=draw(st.sampled_from([8.0, 12.0])),
        keep_clear=tuple(zones),
        stagger_mm=draw(st.sampled_from([0.0, 150.0])),
    )


@st.composite
def panels(draw: st.DrawFn) -> SheetPart:
    """A panel longer than the sheet, a pair, under a rule."""
    length = draw(st.floats(2600.0, 6500.0))
    panel = plain_panel(length, draw(st.floats(200.0, 1100.0)))
    return replace(panel, joint=draw(rules(length)))


@st.composite
def caps(draw: st.DrawFn) -> SheetPart:
    """A cap along an arc, a pair, under a rule."""
    chord = draw(st.floats(2600.0, 4800.0))
    cap = arc_cap(chord, draw(st.floats(60.0, 300.0)), draw(st.floats(60.0, 130.0)))
    return replace(cap, joint=replace(draw(rules(chord)), kind=JointKind.SCARF))


def _nets(split: SplitPart, hand: Hand) -> list[Polygon]:
    return [to_polygon(p.net) for p in split.pieces if p.hand is hand]


def _mirror(polygon: Polygon) -> Polygon:
    return Polygon([(-x, y) for x, y in polygon.exterior.coords])


def _keeps_the_rules(part: SheetPart, choice: Choice, overlap: float) -> bool:
    rule = part.joint
    assert rule is not None
    theirs = choice.at_mm if choice.twin_at_mm is None else choice.twin_at_mm
    clear = all(
        at + overlap / 2.0 <= z.from_mm + 1e-6 or at - overlap / 2.0 >= z.to_mm - 1e-6
        for at in (*choice.at_mm, *theirs)
        for z in rule.keep_clear
    )
    apart = rule.stagger_mm <= 0.0 or all(
        abs(a - b) >= rule.stagger_mm - 1e-6 for a in choice.at_mm for b in theirs
    )
    return clear and apart


@settings(max_examples=10, deadline=None, derandomize=True)
@given(panels())
def test_panels_on_offer(part: SheetPart) -> None:
    """Rules kept; material cut = part + overlaps; hands mirrored; pieces together are the part."""
    rule = part.joint
    assert rule is not None
    overlap = rule.slope * 6.0 if rule.kind is JointKind.SCARF else 0.0
    wanted = to_polygon(part.shape)
    _, low, _, high = wanted.bounds
    for choice in offer_positions(part, (SHEET,)).choices[::20]:
        assert _keeps_the_rules(part, choice, overlap)
        split = split_part(part, choice.at_mm, choice.twin_at_mm)
        if not split.pieces:
            continue
        port, starboard = _nets(split, Hand.PORT), _nets(split, Hand.STARBOARD)
        assert unary_union(port).symmetric_difference(wanted).area < 1e-6
        assert unary_union(starboard).symmetric_difference(_mirror(wanted)).area < 1e-6
        bands = len(choice.at_mm) * overlap * (high - low)
        assert math.isclose(sum(n.area for n in port), wanted.area + bands, abs_tol=1e-5)
        if choice.twin_at_mm is None:
            for mine, theirs in zip(port, starboard, strict=True):
                assert _mirror(mine).symmetric_difference(theirs).area < 1e-6


@settings(max_examples=3, deadline=None, derandomize=True)
@given(caps())
def test_caps_on_offer(part: SheetPart) -> None:
    """The same along a curve, where an overlap is a strip square to it; the grain within limits."""
    rule = part.joint
    assert rule is not None
    overlap = rule.slope * part.thickness_mm
    wanted = to_polygon(part.shape)
    for choice in offer_band_positions(part, (PLANK,)).choices[::2]:
        assert _keeps_the_rules(part, choice, overlap)
        split = split_part(part, choice.at_mm, choice.twin_at_mm)
        assert not [f for f in split.findings if f.code == "JNT-111"]
        port, starboard = _nets(split, Hand.PORT), _nets(split, Hand.STARBOARD)
        assert unary_union(port).symmetric_difference(wanted).area < 1e-6
        assert unary_union(starboard).symmetric_difference(_mirror(wanted)).area < 1e-6
        common = sum(a.intersection(b).area for a, b in pairwise(port))
        assert math.isclose(sum(n.area for n in port), wanted.area + common, abs_tol=1e-5)
        width = part.width_along_mm or 0.0
        assert math.isclose(common, len(choice.at_mm) * overlap * width, rel_tol=2e-2, abs_tol=1.0)
