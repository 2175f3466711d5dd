"""Free joints: cost first, then joints, then distance; rules kept, collisions told."""

import pytest

from nestcut.boards import JointPreference
from nestcut.errors import Severity
from nestcut.model.joint import Face, JointRule, KeepClear, LapFacing
from nestcut.model.part import Hands
from nestcut.model.plan import StopReason
from nestcut.search.settings import Deadline
from nestcut.verify import verify_plan
from tests.benchmark.rails import plan_of
from tests.told import said
from tests.unit.boards.rails_to_cut import a_board, a_job, a_rail, cut

FREE = JointRule(slope=12.0)


def test_a_rail_longer_than_any_board_is_joined_where_boards_are_cheapest() -> None:
    """4900 mm with one scarf of 240 mm is 5140 mm of wood: 2400 + 3000, not 3000 + 3000."""
    job = a_job((a_rail(joint=FREE),), (a_board((2400.0, 900), (3000.0, 1100)),))
    outcome = cut(job)

    assert sorted(b.length_mm for b in outcome.layouts) == [2400.0, 3000.0]
    assert outcome.bounds[0].used == outcome.bounds[0].lower == 2000
    assert sum(p.length_mm for p in outcome.pieces) == pytest.approx(4900.0 + 240.0)
    assert outcome.stopped_by is StopReason.PROVEN
    assert verify_plan(job, plan_of(job, outcome)).is_proven


def test_least_cost_then_fewest_joints() -> None:
    """A long board that costs as much as two short ones saves the joint."""
    board = a_board((2600.0, 1000), (4900.0, 2000))
    outcome = cut(a_job((a_rail(joint=FREE),), (board,)))

    assert not outcome.joints
    assert outcome.bounds[0].used == 2000


def test_fewest_joints_and_what_they_cost() -> None:
    board = a_board((2600.0, 1000), (4900.0, 2600))
    cheap = cut(a_job((a_rail(joint=FREE),), (board,)))
    fewest = cut(a_job((a_rail(joint=FREE),), (board,)), JointPreference.FEWEST)
    balanced = cut(a_job((a_rail(joint=FREE),), (board,)), JointPreference.BALANCED)

    assert (len(cheap.joints), cheap.bounds[0].used) == (1, 2000)
    assert (len(fewest.joints), fewest.bounds[0].used) == (0, 2600)
    assert len(balanced.joints) == 1
    ways = [(0, 2600), (1, 2000)]
    for outcome, kept in ((cheap, (1, 2000)), (fewest, (0, 2600))):
        assert [(w.joints, w.cost_minor) for w in outcome.joint_ways] == ways
        assert [(w.joints, w.cost_minor) for w in outcome.joint_ways if w.is_chosen] == [kept]


def test_balanced_avoids_a_cheap_joint() -> None:
    board = a_board((2600.0, 1000), (4900.0, 2100))
    outcome = cut(a_job((a_rail(joint=FREE),), (board,)), JointPreference.BALANCED)
    assert not outcome.joints


def test_joints_keep_clear_and_go_as_far_from_it_as_boards_allow() -> None:
    """Boards leave 260 mm of play; the frame pushes the joint to the far end of it."""
    frame = KeepClear(from_mm=1900.0, to_mm=2300.0, reason="frame 3")
    rule = JointRule(slope=12.0, keep_clear=(frame,))
    job = a_job((a_rail(joint=rule),), (a_board((2700.0, 1000)),))
    (joint,) = cut(job).joints

    assert joint.at_mm == pytest.approx(2580.0)
    assert dict(joint.distances)["frame 3"] == pytest.approx(2580.0 - 120.0 - 2300.0)
    assert joint.rule_findings == ()


def test_keep_clear_may_cost_a_longer_board() -> None:
    """Without the frame two 2600 mm boards do; with it they can't, so a longer one is bought."""
    board = a_board((2600.0, 1000), (3000.0, 1200))
    frame = KeepClear(from_mm=2300.0, to_mm=2600.0, reason="frame 3")
    rule = JointRule(slope=12.0, keep_clear=(frame,))
    free = cut(a_job((a_rail(joint=FREE),), (board,)))
    kept = cut(a_job((a_rail(joint=rule),), (board,)))

    assert free.bounds[0].used == 2000
    assert kept.bounds[0].used == kept.bounds[0].lower == 2200


