"""A plan's pieces and joints for a job that has changed; what is the same stays where it lies.

Parts are divided where they were before, so that the other half, the twin and the neighbours still
fit.  Each new piece is then held against the old plan's of the same part, hand and copy: one that
is cut alike from the same stuff is the same piece, whatever became of the rest of its part.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import TypeVar

from nestcut.again.alike import moved_over, rail_shift, shift_between
from nestcut.again.events import Events, add_events
from nestcut.again.shed_of_plan import boards_left, sheets_left
from nestcut.boards import JointPreference, Rail, cut_boards, divide_rails, single_rails
from nestcut.errors import InputError, blocking
from nestcut.model.curves import Point
from nestcut.model.job import Job
from nestcut.model.part import Hand, Hands, SheetPart
from nestcut.model.piece import RailPiece, SheetPiece, piece_id
from nestcut.model.plan import Plan
from nestcut.planning.divide_job import divide_parts, is_free
from nestcut.planning.fit import refuse_joints
from nestcut.planning.judge import judge_joints
from nestcut.planning.pieces import Pieces, divide, gather
from nestcut.search.settings import Deadline, Settings, Silent
from nestcut.tolerances import SAME_LENGTH_MM

At = tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Renewed:
    """A plan for the changed job, in which some pieces lie nowhere yet.

    Parameters
    ----------
    plan
        Pieces and joints of the new job on the old plan's sheets and boards.
    lost
        Ids of pieces without a place.
    names
        New ids of pieces that stay, by their old ids; two differ where a joint was added.
    """

    plan: Plan
    lost: frozenset[str]
    names: dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """How hard and how long to search for new joints."""

    settings: Settings
    deadline: Deadline


def renew_plan(
    job: Job, plan: Plan, events: Events, desk: Desk, extra: dict[str, At] | None = None
) -> Renewed:
    """Return a plan's pieces as a changed job asks for them.

    Parameters
    ----------
    job
        The new job, with what the plan holds in the shed.
    plan
        The plan as it was before the events.
    extra
        Places of joints to add, by the id of a whole rail. [mm]

    Raises
    ------
    InputError
        If a part can't be made at all.
    """
    refused = refuse_joints(job)
    if refused:
        raise InputError(refused)
    flat = _flat(job, plan, desk)
    if blocking(flat.findings):
        raise InputError(blocking(flat.findings))
    rails, rail_joints, rail_findings = divide_rails(*_rails_at(job, plan, desk, extra or {}))
    findings = (*job.findings, *flat.findings, *rail_findings)
    joints, more = judge_joints(job, (*flat.joints, *rail_joints), findings)
    now = replace(
        plan,
        pieces=flat.pieces,
        rail_pieces=rails,
        joints=joints,
        added_parts=flat.added_parts,
        findings=(*findings, *more),
    )
    return _laid_over(plan, now, events)


def _laid_over(old: Plan, new: Plan, events: Events) -> Renewed:
    """Put new pieces where old ones that are alike lie; what is cut and of no use stays spent."""
    cut = frozenset(old.already_cut) | events.cut
    usable = cut - events.spoilt
    names, moves = _matched(old, new, usable)
    lapsed = usable - names.keys()
    after = add_events(old, Events(cut=events.cut, spoilt=events.spoilt), lapsed)
    sheets = tuple(
        replace(
            s,
            placements=tuple(
                replace(moved_over(p, moves[p.piece]), piece=names[p.piece])
                for p in s.placements
                if p.piece in names
            ),
        )
        for s in after.sheets
    )
    boards = tuple(
        replace(
            b,
            cuts=tuple(replace(c, piece=names[c.piece]) for c in b.cuts if c.piece in names),
        )
        for b in after.boards
    )
    lying = {p.piece for s in sheets for p in s.placements}
    lying |= {c.piece for b in boards for c in b.cuts}
    every = {p.id for p in new.pieces} | {p.id for p in new.rail_pieces}
    plan = replace(
        new,
        sheets=sheets,
        boards=boards,
        unplaced=(),
        already_cut=tuple(sorted(names[i] for i in after.already_cut if i in names)),
    )
    return Renewed(plan=plan, lost=frozenset(every - lying), names=names)


def _matched(
    old: Plan, new: Plan, usable: frozenset[str]
) -> tuple[dict[str, str], dict[str, Point]]:
    """Say which old piece is which new one: of the same copy, else what is cut of any copy."""
    pairs = [
        *_alike(old.pieces, new.pieces, shift_between),
        *_alike(old.rail_pieces, new.rail_pieces, rail_shift),
    ]
    names: dict[str, str] = {}
    moves: dict[str, Point] = {}
    taken: dict[str, str] = {}
    for was, now, shift, same_copy in sorted(pairs, key=lambda p: (not p[3], p[0] not in usable)):
        holder = taken.get(now)
        if was in names or (holder is not None and (same_copy or holder in usable)):
            continue
        if not same_copy and was not in usable:
            continue
        if holder is not None:
            del names[holder]
        names[was], moves[was], taken[now] = now, shift, was
    return names, moves


Pair = tuple[str, str, Point, bool]
"""Ids of an old piece and a new one that are alike, the shift, whether they are of one copy."""
P = TypeVar("P", SheetPiece, RailPiece)


def _alike(
    old: Iterable[P], new: Iterable[P], shift_of: Callable[[P, P], Point | None]
) -> list[Pair]:
    groups: dict[tuple[str, Hand | None], list[P]] = {}
    for piece in new:
        groups.setdefault((piece.part, piece.hand), []).append(piece)
    return [
        (was.id, now.id, shift, was.copy == now.copy)
        for was in old
        for now in groups.get((was.part, was.hand), ())
        if (shift := shift_of(was, now)) is not None
    ]


def _flat(job: Job, plan: Plan, desk: Desk) -> Pieces:
    """Divide flat parts where they were divided before; those for which that won't do anew."""
    made: dict[str, Pieces] = {}
    fresh: list[SheetPart] = []
    for part in job.sheet_parts:
        if not is_free(part):
            made[part.name] = divide(part, part.joint.at_mm or () if part.joint else ())
            continue
        at = _places(plan, part)
        again = None if at is None else divide(part, at[0], at[1])
        if again is None or again.findings or not _may_fit(again, job):
            fresh.append(part)
        else:
            made[part.name] = again
    if fresh:
        sold = sheets_left(job, plan)
        known = {(s.material, s.thickness_mm) for s in sold if s.count != 0}
        lying = (
            replace(s, count=s.held, held=0)
            for s in job.sheet_stocks
            if s.held and (s.material, s.thickness_mm) not in known
        )
        alone = replace(
            job,
            sheet_parts=tuple(fresh),
            rail_parts=(),
            sheet_stocks=(*(s for s in sold if s.count != 0), *lying),
            findings=(),
        )
        divided = divide_parts(
            alone, desk.settings, desk.deadline, Silent(), JointPreference.CHEAPEST
        ).made
        for part in fresh:
            own = tuple(p for p in divided.pieces if p.part == part.name)
            joints = tuple(j for j in divided.joints if j.part == part.name)
            made[part.name] = Pieces(pieces=own, joints=joints)
        straps = {p.name for p in divided.added_parts}
        extra = Pieces(
            pieces=tuple(p for p in divided.pieces if p.part in straps),
            joints=(),
            added_parts=divided.added_parts,
            findings=divided.findings,
        )
        return gather([*(made[p.name] for p in job.sheet_parts), extra])
    return gather([made[p.name] for p in job.sheet_parts])


