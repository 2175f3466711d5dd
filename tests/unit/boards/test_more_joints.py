"""More joints in rails than were tried: a bound rules them out, or two more are tried."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.boards import BoardsOutcome, JointPreference, cut_boards
from nestcut.boards.equal import compare_with_equal, in_equal_lengths
from nestcut.boards.more_joints import cut_with_more_joints, joints_not_tried
from nestcut.joints.rules import JoinedPart
from nestcut.model.job import Job
from nestcut.model.joint import JointRule, KeepClear
from nestcut.model.part import RailPart
from nestcut.model.stock import BoardLength, BoardStock
from nestcut.planning.joints_told import equal_rails_told
from nestcut.search.settings import Deadline, Settings, Silent
from tests.builders import a_job
from tests.told import all_said, said


def _job(length_mm: float, *boards: tuple[float, int, int | None], most: int | None = None) -> Job:
    """One rail 20 x 45, 100 mm scarfs, from boards of its own section: (length, price, count)."""
    stock = BoardStock(
        name="larch",
        material="larch",
        thickness_mm=20.0,
        width_mm=45.0,
        lengths=tuple(BoardLength(length_mm=n, price_minor=p, count=c) for n, p, c in boards),
    )
    rail = RailPart(
        name="rail",
        material="larch",
        thickness_mm=20.0,
        width_mm=45.0,
        length_mm=length_mm,
        joint=JointRule(slope=5.0, max_joints=most),
    )
    return a_job(sheet_parts=(), sheet_stocks=(), board_stocks=(stock,), rail_parts=(rail,))


def _cut(job: Job, parts: tuple[RailPart, ...]) -> BoardsOutcome:
    return cut_boards(
        parts,
        job.board_stocks,
        job.cutting,
        JointPreference.CHEAPEST,
        Settings(),
        Deadline(),
        Silent(),
    )


def test_dear_scraps_can_not_pay() -> None:
    """4900 mm from one board at 20.00; three overlaps more only add wood."""
    job = _job(4900.0, (5000.0, 2000, None), (2600.0, 1200, None))
    assert joints_not_tried(job.rail_parts, job, _cut(job, job.rail_parts), Deadline()) == {}


def test_scraps_to_hand_are_tried_with_two_joints_more() -> None:
    """Four free boards of 1300 mm make 4 x 1300 - 3 x 100 = 4900 mm: three joints save 20.00."""
    job = _job(4900.0, (5000.0, 2000, None), (1300.0, 0, 4))
    first = _cut(job, job.rail_parts)
    assert first.bounds[0].used == 2000
    assert joints_not_tried(job.rail_parts, job, first, Deadline()) == {
        "larch": (2, ("rail",), 0.0)
    }
    done = cut_with_more_joints(
        job, lambda parts: _cut(job, parts), JointPreference.CHEAPEST, Deadline()
    )
    assert done.outcome.bounds[0].used == 0
    assert len(done.outcome.joints) == 3
    assert done.notes == ()
    fewest = cut_with_more_joints(
        job, lambda parts: _cut(job, parts), JointPreference.FEWEST, Deadline()
    )
    assert len(fewest.outcome.joints) <= 2


def test_what_stays_open_is_said() -> None:
    """Nine scraps of 640 mm (9 x 640 - 8 x 100 = 4960 mm) would do; four joints don't reach."""
    job = _job(4900.0, (5000.0, 2000, None), (640.0, 0, 9))
    done = cut_with_more_joints(
        job, lambda parts: _cut(job, parts), JointPreference.CHEAPEST, Deadline()
    )
    assert done.outcome.bounds[0].used == 2000
    (note,) = done.notes
    assert said(note).startswith("larch: more than 4 joints in one rail weren't tried")


@pytest.mark.parametrize("most", [0, 2])
def test_most_joints_that_the_builder_names_are_final(most: int) -> None:
    job = _job(4900.0, (5000.0, 2000, None), (1300.0, 0, 4), most=most)
    assert joints_not_tried(job.rail_parts, job, _cut(job, job.rail_parts), Deadline()) == {}


def test_least_piece_rules_more_joints_out() -> None:
    """With pieces of 1500 mm at least there are never more than three joints in 4900 mm."""
    job = _job(4900.0, (5000.0, 2000, None), (1300.0, 0, 4))
    rail = job.rail_parts[0]
    long = replace(rail, joint=JointRule(slope=5.0, min_piece_mm=1700.0))
    job = replace(job, rail_parts=(long,))
    assert joints_not_tried(job.rail_parts, job, _cut(job, job.rail_parts), Deadline()) == {}


def test_rails_are_compared_with_equal_lengths() -> None:
    """4900 mm from a board of 3000 and one of 2000 mm costs less than two equal 2500."""
    job = _job(4900.0, (2600.0, 1300, None), (3000.0, 1400, None), (2000.0, 900, None))
    outcome = _cut(job, job.rail_parts)
    (compared,) = compare_with_equal(job, outcome, lambda parts: _cut(job, parts))
    assert (compared.cost, compared.equal_cost) == (2300, 2600)
    assert (compared.boards, compared.equal_boards) == (2, 2)
    assert all_said(equal_rails_told((compared,))) == (
        "larch: as planned 2 boards, 23.00 EUR; were rails joined in equal lengths "
        "2 boards, 26.00 EUR",
    )


def test_equal_lengths_keep_the_rules_or_are_left_out() -> None:
    """4900 mm and 100 mm overlaps: halves of 2500, thirds of 1700; a twin abreast is no way."""
    job = _job(4900.0, (2600.0, 1300, None))
    rule = JointRule(slope=5.0)
    part = JoinedPart(name="rail", length_mm=4900.0, overlap_mm=100.0, rule=rule)
    assert in_equal_lengths(part, 5000.0) == ()
    assert in_equal_lengths(part, 2500.0) == (2450.0,)
    assert in_equal_lengths(part, 2499.0) == (1650.0, 3250.0)
    zone = KeepClear(from_mm=2400.0, to_mm=2500.0, reason="frame")
    kept = replace(part, rule=replace(rule, keep_clear=(zone,)))
    assert in_equal_lengths(kept, 2500.0) == (1650.0, 3250.0)
    assert in_equal_lengths(replace(part, rule=replace(rule, stagger_mm=200.0)), 2500.0) is None
    fixed = replace(job.rail_parts[0], joint=replace(rule, at_mm=(2450.0,)))
    given = replace(job, rail_parts=(fixed,))
    assert compare_with_equal(given, _cut(given, given.rail_parts), lambda p: _cut(given, p)) == ()