def test_twins_are_staggered() -> None:
    rule = JointRule(slope=12.0, stagger_mm=400.0)
    job = a_job((a_rail(joint=rule, hands=Hands.PAIR),), (a_board((2400.0, 900), (3000.0, 1120)),))
    outcome = cut(job)
    port, starboard = outcome.joints

    assert abs(port.at_mm - starboard.at_mm) >= 400.0 - 1e-6
    assert dict(port.distances)["gunwale S1"] == pytest.approx(abs(port.at_mm - starboard.at_mm))
    assert outcome.bounds[0].is_proven_optimal
    assert verify_plan(job, plan_of(job, outcome)).is_proven


def test_neighbours_by_name_are_staggered_on_the_same_side() -> None:
    inner = JointRule(slope=12.0, stagger_mm=500.0, stagger_with=("gunwale",))
    rails = (
        a_rail("gunwale", joint=FREE, hands=Hands.PAIR),
        a_rail("inwale", 4700.0, joint=inner, hands=Hands.PAIR),
    )
    outcome = cut(a_job(rails, (a_board((3000.0, 1000)),)))
    at = {(j.part, j.hand): j.at_mm for j in outcome.joints}

    for hand in ("port", "starboard"):
        assert abs(at["gunwale", hand] - at["inwale", hand]) >= 500.0 - 1e-6
    assert abs(at["inwale", "port"] - at["inwale", "starboard"]) >= 500.0 - 1e-6


def test_given_joints_of_a_neighbour_are_kept_away_from() -> None:
    given = JointRule(slope=12.0, at_mm=(2400.0,))
    inner = JointRule(slope=12.0, stagger_mm=300.0, stagger_with=("gunwale",))
    rails = (a_rail("gunwale", joint=given), a_rail("inwale", 4700.0, joint=inner))
    outcome = cut(a_job(rails, (a_board((3000.0, 1000)),)))

    inwale = next(j for j in outcome.joints if j.part == "inwale")
    assert abs(inwale.at_mm - 2400.0) >= 300.0 - 1e-6


def test_stagger_that_cannot_be_kept_is_told_and_given_up() -> None:
    """Two 2600 mm pieces leave 60 mm of play; 400 mm of stagger would need other boards."""
    rule = JointRule(slope=12.0, stagger_mm=400.0, max_joints=1)
    job = a_job((a_rail(joint=rule, hands=Hands.PAIR),), (a_board((2600.0, 1000)),))
    outcome = cut(job)

    assert not outcome.unplaced
    told = [f for f in outcome.findings if f.code == "BRD-005"]
    assert told
    assert "400 mm" in said(told[0])
    assert told[0].severity is Severity.WARNING


def test_colliding_rules_are_named_and_the_rest_is_cut() -> None:
    wall = KeepClear(from_mm=2000.0, to_mm=3000.0, reason="centreboard case")
    rule = JointRule(slope=12.0, keep_clear=(wall,), max_joints=1)
    rails = (a_rail(joint=rule), a_rail("riser", 2000.0))
    outcome = cut(a_job(rails, (a_board((3000.0, 1000)),)))

    assert [u.piece for u in outcome.unplaced] == ["gunwale 1"]
    assert "centreboard case" in said(outcome.unplaced[0].reason)
    assert "at most 1 joint" in said(outcome.unplaced[0].reason)
    assert len(outcome.layouts) == 1


def test_boards_to_hand_are_used_first() -> None:
    board = a_board((3000.0, 1000), to_hand=(2500.0,))
    outcome = cut(a_job((a_rail(joint=FREE),), (board,)))

    assert sorted(b.length_mm for b in outcome.layouts) == [2500.0, 3000.0]
    assert outcome.bounds[0].used == 1000


def test_allowance_is_in_the_end_pieces_only() -> None:
    job = a_job((a_rail(joint=FREE, allowance=50.0),), (a_board((2700.0, 1000)),))
    outcome = cut(job)

    assert sum(p.length_mm for p in outcome.pieces) == pytest.approx(4900.0 + 100.0 + 240.0)
    assert outcome.pieces[0].from_mm == 0.0
    assert outcome.pieces[-1].to_mm == 4900.0
    assert verify_plan(job, plan_of(job, outcome)).is_proven


