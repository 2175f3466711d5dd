"""Joined parts as they are glued: how their pieces are lined up, and what a tape then finds.

A joint's middle is nowhere to be seen once its slopes lie on each other, and a panel's ends slant,
so that no figure from an end to a joint says where the tape lies.  What can be seen are the thin
end of the piece on top, a panel's sawn corners, a rail's square ends.  Pieces of a cap have a base
line each, no two of them in one line: there a string over the hollow edge says how the whole is
bent.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from nestcut.model.joint import Face, Joint, JointAxis, JointEnd
from nestcut.model.part import CutFrom
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.papers.marking import marking_rule
from nestcut.papers.marking.charts import Chart, Form, charts_of
from nestcut.papers.view import Figures, PlanView
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.tolerances.lengths import LEAST_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class StringOver:
    """A string stretched over the hollow edge of a part that is glued. [mm]

    Parameters
    ----------
    long_mm
        Between the two points at which it touches the part. [mm]
    at_mm
        Of each joint, where what is seen of it meets that edge: how far along the string from the
        black end, and how far the edge lies off it. [mm]
    """

    long_mm: float
    at_mm: dict[str, tuple[float, float]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Glued:
    """A joined part with its trim still on.

    Parameters
    ----------
    long_mm
        From square end to square end; None where its ends aren't square. [mm]
    chart
        The chart that all pieces of a panel were marked out by, whose corners show a kink.
    string
        How its pieces are lined up, where no base line or straight edge does it.
    """

    long_mm: float | None = None
    chart: Chart | None = None
    string: StringOver | None = None


def panel_charts(view: PlanView, figures: Figures) -> dict[str, Chart]:
    """Charts of joined panels that are marked out from one base line, by ids of their pieces."""
    job = view.verified.job
    rule = marking_rule(figures.style, job.fraction, job.marking)
    return {
        use.piece.id: chart
        for chart in charts_of(view, rule)
        for use in chart.uses
        if chart.is_whole_panel
        and chart.form is Form.PANEL
        and use.piece.n_shares > 1
        and use.piece.cut_from is CutFrom.SHEET
    }


def glued(
    joints: Sequence[Joint],
    shares: Sequence[SheetPiece | RailPiece],
    charts: dict[str, Chart],
    view: PlanView,
) -> Glued:
    """Measure a joined part as it is glued.

    Parameters
    ----------
    joints
        All joints of one copy of the part.
    shares
        Its pieces.
    charts
        Those of joined panels, as :func:`panel_charts` has them.
    """
    axis = joints[0].axis
    own = sorted((p for p in shares if isinstance(p, SheetPiece)), key=lambda p: p.share)
    if own and axis is JointAxis.LENGTH and all(p.id in charts for p in own):
        return Glued(chart=charts[own[0].id])
    long_mm = joints[0].part_length_mm + _trim_mm(shares, axis)
    if not own or axis is not JointAxis.LENGTH:
        return Glued(long_mm=long_mm)
    part = view.sheet_parts.get(own[0].part)
    is_band = part is not None and part.width_along_mm is not None
    return Glued(long_mm=None if is_band else long_mm, string=_string_over(own))


def is_on_top(end: JointEnd) -> bool:
    """Whether a piece's end is seen where the joint is glued good faces up: its back is planed."""
    return end.planed is Face.BACK


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
    ends = [(p, e) for p in pieces for e in p.ends]
    for piece, end in sorted(ends, key=lambda pair: not is_on_top(pair[1])):
        across = _seen_line(piece, end).intersection(body.buffer(SAME_LENGTH_MM))
        spots = shapely.get_coordinates(across) - a
        off = np.abs(spots[:, 0] * way[1] - spots[:, 1] * way[0])
        nearest = int(np.argmin(off))
        at.setdefault(end.joint, (float(spots[nearest] @ way), float(off[nearest])))
    if not at or max(off for _, off in at.values()) < SAME_LENGTH_MM:
        return None
    return StringOver(long_mm=float(steps[k]), at_mm=at)


def _seen_line(piece: SheetPiece, end: JointEnd) -> LineString:
    """The line of a joint that is seen on the good face: the end of the piece on top.

    It lies half an overlap beyond the joint's middle.
    """
    a, b = (np.array(p) for p in end.line)
    if not is_on_top(end):
        return LineString([a, b])
    run = (b - a) / float(np.hypot(*(b - a)))
    out = np.array([-run[1], run[0]])
    if (np.mean(piece.shape.outline.points, axis=0) - a) @ out > 0.0:
        out = -out
    reach = run * end.overlap_mm  # a curved edge runs on beyond the middle line's ends
    return LineString([p + out * end.overlap_mm / 2.0 for p in (a - reach, b + reach)])


def _trim_mm(shares: Sequence[SheetPiece | RailPiece], axis: JointAxis) -> float:
    """What is still to trim at both ends of a part together, along the part. [mm]

    Parts are glued before they are trimmed: whoever checks the glue-up has this on his tape.
    """
    rails = [p for p in shares if isinstance(p, RailPiece)]
    own = [p for p in shares if isinstance(p, SheetPiece)]
    if rails or not own:
        return sum(p.length_mm - (p.to_mm - p.from_mm) for p in rails)
    k = 0 if axis is JointAxis.LENGTH else 1
    net, sawn = (
        np.concatenate([np.array(s.outline.points)[:, k] for s in shapes])
        for shapes in ([p.net for p in own], [p.shape for p in own])
    )
    return float(np.ptp(sawn) - np.ptp(net))
