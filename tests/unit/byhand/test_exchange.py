"""Two pieces change places; the verifier has the word."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

import nestcut
from nestcut.byhand import Hand
from tests.unit.byhand.test_byhand import planned


def test_pieces_change_places_as_they_lie_and_the_verifier_agrees() -> None:
    done = planned()
    hand = Hand(done.job)
    lying = {p.piece: (s.number, p) for s in done.plan.sheets for p in s.placements}
    pairs = list(combinations(sorted(lying), 2))
    luck = np.random.default_rng(5)
    stands = 0
    for k in luck.permutation(len(pairs))[:40]:
        one, other = pairs[int(k)]
        moved = hand.exchange(done.plan, one, other)

        now = {p.piece: (s.number, p) for s in moved.plan.sheets for p in s.placements}
        assert set(now) == set(lying)
        assert moved.stands == nestcut.verify_plan(done.job, hand.let_go(moved).plan).is_proven
        assert (now[one][0], now[other][0]) == (lying[other][0], lying[one][0])
        for name in (one, other):
            assert now[name][1].turn_deg == lying[name][1].turn_deg
            assert now[name][1].is_face_up == lying[name][1].is_face_up
        for name in set(lying) - {one, other}:
            assert now[name][1] == lying[name][1]
        stands += moved.stands
    assert 0 < stands < 40


def test_a_piece_is_not_exchanged_with_itself_or_with_none() -> None:
    done = planned()
    piece = done.plan.sheets[0].placements[0].piece
    for other in (piece, "no such piece"):
        with pytest.raises(ValueError, match="no two such pieces"):
            Hand(done.job).exchange(done.plan, piece, other)


def test_equal_pieces_lie_just_where_the_other_lay_on_its_sheet() -> None:
    done = planned()
    was = {p.piece: (s.number, p.shift_mm) for s in done.plan.sheets for p in s.placements}
    assert was["plank 1"][0] != was["plank 4"][0]

    moved = Hand(done.job).exchange(done.plan, "plank 1", "plank 4")

    assert moved.stands
    now = {p.piece: (s.number, p.shift_mm) for s in moved.plan.sheets for p in s.placements}
    for one, other in (("plank 1", "plank 4"), ("plank 4", "plank 1")):
        assert now[one][0] == was[other][0]
        assert now[one][1] == pytest.approx(was[other][1])


def test_the_second_piece_keeps_clear_of_where_the_first_has_gone() -> None:
    """Two knees that lie differently turned: each needs other room than the other had."""
    done = planned()
    assert Hand(done.job).exchange(done.plan, "knee 1", "knee 4").stands
