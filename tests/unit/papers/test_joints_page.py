"""The joints page: parts as they stand in the boat, places from named ends, sums that agree."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import pytest

from nestcut.geometry.polygons import bounds_mm
from nestcut.model.joint import Joint
from nestcut.model.part import Bearings, Towards
from nestcut.papers.book.joint_parts import joined_parts
from nestcut.papers.draw import Area, Item, Paper, Text
from nestcut.papers.draw.diagram import texts_of
from nestcut.papers.lists import joint_rows
from nestcut.papers.lists.joint_words import end_words
from nestcut.papers.page import PageMaker
from nestcut.papers.view import Figures, PlanView, plan_view
from nestcut.units import LengthStyle, parse_length_mm
from tests.builders_demos import demo_on_shelves

SIDES = {"beach-boat": "side panel", "punt": "side"}


@lru_cache(maxsize=2)
def view_of(name: str) -> PlanView:
    return plan_view(demo_on_shelves(name))


def strip_of(view: PlanView, part: str) -> tuple[Item, ...]:
    """The sketch and words of one joined part."""
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), view)
    (made,) = [
        items
        for _, items in joined_parts(maker, 250.0)
        if any(t.text.startswith(f"{part},") for t in texts_of(items))
    ]
    return made


def word_at(items: tuple[Item, ...], word: str) -> tuple[float, float]:
    (found,) = [t for t in items if isinstance(t, Text) and t.text == word]
    return found.at


HALF_ROUND = {
    Towards.LEFT: Towards.RIGHT,
    Towards.RIGHT: Towards.LEFT,
    Towards.TOP: Towards.BOTTOM,
    Towards.BOTTOM: Towards.TOP,
}


def standing_on_its_head(view: PlanView, name: str) -> PlanView:
    """The same plan, had the part been drawn upside down: its drawing turned half way round."""
    job = view.verified.job
    parts = tuple(
        replace(p, bearings=_turned(p.bearings)) if p.name == name else p for p in job.sheet_parts
    )
    return plan_view(replace(view.verified, job=replace(job, sheet_parts=parts)))


def _turned(own: Bearings) -> Bearings:
    return replace(own, forward=HALF_ROUND[own.forward], up=HALF_ROUND[own.up])


@pytest.mark.parametrize("drawn_as", ["it stands", "on its head"])
@pytest.mark.parametrize("demo", list(SIDES))
def test_a_side_is_drawn_right_way_up_with_its_bow_named(demo: str, drawn_as: str) -> None:
    """Each corner of a piece is found again: what is up in the boat is up, the bow at its arrow."""
    view = view_of(demo)
    if drawn_as == "on its head":
        view = standing_on_its_head(view, SIDES[demo])
    part = view.sheet_parts[SIDES[demo]]
    bearings = part.bearings
    items = strip_of(view, part.name)
    shares = [
        p
        for p in view.verified.plan.pieces
        if p.part == part.name and p.hand is not None and p.hand.value == "port" and p.copy == 1
    ]
    drawn = [i for i in items if isinstance(i, Area) and len(i.outline) > 4]
    seen = 0
    for piece, area in zip(shares, drawn, strict=True):
        points = piece.net.outline.points
        assert len(points) == len(area.outline)
        x0, y0, x1, y1 = bounds_mm(points)
        left = min(range(len(points)), key=lambda k: points[k][0])
        right = max(range(len(points)), key=lambda k: points[k][0])
        low = min(range(len(points)), key=lambda k: points[k][1])
        high = max(range(len(points)), key=lambda k: points[k][1])
        assert x1 > x0
        assert y1 > y0
        rises = area.outline[high][1] > area.outline[low][1]
        runs_right = area.outline[right][0] > area.outline[left][0]
        assert rises is (bearings.up is Towards.TOP)
        assert rises is runs_right  # turned, never mirrored: it shows the face that it has
        own = bearings if part.drawn.value == "port" else bearings.turned
        is_bow_right = (own.forward is Towards.RIGHT) is runs_right
        xs = [x for a in drawn for x, _ in a.outline]
        assert (word_at(items, "FWD")[0] > max(xs)) is is_bow_right
        assert (word_at(items, "UP")[0] > max(xs)) is not is_bow_right
        seen += 1
    assert seen > 1


@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("demo", list(SIDES))
def test_figures_to_both_ends_add_up_to_the_whole(demo: str, style: LengthStyle) -> None:
    """A place and what is left behind it make the printed length over all, to the last step."""
    figures = Figures(style)
    view = view_of(demo)
    seen = 0
    for row in joint_rows(view):
        joint = row.joint
        rest = joint.part_length_mm - joint.at_mm
        told = end_words(_with_ends(joint, rest), figures, "its bow end")
        printed = [t.removesuffix(" from its bow end") for t in told if t.endswith("bow end")]
        at, whole = figures.length(joint.at_mm), figures.length(joint.part_length_mm)
        assert len(printed) == 1
        parts = [float(parse_length_mm(p)) for p in (at, printed[0], whole)]
        assert parts[0] + parts[1] == pytest.approx(parts[2], abs=1e-6)
        assert parts[1] == pytest.approx(rest, abs=figures.step_mm)
        seen += 1
    assert seen > 1


def _with_ends(joint: Joint, rest_mm: float) -> Joint:
    return replace(joint, distances=(("the part's other end", rest_mm),))


def test_places_name_the_ends_that_they_are_from() -> None:
    """Both figures of a place say from which end, and which end is black."""
    for demo, part in SIDES.items():
        words = " ".join(t.text for t in texts_of(strip_of(view_of(demo), part)))
        assert "end (black)" in words
        assert "stern end" in words
        assert "bow end" in words
