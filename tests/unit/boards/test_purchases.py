"""The search over purchases against the other search, other models and brute force."""

from itertools import product

import pytest

from nestcut.boards import single_rails
from nestcut.boards.join.drafts import Weights
from nestcut.boards.join.joined import JointSearch
from nestcut.boards.join.joining import JoiningProblem, make_joining_problem
from nestcut.boards.join.positions import Placed, Verdict, place_joints
from nestcut.boards.proof.apart import place_apart
from nestcut.boards.proof.batches import Batch, Judge
from nestcut.boards.proof.cheapest import PurchaseSearch
from nestcut.boards.proof.counts import guards, pack, unpack
from nestcut.boards.proof.family import Family, make_families
from nestcut.boards.proof.leastjoints import bound_joints
from nestcut.boards.proof.partition import Pool
from nestcut.boards.proof.purchases import Market
from nestcut.boards.proof.spans import (
    NEVER,
    meet,
    merge,
    nearest,
    without,
)
from nestcut.boards.proof.trees import judge_tree
from nestcut.boards.wood.groups import group_rails
from nestcut.boards.wood.problem import make_supplies, priced
from nestcut.search.settings import Deadline, Settings, Silent
from tests.benchmark.rail_jobs import draw_job


def a_problem(number: int, known: tuple[tuple[float, int], ...] = ()) -> JoiningProblem:
    """The joining problem of a seeded job, with pieces of known length (length, how many)."""
    job = draw_job(0, number).job
    kerf = job.cutting.kerf_mm
    (group,) = group_rails(single_rails(job.rail_parts), make_supplies(job.board_stocks, kerf))
    supplies, _ = priced(group.supplies)
    section = group.rails[0].section
    fixed = tuple((section, length, n) for length, n in known)
    return make_joining_problem(group.name, group.rails, fixed, supplies, kerf)


def a_judge(problem: JoiningProblem, family: Family) -> Judge:
    return Judge(problem, family, 0, 4.0, 0)


def small_batches(judge: Judge, family: Family) -> list[Batch]:
    """Leanest batches of few strips, with no joint beyond what connects the strips."""
    lot = tuple(min(3, 2 + b % 2) for b in range(len(family.bins)))
    judge_all = judge.leanest(lot)
    found = []
    for claim, own, joints in zip(*judge_all, strict=True):
        batch = Batch(0, tuple(map(int, claim)), tuple(map(int, own)), int(joints))
        needs = family.needs(batch.claim)
        k = batch.joints - family.fewest(batch.claim)
        is_small = sum(batch.lot) <= 5 and int(joints) == sum(batch.lot) - 1 and k < len(needs)
        if is_small and needs[k] <= family.room(batch.lot):
            found.append(batch)
    return found


def n_parts(placed: Placed) -> int:
    """In how many parts rails and strips fall that no piece connects."""
    part: dict[object, object] = {}

    def head(node: object) -> object:
        while part.setdefault(node, node) != node:
            node = part[node]
        return node

    for rail, strips in placed.strip_of.items():
        for strip in strips:
            part[head(("rail", rail))] = head(("strip", strip))
    return len({head(node) for node in list(part)})


