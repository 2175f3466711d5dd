"""Plans damaged in several fields that go together, then written down as if they were sound.

Every figure that the file derives (outlines in the sheet's frame, areas, totals, the seal) is made
anew, so that nothing contradicts itself: only the job says otherwise.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import TypeVar

from nestcut.boards import Rail, divide_rail
from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.joints.split import split_part, whole_pieces
from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Point, Spline
from nestcut.model.job import Job
from nestcut.model.joint import Joint, JointRule, Word
from nestcut.model.part import Grain, Hand, RailPart, SheetPart
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.plan import BoardLayout, Offcut, Plan
from nestcut.model.shape import Mark, Ring, Shape

Damage = Callable[[Job, Plan], Iterator[Plan]]
DAMAGES: dict[str, Damage] = {}
G = TypeVar("G", SheetPiece, RailPiece)
_Rows = dict[tuple[str | None, int], list[float]]
"""Places of joints, copy by copy. [mm]"""


def damage(made: Damage) -> Damage:
    """Register a way of damaging a plan."""
    DAMAGES[made.__name__.replace("_", " ")] = made
    return made


# --- small changes -------------------------------------------------------------------------------


def _moved_curve(curve: Curve, by: Point) -> Curve:
    def at(p: Point) -> Point:
        return (p[0] + by[0], p[1] + by[1])

    match curve:
        case Line(start, end):
            return Line(at(start), at(end))
        case Arc(centre, radius, start_deg, sweep_deg):
            return Arc(at(centre), radius, start_deg, sweep_deg)
        case EllipticArc():
            return replace(curve, centre=at(curve.centre))
        case Spline():
            return replace(curve, control=tuple(map(at, curve.control)))


def _moved_points(points: tuple[Point, ...], by: Point) -> tuple[Point, ...]:
    return tuple((x + by[0], y + by[1]) for x, y in points)


def _moved_ring(ring: Ring, by: Point) -> Ring:
    curves = tuple(_moved_curve(c, by) for c in ring.curves)
    return Ring(_moved_points(ring.points, by), curves)


def _with_shape(plan: Plan, piece: SheetPiece, change: Callable[[Shape], Shape]) -> Plan:
    """Change what is cut and its net alike."""
    changed = replace(piece, shape=change(piece.shape), net=change(piece.net))
    return _with_pieces(plan, {piece.id: changed})


def _with_pieces(plan: Plan, changed: dict[str, SheetPiece]) -> Plan:
    return replace(plan, pieces=tuple(changed.get(p.id, p) for p in plan.pieces))


def _with_rails(plan: Plan, changed: dict[str, RailPiece]) -> Plan:
    """Change rail pieces, and cut them as long and as wide as they have become."""
    before = {p.id: p for p in plan.rail_pieces}

    def recut(board: BoardLayout) -> BoardLayout:
        cuts = []
        for cut in board.cuts:
            new, old = changed.get(cut.piece), before[cut.piece]
            if new is not None:
                is_flat = abs(cut.rip_to_mm - cut.rip_from_mm - old.width_mm) < 1e-6
                wide = new.width_mm if is_flat else new.thickness_mm
                cut = replace(  # noqa: PLW2901
                    cut, to_mm=cut.from_mm + new.length_mm, rip_to_mm=cut.rip_from_mm + wide
                )
            cuts.append(cut)
        return replace(board, cuts=tuple(cuts))

    return replace(
        plan,
        rail_pieces=tuple(changed.get(p.id, p) for p in plan.rail_pieces),
        boards=tuple(map(recut, plan.boards)),
    )


def _rule_changed(job: Job, plan: Plan, change: Callable[[JointRule], JointRule]) -> Iterator[Plan]:
    """Divide every joined part anew by another rule, and put its pieces where they were."""
    parts: tuple[SheetPart | RailPart, ...] = (*job.sheet_parts, *job.rail_parts)
    for part in parts:
        own = [j for j in plan.joints if j.part == part.name]
        if part.joint is None or not own or getattr(part, "width_along_mm", None) is not None:
            continue
        other = replace(part, joint=change(part.joint))
        if other == part:
            continue
        rows: _Rows = {}
        for joint in own:
            rows.setdefault((joint.hand, joint.copy), []).append(joint.at_mm)
        if isinstance(other, RailPart):
            yield _rails_divided(plan, other, rows)
        else:
            yield _panel_divided(plan, other, rows)


def _rails_divided(plan: Plan, part: RailPart, rows: _Rows) -> Plan:
    pieces: dict[str, RailPiece] = {}
    joints: list[Joint] = []
    for (hand, copy), at in rows.items():
        given = part.joint.at_mm if part.joint else None
        rail = Rail(part=part, hand=None if hand is None else Hand(hand), copy=copy)
        made, new = divide_rail(rail, given or tuple(at))
        pieces |= {p.id: p for p in made}
        joints += new
    return _with_joints(_with_rails(plan, pieces), joints)


def _panel_divided(plan: Plan, part: SheetPart, rows: _Rows) -> Plan:
    given = part.joint.at_mm if part.joint else None
    split = split_part(part, given or tuple(next(iter(rows.values()))))
    return _with_joints(_with_pieces(plan, {p.id: p for p in split.pieces}), split.joints)


def _with_joints(plan: Plan, joints: Iterable[Joint]) -> Plan:
    """Put joints in place of those of the same names; how they stand to rules stays."""
    made = {j.id: j for j in joints}

    def changed(old: Joint) -> Joint:
        new = made.get(old.id, old)
        return replace(new, standings=old.standings, distances=old.distances)

    return replace(plan, joints=tuple(map(changed, plan.joints)))


def _turned_faces(plan: Plan) -> Plan:
    joints = {j.id: j for j in plan.joints}

    def turned(piece: G) -> G:
        ends = tuple(
            replace(e, planed=joints[e.joint].planed[1 - joints[e.joint].pieces.index(piece.id)])
            for e in piece.ends
        )
        return replace(piece, ends=ends)

    return replace(
        plan,
        pieces=tuple(map(turned, plan.pieces)),
        rail_pieces=tuple(map(turned, plan.rail_pieces)),
        joints=tuple(replace(j, planed=(j.planed[1], j.planed[0])) for j in plan.joints),
    )


# --- joints --------------------------------------------------------------------------------------


@damage
def slope_halved_with_lengths(job: Job, plan: Plan) -> Iterator[Plan]:
    yield from _rule_changed(job, plan, lambda r: replace(r, slope=r.slope / 2.0))


@damage
def slope_a_tenth_less_with_lengths(job: Job, plan: Plan) -> Iterator[Plan]:
    yield from _rule_changed(job, plan, lambda r: replace(r, slope=r.slope * 0.9))


@damage
def given_joints_moved_60_mm(job: Job, plan: Plan) -> Iterator[Plan]:
    def moved(rule: JointRule) -> JointRule:
        return replace(rule, at_mm=None if rule.at_mm is None else
                       tuple(x + 60.0 for x in rule.at_mm))  # fmt: skip

    yield from _rule_changed(job, plan, moved)


@damage
def other_faces_planed(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    turned = _turned_faces(plan)
    if turned != plan:
        yield turned


@damage
def both_pieces_planed_alike(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, joint in enumerate(plan.joints):
        if joint.planed[0] is None:
            continue
        second = joint.pieces[1]

        def same(piece: G, joint: str = joint.id, face: object = joint.planed[0]) -> G:
            ends = tuple(
                replace(e, planed=face) if e.joint == joint else e  # type: ignore[arg-type]
                for e in piece.ends
            )
            return replace(piece, ends=ends)

        joints = list(plan.joints)
        joints[k] = replace(joint, planed=(joint.planed[0], joint.planed[0]))
        yield replace(
            plan,
            joints=tuple(joints),
            pieces=tuple(same(p) if p.id == second else p for p in plan.pieces),
            rail_pieces=tuple(same(p) if p.id == second else p for p in plan.rail_pieces),
        )
        return


@damage
def the_other_word(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    other = {Word.GIVEN: Word.CHOSEN, Word.CHOSEN: Word.GIVEN}
    if plan.joints:
        yield replace(plan, joints=tuple(replace(j, word=other[j.word]) for j in plan.joints))


@damage
def weak_joint_hidden_or_made_up(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    if plan.joints:
        yield replace(plan, joints=tuple(replace(j, is_weak=not j.is_weak) for j in plan.joints))


# --- shapes --------------------------------------------------------------------------------------


def _some(plan: Plan) -> list[SheetPiece]:
    """The first piece of every part, and a mirror image where there is one."""
    firsts = {p.part: p for p in reversed(plan.pieces)}
    lasts = {p.part: p for p in plan.pieces}
    return list({p.id: p for p in (*firsts.values(), *lasts.values())}.values())


@damage
def true_curves_moved_3_mm(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in _some(plan):
        yield _with_shape(plan, piece, _curves_moved)


def _curves_moved(shape: Shape) -> Shape:
    """Curves move, the points stay; where there are no curves, the points move."""
    ring = shape.outline
    moved = _moved_ring(ring, (3.0, 0.0))
    return replace(shape, outline=Ring(ring.points, moved.curves) if ring.curves else moved)


@damage
def outlines_moved_whole(job: Job, plan: Plan) -> Iterator[Plan]:
    """A piece moves in its own frame, marks stay."""
    del job
    for piece in _some(plan):
        yield _with_shape(
            plan, piece, lambda s: replace(s, outline=_moved_ring(s.outline, (0.0, 2.0)))
        )


@damage
def holes_moved_5_mm(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in _some(plan):
        if piece.shape.holes:
            yield _with_shape(
                plan,
                piece,
                lambda s: replace(s, holes=tuple(_moved_ring(h, (5.0, 0.0)) for h in s.holes)),
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
            yield _with_shape(plan, piece, lambda s: replace(s, holes=tuple(map(smaller, s.holes))))


@damage
def a_hole_forgotten(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in _some(plan):
        if piece.shape.holes:
            yield _with_shape(plan, piece, lambda s: replace(s, holes=s.holes[1:]))


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
        yield _with_pieces(plan, {piece.id: replace(piece, shape=unmirrored, net=unmirrored)})
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
            yield _with_pieces(plan, {piece.id: swapped})
            return


@damage
def station_marks_moved_25_mm(job: Job, plan: Plan) -> Iterator[Plan]:
    del job

    def moved(mark: Mark) -> Mark:
        by = (25.0, 0.0)
        return replace(
            mark,
            points=_moved_points(mark.points, by),
            curves=tuple(_moved_curve(c, by) for c in mark.curves),
        )

    for piece in _some(plan):
        if piece.shape.marks:
            yield _with_shape(plan, piece, lambda s: replace(s, marks=tuple(map(moved, s.marks))))


@damage
def mark_called_otherwise(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in _some(plan):
        if piece.shape.marks:
            yield _with_shape(
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
        yield _with_shape(plan, piece, lambda s: _scaled(s, 0.9))


@damage
def a_tenth_too_small_and_added_under_its_name(job: Job, plan: Plan) -> Iterator[Plan]:
    for part in job.sheet_parts:
        if part.joint is not None:
            continue
        small = replace(part, shape=_scaled(part.shape, 0.9))
        pieces = {p.id: p for p in whole_pieces(small)}
        yield replace(_with_pieces(plan, pieces), added_parts=(*plan.added_parts, small))
        return


@damage
def a_strap_a_tenth_too_small(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, part in enumerate(plan.added_parts):
        small = replace(part, shape=_scaled(part.shape, 0.9))
        pieces = {p.id: p for p in whole_pieces(small)}
        added = list(plan.added_parts)
        added[k] = small
        yield replace(_with_pieces(plan, pieces), added_parts=tuple(added))


@damage
def allowance_forgotten(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in _some(plan):
        if piece.net != piece.shape:
            yield _with_pieces(plan, {piece.id: replace(piece, shape=piece.net)})


@damage
def grain_and_turn_a_quarter_round(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in plan.pieces:
        if piece.grain is Grain.ALONG:
            yield _with_pieces(plan, {piece.id: replace(piece, grain=Grain.ACROSS)})
            return


# --- rails ---------------------------------------------------------------------------------------


@damage
def rails_wider_with_their_cuts(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for part in dict.fromkeys(p.part for p in plan.rail_pieces):
        own = {p.id: replace(p, width_mm=p.width_mm - 2.0) for p in plan.rail_pieces
               if p.part == part}  # fmt: skip
        yield _with_rails(plan, own)


@damage
def rails_thinner_with_their_cuts(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for part in dict.fromkeys(p.part for p in plan.rail_pieces):
        own = {p.id: replace(p, thickness_mm=p.thickness_mm - 1.0) for p in plan.rail_pieces
               if p.part == part}  # fmt: skip
        yield _with_rails(plan, own)


@damage
def rails_short_with_their_cuts(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for part in dict.fromkeys(p.part for p in plan.rail_pieces):
        own = {
            p.id: replace(p, length_mm=p.length_mm - 10.0, to_mm=p.to_mm - 10.0)
            for p in plan.rail_pieces
            if p.part == part
        }
        yield _with_rails(plan, own)


@damage
def kerf_between_rails_forgotten(job: Job, plan: Plan) -> Iterator[Plan]:
    for number, board in enumerate(plan.boards):
        cuts = list(board.cuts)
        for k, cut in enumerate(cuts):
            behind = [
                c for c in cuts
                if c.rip_from_mm == cut.rip_from_mm and 0.0 < cut.from_mm - c.to_mm < 10.0
            ]  # fmt: skip
            if behind:
                by = cut.from_mm - behind[0].to_mm
                cuts[k] = replace(cut, from_mm=cut.from_mm - by, to_mm=cut.to_mm - by)
                boards = list(plan.boards)
                boards[number] = replace(board, cuts=tuple(cuts))
                if job.cutting.kerf_mm > 0.0:
                    yield replace(plan, boards=tuple(boards))
                return


# --- stock and money -----------------------------------------------------------------------------


@damage
def price_with_its_total(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, line in enumerate(plan.buy):
        if line.price_minor:
            buy = list(plan.buy)
            buy[k] = replace(line, price_minor=line.price_minor - 100)
            yield replace(plan, buy=tuple(buy))


@damage
def one_empty_sheet_too_many(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, line in enumerate(plan.buy):
        sheet = next((s for s in plan.sheets if s.stock == line.stock), None)
        if sheet is not None and line.count:
            empty = replace(sheet, placements=(), offcuts=(), number=len(plan.sheets) + 1)
            buy = list(plan.buy)
            buy[k] = replace(line, count=line.count + 1)
            yield replace(plan, sheets=(*plan.sheets, empty), buy=tuple(buy))
            return


@damage
def one_more_or_less_bought(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, line in enumerate(plan.buy):
        for by in (1, -1):
            if line.count + by >= 0:
                buy = list(plan.buy)
                buy[k] = replace(line, count=line.count + by)
                yield replace(plan, buy=tuple(buy))


@damage
def stock_to_hand_bought(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for k, line in enumerate(plan.buy):
        if line.to_hand:
            buy = list(plan.buy)
            buy[k] = replace(line, count=line.count + line.to_hand, to_hand=0)
            yield replace(plan, buy=tuple(buy))


@damage
def offcut_over_the_pieces(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    sheet = plan.sheets[0]
    whole = Offcut(from_mm=(10.0, 10.0), to_mm=(sheet.length_mm - 10.0, sheet.width_mm - 10.0))
    yield replace(plan, sheets=(replace(sheet, offcuts=(whole,)), *plan.sheets[1:]))


@damage
def a_piece_left_out(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    gone = plan.pieces[-1].id
    sheets = tuple(
        replace(s, placements=tuple(p for p in s.placements if p.piece != gone))
        for s in plan.sheets
    )
    yield replace(plan, pieces=plan.pieces[:-1], sheets=sheets)


@damage
def a_note_of_a_part_changed(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for piece in plan.pieces[:1]:
        yield _with_pieces(plan, {piece.id: replace(piece, note="cut two")})


@damage
def smaller_sheet_throughout(job: Job, plan: Plan) -> Iterator[Plan]:
    del job
    for sheet in plan.sheets[:1]:
        sheets = tuple(
            replace(s, length_mm=s.length_mm + 20.0) if s.stock == sheet.stock else s
            for s in plan.sheets
        )
        buy = tuple(
            replace(b, length_mm=b.length_mm + 20.0) if b.stock == sheet.stock else b
            for b in plan.buy
        )
        yield replace(plan, sheets=sheets, buy=buy)


def compound_edits(job: Job, plan: Plan) -> Iterator[tuple[str, Plan]]:
    """Return every damage that a plan can take, under its name."""
    for name, made in DAMAGES.items():
        for number, changed in enumerate(made(job, plan), start=1):
            yield f"{name} {number}", changed
