"""Law: the pieces of any split part, laid together again, give the part's outline."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import unary_union
from shapely.geometry import Polygon

from nestcut.geometry.polygons import to_polygon
from nestcut.geometry.rings import Side, ring_from_curves, shape_area_mm2
from nestcut.joints.split import split_part
from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Spline
from nestcut.model.joint import JointAxis, JointKind, JointRule
from nestcut.model.part import Hand, Hands, SheetPart
from nestcut.model.shape import Shape


@st.composite
def panels(draw: st.DrawFn) -> SheetPart:
    """Long panels: spline below, straight, arc or elliptic above, up to two round holes."""
    length = draw(st.floats(1800.0, 6000.0))
    width = draw(st.floats(350.0, 900.0))
    x0 = draw(st.floats(-500.0, 500.0))
    n = draw(st.integers(4, 8))
    heights = draw(st.lists(st.floats(-80.0, 80.0), min_size=n, max_size=n))
    control = tuple((x0 + length * i / (n - 1), h) for i, h in enumerate(heights))
    inner = tuple(k / (n - 3) for k in range(1, n - 3))
    chine = Spline(3, control, (0.0,) * 4 + inner + (1.0,) * 4)
    left, right = control[0], control[-1]
    top_left, top_right = (left[0], width), (right[0], width)
    top: Curve
    match draw(st.sampled_from(["line", "arc", "ellipse"])):
        case "line":
            top = Line(top_right, top_left)
        case "arc":
            sagitta = draw(st.floats(20.0, 150.0))
            radius = length**2 / (8.0 * sagitta) + sagitta / 2.0
            half = math.degrees(math.asin(length / 2.0 / radius))
            centre = (x0 + length / 2.0, width + sagitta - radius)
            top = Arc(centre, radius, 90.0 - half, 2.0 * half)
        case _:
            rise = draw(st.floats(20.0, 150.0))
            centre = (x0 + length / 2.0, width)
            top = EllipticArc(centre, (length / 2.0, 0.0), (0.0, rise), 0.0, math.pi)
    outline = (chine, Line(right, top_right), top, Line(top_left, left))
    holes = tuple(
        ring_from_curves(
            (Arc((x0 + length * f, (width + 80.0) / 2.0), 40.0, 0.0, -360.0),), 0.05, Side.HOLE
        )
        for f in draw(st.sampled_from([(), (0.31,), (0.27, 0.68)]))
    )
    return SheetPart(
        name="panel",
        shape=Shape(ring_from_curves(outline, 0.05, Side.OUTLINE), holes),
        material="ply",
        thickness_mm=draw(st.sampled_from([4.0, 6.0, 9.0])),
        hands=Hands.PAIR,
        allowance_mm=draw(st.sampled_from([0.0, 12.0])),
    )


@st.composite
def divided(draw: st.DrawFn) -> tuple[SheetPart, tuple[float, ...]]:
    """A panel with a rule and positions that keep apart."""
    part = draw(panels())
    kind = draw(st.sampled_from(list(JointKind)))
    axis = draw(st.sampled_from(list(JointAxis)))
    slope = draw(st.sampled_from([5.0, 8.0, 12.0]))
    rule = JointRule(kind=kind, axis=axis, slope=slope, key_clearance_mm=0.0)
    low_x, low_y, high_x, high_y = to_polygon(part.shape).bounds
    if axis is JointAxis.WIDTH:
        return replace(part, joint=rule), (draw(st.floats(0.4, 0.6)) * (high_y - low_y),)
    shares = draw(st.sampled_from([(0.5,), (0.33, 0.66), (0.25, 0.5, 0.75)]))
    at = tuple((f + draw(st.floats(-0.05, 0.05))) * (high_x - low_x) for f in shares)
    return replace(part, joint=rule), at


def _mirror(polygon: Polygon) -> Polygon:
    return Polygon(
        [(-x, y) for x, y in polygon.exterior.coords],
        [[(-x, y) for x, y in r.coords] for r in polygon.interiors],
    )


@settings(max_examples=30, deadline=None, derandomize=True)
@given(divided())
def test_pieces_laid_together_give_the_part(case: tuple[SheetPart, tuple[float, ...]]) -> None:
    """Both hands to 1e-6 mm2; scarfed and lapped neighbours share exactly their band, others
    nothing."""
    part, at = case
    rule = part.joint
    assert rule is not None
    split = split_part(part, at)
    if not split.pieces:
        assert rule.kind is JointKind.KEYED or rule.axis is JointAxis.WIDTH, split.findings
        return
    wanted = to_polygon(part.shape)
    for hand in Hand:
        outline = wanted if hand is part.drawn else _mirror(wanted)
        own = [p for p in split.pieces if p.hand is hand]
        nets = [to_polygon(p.net) for p in own]
        assert all(n.is_valid for n in nets)
        assert unary_union(nets).symmetric_difference(outline).area < 1e-6
        shared = sum(n.area for n in nets) - outline.area
        meeting = sum(a.intersection(b).area for a, b in pairwise(nets))
        assert abs(shared - meeting) < 1e-6
        if rule.kind not in {JointKind.SCARF, JointKind.HALF_LAP}:
            assert shared < 1e-6
            total = sum(shape_area_mm2(p.net) for p in own)
            assert abs(total - shape_area_mm2(part.shape)) < 1e-5
        for piece, net in zip(own, nets, strict=True):
            assert to_polygon(piece.shape).buffer(1e-6).covers(net)
