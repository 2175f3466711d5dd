"""Marking-out tables of a whole plan: every placed piece from its sheet's corner, and by itself.

PDF, HTML and CSV print these rows, so that all three say the same.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString

from nestcut.geometry.polygons import bounds_mm
from nestcut.geometry.pose import move_shape
from nestcut.model.curves import Point
from nestcut.model.part import SheetPart
from nestcut.model.pose import Pose
from nestcut.model.shape import Mark, Shape
from nestcut.papers.lists import safe_text, to_csv
from nestcut.papers.marking.lines import Way
from nestcut.papers.marking.outline import Marking, MarkPoint, mark_shape
from nestcut.papers.marking.rules import MarkingRule
from nestcut.papers.view import PlacedPiece, PlanView, is_trim_line
from nestcut.papers.view.base_line import base_line_pose
from nestcut.tolerances.noise import NOISE
from nestcut.units import SetBy

Array = NDArray[np.float64]

HEADINGS = (
    "sheet",
    "stock",
    "piece",
    "measured from",
    "line",
    "point",
    "along",
    "up",
    "kind",
    "to the next point",
    "compass along",
    "compass up",
    "compass radius",
    "compass turns",
    "keeps within mm",
)
"""Columns of marking-out.csv."""


JOINT_MIDDLE = ", middle"
"""What the names of joints' middle lines end in."""
TRIM_LINE = "mark trim line"
GAUGE_WORDS = "with a marking gauge, inside the outline"
"""How a trim line is drawn that keeps one distance from the outline."""
GAUGE_OFF_MM = 0.2
"""How far a trim line may be off that distance and still count as keeping it. [mm]"""


class Origin(StrEnum):
    """What the numbers of a table are measured from."""

    SHEET = "sheet corner"
    """The sheet's marking-out corner; along its length, up across it, seen from the good face."""
    BASE_LINE = "own base line"
    """A line along the piece's longest straight edge; along it, square up from it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceMarking:
    """The marking of one piece in one frame.

    Parameters
    ----------
    sheet
        ``"Sheet 3"`` as other pages call it; empty in tables of a piece by itself.
    pieces
        The ids it is good for: one on a sheet; by itself all alike copies.
    pose
        How the pieces' own frame was laid. From the base line the good face is seen.
    """

    sheet: str
    stock: str
    pieces: tuple[str, ...]
    origin: Origin
    pose: Pose
    marking: Marking
    gauge_mm: float | None = None
    """A trim line that runs this far inside the outline isn't marked by points: a marking gauge
    draws it. None: there's no such line. [mm]"""


def mark_on_sheets(view: PlanView, rule: MarkingRule) -> tuple[PieceMarking, ...]:
    """Mark out every placed piece from the corner of its sheet, in cutting order."""
    made = []
    for sheet in view.sheets:
        for placed in sheet.placed:
            gauge = _gauge_mm(placed)
            onto = replace(rule, within_mm=bounds_mm(sheet.outline))
            shape = placed.shape if gauge is None else _without_trim_line(placed.shape)
            made.append(
                PieceMarking(
                    sheet=sheet.label,
                    stock=sheet.layout.stock,
                    pieces=(placed.piece.id,),
                    origin=Origin.SHEET,
                    pose=placed.placement,
                    marking=mark_shape(with_joint_lines(shape, _joint_lines(placed)), onto),
                    gauge_mm=gauge,
                )
            )
    return tuple(made)


def mark_alone(view: PlanView, rule: MarkingRule) -> tuple[PieceMarking, ...]:
    """Mark out every kind of piece from its own base line; copies of one shape share a table."""
    kinds: dict[tuple[str, str, int, int], list[PlacedPiece]] = {}
    for sheet in view.sheets:
        for placed in sheet.placed:
            piece = placed.piece
            hand = piece.hand.value if piece.hand else ""
            kinds.setdefault((piece.part, hand, piece.share, piece.n_shares), []).append(placed)
    made = []
    for alike in kinds.values():
        by_shape: dict[Shape, list[PlacedPiece]] = {}
        for placed in alike:
            by_shape.setdefault(placed.piece.shape, []).append(placed)
        made += [_alone(same, rule) for same in by_shape.values()]
    return tuple(made)


def table_rows(piece: PieceMarking) -> tuple[tuple[str, ...], ...]:
    """Return a piece's rows, one text a cell, columns after :data:`HEADINGS`."""
    marking = piece.marking
    written = marking.rule.written
    head = (piece.sheet, piece.stock, ", ".join(piece.pieces), piece.origin.value)
    rows: list[tuple[str, ...]] = []
    for line in marking.lines:
        within = f"{math.ceil(line.error_mm * 100.0 - NOISE) / 100.0:.2f}"
        if line.circle is not None:
            c = line.circle
            compass = (written(c.x), written(c.y), marking.rule.halved(2.0 * c.radius), "")
            rows.append(
                (*head, line.name, "", "", "", "circle", Way.COMPASS.value, *compass, within)
            )
        rows += [(*head, line.name, *_point_cells(p, marking.rule), within) for p in line.points]
    if piece.gauge_mm is not None:
        set_to = written(marking.rule.sized(piece.gauge_mm, SetBy.GAUGE))
        how = gauge_words(piece)
        rows.append((*head, TRIM_LINE, "", set_to, "", "gauge", how, "", "", "", "", ""))
    for d in marking.diagonals:
        between = f"{d.from_number} to {d.to_number}"
        length = written(d.length_mm)
        rows.append((*head, "check", between, length, "", "diagonal", "", "", "", "", "", ""))
    return tuple(rows)


