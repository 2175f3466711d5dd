"""Pieces drawn again from printed marking-out numbers, with another library's spline."""

from __future__ import annotations

import csv
import io
import math
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from nestcut.papers.marking.rules import MarkingRule, Notation
from nestcut.papers.marking.table import HEADINGS, PieceMarking, table_rows
from nestcut.units import Unit, parse_feet_inches_eighths_mm, parse_signed_mm

Array = NDArray[np.float64]
Row = dict[str, str]


def read(text: str, rule: MarkingRule) -> float:
    if rule.notation is Notation.OFFSETS:
        return float(parse_feet_inches_eighths_mm(text.removeprefix("-"))) * (
            -1 if text.startswith("-") else 1
        )
    return float(parse_signed_mm(text, bare=Unit.MM))


def place(row: Row, rule: MarkingRule) -> tuple[float, float]:
    return read(row["along"], rule), read(row["up"], rule)


def spline(points: list[tuple[float, float]], ends: Literal["natural", "periodic"]) -> Array:
    """Another library's spline over the straight distances, as the page states it."""
    at = np.array([p for k, p in enumerate(points) if k == 0 or p != points[k - 1]])
    distance = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(at, axis=0).T))])
    if len(at) < 2:
        return at
    curve = CubicSpline(distance, at, bc_type=ends)
    return np.asarray(curve(np.linspace(0.0, distance[-1], 60 * len(at))))


def arc(start: Row, end: Row, rule: MarkingRule) -> Array:
    x, y, r = (read(start[f"compass {k}"], rule) for k in ("along", "up", "radius"))
    a, b = (
        math.atan2(q - y, p - x)
        for p, q in (
            place(start, rule),
            place(end, rule),
        )
    )
    turn = {"left": 1.0, "right": -1.0}[start["compass turns"]]
    angles = np.linspace(a, a + turn * ((turn * (b - a)) % (2 * math.pi)), 200)
    middle = np.column_stack([x + r * np.cos(angles), y + r * np.sin(angles)])
    return np.vstack([[place(start, rule)], middle, [place(end, rule)]])


def redraw(rows: list[Row], rule: MarkingRule, *, closed: bool) -> Array:
    """Draw one line from its rows as the page tells to."""
    if rows[0]["kind"] == "circle":
        x, y, r = (read(rows[0][f"compass {k}"], rule) for k in ("along", "up", "radius"))
        a = np.linspace(0, 2 * math.pi, 500)
        return np.column_stack([x + r * np.cos(a), y + r * np.sin(a)])
    corners = [k for k, row in enumerate(rows) if row["kind"] == "corner"]
    if not corners:
        return spline([place(r, rule) for r in [*rows, rows[0]]], "periodic")
    turned = rows[corners[0] :] + rows[: corners[0]]
    if closed:
        turned.append(rows[corners[0]])
    lines: list[Array] = []
    run = [turned[0]]
    for row in turned[1:]:
        run.append(row)
        if row["kind"] == "corner":
            how = run[0]["to the next point"]
            if how == "batten":
                lines.append(spline([place(r, rule) for r in run], "natural"))
            elif how == "compass":
                lines.append(arc(run[0], row, rule))
            else:
                assert len(run) == 2
                lines.append(np.array([place(r, rule) for r in run]))
            run = [row]
    return np.vstack(lines)


def apart(drawn: Array, true: Array) -> float:
    a, b = shapely.linestrings(drawn), shapely.linestrings(true)
    dense = shapely.get_coordinates(shapely.segmentize(b, 3.0))
    return float(
        max(
            shapely.distance(shapely.points(drawn), b).max(),
            shapely.distance(shapely.points(dense), a).max(),
        )
    )


def rows_of(piece: PieceMarking) -> list[Row]:
    return [dict(zip(HEADINGS, cells, strict=True)) for cells in table_rows(piece)]


def closed(points: tuple[tuple[float, float], ...]) -> Array:
    return np.array([*points, points[0]])


def from_csv(text: str, rule: MarkingRule, outlines: dict[str, list[Array]]) -> dict[str, float]:
    """Draw every piece again from marking-out.csv alone.

    Returns
    -------
    dict
        By piece: greatest distance to its outline and holes as plan.json has them. [mm]
    """
    by_piece: dict[str, dict[str, list[Row]]] = {}
    for row in csv.DictReader(io.StringIO(text)):
        if row["measured from"] == "sheet corner" and row["line"].startswith(("outline", "hole")):
            by_piece.setdefault(row["piece"], {}).setdefault(row["line"], []).append(row)
    assert set(by_piece) == set(outlines)
    found = {}
    for piece, lines in by_piece.items():
        rings = outlines[piece]
        assert len(lines) == len(rings)
        found[piece] = max(
            apart(redraw(rows, rule, closed=True), ring)
            for rows, ring in zip(lines.values(), rings, strict=True)
        )
    return found