def _may_fit(made: Pieces, job: Job) -> bool:
    """Whether every piece is no longer than the longest stock of its stuff, roughly."""
    longest: dict[tuple[str, float], float] = {}
    for s in job.sheet_stocks:
        key = (s.material, s.thickness_mm)
        longest[key] = max(longest.get(key, 0.0), (s.length_mm**2 + s.width_mm**2) ** 0.5)
    for b in job.board_stocks:
        key = (b.material, b.thickness_mm)
        for offer in b.lengths:
            longest[key] = max(longest.get(key, 0.0), offer.length_mm)
    for piece in made.pieces:
        xs = [x for x, _ in piece.shape.outline.points]
        ys = [y for _, y in piece.shape.outline.points]
        size = max(max(xs) - min(xs), max(ys) - min(ys))
        if size > longest.get((piece.material, piece.thickness_mm), 0.0):
            return False
    return True


def _places(plan: Plan, part: SheetPart) -> tuple[At, At | None] | None:
    """Where a part was divided before: the drawn hand and the other; None: it wasn't there."""
    if not any(p.part == part.name for p in plan.pieces):
        return None
    at: dict[str, list[float]] = {}
    for joint in plan.joints:
        if joint.part == part.name and joint.copy == 1:
            at.setdefault(joint.hand or "", []).append(joint.at_mm)
    if part.hands is Hands.NONE:
        return tuple(sorted(at.get("", ()))), None
    drawn = tuple(sorted(at.get(part.drawn.value, ())))
    other = Hand.PORT if part.drawn is Hand.STARBOARD else Hand.STARBOARD
    twin = tuple(sorted(at.get(other.value, ())))
    if part.hands is Hands.PAIR:
        return drawn, twin if twin != drawn else None
    own = drawn or twin
    return own, None


