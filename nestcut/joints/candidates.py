"""Joint positions that come into question for a flat part, so that a search can choose among them.

A set of positions is offered only if every piece fits a sheet at a turn it may take, every joint
keeps clear of the stretches the builder named, and pieces and joints are as many and as long as
the rule says.  Offered are equal stretches, pieces as long as the sheet allows from either end,
and positions spread evenly over what is possible.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import TypeVar

from nestcut.facts import Fact, Length, fact
from nestcut.joints.arithmetic import (
    clear_distance_mm,
    equal_positions_mm,
)
from nestcut.joints.collisions import MOST_JOINTS, collisions
from nestcut.joints.fitting import Fit
from nestcut.joints.offers import Choice, Offer, Positions
from nestcut.model.joint import JointRule
from nestcut.model.part import Hands, SheetPart
from nestcut.model.stock import SheetStock
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.trade.joints import CLEAR_WOOD_OVERLAPS, LEAST_PIECE_SHARE

MOST_SETS = 100_000
"""Sets of positions that are put together for one number of joints. [-]"""

_T = TypeVar("_T")


def offer_positions(
    part: SheetPart, stocks: tuple[SheetStock, ...], samples: int = 7, most: int = 60
) -> Offer:
    """Return the joint positions that come into question for a part with free joints.

    Parameters
    ----------
    part
        A part with a joint rule without positions.
    stocks
        Sheets of its material and thickness.
    samples
        Positions tried in each joint's stretch, besides its ends.
    most
        Most sets offered for each number of joints.
    """
    rule = part.joint
    if rule is None:
        raise ValueError(f"{part.name} has no joint rule")
    if not stocks:
        return Offer(part=part, choices=(), equal=(), reasons=(fact("JNT-214"),))
    fit = Fit(part, rule, stocks)
    reasons: list[Fact] = []
    rows: list[Positions] = [()] if fit.piece(None, None) else []
    equal: list[Positions] = list(rows)
    limit = most_joints(fit, rule)
    least = None if not rows else 0
    tried = 0
    for n in range(1, limit + 1):
        if least is not None and n > least + 1:
            break
        found, plain = _with_joints(fit, rule, n, samples, most)
        if found and least is None:
            least = n
        rows += found
        equal += plain
        tried = n
    choices = _with_twins(part, rule, rows, most)
    if not choices:
        reasons += _why_none(part, rule, fit)
    plain_choices = tuple(c for c in choices if c.twin_at_mm is None and c.at_mm in equal)
    return Offer(
        part=part,
        choices=choices,
        equal=plain_choices,
        reasons=tuple(reasons),
        most_joints=tried,
    )


def offer_more(
    offer: Offer, stocks: tuple[SheetStock, ...], samples: int = 7, most: int = 60
) -> Offer:
    """Return an offer with all numbers of joints that the rules allow, what it had first.

    Where the builder names no most, as many as the least piece leaves room for: see
    :func:`most_joints`.

    Parameters
    ----------
    stocks
        Sheets that the part may be cut from.
    samples
        Positions tried in each joint's stretch, besides its ends.
    most
        Most sets offered for each number of joints.
    """
    part, rule = offer.part, offer.part.joint
    if rule is None or not offer.choices or part.width_along_mm is not None:
        return offer
    fit = Fit(part, rule, stocks)
    limit = most_joints(fit, rule)
    rows: list[Positions] = []
    for n in range(offer.most_joints + 1, limit + 1):
        rows += _with_joints(fit, rule, n, samples, most)[0]
    more = _with_twins(part, rule, rows, most)
    known = set(offer.choices)
    return replace(
        offer,
        choices=(*offer.choices, *(c for c in more if c not in known)),
        most_joints=max(limit, offer.most_joints),
    )


def most_joints(fit: Fit, rule: JointRule) -> int:
    """Return the number of joints beyond which none is thought of.

    The builder's own, or as many as there may be if every piece is as short as its least length.
    """
    if rule.max_joints is not None:
        return min(rule.max_joints, MOST_JOINTS)
    end = _least_piece_mm(fit, rule, None, 1.0)
    inner = _least_piece_mm(fit, rule, 1.0, 1.0)
    left = fit.length - 2.0 * end + fit.overlap
    if left < -SAME_LENGTH_MM:
        return 1
    most = 1 + math.floor(left / (inner - fit.overlap) + SAME_LENGTH_MM)
    return min(most, MOST_JOINTS)


def is_allowed(at: float, rule: JointRule, overlap: float) -> bool:
    """Whether a joint keeps clear of every stretch that is to be kept clear.

    Parameters
    ----------
    at
        Middle of the joint, along the part. [mm]
    overlap
        Length of its overlap. [mm]
    """
    return all(
        clear_distance_mm(at, overlap, z.from_mm, z.to_mm) >= -SAME_LENGTH_MM
        for z in rule.keep_clear
    )


def are_staggered(ours: Positions, theirs: Positions, stagger_mm: float) -> bool:
    """Whether two parts' joints keep their distance, middle to middle.

    Parameters
    ----------
    ours, theirs
        Middles of the joints, along parts that lie side by side. [mm]
    stagger_mm
        Least distance. [mm]
    """
    return all(abs(a - b) >= stagger_mm - SAME_LENGTH_MM for a in ours for b in theirs)


def _with_joints(
    fit: Fit, rule: JointRule, n: int, samples: int, most: int
) -> tuple[list[Positions], list[Positions]]:
    """Return the sets of n positions, and the equal ones among them."""
    latest, earliest = _extremes(fit, rule, n)
    if latest is None or earliest is None:
        return [], []
    windows = [
        _spread(fit, rule, low, high, samples if n < 3 else 3)
        for low, high in zip(earliest, latest, strict=True)
    ]
    equal = _whole_mm(equal_positions_mm(fit.length, n + 1))
    even = _whole_mm(_even_pieces(fit, n))
    first = [at for at in (equal, even, latest, earliest) if _is_sound(fit, rule, at)]
    grid = _sound_sets(fit, rule, windows)
    plain = [at for at in (equal, even) if at in first]
    return list(dict.fromkeys((*first, *_thinned(grid, most)))), list(dict.fromkeys(plain))


def _sound_sets(fit: Fit, rule: JointRule, windows: list[list[float]]) -> list[Positions]:
    """Return the sets with a position from each window that keep the rule, in their order.

    Put together piece by piece, so that a piece that doesn't fit ends all sets that begin with it.
    Where many stretches are kept clear the windows are long: of each so many positions are taken,
    evenly, that there are no more than :data:`MOST_SETS`.
    """
    each = max(2, int(MOST_SETS ** (1.0 / len(windows))))
    known: dict[tuple[float | None, float | None], bool] = {}

    def is_piece(before: float | None, after: float | None) -> bool:
        if (before, after) not in known:
            known[before, after] = _is_sound_piece(fit, rule, before, after)
        return known[before, after]

    begun: list[Positions] = [()]
    for window in windows:
        begun = [
            (*at, further)
            for at in begun
            for further in _thinned(window, each)
            if is_piece(at[-1] if at else None, further)
        ]
    return [at for at in begun if is_piece(at[-1], None)]


def _whole_mm(at: Positions) -> Positions:
    """Return positions that a builder can mark out."""
    return tuple(float(round(a)) for a in at)


def _thinned(rows: list[_T], most: int) -> list[_T]:
    """Return at most so many, evenly chosen, the first and the last among them."""
    if len(rows) <= most:
        return rows
    return [rows[round(k * (len(rows) - 1) / (most - 1))] for k in range(most)]


def _extremes(fit: Fit, rule: JointRule, n: int) -> tuple[Positions | None, Positions | None]:
    """Return the furthest and the nearest positions of n joints, or None where there are none."""
    latest: list[float] = []
    for _ in range(n):
        before = latest[-1] if latest else None
        furthest = fit.furthest(before)
        whole = float(round(furthest))
        at = _allowed_at_most(whole if fit.piece(before, whole) else whole - 1.0, rule, fit.taken)
        if at is None:
            return None, None
        latest.append(at)
    earliest: list[float] = []
    for _ in range(n):
        after = earliest[-1] if earliest else None
        whole = float(round(fit.nearest(after)))
        at = _allowed_at_least(whole if fit.piece(whole, after) else whole + 1.0, rule, fit.taken)
        if at >= fit.length:
            return None, None
        earliest.append(at)
    earliest.reverse()
    if any(a > b + SAME_LENGTH_MM for a, b in zip(earliest, latest, strict=True)):
        return None, None
    ends = _least_piece_mm(fit, rule, None, 0.0) - fit.overlap / 2.0
    low, high = max(earliest[0], ends), min(latest[-1], fit.length - ends)
    return (*latest[:-1], float(math.floor(high))), (float(math.ceil(low)), *earliest[1:])


def _allowed_at_most(at: float, rule: JointRule, overlap: float) -> float | None:
    """Return the furthest allowed position up to ``at``."""
    for zone in sorted(rule.keep_clear, key=lambda z: -z.to_mm):
        if clear_distance_mm(at, overlap, zone.from_mm, zone.to_mm) < -SAME_LENGTH_MM:
            at = zone.from_mm - overlap / 2.0
    return at if at > overlap / 2.0 else None


def _allowed_at_least(at: float, rule: JointRule, overlap: float) -> float:
    """Return the nearest allowed position from ``at`` on."""
    for zone in sorted(rule.keep_clear, key=lambda z: z.from_mm):
        if clear_distance_mm(at, overlap, zone.from_mm, zone.to_mm) < -SAME_LENGTH_MM:
            at = zone.to_mm + overlap / 2.0
    return at


def _spread(fit: Fit, rule: JointRule, low: float, high: float, samples: int) -> list[float]:
    """Return positions of one joint: ends of what is allowed, and evenly between."""
    found = {low, high}
    found |= {float(round(low + (high - low) * k / (samples + 1))) for k in range(1, samples + 1)}
    for zone in rule.keep_clear:
        found |= {zone.from_mm - fit.taken / 2.0, zone.to_mm + fit.taken / 2.0}
    return [
        at
        for at in sorted(found)
        if low - SAME_LENGTH_MM <= at <= high + SAME_LENGTH_MM and is_allowed(at, rule, fit.taken)
    ]


def _even_pieces(fit: Fit, n: int) -> Positions:
    """Return the positions at which all n + 1 pieces, overlaps included, are equally long."""
    piece = (fit.length + n * fit.overlap) / (n + 1)
    return tuple(k * (piece - fit.overlap) + fit.overlap / 2.0 for k in range(1, n + 1))


def _is_sound(fit: Fit, rule: JointRule, at: Positions) -> bool:
    """Whether a set of positions keeps the rule and gives pieces that fit."""
    ends: tuple[float | None, ...] = (None, *at, None)
    return all(is_allowed(a, rule, fit.taken) for a in at) and all(
        _is_sound_piece(fit, rule, before, after) for before, after in itertools.pairwise(ends)
    )


def _is_sound_piece(fit: Fit, rule: JointRule, before: float | None, after: float | None) -> bool:
    """Whether the piece between two joints is long enough and fits."""
    least = _least_piece_mm(fit, rule, before, after)
    return _length(fit, before, after) >= least - SAME_LENGTH_MM and fit.piece(before, after)


def _length(fit: Fit, before: float | None, after: float | None) -> float:
    """Length of the piece between two joints, overlaps included. [mm]"""
    half = fit.overlap / 2.0
    start = 0.0 if before is None else before - half
    return (fit.length if after is None else after + half) - start


def _least_piece_mm(fit: Fit, rule: JointRule, before: float | None, after: float | None) -> float:
    """Least length of a piece: the builder's, and clear wood of 3 joints beside its own. [mm]

    FAA AC 43.13-1B para 1-40 asks for as much between the splices of a spar: a model, not a rule
    for boats.  Where the builder says nothing, no piece is shorter than an eighth of the part:
    common practice, no source.
    """
    joints = (before is not None) + (after is not None)
    wanted = rule.min_piece_mm or LEAST_PIECE_SHARE.value * fit.length
    own = fit.overlap or fit.taken / 2.0  # of a strap half lies on either piece
    return max(wanted, joints * own + CLEAR_WOOD_OVERLAPS.value * fit.taken)


def _with_twins(
    part: SheetPart, rule: JointRule, rows: list[Positions], most: int
) -> tuple[Choice, ...]:
    """Return the choices: both hands alike, or staggered where the rule asks for it."""
    if part.hands is not Hands.PAIR or rule.stagger_mm <= 0.0:
        return tuple(Choice(at_mm=at) for at in rows)
    choices = [Choice(at_mm=at) for at in rows if not at]
    for n in sorted({len(at) for at in rows if at}):
        own = [at for at in rows if len(at) == n]
        pairs = [
            Choice(at_mm=ours, twin_at_mm=theirs)
            for ours in own
            for theirs in own
            if are_staggered(ours, theirs, rule.stagger_mm)
        ]
        choices += _thinned(pairs, 2 * most)
    if not any(c.at_mm for c in choices) and not rule.is_stagger_said:
        return tuple(Choice(at_mm=at) for at in rows)  # given up, and told where joints are judged
    return tuple(choices)


def _why_none(part: SheetPart, rule: JointRule, fit: Fit) -> tuple[Fact, ...]:
    """Say which demands collide, and what the stock gives."""

    def can_be_kept(some: JointRule) -> bool:
        rows: list[Positions] = [()] if fit.piece(None, None) else []
        for n in range(1, min(most_joints(fit, some), MOST_JOINTS) + 1):
            rows += _with_joints(fit, some, n, 5, 30)[0]
        return bool(_with_twins(part, some, rows, 30))

    longest = fit.furthest(None) + fit.overlap / 2.0
    return (
        *collisions(rule, can_be_kept),
        fact("JNT-208", part=part.name, length=Length(fit.length)),
        fact("JNT-209", length=Length(longest)),
    )
