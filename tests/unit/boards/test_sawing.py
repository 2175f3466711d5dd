"""Boards sawn in any order: crosscut before they are ripped, strips ripped once more."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import nestcut
from nestcut.boards import SawWay, sawing_of
from nestcut.boards.sawing import choose
from nestcut.boards.sawing.lots import NEVER, LikeStrips, Lots, make_table
from nestcut.model.job import Job
from nestcut.model.part import RailPart
from nestcut.model.plan import BoardLayout, VerifiedPlan
from nestcut.model.stock import Defect
from nestcut.papers.book.board_words import saw_words
from nestcut.papers.view import Figures, plan_view
from nestcut.tolerances import NM_PER_MM
from nestcut.units import LengthStyle
from tests.purchases_by_highs import _sawn_lots, board_job
from tests.unit.boards.rails_to_cut import a_board, a_job, a_rail


def planned(job: Job) -> VerifiedPlan:
    return nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))


def rails(*wanted: tuple[float, float, int]) -> tuple[RailPart, ...]:
    """Rails by width, length and how many."""
    return tuple(
        a_rail(f"rail {k}", length, section=(20.0, width), count=n)
        for k, (width, length, n) in enumerate(wanted)
    )


def two_lengths() -> Job:
    """Two broad rails and three narrow ones side by side, one length behind the other."""
    return a_job(rails((45.0, 1000.0, 2), (30.0, 1000.0, 3)), (a_board((2003.0, 900), width=96.0),))


def a_strip_ripped_again() -> Job:
    """A long broad rail beside a short one, behind which two narrow ones come out of its strip."""
    wanted = rails((60.0, 2000.0, 1), (60.0, 1000.0, 1), (28.0, 990.0, 2))
    return a_job(wanted, (a_board((2003.0, 900), width=123.0),))


@pytest.mark.parametrize("job", [two_lengths(), a_strip_ripped_again()])
def test_one_board_is_enough_where_rips_from_end_to_end_take_two(job: Job) -> None:
    done = planned(job)
    assert done.plan.cost_minor == 900
    assert len(done.plan.boards) == 1
    (bound,) = [b for b in done.plan.bounds if b.measure == "money"]
    assert bound.lower == bound.used == 900.0


def test_the_page_says_to_crosscut_before_ripping() -> None:
    view = plan_view(planned(two_lengths()))
    (board,) = view.boards
    assert not board.sawing.is_usual
    told = saw_words(board, Figures(LengthStyle.MM))
    assert told == (
        "cut 1: cross-cut right of 1000 · "
        "cuts 2, 3: rip off pieces 1, 2: 30 mm wide; rest (piece 3) 30 mm wide if the board is "
        "96 mm · "
        "cut 4: rip off piece 4, 45 mm wide · "
        "cut 5: plane piece 5, upper edge, to 45 mm wide: too thin to saw"
    )


def test_pieces_are_numbered_as_they_come_off() -> None:
    """Two lengths: all of the first come before any of the second."""
    (board,) = plan_view(planned(two_lengths())).boards
    starts = [c.cut.from_mm for c in board.cuts]
    assert starts == sorted(starts)
    assert [c.number for c in board.cuts] == [1, 2, 3, 4, 5]


def test_a_strip_ripped_again_is_told_after_its_crosscut() -> None:
    (board,) = plan_view(planned(a_strip_ripped_again())).boards
    ways = [s.way is SawWay.RIP for s in board.sawing.steps]
    assert ways == [True, False, True]
    assert not board.sawing.is_usual


def test_rips_and_then_crosscuts_are_the_usual_way() -> None:
    (layout,) = planned(a_job(rails((45.0, 900.0, 4)), (a_board((2003.0, 900), width=96.0),))
                        ).plan.boards  # fmt: skip
    assert sawing_of(layout.cuts, 3.0).is_usual
    assert [s.way is SawWay.RIP for s in sawing_of(layout.cuts, 3.0).steps] == [True, False, False]


def test_a_cut_needs_room_for_its_blade() -> None:
    """Two pieces that end and begin at one place are parted by a rip alone."""
    (layout,) = planned(two_lengths()).plan.boards
    first, second = replace(layout.cuts[0]), replace(layout.cuts[1])
    first = replace(first, from_mm=0.0, to_mm=100.0, rip_from_mm=0.0, rip_to_mm=45.0)
    second = replace(second, from_mm=100.0, to_mm=200.0, rip_from_mm=48.0, rip_to_mm=93.0)
    assert [s.way is SawWay.RIP for s in sawing_of((first, second), 3.0).steps] == [True]
    level = replace(second, rip_from_mm=0.0, rip_to_mm=45.0)
    assert sawing_of((first, level), 3.0).steps == ()


def test_a_knot_parts_a_board_whatever_is_sawn() -> None:
    knot = Defect(from_mm=1000.0, to_mm=1040.0, reason="knot")
    board = a_board((2043.0, 900), width=96.0, to_hand=(2043.0,), defects=(knot,))
    done = planned(replace(two_lengths(), board_stocks=(board,)))
    assert done.plan.cost_minor == 0
    assert nestcut.verify_plan(done.job, done.plan).is_proven


@pytest.mark.parametrize("seed", range(8))
def test_least_lengths_are_those_of_blocks_built_up_one_by_one(seed: int) -> None:
    """Against Wang's blocks (1983), which begin at the other end."""
    luck = np.random.default_rng([seed, 5])
    widths = luck.choice([20.0, 28.0, 35.0, 60.0], size=3, replace=False)
    kinds = [
        (float(widths[k]), float(luck.integers(20, 150)) * 10.0, int(luck.integers(1, 4)))
        for k in range(3)
    ]
    width = float(luck.choice([63.0, 90.0, 125.0]))
    blocks = _sawn_lots(kinds, width, 3.0)
    lots = Lots(tuple(n for *_, n in kinds))
    own = tuple(LikeStrips(round(w * NM_PER_MM), round(n + 3.0)) for w, n, _ in kinds)
    table = make_table(lots, own, round(width * NM_PER_MM), 3 * NM_PER_MM)
    row = table.row(round(width * NM_PER_MM))
    assert row is not None
    for number in range(1, lots.n_lots):
        length = blocks.get(lots.counts(number))
        assert int(row[number]) == (NEVER if length is None else round(length + 3.0))


