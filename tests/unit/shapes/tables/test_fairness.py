"""The fairness report: second differences, the comb, and misread offsets found."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from nestcut.shapes.fair.comb import comb_svg
from nestcut.shapes.fair.fairing import Manner
from nestcut.shapes.fair.fairness import (
    curvature,
    fairness_rows,
    second_differences,
)
from nestcut.shapes.fair.stations import EdgeReadings, PanelReadings
from nestcut.shapes.table.doubts import Doubt, panel_row_doubts

STATIONS = 20
Floats = NDArray[np.float64]


def seeded_panel(seed: int, noise_mm: float) -> tuple[list[float], dict[str, Floats]]:
    """Invented panel of 20 stations and 40 offsets, read to a millimetre with some error."""
    rng = np.random.default_rng(seed)
    length = rng.uniform(2500.0, 5200.0)
    x = np.linspace(0.0, length, STATIONS)
    if rng.random() < 0.5:
        x = np.sort(x + rng.uniform(-0.25, 0.25, STATIONS) * length / (STATIONS - 1))
    x = np.round(x - x[0])
    edges = {}
    for name, base, most in (("lower", 0.0, 150.0), ("upper", 450.0, 180.0)):
        s, a = x / x[-1], rng.uniform(-1.0, 1.0, 4)
        depth = rng.uniform(40.0, most)
        wave = 0.12 * np.sin(np.pi * (s * rng.uniform(1.0, 2.0) + a[3]))
        hook = 0.4 * rng.random() * s**5
        sag = 0.5 * (1.0 + 0.5 * a[1]) * (2.0 * s - 1.0) ** 2
        y = base + depth * (a[0] * (s - 0.5) - sag + 0.35 * a[2] * (2 * s - 1) ** 3 + wave - hook)
        edges[name] = np.round(y + rng.normal(0.0, noise_mm, STATIONS))
    return x.tolist(), edges


def doubts(edges: dict[str, Floats], x: list[float]) -> tuple[Doubt, ...]:
    lower, upper = (readings(x, edges[name]) for name in ("lower", "upper"))
    return panel_row_doubts(PanelReadings(lower=lower, upper=upper))


def single(edge: EdgeReadings) -> tuple[Doubt, ...]:
    """Doubts of a panel whose lower edge is its base line."""
    flat = EdgeReadings(stations_mm=edge.stations_mm, offsets_mm=(0.0,) * len(edge.stations_mm))
    return panel_row_doubts(PanelReadings(lower=flat, upper=edge))


def readings(x: list[float], y: Floats) -> EdgeReadings:
    return EdgeReadings(stations_mm=tuple(x), offsets_mm=tuple(y.tolist()))


@pytest.mark.parametrize("noise_mm", [0.0, 0.5, 1.0])
def test_planted_misreading_is_ranked_first(noise_mm: float) -> None:
    """One of 40 offsets off by 12 mm: first of the ranking in at least 95 of 100 seeded panels."""
    found = 0
    for seed in range(100):
        x, edges = seeded_panel(seed, noise_mm)
        rng = np.random.default_rng([seed, 1])
        name, station = ("lower", "upper")[int(rng.integers(2))], int(rng.integers(STATIONS))
        edges[name][station] += 12.0 if rng.random() < 0.5 else -12.0
        told = doubts(edges, x)
        found += bool(told) and (told[0].line, told[0].x_mm) == (name, x[station])

    assert found >= 95


def test_clean_panels_are_left_alone() -> None:
    """Without a planted error hardly any panel is pointed at."""
    pointed = 0
    for seed in range(1000, 1100):
        x, edges = seeded_panel(seed, 0.5)
        pointed += bool(doubts(edges, x))

    assert pointed <= 2


def test_half_inch_slip_is_measured() -> None:
    """The report tells how far the reading is off, with its sign."""
    x = np.arange(9.0) * 304.8
    y = np.round((400.0 - (x - 1200.0) ** 2 / 20000.0) / 3.175) * 3.175
    y[3] -= 12.7
    edge = readings(x.tolist(), y)
    told = single(edge)
    rows = fairness_rows([("upper", edge)], told)

    assert [d.x_mm for d in told] == [x[3]]
    assert told[0].off_mm == pytest.approx(-12.7, abs=2.0)
    assert [r[1] for r in rows if r[-1]] == ["914.4"]
    assert [r[3] for r in rows if not r[3]] == ["", ""]
    assert len(rows) == 9


def test_knuckle_is_no_misreading() -> None:
    """A marked knuckle is passed over; the same unmarked corner is pointed at."""
    x = np.arange(11.0) * 250.0
    y = 300.0 + np.where(x <= 1250.0, 0.1 * x, 125.0 - 0.15 * (x - 1250.0))
    plain = EdgeReadings(stations_mm=tuple(x.tolist()), offsets_mm=tuple(y.tolist()))
    marked = EdgeReadings(
        stations_mm=plain.stations_mm, offsets_mm=plain.offsets_mm, knuckles_mm=(1250.0,)
    )

    assert single(plain)
    assert not single(marked)


def test_second_differences_of_a_parabola_are_constant() -> None:
    """y = c x^2 / 2 has curvature c, also at uneven stations."""
    x = [0.0, 200.0, 700.0, 900.0, 1500.0]

    assert second_differences(x, [1e-4 * v * v / 2.0 for v in x]) == pytest.approx([0.1] * 3)


def test_curvature_of_a_circle() -> None:
    """Curvature along readings of a circle of 4 m radius."""
    x = np.linspace(-1500.0, 1500.0, 25)
    edge = readings(x.tolist(), np.sqrt(4000.0**2 - x**2))
    _, bend = curvature(edge)

    assert bend == pytest.approx(np.full(len(bend), -1.0 / 4000.0), rel=5e-3)


def test_comb_is_sound_svg_and_rings_the_suspect() -> None:
    """The picture is well-formed, names the edge as text and rings what the report points at."""
    x, edges = seeded_panel(3, 0.5)
    edges["upper"][9] += 12.0
    told = [replace(d, line=f"{d.line} <edge>") for d in doubts(edges, x)]
    picture = comb_svg([(f"{n} <edge>", readings(x, y)) for n, y in edges.items()], told)
    root = ET.fromstring(picture)  # noqa: S314

    assert picture.count("read again") == 1
    titles = [e.text for e in root.iter("{http://www.w3.org/2000/svg}title")]
    assert titles == ["lower <edge>", "upper <edge>"]


def test_short_rows_say_nothing() -> None:
    """Four readings can't accuse one of them."""
    edge = EdgeReadings(
        stations_mm=(0.0, 1.0, 2.0, 3.0), offsets_mm=(0.0, 5.0, 0.0, 5.0), manner=Manner.BATTEN
    )

    assert single(edge) == ()
