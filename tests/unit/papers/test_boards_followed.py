"""Boards sawn by someone who knows nothing but the words of the page and its drawing."""

from __future__ import annotations

import re
from dataclasses import dataclass

import pytest

from nestcut.papers.book import board_pages
from nestcut.papers.book.board_words import saw_words
from nestcut.papers.draw import Paper
from nestcut.papers.draw.diagram import texts_of
from nestcut.papers.page import PageMaker
from nestcut.papers.view import BoardView, Figures, PlanView, plan_view
from nestcut.units import LengthStyle, parse_length_mm
from tests.builders_demos import demo_on_shelves

MARK_FIRST = "first mark all cuts on the whole board, from its black end"
GROUP = re.compile(
    r"cuts? (?P<numbers>[\d, to]+): (?P<way>rip|plane|cross-cut)"
    r"(?: pieces? (?P<whose>[\d, to]+?))? "
    r"(?P<side>above|below|right of|left of|down to|up to) (?P<at>.+?)"
    r"(?: \(too thin to saw\))?(?:: KEEP (?P<keep>.+))?$"
)
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Told:
    """One line of cuts as the page says it."""

    is_rip: bool
    is_beyond: bool
    at_mm: tuple[float, ...]
    whose: tuple[int, ...]
    keep: str


@pytest.fixture(scope="module", params=["beach-boat", "punt"])
def view(request: pytest.FixtureRequest) -> PlanView:
    return plan_view(demo_on_shelves(request.param))


def words_of(board: BoardView, maker: PageMaker) -> str:
    """All that the board's page says, lines put together again."""
    (page,) = board_pages([board], maker)
    return " ".join(t.text for t in texts_of(page.items))


def told_of(words: str, style: LengthStyle) -> list[Told]:
    """The cuts in the order of their numbers, read from the words alone."""
    found = []
    number = 0
    for part in re.split(r"\s+·\s+(?=cuts? \d)", words):
        match = GROUP.match(part.strip())
        assert match, part
        at = tuple(read_mm(v, style) for v in match["at"].split(", "))
        numbers = match["numbers"].split(" to ")[0].split(", ")
        assert int(numbers[0]) == number + 1
        number += len(at)
        is_rip = match["way"] in {"rip", "plane"}
        assert (match["side"] in {"above", "below", "down to", "up to"}) is is_rip
        is_beyond = match["side"] in {"above", "right of", "down to"}
        found.append(Told(is_rip, is_beyond, at, counted(match["whose"]), match["keep"] or ""))
    return found


def counted(words: str | None) -> tuple[int, ...]:
    """Numbers of pieces: ``1, 3`` or ``4 to 7``."""
    first, to, last = (words or "").partition(" to ")
    if to:
        return tuple(range(int(first), int(last) + 1))
    return tuple(int(v) for v in first.split(", ") if v)


def read_mm(text: str, style: LengthStyle) -> float:
    unit = "" if style is LengthStyle.INCH or text.endswith("mm") else " mm"
    return float(parse_length_mm(text.strip() + unit))


def sawn(board: BoardView, told: list[Told], zero_after_first_mm: float = 0.0) -> list[Box]:
    """Saw: every mark from the old end; or, wrongly, from the end that cut 1 leaves."""
    places = {c.number: c.cut for c in board.cuts}
    blocks: list[Box] = [(0.0, 0.0, board.layout.length_mm, board.layout.width_mm)]
    for k, group in enumerate(told):
        left = set(group.whose or places)
        for at in group.at_mm:
            axis = 1 if group.is_rip else 0
            shift = zero_after_first_mm if k and not group.is_rip else 0.0
            block = next(
                b for b in blocks if any(is_within(middle(places[n]), b) for n in left)
                and all(is_within(middle(places[n]), b) for n in left)
            )  # fmt: skip
            x = at + shift
            low, high = (x, x + board.kerf_mm) if group.is_beyond else (x - board.kerf_mm, x)
            before, after = list(block), list(block)
            before[axis + 2], after[axis] = low, high
            blocks.remove(block)
            pair = [(b[0], b[1], b[2], b[3]) for b in (before, after)]
            blocks += [b for b in pair if b[2] > b[0] and b[3] > b[1]]
            behind = {n for n in left if middle(places[n])[axis] > high}
            left = behind or left
    return blocks


