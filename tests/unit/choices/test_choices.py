"""Ways to plan one boat: what is varied, what holds for the job as asked, what is best."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest

import nestcut
from nestcut.choices import Found, Way, as_plan_of, best_of_all, row_of, ways_of, ways_of_joints
from nestcut.model.otherwise import AS_ASKED, MostJoints, Otherwise, with_otherwise
from nestcut.papers.choices import ChoiceRow, best_rows, choices_drawings, words_of
from nestcut.papers.draw import Disc, Drawing, Paper, Text
from nestcut.papers.draw.diagram import texts_of
from nestcut.papers.view import Figures
from nestcut.planfile.read import parse_plan_json
from nestcut.planfile.write import plan_to_json
from nestcut.units import LengthStyle
from nestcut.verify import verify_plan
from nestcut.words import Speech, speech_of, tell_fact
from tests.unit.choices.seat import JOB

QUICK = nestcut.Budget(effort="quick")
FIGURES = Figures(LengthStyle.MM, 16, "EUR")
LONG = (
    JOB
    + """
[[rail]]
name = "gunwale"
material = "fir"
section = ["20 mm", "45 mm"]
length = "5 m"
joint = { kind = "scarf", slope = 12, keep_clear = "none", most_joints = 1 }
"""
)


def seat(text: str = JOB) -> nestcut.Job:
    return nestcut.read_job(text, drawings={})


def named(job: nestcut.Job, ways: tuple[Way, ...]) -> list[str]:
    return [tell_fact(w.name, speech_of(job)) for w in ways]


def test_every_way_is_named() -> None:
    job = seat()
    assert named(job, ways_of(job, (1.5, 3.0))) == [
        "as the job says, least money",
        "as the job says, fewest joints",
        "only large",
        "only small",
        "no fir of 2400 mm",
        "no fir of 3000 mm",
        "a saw that takes 1.5 mm",  # the job's own saw is no other
    ]


def test_a_joint_fewer_or_more_is_asked_where_the_places_are_free() -> None:
    job = seat(LONG)
    plan = nestcut.plan_job(job, QUICK).plan
    ways = ways_of_joints(job, plan)
    assert named(job, ways) == [
        "gunwale: one joint fewer, 0 at most",
        "gunwale: one joint more than the job allows, 2 at most",
    ]
    assert [w.otherwise for w in ways] == [
        AS_ASKED,
        Otherwise(joints=(MostJoints(part="gunwale", most=2),)),
    ]
    given = LONG.replace('keep_clear = "none", most_joints = 1', 'at = ["2.4 m"]')
    assert ways_of_joints(seat(given), nestcut.plan_job(seat(given), QUICK).plan) == ()


@pytest.mark.parametrize(
    "otherwise",
    [Otherwise(kerf_mm=1.5), Otherwise(joints=(MostJoints(part="gunwale", most=2),))],
)
def test_what_a_plan_takes_otherwise_is_kept_in_its_file(otherwise: Otherwise) -> None:
    job = seat(LONG)
    way = Way(name=ways_of(job)[0].name, job=with_otherwise(job, otherwise), otherwise=otherwise)
    done = as_plan_of(job, way, nestcut.plan_job(way.job, QUICK))
    told = [f.code for f in done.plan.findings]
    assert told[-1] == ("CHO-101" if otherwise.kerf_mm else "CHO-102")
    back = parse_plan_json(plan_to_json(done), "plan.json").plan
    assert back.otherwise == otherwise
    assert verify_plan(with_otherwise(job, back.otherwise), back).is_proven


def test_a_plan_with_less_stock_is_one_of_the_job_as_asked() -> None:
    job = seat()
    only = next(w for w in ways_of(job) if tell_fact(w.name, Speech()) == "only large")
    done = as_plan_of(job, only, nestcut.plan_job(only.job, QUICK))
    assert done.job is job
    assert verify_plan(job, done.plan).is_proven
    assert done.plan.bounds == ()


def test_what_one_way_finds_holds_for_others_that_allow_it() -> None:
    """A poor search for the job as asked, and for a thinner saw; a good one with less stock."""
    job = seat()
    ways = ways_of(job, (1.5,))
    good = nestcut.plan_job(job, QUICK)
    poor = replace(
        good,
        plan=replace(good.plan, buy=tuple(replace(b, price_minor=9900) for b in good.plan.buy)),
    )
    found = [
        Found(way=w, plan=as_plan_of(job, w, good if k == 2 else poor))
        for k, w in enumerate(ways)
        if k in {0, 1, 2, 6}
    ]
    costs = [f.plan.plan.cost_minor for f in best_of_all(job, found) if f.plan is not None]
    assert costs == [6500, 6500, 6500, 6500]
    saw = best_of_all(job, found)[-1].plan
    assert saw is not None
    assert saw.plan.otherwise == Otherwise(kerf_mm=1.5)
    # A wider kerf holds for nobody's plan but its own.
    wide = ways_of(job, (200.0,))[-1]
    (_, last) = best_of_all(job, [found[2], Found(way=wide)])
    assert last.plan is None


def test_a_row_has_the_largest_offcut_and_says_why_there_is_no_plan() -> None:
    job = seat()
    way = ways_of(job)[0]
    done = nestcut.plan_job(job, QUICK)
    row = row_of(Found(way=way, plan=done), Speech(), "folder")
    sizes = [
        sorted((abs(o.to_mm[0] - o.from_mm[0]), abs(o.to_mm[1] - o.from_mm[1])))
        for s in done.plan.sheets
        for o in s.offcuts
    ]
    assert sorted(row.offcut_mm) == max(sizes, key=lambda s: s[0] * s[1])
    assert (row.paid_minor, row.folder) == (done.plan.cost_minor, "folder")
    assert row_of(Found(way=way), Speech()).fault == "no time for a plan"


ROWS = (
    ChoiceRow(name="a", cost_minor=1000, sheets=1, joints=2),
    ChoiceRow(name="b", cost_minor=900, sheets=1, unplaced=1),
    ChoiceRow(name="c", fault="no plan: seat: it fits nowhere"),
    ChoiceRow(name="d", cost_minor=1250, sheets=2, joints=1, offcut_mm=(600.0, 300.0)),
    ChoiceRow(name="e", cost_minor=1400, sheets=2, joints=1),
    ChoiceRow(name="f", cost_minor=1000, sheets=1, joints=2, offcut_mm=(900.0, 300.0)),
    ChoiceRow(name="g", cost_minor=1100, sheets=2, joints=3, is_cut_short=True),
)


def test_the_best_are_those_that_no_other_beats() -> None:
    assert best_rows(ROWS) == {3, 5}


def test_what_fewer_joints_cost_is_told_and_what_was_cut_short() -> None:
    assert words_of(ROWS, FIGURES) == (
        "Least money: a, 10.00 EUR.",
        "1 joint fewer: d, 2.50 EUR more, 1 sheet more.",
        "Cut short: the time was up before the search's work was done; more may be had.",
    )
    assert words_of(ROWS[1:3], FIGURES) == ("No way gives every piece a place.",)


def dots(drawing: Drawing) -> list[Disc]:
    return [i for i in drawing.items if isinstance(i, Disc)]


def boxes(drawing: Drawing) -> list[tuple[float, float, float, float]]:
    """Where each text of a page lies, level ones as all here are."""
    found = []
    for t in texts_of(drawing.items):
        x = t.start[0]
        found.append((x, t.at[1] - 0.3 * t.size_mm, x + t.width_mm, t.at[1] + 0.3 * t.size_mm))
    return found


@pytest.mark.parametrize("paper", list(Paper))
def test_the_picture_places_every_plan_by_money_and_joints(paper: Paper) -> None:
    (page,) = choices_drawings("seat", ROWS, paper, FIGURES)
    spots = [d.centre for d in dots(page)]
    assert len(spots) == 5  # b and c are no whole plans
    at = {(r.paid_minor, r.joints) for r in ROWS if r.is_whole}
    assert len({(round(x, 3), round(y, 3)) for x, y in spots}) == len(at)
    for low, high in combinations(sorted(at), 2):
        x = {p: next(s for s in _spots(page, p)) for p in (low, high)}
        assert (x[low][0] < x[high][0]) == (low[0] < high[0])
        assert (x[low][1] < x[high][1]) == (low[1] < high[1]) or low[1] == high[1]
    for one, other in combinations(boxes(page), 2):
        apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
        assert apart
    for box in boxes(page):
        assert 0.0 < box[0] < box[2] <= page.width_mm
        assert 0.0 < box[1] < box[3] < page.height_mm


def _spots(page: Drawing, place: tuple[int, int]) -> list[tuple[float, float]]:
    """Where a sum and a number of joints lie, by the axes' own words."""
    texts = [t for t in page.items if isinstance(t, Text)]
    rows = {t.text: t.at[1] for t in texts if t.text.endswith((" joint", " joints"))}
    sums = sorted(
        (round(100 * float(t.text.split()[0])), t.at[0])
        for t in texts
        if t.text.endswith("EUR") and t.at[1] < min(rows.values()) and t.anchor.value == "middle"
    )
    (a, x0), (b, x1) = sums[0], sums[-1]
    x = x0 + (place[0] - a) / (b - a) * (x1 - x0)
    y = rows[f"{place[1]} joint{'' if place[1] == 1 else 's'}"]
    return [
        d.centre for d in dots(page) if abs(d.centre[0] - x) < 0.05 and abs(d.centre[1] - y) < 0.05
    ]


def test_many_ways_run_on_over_pages() -> None:
    rows = [replace(ROWS[0], name=f"way {k}", cost_minor=1000 + k) for k in range(40)]
    pages = choices_drawings("a boat", rows, Paper.LETTER, FIGURES)
    assert len(pages) > 1
    told = [t.text for p in pages for t in texts_of(p.items) if t.text.startswith("way ")]
    assert told == [f"way {k}" for k in range(40)]
    assert [len(dots(p)) for p in pages] == [40] + [0] * (len(pages) - 1)
