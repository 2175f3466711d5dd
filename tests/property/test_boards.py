"""Laws of boards and joints: valid always, bound below cost, wood counted once, rules kept."""

from hypothesis import given, settings
from hypothesis import strategies as st

from nestcut.boards import BoardsOutcome, JointPreference
from nestcut.joints.rules import JoinedPart, allowed_positions, check_positions
from nestcut.model.job import Job
from nestcut.model.joint import JointRule, KeepClear
from nestcut.model.part import Hands
from nestcut.model.stock import Defect
from nestcut.verify import verify_plan
from tests.benchmark.rails import plan_of
from tests.unit.boards.rails_to_cut import a_board, a_job, a_rail, cut

LENGTHS = st.integers(40, 560).map(lambda n: 10.0 * n)


@st.composite
def rules(draw: st.DrawFn) -> JointRule:
    """Draw a rule with up to two keep-clear stretches."""
    zones = []
    for k in range(draw(st.integers(0, 2))):
        at = 10.0 * draw(st.integers(20, 400))
        zones.append(KeepClear(from_mm=at, to_mm=at + draw(st.integers(20, 300)), reason=f"z{k}"))
    return JointRule(
        slope=float(draw(st.sampled_from([8, 10, 12]))),
        keep_clear=tuple(zones),
        min_piece_mm=float(draw(st.sampled_from([0, 500, 900]))),
        stagger_mm=float(draw(st.sampled_from([0, 0, 250]))),
    )


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """Draw a few rails, some with free joints, and boards on sale and to hand."""
    rails = tuple(
        a_rail(
            f"r{k}",
            draw(LENGTHS),
            draw(st.one_of(st.none(), rules())),
            draw(st.sampled_from([Hands.NONE, Hands.PAIR])),
            draw(st.sampled_from([(20.0, 45.0), (20.0, 30.0)])),
            allowance=draw(st.sampled_from([0.0, 25.0])),
        )
        for k in range(draw(st.integers(1, 3)))
    )
    offers = draw(
        st.lists(
            st.tuples(st.sampled_from([2400.0, 3000.0, 4200.0]), st.integers(500, 2500)),
            min_size=1, max_size=2, unique_by=lambda o: o[0],
        )
    )  # fmt: skip
    knot = Defect(from_mm=700.0, to_mm=745.0, reason="knot")
    board = a_board(
        *offers,
        width=draw(st.sampled_from([45.0, 95.0])),
        to_hand=draw(st.sampled_from([(), (1800.0,)])),
        defects=(knot,),
        end_trim=draw(st.sampled_from([0.0, 10.0])),
    )
    return a_job(rails, (board,), draw(st.sampled_from([0.0, 2.0, 3.175])))


def wood_is_counted_once(job: Job, outcome: BoardsOutcome) -> bool:
    """Pieces come to the rails, their allowances and one overlap for each joint."""
    made = sum(p.length_mm for p in outcome.pieces)
    rails = sum(
        (p.length_mm + 2 * p.allowance_mm) * p.count * (2 if p.hands is Hands.PAIR else 1)
        for p in job.rail_parts
    )
    return abs(made - rails - sum(j.overlap_mm for j in outcome.joints)) < 1e-6


@settings(max_examples=25, deadline=None, derandomize=True)
@given(jobs(), st.sampled_from(list(JointPreference)))
def test_every_plan_is_valid_and_no_dearer_than_it_must_be(
    job: Job, preference: JointPreference
) -> None:
    """The verifier agrees; bounds don't exceed what is used; joints stay out of keep-clears."""
    outcome = cut(job, preference)

    assert verify_plan(job, plan_of(job, outcome)).is_proven
    assert wood_is_counted_once(job, outcome)
    assert all(b.lower <= b.used + 1e-9 for b in outcome.bounds)
    for joint in outcome.joints:
        part = next(p for p in job.rail_parts if p.name == joint.part)
        assert part.joint is not None
        for zone in part.joint.keep_clear:
            assert (
                joint.at_mm + joint.overlap_mm / 2 <= zone.from_mm + 1e-6
                or joint.at_mm - joint.overlap_mm / 2 >= zone.to_mm - 1e-6
            )


@settings(max_examples=12, deadline=None, derandomize=True)
@given(jobs())
def test_fewest_joints_are_not_more_and_not_cheaper(job: Job) -> None:
    """Fewest has at most the joints of cheapest, cheapest costs at most what fewest does."""
    cheap, few = cut(job), cut(job, JointPreference.FEWEST)
    if cheap.unplaced or few.unplaced:
        return

    assert len(few.joints) <= len(cheap.joints)
    money = [sum(b.used for b in o.bounds if b.measure == "money") for o in (cheap, few)]
    assert money[0] <= money[1]


@settings(max_examples=60, deadline=None, derandomize=True)
@given(rules(), st.integers(0, 1000))
def test_allowed_positions_are_those_without_findings(rule: JointRule, per_mille: int) -> None:
    """A single joint is allowed exactly where no rule is broken."""
    part = JoinedPart(name="r", length_mm=4600.0, overlap_mm=20.0 * rule.slope, rule=rule)
    at = 4.6 * per_mille
    inside = any(a <= at <= b for a, b in allowed_positions(part))

    assert inside == (check_positions(part, (at,)) == ())
