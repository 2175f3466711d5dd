"""Laws of shapes from numbers: sound or refused, no overshoot, mirrored, same in every unit."""

from __future__ import annotations

import tomllib

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from nestcut.geometry.polygons import to_polygon
from nestcut.geometry.rings import shape_area_mm2
from nestcut.jobfile.book import FindingBook
from nestcut.jobfile.tables import Table
from nestcut.shapes.build import ShapeKind, build_shape
from nestcut.shapes.fair.fairing import Manner, fair_slopes, value_at
from nestcut.units import Unit

KEYS = (
    "length", "width", "height", "bottom", "top", "shift", "start", "end", "diameter", "radius",
    "chamfer", "camber", "keel_height", "limber", "keel_limber",
)  # fmt: skip
LISTS = ("stations", "upper", "lower", "heights", "half_breadths", "limber_at", "knuckles")
SIZES = st.one_of(st.integers(0, 1500), st.sampled_from([0, 1, 1e-9, 5.5, 1e7]))
PLACES = st.lists(st.integers(0, 900), min_size=2, max_size=6)
CALM = settings(max_examples=150, deadline=None, derandomize=True)


def readings(data: dict[str, object], bare: Unit = Unit.MM) -> Table:
    return Table(data, "part[1].shape", FindingBook("test.toml"), bare)


@CALM
@given(
    kind=st.sampled_from([k.value for k in ShapeKind]),
    sizes=st.dictionaries(st.sampled_from(KEYS), SIZES, max_size=6),
    lists=st.dictionaries(st.sampled_from(LISTS), PLACES, max_size=4),
    points=st.lists(st.tuples(st.integers(-500, 500), st.integers(-500, 500)), max_size=7),
    hole=st.one_of(st.none(), st.integers(0, 400)),
    notch=st.one_of(st.none(), st.tuples(st.integers(0, 400), st.integers(0, 400))),
)
def test_any_numbers_give_a_sound_shape_or_a_finding(  # type: ignore[no-untyped-def]
    kind, sizes, lists, points, hole, notch
) -> None:
    """Whatever is written, there is a valid shape with area or a fault with its key path."""
    data = {"kind": kind, **sizes, **lists, "points": [list(p) for p in points]}
    if hole is not None:
        data["holes"] = [{"diameter": hole}]
    if notch is not None:
        data["notches"] = [{"edge": "bottom", "width": notch[0], "depth": notch[1]}]
    table = readings(data)
    built = build_shape(table)

    if built is None:
        assert table.book.findings
        assert all(f.where.startswith("part[1].shape") for f in table.book.findings)
    else:
        body = to_polygon(built.shape)
        assert body.is_valid
        assert body.area > 0
        assert abs(shape_area_mm2(built.shape) - body.area) < 0.06 * body.length + 1.0


@CALM
@given(
    gaps=st.lists(st.integers(1, 500), min_size=2, max_size=12),
    rises=st.lists(st.integers(0, 300), min_size=13, max_size=13),
    manner=st.sampled_from([Manner.BATTEN, Manner.BOUNDED]),
    sign=st.sampled_from([1.0, -1.0]),
)
def test_monotone_readings_never_overshoot(
    gaps: list[int], rises: list[int], manner: Manner, sign: float
) -> None:
    """Between monotone readings the curve is monotone, so it stays between them."""
    x = np.concatenate([[0.0], np.cumsum(gaps)]).astype(float)
    y = np.cumsum(rises[: len(x)]).astype(float) * sign
    at = np.linspace(x[0], x[-1], 400)
    steps = np.diff(value_at(x, y, fair_slopes(x, y, manner), at)) * sign

    assert steps.min() >= -1e-9 * (1.0 + abs(y[-1]))


@CALM
@given(
    gaps=st.lists(st.integers(50, 500), min_size=2, max_size=8),
    offsets=st.lists(st.integers(0, 600), min_size=9, max_size=9),
)
def test_bounded_curve_stays_within_the_readings(gaps: list[int], offsets: list[int]) -> None:
    """Each piece stays between the two readings at its ends."""
    x = np.concatenate([[0.0], np.cumsum(gaps)]).astype(float)
    y = np.array(offsets[: len(x)], dtype=float)
    slopes = fair_slopes(x, y, Manner.BOUNDED)
    for i in range(len(x) - 1):
        values = value_at(x, y, slopes, np.linspace(x[i], x[i + 1], 50)[:-1])
        assert values.min() >= min(y[i], y[i + 1]) - 1e-9
        assert values.max() <= max(y[i], y[i + 1]) + 1e-9


@CALM
@given(
    quarter_inches=st.lists(st.integers(4, 200), min_size=6, max_size=6),
    half=st.integers(4, 60),
)
def test_inches_and_millimetres_give_the_same_shape(quarter_inches: list[int], half: int) -> None:
    """The same section written in inch fractions and in exact millimetres."""
    heights = np.cumsum(quarter_inches[:3]).tolist()
    widths = [half + q for q in quarter_inches[3:]]
    inch = 'kind = "bulkhead"\nheights = [{}]\nhalf_breadths = [{}]'.format(
        *(", ".join(f'"{n}/4in"' for n in row) for row in (heights, widths))
    )
    mm = 'kind = "bulkhead"\nheights = [{}]\nhalf_breadths = [{}]'.format(
        *(", ".join(f'"{n * 6.35:.4f} mm"' for n in row) for row in (heights, widths))
    )
    built = [build_shape(readings(tomllib.loads(text))) for text in (inch, mm)]

    assert built[0] is not None
    assert built[0] == built[1]


@CALM
@given(
    heights=st.lists(st.integers(20, 200), min_size=2, max_size=5),
    widths=st.lists(st.integers(30, 800), min_size=5, max_size=5),
    curve=st.sampled_from([Manner.STRAIGHT, Manner.BATTEN]),
)
def test_sections_are_mirrored(heights: list[int], widths: list[int], curve: Manner) -> None:
    """A section laid over its own mirror image covers it."""
    levels = np.cumsum(heights).tolist()
    table = readings(
        {
            "kind": "bulkhead",
            "heights": levels,
            "half_breadths": widths[: len(levels)],
            "curve": curve.value,
        }
    )
    built = build_shape(table)
    if built is None:
        return
    body = to_polygon(built.shape)
    other = type(body)([(-x, y) for x, y in body.exterior.coords])

    assert body.symmetric_difference(other).area < 1e-3 * body.area