def middle(cut: object) -> tuple[float, float]:
    return (
        (cut.from_mm + cut.to_mm) / 2.0,  # type: ignore[attr-defined]
        (cut.rip_from_mm + cut.rip_to_mm) / 2.0,  # type: ignore[attr-defined]
    )


def is_within(point: tuple[float, float], box: Box) -> bool:
    return box[0] < point[0] < box[2] and box[1] < point[1] < box[3]


@pytest.mark.parametrize("style", list(LengthStyle))
def test_whoever_follows_the_words_has_every_piece_and_the_keep(
    view: PlanView, style: LengthStyle
) -> None:
    """All marks are made before the first stroke, from the end that cut 1 saws off.

    A tape hooked on the end that is left makes another boat: the page has to say it.
    """
    figures = Figures(style)
    maker = PageMaker(Paper.A4, figures, view)
    # each end of a piece is rounded by half a step of cuts, and so is its printed length
    wide = 1.01 * figures.place_step_mm
    step = wide + 0.5 * figures.place_step_mm
    kept, wrong = 0, 0
    for board in view.boards:
        if not board.saw_cuts:
            continue
        words = words_of(board, maker)
        assert MARK_FIRST in words
        said = saw_words(board, figures)
        assert " ".join(said.split()) in " ".join(words.split())
        told = told_of(said, style)
        assert sum(len(g.at_mm) for g in told) == len(board.saw_cuts)
        blocks = sawn(board, told)
        for cut in board.cuts:
            (block,) = [b for b in blocks if is_within(middle(cut.cut), b)]
            size = block[2] - block[0], block[3] - block[1]
            long = f"{figures.place(cut.piece.length_mm)}"
            assert long in words
            assert size[0] == pytest.approx(read_mm(long, style), abs=step)
            assert size[1] == pytest.approx(cut.piece.sawn_mm[1], abs=wide)
        for group in told:
            if group.keep:
                kept += 1
                (last,) = [b for b in blocks if b[2] == board.layout.length_mm and b[1] == 0.0
                           and b[0] > group.at_mm[0]]  # fmt: skip
                left = last[2] - last[0] - board.end_trim_mm  # its end isn't used
                assert "not used, nor in KEEP's length" in words
                assert left == pytest.approx(read_mm(group.keep, style), abs=wide)
        hooked = sawn(board, told, board.end_trim_mm)
        first = min(board.cuts, key=lambda c: c.cut.from_mm)
        found = [b for b in hooked if is_within(middle(first.cut), b)]
        true = read_mm(figures.length(first.piece.length_mm), style)
        wrong += any(abs(b[2] - b[0] - true) > 5.0 for b in found)
    assert kept
    assert wrong


def test_no_rip_leaves_a_shaving_thinner_than_its_blade(view: PlanView) -> None:
    """3 mm of waste and a blade of 2: a plane takes that off, a saw runs out of it."""
    figures = Figures(LengthStyle.MM)
    planed = 0
    for board in (b for b in view.boards if b.saw_cuts):
        for group in re.split(r"\s+·\s+(?=cuts? \d)", saw_words(board, figures)):
            (told,) = told_of(re.sub(r"^cuts? [\d, to]+", "cut 1", group), LengthStyle.MM)
            edge = board.layout.width_mm - told.at_mm[-1]
            if told.is_rip and told.is_beyond:
                is_thin = edge < 2.0 * board.kerf_mm
                assert ("plane" in group) is is_thin, group
                planed += is_thin
    assert planed or not any(b.kerf_mm < 3.0 for b in view.boards)  # the punt's blade takes 1/8 in


@pytest.mark.parametrize("style", list(LengthStyle))
def test_a_joint_says_which_face_wherever_it_is_drawn(view: PlanView, style: LengthStyle) -> None:
    """On every board the name stands beside its face, and the key says what hatching means."""
    maker = PageMaker(Paper.LETTER, Figures(style), view)
    seen = 0
    for board in view.boards:
        wanted = [
            f"{view.joint_keys[e.joint]} {'BACK' if e.planed.value == 'back' else 'GOOD'}"
            for c in board.cuts
            for e in c.piece.ends
            if e.planed is not None
        ]
        if not wanted:
            continue
        words = words_of(board, maker)
        seen += len(wanted)
        assert [w for w in wanted if w not in words] == []
        assert "joint planed on the face you see (GOOD)" in words
        assert "on the face underneath (BACK)" in words
        assert "a joint's middle" in words
    assert seen or view.verified.job.name == "punt"