@pytest.mark.parametrize("number", [10, 15, 42])
def test_trees_say_what_the_model_of_positions_says(number: int) -> None:
    """Dynamic programming against CP-SAT: the same answer wherever a plan is connected."""
    problem = a_problem(number)
    family = make_families(problem)[0]
    judge = a_judge(problem, family)
    batches = small_batches(judge, family)
    answers = set()
    for batch in batches[:: max(1, len(batches) // 12)]:
        graph = judge_tree(family, batch.claim, batch.lot, batch.joints, 4.0, Deadline())
        cluster = judge.first_cluster(batch)
        placed = place_joints(problem, (cluster,), (), 20.0, 0, Deadline())
        answers.add(graph)
        if graph is Verdict.POSSIBLE:
            assert placed.verdict is Verdict.POSSIBLE
        elif placed.verdict is Verdict.POSSIBLE:
            assert n_parts(placed) > 1
    assert answers == {Verdict.POSSIBLE, Verdict.IMPOSSIBLE}


@pytest.mark.parametrize(
    ("number", "known"),
    [(3, ()), (18, ()), (45, ()), (52, ()), (10, ((700.0, 5), (1250.0, 3))), (2, ((1900.0, 4),))],
)
def test_both_searches_find_the_same_cost_and_joints(
    number: int, known: tuple[tuple[float, int], ...]
) -> None:
    problem = a_problem(number, known)
    most = 1 + sum(r.numbers[-1] for r in problem.rails)
    quick = PurchaseSearch(problem, Settings(), Deadline(), Silent())
    assert quick.is_suited
    first = quick.run(most)
    other = JointSearch(problem, Weights(most, 1), Settings(), Deadline(), Silent()).run()
    assert first is not None
    assert other is not None
    assert first.is_proven
    assert other.is_proven
    assert (first.draft.cost, first.draft.joints) == (other.draft.cost, other.draft.joints)


def test_fewer_joints_cost_more() -> None:
    problem = a_problem(24)
    search = PurchaseSearch(problem, Settings(), Deadline(), Silent())
    first = search.run(99)
    assert first is not None
    second = search.run(first.draft.joints - 1)
    assert second is not None
    assert second.draft.joints < first.draft.joints
    assert second.draft.cost > first.draft.cost


def test_purchases_are_all_there_in_rising_cost() -> None:
    """Against every count of boards up to 13 of each, tried one by one."""
    problem = a_problem(4)
    families = make_families(problem)
    market = Market(problem, families)
    most = 1.15 * market.least()
    found = market.between(-1, most, Deadline())
    assert [p.cost for p in found] == sorted(p.cost for p in found)
    expected = set()
    for counts in product(range(14), repeat=len(problem.rips)):
        cost = sum(n * price for n, price in zip(counts, market.prices, strict=True))
        room = sum(n * give[0] for n, give in zip(counts, market.gives, strict=True))
        if cost <= most and room >= market.needs[0]:
            expected.add(tuple((r, n) for r, n in enumerate(counts) if n))
    assert {p.rips for p in found} == expected


def test_the_bound_on_joints_is_one() -> None:
    """No choice of batches has fewer joints than the linear programme says."""
    problem = a_problem(14)
    (family,) = make_families(problem)
    judge = a_judge(problem, family)
    purchase = Market(problem, (family,)).between(-1, 52_000, Deadline())[-1]
    pool = Pool((judge,), purchase.lots, Deadline())
    bound = bound_joints(pool.rows, pool.joints, pool.wanted, pool.n_rails, Deadline())
    chosen = pool.choose([], 99, 10.0, 0)
    assert chosen is not None
    joints = sum(n * batch.joints for batch, n in chosen)
    assert bound.bound <= joints + 1e-6
    for k, n in enumerate(family.everything):
        assert sum(times * batch.claim[k] for batch, times in chosen) == n
    for b, n in enumerate(purchase.lots[0]):
        assert sum(times * batch.lot[b] for batch, times in chosen) <= n


@pytest.mark.parametrize("number", [0, 9, 115])
def test_branching_keeps_joints_apart_as_the_model_does(number: int) -> None:
    problem = a_problem(number)
    pair = next(p for p in problem.stagger if problem.rails[p[0]].numbers[-1])
    for family_number, family in enumerate(make_families(problem)):
        if not any(pair[0] in own for own in family.members):
            continue
        judge = Judge(problem, family, family_number, 4.0, 0)
        kind = next(k for k, own in enumerate(family.members) if pair[0] in own)
        claim = tuple(2 * (k == kind) for k in range(len(family.kinds)))
        for batch in _pairs(family, family_number, claim):
            cluster = judge.first_cluster(batch)
            model = place_joints(problem, (cluster,), problem.stagger, 20.0, 0, Deadline())
            branched = place_apart(problem, (cluster,), 20.0, 0, Deadline())
            if branched.verdict is not model.verdict:  # fewer joints, or smaller batches
                assert branched.verdict is Verdict.IMPOSSIBLE
                n_joints = sum(len(model.starts[r]) for r in cluster.rails)
                assert n_joints < batch.joints or n_parts(model) > 1
            if branched.verdict is Verdict.POSSIBLE:
                overlap = problem.rails[pair[0]].overlap
                middles = [[s + overlap / 2 for s in branched.starts[r]] for r in pair[:2]]
                assert all(abs(a - b) >= pair[2] for a in middles[0] for b in middles[1])


def _pairs(family: Family, number: int, claim: tuple[int, ...]) -> list[Batch]:
    """Both rails of a pair from two to four strips of one bin or two."""
    found = []
    for lot in product(range(4), repeat=len(family.bins)):
        joints = sum(lot) - 1
        needs, fewest = family.needs(claim), family.fewest(claim)
        if 2 <= sum(lot) <= 4 and 0 <= joints - fewest < len(needs):
            spare = family.room(lot) - needs[joints - fewest]
            if 0 <= spare <= 900:
                found.append(Batch(number, claim, lot, joints))
    return found[:6]


def test_counts_pack_and_compare() -> None:
    counts = (3, 0, 127, 5)
    code, mask = pack(counts), guards(4)
    assert unpack(code, 4) == counts
    assert ((code | mask) - pack((3, 0, 100, 5))) & mask == mask
    assert ((code | mask) - pack((0, 1, 0, 0))) & mask != mask
    with pytest.raises(ValueError, match="fit"):
        pack((128,))


def test_spans() -> None:
    spans = merge([(10, 20), (5, 9), (30, 40), (50, 45)])
    assert spans == ((5, 20), (30, 40))
    assert meet(spans, ((15, 35),)) == ((15, 20), (30, 35))
    assert without(spans, 15, 32) == ((5, 14), (33, 40))
    assert nearest(((0, 10),), ((5, 12), (30, 31)), 8) == 8
    assert nearest(((0, 10),), ((30, 31),), 8) == 20
    assert nearest(((0, 10),), ((5, 7),), 8) == NEVER