def _rails_at(
    job: Job, plan: Plan, desk: Desk, extra: dict[str, At]
) -> tuple[tuple[Rail, ...], dict[Rail, At]]:
    """Say where rails are divided: as given, as before, or anew for rails that weren't there."""
    before: dict[str, At] = {}
    for piece in plan.rail_pieces:
        before.setdefault(_whole(piece), ())
    for joint in plan.joints:
        hand = None if joint.hand is None else Hand(joint.hand)
        key = _rail_id(joint.part, hand, joint.copy)
        if key in before:
            before[key] = tuple(sorted((*before[key], joint.at_mm)))
    lengths = {_whole(p): p.to_mm for p in sorted(plan.rail_pieces, key=lambda p: p.to_mm)}
    rails = single_rails(job.rail_parts)
    at: dict[Rail, At] = {}
    new: list[Rail] = []
    for rail in rails:
        rule = rail.part.joint
        if rule is None or rule.at_mm is not None:
            at[rail] = () if rule is None else rule.at_mm or ()
        elif rail.id in before and _still_divides(rail, before[rail.id], lengths[rail.id]):
            at[rail] = before[rail.id]
        else:
            new.append(rail)
    if new:
        outcome = cut_boards(
            tuple({r.part.name: r.part for r in new}.values()),
            boards_left(job, plan.stock_used),
            job.cutting,
            JointPreference.CHEAPEST,
            desk.settings,
            desk.deadline,
            Silent(),
        )
        for rail in new:
            at[rail] = tuple(
                sorted(
                    j.at_mm
                    for j in outcome.joints
                    if _rail_id(j.part, None if j.hand is None else Hand(j.hand), j.copy) == rail.id
                )
            )
    for rail in rails:
        if rail.id in extra:
            at[rail] = tuple(sorted({*at[rail], *extra[rail.id]}))
    return rails, at


def _still_divides(rail: Rail, at: At, length_mm: float) -> bool:
    """Whether a rail's old joints lie on it, well within, whatever has become of its length."""
    if abs(length_mm - rail.part.length_mm) < SAME_LENGTH_MM:
        return True
    half = rail.overlap_mm / 2.0
    least = 0.0 if rail.part.joint is None else rail.part.joint.min_piece_mm
    return not at or at[-1] + half + max(least, rail.overlap_mm) <= rail.part.length_mm


def _whole(piece: RailPiece) -> str:
    return _rail_id(piece.part, piece.hand, piece.copy)


def _rail_id(part: str, hand: Hand | None, copy: int) -> str:
    """Name of a whole rail, as :class:`Rail` has it."""
    return piece_id(part, hand, copy, 1, 1)
