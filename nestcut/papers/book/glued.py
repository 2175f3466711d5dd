"""Joined parts as they are glued: along which line joints are measured, how pieces are lined up.

Nobody can check a joint's place to a sixteenth who has to guess along which line the tape lies.  A
panel has the base line that its pieces were marked out from, drawn on all of them: along that its
joints are measured, and a string along it lines them up.  Pieces of a cap have a base line each,
and no two of them lie in one line: there a string over the hollow edge says how the whole is bent.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from nestcut.geometry.affine import apply
from nestcut.model.joint import Joint, JointAxis
from nestcut.model.part import CutFrom
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.papers.marking import marking_rule
from nestcut.papers.marking.charts import ChartUse, Form, charts_of
from nestcut.papers.view import Figures, PlanView
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.tolerances.lengths import LEAST_MM

Array = NDArray[np.float64]


class Line(StrEnum):
    """The line that joints' places are measured along."""

    EDGE = "along an edge"
    BASE_LINE = "on the base line"
    MIDWAY = "round the curve, midway between the edges"


@dataclass(frozen=True, slots=True, kw_only=True)
class StringOver:
    """A string stretched over the hollow edge of a part that is glued. [mm]

    Parameters
    ----------
    long_mm
        Between the two points at which it touches the part. [mm]
    at_mm
        Of each joint's middle on that edge: how far along the string from the black end, and how
        far the edge lies off it. [mm]
    """

    long_mm: float
    at_mm: dict[str, tuple[float, float]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Glued:
    """A joined part with its trim still on. [mm]

    Parameters
    ----------
    at_mm
        Each joint's middle from the outermost point of the black end, by the joint's id. [mm]
    whole_mm
        From there to the outermost point of the other end. [mm]
    trims_mm
        What is still to trim at the black end and at the other one. [mm]
    line
        What all this is measured along.
    string
        How its pieces are lined up, where no base line or straight edge does it.
    """

    at_mm: dict[str, float]
    whole_mm: float
    trims_mm: tuple[float, float]
    line: Line = Line.EDGE
    string: StringOver | None = None


def panel_uses(view: PlanView, figures: Figures) -> dict[str, ChartUse]:
    """Pieces of joined panels that are marked out from one base line, by their ids."""
    job = view.verified.job
    sheets = tuple(
        replace(
            sheet,
            placed=tuple(
                p
                for p in sheet.placed
                if p.piece.n_shares > 1 and p.piece.cut_from is CutFrom.SHEET
            ),
        )
        for sheet in view.sheets
    )
    rule = marking_rule(figures.style, job.fraction, job.marking)
    return {
        use.piece.id: use
        for chart in charts_of(replace(view, sheets=sheets), rule)
        for use in chart.uses
        if chart.is_whole_panel and chart.form is Form.PANEL
    }


def glued(
    joints: Sequence[Joint],
    shares: Sequence[SheetPiece | RailPiece],
    uses: dict[str, ChartUse],
    view: PlanView,
) -> Glued:
    """Measure a joined part as it is glued.

    Parameters
    ----------
    joints
        All joints of one copy of the part.
    shares
        Its pieces.
    uses
        Those of joined panels, as :func:`panel_uses` has them.
    """
    axis = joints[0].axis
    own = sorted((p for p in shares if isinstance(p, SheetPiece)), key=lambda p: p.share)
    is_panel = axis is JointAxis.LENGTH and all(p.id in uses for p in own)
    if own and is_panel:
        return _on_base_line(joints, [uses[p.id] for p in own])
    black, other = _trims_mm(shares, axis)
    found = Glued(
        at_mm={j.id: j.at_mm + black for j in joints},
        whole_mm=joints[0].part_length_mm + black + other,
        trims_mm=(black, other),
    )
    if not own or axis is not JointAxis.LENGTH:
        return found
    part = view.sheet_parts.get(own[0].part)
    is_band = part is not None and part.width_along_mm is not None
    return replace(found, line=Line.MIDWAY if is_band else Line.EDGE, string=_string_over(own))


def _on_base_line(joints: Sequence[Joint], uses: list[ChartUse]) -> Glued:
    """A panel along the base line of its chart."""
    net, sawn = (
        [apply(use.matrix, np.array(shape.outline.points))[:, 0] for use, shape in shapes]
        for shapes in ([(u, u.piece.net) for u in uses], [(u, u.piece.shape) for u in uses])
    )
    low, high = min(float(a.min()) for a in sawn), max(float(a.max()) for a in sawn)
    is_near = float(sawn[0].min()) <= float(sawn[-1].min())
    black, other = _left_over(net, sawn)
    found = {}
    for joint in joints:
        ends = [(u, e) for u in uses for e in u.piece.ends if e.joint == joint.id]
        if not ends:  # a seam of sheets that were joined before
            found[joint.id] = joint.at_mm + black
            continue
        use, end = ends[0]
        (ax, ay), (bx, by) = apply(use.matrix, np.array(end.line))
        x = float(ax + (bx - ax) * (0.0 - ay) / (by - ay))
        found[joint.id] = x - low if is_near else high - x
    return Glued(at_mm=found, whole_mm=high - low, trims_mm=(black, other), line=Line.BASE_LINE)


def _string_over(pieces: list[SheetPiece]) -> StringOver | None:
    """A string over the hollow edge of a glued part; None where it has none.

    It touches the part where the longest edge of the hull does.
    """
    body = shapely.union_all([Polygon(p.shape.outline.points).buffer(LEAST_MM) for p in pieces])
    corners = shapely.get_coordinates(body.convex_hull)
    steps = np.hypot(*np.diff(corners, axis=0).T)
    k = int(np.argmax(steps))
    a, b = corners[k], corners[k + 1]
    black = shapely.Point(*np.mean(pieces[0].shape.outline.points, axis=0))
    if black.distance(shapely.Point(b)) < black.distance(shapely.Point(a)):
        a, b = b, a
    way = (b - a) / steps[k]
    at: dict[str, tuple[float, float]] = {}
    for end in (e for p in pieces for e in p.ends):
        across = LineString(end.line).intersection(body.buffer(SAME_LENGTH_MM))
        spots = shapely.get_coordinates(across) - a
        off = np.abs(spots[:, 0] * way[1] - spots[:, 1] * way[0])
        nearest = int(np.argmin(off))
        at.setdefault(end.joint, (float(spots[nearest] @ way), float(off[nearest])))
    if not at or max(off for _, off in at.values()) < SAME_LENGTH_MM:
        return None
    return StringOver(long_mm=float(steps[k]), at_mm=at)


def _trims_mm(shares: Sequence[SheetPiece | RailPiece], axis: JointAxis) -> tuple[float, float]:
    """What is still to trim at the black end of a part and at its other one, along the part.

    Parts are glued before they are trimmed: whoever checks the glue-up has this on his tape.
    """
    if not shares:
        return 0.0, 0.0
    first, last = min(shares, key=lambda p: p.share), max(shares, key=lambda p: p.share)
    if isinstance(first, RailPiece) or isinstance(last, RailPiece):
        spare = [
            p.length_mm - (p.to_mm - p.from_mm) for p in (first, last) if isinstance(p, RailPiece)
        ]
        return spare[0], spare[-1]
    k = 0 if axis is JointAxis.LENGTH else 1
    own = sorted((p for p in shares if isinstance(p, SheetPiece)), key=lambda p: p.share)
    net, sawn = (
        [np.array(s.outline.points)[:, k] for s in shapes]
        for shapes in ([p.net for p in own], [p.shape for p in own])
    )
    return _left_over(net, sawn)


def _left_over(net: list[Array], sawn: list[Array]) -> tuple[float, float]:
    """How far what is sawn reaches beyond what is wanted, at the first piece's end first. [mm]

    Parameters
    ----------
    net, sawn
        Of every piece, first one first, how far along its corners lie. [mm]
    """
    low = min(float(n.min()) for n in net) - min(float(s.min()) for s in sawn)
    high = max(float(s.max()) for s in sawn) - max(float(n.max()) for n in net)
    return (low, high) if float(net[0].min()) < float(net[-1].min()) else (high, low)
