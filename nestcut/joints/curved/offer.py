"""The ways to divide a band that come into question, and what boards make of it in words."""

from __future__ import annotations

import math
from dataclasses import replace

from nestcut.errors import Finding
from nestcut.facts import Fact, Length, fact
from nestcut.joints.candidates import is_allowed
from nestcut.joints.collisions import Grains, collisions
from nestcut.joints.curved.division import bend_between
from nestcut.joints.curved.line import band_line
from nestcut.joints.curved.places import BandSearch, BandWay, Plank, has_prices
from nestcut.joints.curved.stretches import Stretches
from nestcut.joints.offers import Choice, FromWidth, KeptBack, Offer
from nestcut.model.joint import JointRule
from nestcut.model.part import CutFrom, Hands, SheetPart


def offer_band_positions(part: SheetPart, planks: tuple[Plank, ...]) -> Offer:
    """Return the ways to divide a band that come into question.

    For the fewest pieces: the cheapest from all planks, and the cheapest from planks up to each
    width, since narrow boards may nest better than wide ones.  More pieces, as many as the rules
    allow, wherever they take less board than any fewer do; where they take more they can't pay,
    since each joint more is work too.
    """
    rule = part.joint
    if rule is None:
        raise ValueError(f"{part.name} has no joint rule")
    band = band_line(part)
    if isinstance(band, Finding):
        return Offer(part=part, choices=(), equal=(), reasons=(Fact("JNT-218", band.values),))
    stretches = Stretches(part, max((p.length_mm for p in planks), default=0.0))
    search = BandSearch(stretches, planks)
    least = search.fewest()
    if least is None:
        return Offer(part=part, choices=(), equal=(), reasons=_why_none(search))
    limit = search.most()
    narrower = [
        tuple(p for p in planks if p.width_mm <= width)
        for width in sorted({p.width_mm for p in planks})[:-1]
    ]
    searches = [search, *(BandSearch(stretches, some) for some in narrower)]
    choices: list[Choice] = []
    equal: list[Choice] = []
    cheapest = math.inf
    for n in range(least, limit + 1):
        ways = [(one, way) for one in searches if (way := one.best(n)) is not None]
        for one, way in ways:
            if n == least or way.cost < cheapest:  # more pieces only where they may save board
                choices += _with_twin(one, way)
        cheapest = min([cheapest, *(way.cost for _, way in ways)])
        even = _equal(search, n) if n <= least + 1 else None
        if even is not None:
            equal += _with_twin(search, even)
    choices = list(dict.fromkeys((*choices, *equal)))
    reasons = () if choices else _why_none(search)
    plain = tuple(c for c in dict.fromkeys(equal) if c.twin_at_mm is None)
    return Offer(
        part=part,
        choices=tuple(choices),
        equal=plain,
        reasons=reasons,
        widths=tuple(
            _from_width(stretches, planks, w) for w in sorted({p.width_mm for p in planks})
        ),
        most_joints=limit - 1,
    )


def _from_width(stretches: Stretches, planks: tuple[Plank, ...], width_mm: float) -> FromWidth:
    """Return what a band comes to from boards of one width alone."""
    search = BandSearch(stretches, tuple(p for p in planks if p.width_mm == width_mm))
    least = search.fewest()
    way = None if least is None else search.best(least)
    if way is None:
        return FromWidth(width_mm=width_mm)
    return FromWidth(
        width_mm=width_mm,
        pieces_mm=tuple(p.bend.to_mm - p.bend.from_mm for p in way.pieces),
        cost_minor=way.cost if has_prices(search.planks) else None,
        run_out=min(p.run_out for p in way.pieces),
        kept_back=_kept_back(search, way),
    )


def _kept_back(search: BandSearch, way: BandWay) -> tuple[KeptBack, ...]:
    """Say which limits a piece would run into if it reached to the next joint but one."""
    limits: list[KeptBack] = []
    ends: tuple[float | None, ...] = (None, *way.at_mm, None)
    for k in range(len(way.pieces) - 1):
        bend = bend_between(search.band, ends[k], ends[k + 2], search.overlap)
        is_board = search.stretches.part.cut_from is CutFrom.BOARD
        if is_board and bend.slack_deg(search.rule.run_out) < 0.0:
            limits.append(KeptBack.GRAIN)
        elif bend.chord_mm > max(p.length_mm for p in search.planks):
            limits.append(KeptBack.LENGTH)
        else:
            limits.append(KeptBack.WIDTH)
    return tuple(dict.fromkeys(limits))


def _equal(search: BandSearch, n_pieces: int) -> BandWay | None:
    """Return equal stretches, if the rules allow them and their pieces fit."""
    at = tuple(float(round(search.band.length_mm * k / n_pieces)) for k in range(1, n_pieces))
    if not all(is_allowed(a, search.rule, search.overlap) for a in at):
        return None
    return search.way(at)


def _with_twin(search: BandSearch, way: BandWay) -> list[Choice]:
    if (
        search.stretches.part.hands is not Hands.PAIR
        or search.rule.stagger_mm <= 0.0
        or not way.at_mm
    ):
        return [Choice(at_mm=way.at_mm)]
    twin = search.staggered(len(way.pieces), way.at_mm)
    return [] if twin is None else [Choice(at_mm=way.at_mm, twin_at_mm=twin.at_mm)]


def _why_none(search: BandSearch) -> tuple[Fact, ...]:
    """Say which demands collide, and what the boards and the curve give."""
    part, rule, band = search.stretches.part, search.rule, search.band
    longest = max((p.length_mm for p in search.planks), default=0.0)
    widest = max((p.width_mm for p in search.planks), default=0.0)
    is_board = part.cut_from is CutFrom.BOARD

    measured = {(rule.run_out, rule.min_piece_mm): search.stretches}

    def can_be_kept(some: JointRule) -> bool:
        key = (some.run_out, some.min_piece_mm)
        if key not in measured:
            measured[key] = Stretches(replace(part, joint=some), longest)
        other = BandSearch(measured[key], search.planks, some)
        least = other.fewest()
        if least is None:
            return False
        numbers = range(least, min(other.most(), least + 1) + 1)
        ways = [way for n in numbers if (way := other.best(n)) is not None]
        return any(_with_twin(other, way) for way in ways)

    return (
        *collisions(rule, can_be_kept, Grains.COUNT if is_board else Grains.ARE_FREE),
        fact("JNT-210", part=part.name, length=Length(band.length_mm), width=Length(band.width_mm)),
        fact("JNT-211" if is_board else "JNT-212", width=Length(widest), length=Length(longest)),
        fact("JNT-213", radius=Length(band.tightest_mm())),
    )