@pytest.mark.parametrize(
    ("facing", "planed"),
    [
        (LapFacing.AFT, (Face.BACK, Face.GOOD)),
        (LapFacing.FORWARD, (Face.GOOD, Face.BACK)),
        (LapFacing.EITHER, (Face.BACK, Face.GOOD)),
    ],
)
def test_laps_face_as_asked(facing: LapFacing, planed: tuple[Face, Face]) -> None:
    rule = JointRule(slope=12.0, lap_facing=facing)
    outcome = cut(a_job((a_rail(joint=rule),), (a_board((3000.0, 1000)),)))

    (joint,) = outcome.joints
    assert joint.planed == planed
    assert outcome.pieces[0].ends[0].planed is planed[0]
    assert outcome.pieces[1].ends[0].planed is planed[1]
    x = outcome.pieces[1].ends[0].line[0][0]
    assert x == pytest.approx(joint.at_mm - outcome.pieces[1].from_mm)


def test_no_time_at_all_still_gives_a_valid_plan() -> None:
    rails = (a_rail(joint=FREE, hands=Hands.PAIR), a_rail("riser", 2000.0, count=3))
    job = a_job(rails, (a_board((3000.0, 1000)),))
    outcome = cut(job, deadline=Deadline(seconds=0.0))

    assert not outcome.unplaced
    assert outcome.stopped_by is StopReason.TIME_UP
    assert verify_plan(job, plan_of(job, outcome)).is_proven


def test_the_same_job_twice_is_the_same_plan() -> None:
    rule = JointRule(slope=12.0, stagger_mm=300.0, min_piece_mm=600.0)
    rails = (
        a_rail(joint=rule, hands=Hands.PAIR),
        a_rail("inwale", 4700.0, joint=rule, hands=Hands.PAIR, section=(20.0, 30.0)),
    )
    job = a_job(rails, (a_board((2400.0, 900), (3000.0, 1120), width=95.0),))

    assert cut(job) == cut(job)


def test_pieces_of_known_length_are_cut_beside_free_rails() -> None:
    """Offcuts of the rails hold the cleats, and what remains gets boards of its own."""
    rails = (
        a_rail(joint=FREE, hands=Hands.PAIR),
        a_rail("cleat", 640.0, count=7),
        a_rail("runner", 1310.0, count=2),
    )
    job = a_job(rails, (a_board((2400.0, 900), (3000.0, 1120)),))
    outcome = cut(job)

    assert not outcome.unplaced
    assert outcome.stopped_by is StopReason.PROVEN
    names = sorted(c.piece for b in outcome.layouts for c in b.cuts)
    assert len(names) == len(set(names)) == len(outcome.pieces)
    assert verify_plan(job, plan_of(job, outcome)).is_proven


def test_clear_wood_between_joints_binds_where_the_search_chooses() -> None:
    """All joints would have to lie within 660 mm: three overlaps of clear wood have no room."""
    ends = (
        KeepClear(from_mm=0.0, to_mm=2000.0, reason="forward"),
        KeepClear(from_mm=2900.0, to_mm=4900.0, reason="aft"),
    )
    boards = (a_board((2400.0, 900)),)
    outcome = cut(a_job((a_rail(joint=JointRule(slope=12.0, keep_clear=ends)),), boards))

    assert [u.piece for u in outcome.unplaced] == ["gunwale 1"]
    assert "720 mm of clear wood" in said(outcome.unplaced[0].reason)
    given = JointRule(slope=12.0, keep_clear=ends, at_mm=(2250.0, 2650.0))
    assert not cut(a_job((a_rail(joint=given),), boards)).unplaced


def test_joints_that_boards_draw_together_keep_their_clear_wood() -> None:
    """A scrap of 700 mm between two joints would be cheapest; it lies at an end instead."""
    board = a_board((2400.0, 900), (900.0, 100))
    outcome = cut(a_job((a_rail(joint=FREE),), (board,)))

    at = sorted(j.at_mm for j in outcome.joints)
    assert len(at) == 2
    assert at[1] - at[0] >= 4.0 * 240.0 - 1e-6
    assert outcome.bounds[0].used == 1900
