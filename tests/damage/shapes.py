"""Outlines, holes, marks and grain that go together, and are untrue."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from nestcut.geometry.pose import move_shape
from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.joints.split import whole_pieces
from nestcut.model.curves import Arc
from nestcut.model.job import Job
from nestcut.model.part import Grain
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Plan
from nestcut.model.pose import Lie, Pose
from nestcut.model.shape import Mark, Ring, Shape
from tests.damage.changes import (
    damage,
    moved_curve,
    moved_points,
    moved_ring,
    with_pieces,
    with_shape,
)


def _some(plan: Plan) -> list[SheetPiece]:
    """The first piece of every part, and a mirror image where there is one."""
    firsts = {p.part: p for p in reversed(plan.pieces)}
    lasts = {p.part: p for p in plan.pieces}
    return list({p.id: p for p in (*firsts.values(), *lasts.values())}.values())


@damage
def true_curves_moved_3_mm(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in _some(plan):
        yield with_shape(plan, piece, _curves_moved)


def _curves_moved(shape: Shape) -> Shape:
    """Curves move, the points stay; where there are no curves, the points move."""
    ring = shape.outline
    moved = moved_ring(ring, (3.0, 0.0))
    return replace(shape, outline=Ring(ring.points, moved.curves) if ring.curves else moved)


@damage
def outlines_moved_whole(job: Job, plan: Plan) -> Iterator[Plan]:
    """A piece moves in its own frame, marks stay."""
    del job
    for piece in _some(plan):
        yield with_shape(
            plan, piece, lambda s: replace(s, outline=moved_ring(s.outline, (0.0, 2.0)))
        )


@damage
def holes_moved_5_mm(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in _some(plan):
        if piece.shape.holes:
            yield with_shape(
                plan,
                piece,
                lambda s: replace(s, holes=tuple(moved_ring(h, (5.0, 0.0)) for h in s.holes)),
            )


@damage
def circles_smaller_throughout(job: Job, plan: Plan) -> Iterator[Plan]:
    flatness = job.cutting.flatness_mm

    def smaller(ring: Ring) -> Ring:
        arcs = ring.curves
        if not arcs or not all(isinstance(c, Arc) for c in arcs):
            return ring
        curves = tuple(replace(c, radius_mm=0.7 * c.radius_mm) for c in arcs if isinstance(c, Arc))
        return ring_from_curves(curves, flatness, Side.HOLE)

    for piece in _some(plan):
        if any(len(h.curves) == 1 for h in piece.shape.holes):
            yield with_shape(plan, piece, lambda s: replace(s, holes=tuple(map(smaller, s.holes))))


@damage
def a_hole_forgotten(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in _some(plan):
        if piece.shape.holes:
            yield with_shape(plan, piece, lambda s: replace(s, holes=s.holes[1:]))


@damage
def curves_unmirrored(job: Job, plan: Plan) -> Iterator[Plan]:
    """A mirror image has its points mirrored, and the curves of the drawing."""
    del job
    for piece in plan.pieces:
        twin = next(
            (p for p in plan.pieces if p.part == piece.part and p.hand is not piece.hand
             and (p.copy, p.share) == (piece.copy, piece.share)), None,
        )  # fmt: skip
        if twin is None or not piece.shape.outline.curves:
            continue
        ring = replace(piece.shape.outline, curves=twin.shape.outline.curves)
        unmirrored = replace(piece.shape, outline=ring)
        yield with_pieces(plan, {piece.id: replace(piece, shape=unmirrored, net=unmirrored)})
        return


@damage
def the_twins_shape(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in plan.pieces:
        twin = next(
            (p for p in plan.pieces if p.part == piece.part and p.hand is not piece.hand
             and (p.copy, p.share) == (piece.copy, piece.share)), None,
        )  # fmt: skip
        if twin is not None:
            swapped = replace(piece, shape=twin.shape, net=twin.net)
            yield with_pieces(plan, {piece.id: swapped})
            return


@damage
def station_marks_moved_25_mm(job: Job, plan: Plan) -> Iterator[Plan]:
    del job

    def moved(mark: Mark) -> Mark:
        by = (25.0, 0.0)
        return replace(
            mark,
            points=moved_points(mark.points, by),
            curves=tuple(moved_curve(c, by) for c in mark.curves),
        )

    for piece in _some(plan):
        if piece.shape.marks:
            yield with_shape(plan, piece, lambda s: replace(s, marks=tuple(map(moved, s.marks))))


@damage
def mark_called_otherwise(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in _some(plan):
        if piece.shape.marks:
            yield with_shape(
                plan,
                piece,
                lambda s: replace(s, marks=tuple(replace(m, label=m.label + "?") for m in s.marks)),
            )
            return


def _scaled(shape: Shape, by: float) -> Shape:
    """A shape of straight edges so much smaller about the origin, marks alike."""

    def ring(old: Ring) -> Ring:
        return Ring(tuple((x * by, y * by) for x, y in old.points))

    return Shape(
        ring(shape.outline),
        tuple(map(ring, shape.holes)),
        tuple(
            Mark(tuple((x * by, y * by) for x, y in m.points), (), m.label, m.use)
            for m in shape.marks
        ),
    )


@damage
def a_tenth_too_small(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in _some(plan):
        yield with_shape(plan, piece, lambda s: _scaled(s, 0.9))


@damage
def a_tenth_too_small_and_added_under_its_name(job: Job, plan: Plan) -> Iterator[Plan]:
    for part in job.sheet_parts:
        if part.joint is not None:
            continue
        small = replace(part, shape=_scaled(part.shape, 0.9))
        pieces = {p.id: p for p in whole_pieces(small)}
        yield replace(with_pieces(plan, pieces), added_parts=(*plan.added_parts, small))
        return


@damage
def a_strap_a_tenth_too_small(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, part in enumerate(plan.added_parts):
        small = replace(part, shape=_scaled(part.shape, 0.9))
        pieces = {p.id: p for p in whole_pieces(small)}
        added = list(plan.added_parts)
        added[k] = small
        yield replace(with_pieces(plan, pieces), added_parts=tuple(added))


@damage
def allowance_forgotten(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in _some(plan):
        if piece.net != piece.shape:
            yield with_pieces(plan, {piece.id: replace(piece, shape=piece.net)})


@damage
def grain_and_turn_a_quarter_round(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in plan.pieces:
        if piece.grain is Grain.ALONG:
            yield with_pieces(plan, {piece.id: replace(piece, grain=Grain.ACROSS)})
            return


@damage
def mirrored_whole_and_turned_over(job: Job, plan: Plan) -> Iterator[Plan]:
    """A part of no hand is mirrored, curves, points and marks, and lies the other face up."""
    del job
    lies = {p.piece: p for s in plan.sheets for p in s.placements}
    for piece in _some(plan):
        if piece.hand is not None or piece.id not in lies:
            continue
        over = move_shape(piece.shape, Pose(Lie.FACE_DOWN, 0.0))
        turned = {Lie.FACE_UP: Lie.FACE_DOWN, Lie.FACE_DOWN: Lie.FACE_UP}
        sheets = tuple(
            replace(
                s,
                placements=tuple(
                    replace(p, lie=turned[p.lie]) if p.piece == piece.id else p
                    for p in s.placements
                ),
            )
            for s in plan.sheets
        )
        yield replace(
            with_pieces(plan, {piece.id: replace(piece, shape=over, net=over)}), sheets=sheets
        )