def gauge_words(piece: PieceMarking) -> str:
    """How the trim line is drawn; a joint's end has nothing to trim."""
    is_joined = any(line.name.endswith(JOINT_MIDDLE) for line in piece.marking.lines)
    return f"{GAUGE_WORDS}, not at joints" if is_joined else GAUGE_WORDS


def marking_csv(tables: tuple[PieceMarking, ...]) -> str:
    """Return marking-out.csv: the rows of all tables, sheets first as they come."""
    rows = [
        (row[0], *(safe_text(c) for c in row[1:3]), row[3], safe_text(row[4]), *row[5:])
        for table in tables
        for row in table_rows(table)
    ]
    return to_csv(HEADINGS, rows)


def _point_cells(point: MarkPoint, rule: MarkingRule) -> tuple[str, ...]:
    compass: tuple[str, ...] = ("", "", "", "")
    if point.circle is not None:
        c = point.circle
        turns = "left" if point.turn > 0 else "right"
        compass = (rule.written(c.x), rule.written(c.y), rule.written(c.radius), turns)
    x, y = rule.written(point.x_mm), rule.written(point.y_mm)
    return (str(point.number), x, y, point.role.value, point.way.value, *compass)


def _alone(alike: list[PlacedPiece], rule: MarkingRule) -> PieceMarking:
    first = alike[0].piece
    pose = base_line_pose(first.shape)
    joints = tuple((f"{e.kind.value}{JOINT_MIDDLE}", e.line) for e in first.ends)
    gauge = _gauge_mm(alike[0])
    own = first.shape if gauge is None else _without_trim_line(first.shape)
    shape = move_shape(with_joint_lines(own, joints), pose)
    return PieceMarking(
        sheet="",
        stock="",
        pieces=tuple(sorted((p.piece.id for p in alike), key=lambda i: (len(i), i))),
        origin=Origin.BASE_LINE,
        pose=pose,
        marking=mark_shape(shape, rule),
        gauge_mm=gauge,
    )


def _without_trim_line(shape: Shape) -> Shape:
    return replace(shape, marks=tuple(m for m in shape.marks if not is_trim_line(m)))


def _gauge_mm(placed: PlacedPiece) -> float | None:
    """Distance that a placed piece's trim line keeps from its outline. [mm]"""
    ends = tuple((e.line, e.overlap_mm) for e in placed.piece.ends)
    return gauge_of(placed.piece.shape, placed.part, ends)


def gauge_of(
    shape: Shape, part: SheetPart | None, ends: tuple[tuple[tuple[Point, Point], float], ...]
) -> float | None:
    """Distance that a shape's trim line keeps from its outline, if it keeps one all round. [mm]

    At joints, where nothing is left to trim, it runs into the outline.

    Parameters
    ----------
    part
        Part that the shape is cut for; None: nothing is left to trim.
    ends
        Lines of its joints, each with the joint's overlap. [mm]
    """
    lines = [m.points for m in shape.marks if is_trim_line(m)]
    wanted = part.allowance_mm if part else 0.0
    if not lines or wanted <= 0.0:
        return None
    outline = LineString((*shape.outline.points, shape.outline.points[0]))
    for line in lines:
        dense = shapely.get_coordinates(shapely.segmentize(LineString(line), 20.0))
        points = np.array(shapely.points(dense), dtype=object)
        apart = np.array(shapely.distance(points, outline), dtype=np.float64)
        at_joint = np.zeros(len(dense), dtype=np.bool_)
        for end, overlap in ends:
            reach = overlap / 2.0 + wanted + 1.0
            from_joint = np.array(shapely.distance(points, LineString(end)))
            at_joint |= from_joint <= reach
        off = np.where(at_joint, np.maximum(apart - wanted, 0.0), np.abs(apart - wanted))
        if float(off.max()) > GAUGE_OFF_MM:
            return None
    return wanted


def with_joint_lines(shape: Shape, joints: tuple[tuple[str, tuple[Point, Point]], ...]) -> Shape:
    """Add the middle line of every joint to the lines that are drawn."""
    added = tuple(Mark(line, label=name) for name, line in joints)
    return replace(shape, marks=(*shape.marks, *added))


def _joint_lines(placed: PlacedPiece) -> tuple[tuple[str, tuple[Point, Point]], ...]:
    return tuple((f"{e.key} {e.kind.value}{JOINT_MIDDLE}", e.line) for e in placed.ends)