def test_too_many_pieces_are_sawn_anew_a_few_boards_at_a_time(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A rail as broad as a board beside the two lengths: of 24 lots a window has 12."""
    wanted = (*two_lengths().rail_parts, a_rail("broad", 2000.0, section=(20.0, 90.0)))
    job = replace(two_lengths(), rail_parts=wanted)
    for most, cost in ((24, 1800), (12, 1800), (11, 2700)):
        monkeypatch.setattr(choose, "MOST_LOTS", most)
        assert planned(job).plan.cost_minor == cost


def test_pieces_without_a_board_are_found_one() -> None:
    """One board to hand and none on sale: rips from end to end leave a rail over."""
    board = a_board(width=96.0, to_hand=(2003.0,))
    done = planned(replace(two_lengths(), board_stocks=(board,)))
    assert done.plan.is_complete
    assert not [f for f in done.plan.findings if f.code == "BRD-001"]


@pytest.mark.parametrize("seed", [6, 12, 42])
def test_begun_boards_and_limits_are_kept_to(seed: int) -> None:
    """Jobs with two boards to hand: no more of them are used."""
    done = planned(board_job(seed))
    hand = [o for b in done.job.board_stocks for o in b.lengths if o.count is not None]
    used = [b for b in done.plan.boards if b.length_mm == 2300.0]
    assert len(used) <= sum(o.count or 0 for o in hand)


def laid(board: BoardLayout) -> set[tuple[float, float, float, float]]:
    return {(c.from_mm, c.to_mm, c.rip_from_mm, c.rip_to_mm) for c in board.cuts}


def test_the_same_job_is_sawn_the_same_way_twice() -> None:
    first, second = planned(two_lengths()), planned(two_lengths())
    assert [laid(b) for b in first.plan.boards] == [laid(b) for b in second.plan.boards]
