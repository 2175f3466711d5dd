"""Boards sawn by someone who knows nothing but the words of the page and its drawing."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import pytest

from nestcut.boards import SawWay, sawing_of
from nestcut.papers.book import board_drawing, board_pages
from nestcut.papers.book.board_words import end_words, keep_size, saw_words
from nestcut.papers.draw import Paper, text_width_mm
from nestcut.papers.draw.diagram import texts_of
from nestcut.papers.page import PageMaker
from nestcut.papers.view import BoardView, Figures, PlanView
from nestcut.units import LengthStyle, parse_length_mm
from tests.builders_demos import demo_view

MARK_FIRST = (
    "before any cut mark every cross-cut with its number, on its own strips alone, from the raw"
)
NUMBERS = r"cuts? (?P<numbers>[\d, to]+): "
CROSSCUT = re.compile(
    NUMBERS + r"cross-cut(?: pieces? (?P<whose>[\d, to]+?))?(?P<each> each)? "
    r"(?P<side>right of|left of) (?P<at>.+?)(?:: KEEP (?P<keep>.+))?$"
)
RIP = re.compile(
    NUMBERS + r"(?:rip off|plane) pieces? (?P<whose>[\d, to]+?)(?:, upper edge)?[,:]? (?:to )?"
    r"(?P<wide>[^,;:]+?) wide"
    r"(?:; rest \(pieces? (?P<rest>[\d, to]+)\) (?P<left>.+) wide if the board is (?P<board>.+))?"
    r"(?:: too thin to saw)?$"
)
Box = tuple[float, float, float, float]


@dataclass(frozen=True, kw_only=True)
class Told:
    """One cut as the page says it: of a rip its width, of a crosscut its place."""

    is_rip: bool
    is_beyond: bool
    at_mm: float
    whose: tuple[int, ...]
    keep: str = ""


@pytest.fixture(scope="module", params=["beach-boat", "punt"])
def view(request: pytest.FixtureRequest) -> PlanView:
    return demo_view(request.param)


def words_of(board: BoardView, maker: PageMaker) -> str:
    """All that the board's page says, lines put together again."""
    (page,) = board_pages([board], maker)
    return " ".join(t.text for t in texts_of(page.items))


def told_of(board: BoardView, words: str, figures: Figures) -> list[Told]:
    """The cuts in the order of their numbers, read from the words alone."""
    style = figures.style
    found: list[Told] = []
    if board.end_trim_mm:
        first = re.match(r"cut 1: left of (.+) · last \1 not used", end_words(board, figures))
        assert first
        found.append(Told(is_rip=False, is_beyond=False, at_mm=read_mm(first[1], style), whose=()))
    for part in re.split(r"\s+·\s+(?=cuts? \d)", words):
        crosscut, rip = CROSSCUT.match(part.strip()), RIP.match(part.strip())
        match = crosscut or rip
        assert match, part
        numbers = counted(match["numbers"])
        assert numbers[0] == len(found) + 1
        whose = counted(match["whose"])
        if crosscut:
            places = crosscut["at"].split(", ")
            for k in range(len(numbers)):
                at = read_mm(places[0 if crosscut["each"] else k], style)
                own = whose[k : k + 1] if crosscut["each"] else whose[k:]
                side = crosscut["side"] == "right of"
                found.append(
                    Told(
                        is_rip=False,
                        is_beyond=side,
                        at_mm=at,
                        whose=own,
                        keep=crosscut["keep"] or "",
                    )
                )
            assert len(places) == (1 if crosscut["each"] else len(numbers))
        elif rip:
            wide = read_mm(rip["wide"], style)
            found += [Told(is_rip=True, is_beyond=True, at_mm=wide, whose=whose)] * len(numbers)
            if rip["rest"]:
                bought = read_mm(rip["board"].partition(" (")[0], style)
                assert bought == pytest.approx(board.layout.width_mm, abs=figures.place_step_mm)
    return found


def counted(words: str | None) -> tuple[int, ...]:
    """Numbers of pieces: ``1, 3`` or ``4 to 7``."""
    first, to, last = (words or "").strip(", ").partition(" to ")
    if to:
        return tuple(range(int(first), int(last) + 1))
    return tuple(int(v) for v in first.split(", ") if v)


def read_mm(text: str, style: LengthStyle) -> float:
    unit = "" if style is LengthStyle.INCH or text.endswith("mm") else " mm"
    return float(parse_length_mm(text.strip() + unit))


def sawn(
    board: BoardView, told: list[Told], blade_mm: float, zero_after_first_mm: float = 0.0
) -> list[Box]:
    """Saw: crosscuts at marks from the old end, or, wrongly, from the end that cut 1 leaves.

    Rips run along the fence: the lower edge of what lies on the saw rests against it.
    """
    places = {c.number: c.cut for c in board.cuts}
    blocks: list[Box] = [(0.0, 0.0, board.layout.length_mm, board.layout.width_mm)]

    def holding(whose: tuple[int, ...]) -> list[Box]:
        wanted = whose or tuple(places)
        return [b for b in blocks if any(is_within(middle(places[n]), b) for n in wanted)]

    for k, cut in enumerate(told):
        axis = 1 if cut.is_rip else 0
        if cut.is_rip:
            block = min(
                (b for b in holding(cut.whose) if b[3] - b[1] > cut.at_mm + 0.1),
                key=lambda b: b[1],
            )
            x = block[1] + cut.at_mm
        else:
            (block,) = holding(cut.whose[:1]) if cut.whose else holding(())[-1:]
            x = cut.at_mm + (zero_after_first_mm if k else 0.0)
        low, high = (x, x + blade_mm) if cut.is_beyond else (x - blade_mm, x)
        before, after = list(block), list(block)
        before[axis + 2], after[axis] = low, high
        blocks.remove(block)
        pair = [(b[0], b[1], b[2], b[3]) for b in (before, after)]
        blocks += [b for b in pair if b[2] > b[0] and b[3] > b[1]]
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
        told = told_of(board, said, figures)
        assert len(told) == len(board.saw_cuts)
        blocks = sawn(board, told, board.kerf_mm)
        for cut in board.cuts:
            (block,) = [b for b in blocks if is_within(middle(cut.cut), b)]
            size = block[2] - block[0], block[3] - block[1]
            long = f"{figures.place(cut.piece.length_mm)}"
            assert long in words
            assert size[0] == pytest.approx(read_mm(long, style), abs=step)
            assert size[1] == pytest.approx(cut.piece.sawn_mm[1], abs=wide)
        for cut_told in told:
            if cut_told.keep:
                kept += 1
                (last,) = [b for b in blocks if b[2] == board.layout.length_mm and b[1] == 0.0
                           and b[0] > cut_told.at_mm]  # fmt: skip
                left = last[2] - board.end_trim_mm - last[0]
                assert left == pytest.approx(read_mm(cut_told.keep, style), abs=wide)
        hooked = sawn(board, told, board.kerf_mm, board.end_trim_mm)
        first = min(board.cuts, key=lambda c: c.cut.from_mm)
        found = [b for b in hooked if is_within(middle(first.cut), b)]
        true = read_mm(figures.length(first.piece.length_mm), style)
        wrong += any(abs(b[2] - b[0] - true) > 5.0 for b in found)
    assert kept
    assert wrong


def test_keeps_are_what_the_cuts_as_told_leave_without_a_piece(view: PlanView) -> None:
    """All of it that is large enough, and nothing else: what isn't KEEP is hatched, thrown away."""
    figures = Figures(LengthStyle.MM)
    rounded = 1.0  # each cut is told to half a millimetre, and strips lie behind as many as four
    strips = 0
    for board in view.boards:
        if not board.saw_cuts:
            continue
        ends, edges = board.end_trim_mm, board.edge_trim_mm
        far, top = board.layout.length_mm - ends, board.layout.width_mm - edges
        free = [
            (max(b[0], ends), max(b[1], edges), min(b[2], far), min(b[3], top))
            for b in sawn(board, told_of(board, saw_words(board, figures), figures), board.kerf_mm)
            if not any(is_within(middle(c.cut), b) for c in board.cuts)
        ]
        kept = [(*w.along_mm, *w.across_mm) for w in board.keeps]
        kept = [(x0, y0, x1, y1) for x0, x1, y0, y1 in kept]
        for box in kept:
            assert [b for b in free if b == pytest.approx(box, abs=rounded)] != []
            for cut in (c.cut for c in board.cuts):
                aside = cut.to_mm < box[0] or cut.from_mm > box[2]
                assert aside or cut.rip_to_mm < box[1] or cut.rip_from_mm > box[3]
            assert box[2] - box[0] > 300.0 - 1e-3
            assert box[3] - box[1] > min(30.0, top - edges) - 1e-3
        for block in free:
            if block[2] - block[0] > 300.0 + rounded and block[3] - block[1] > 30.0 + rounded:
                assert [b for b in kept if b == pytest.approx(block, abs=rounded)] != []
        strips += sum(b[3] - b[1] < top - edges - 1.0 for b in kept)
    assert strips


def test_a_blade_that_is_wider_than_said_makes_no_rail_narrower(view: PlanView) -> None:
    """Rips are told by width: only what is left of a board is less, and that it is left is said."""
    figures = Figures(LengthStyle.MM)
    thick_mm = 1.0
    seen, less = 0, 0
    for board in view.boards:
        told = told_of(board, saw_words(board, figures), figures)
        if not any(t.is_rip for t in told):
            continue
        blocks = sawn(board, told, board.kerf_mm + thick_mm)
        ripped = {n for t in told if t.is_rip for n in t.whose}
        for cut in board.cuts:
            (block,) = [b for b in blocks if is_within(middle(cut.cut), b)]
            if cut.number in ripped:
                seen += 1
                assert block[3] - block[1] == pytest.approx(cut.piece.sawn_mm[1], abs=0.26)
            elif block[3] - block[1] < cut.piece.sawn_mm[1] - 0.5:
                less += 1
                assert re.search(r"rest \(.+ wide if the board is", saw_words(board, figures))
    assert seen
    assert less or view.verified.job.name != "punt"


def test_no_rip_leaves_a_sliver_that_is_thinner_than_the_blade(view: PlanView) -> None:
    """What is too thin is planed off, and the words say so."""
    figures = Figures(LengthStyle.MM)
    planed = 0
    for board in view.boards:
        told = told_of(board, saw_words(board, figures), figures)
        for number, cut in enumerate(told, start=1):
            is_planed = re.search(rf"cut {number}: plane pieces? ", saw_words(board, figures))
            planed += bool(is_planed)
            if cut.is_rip and not is_planed:
                blocks = sawn(board, told[:number], board.kerf_mm)
                thin = [b for b in blocks if 0.0 < b[3] - b[1] < board.kerf_mm]
                assert not thin
    assert planed or view.verified.job.name == "punt"


def test_keep_is_what_can_be_used_on_every_board(view: PlanView) -> None:
    """One rule for boards of rails and of curves: what isn't used of the end is in no KEEP."""
    seen = 0
    for board in view.boards:
        if board.keep_mm is None:
            continue
        seen += 1
        assert board.keep_mm[1] == board.layout.length_mm - board.end_trim_mm
        begins, ends = board.keep_mm
        said = float(keep_size(board, Figures(LengthStyle.MM)).removesuffix(" mm"))
        assert said == pytest.approx(ends - begins, abs=0.51)
    assert seen


def test_a_rips_width_stands_at_the_wood_that_is_ripped(view: PlanView) -> None:
    """At the black end, beside a piece that stays whole, it was taken for that piece's."""
    whole = replace(view.boards[0].cuts[0].cut, from_mm=10.0, to_mm=1850.0, rip_from_mm=0.0)
    cuts = (
        replace(whole, piece="a", rip_to_mm=95.0),
        replace(whole, piece="b", from_mm=1852.0, to_mm=4012.0, rip_to_mm=30.0),
        replace(whole, piece="c", from_mm=1852.0, to_mm=4012.0, rip_from_mm=32.0, rip_to_mm=77.0),
    )
    rail = replace(view.boards[0].cuts[0].piece, ends=())
    board = replace(
        view.boards[0],
        layout=replace(view.boards[0].layout, length_mm=4200.0, width_mm=95.0, cuts=cuts),
        cuts=tuple(
            replace(view.boards[0].cuts[0], number=k, piece=replace(rail, id=c.piece), cut=c)
            for k, c in enumerate(cuts, start=1)
        ),
        sawing=sawing_of(cuts, 2.0),
        kerf_mm=2.0,
    )
    ways = [c.way for c in board.saw_cuts if len(c.pieces) > 1 and c.ends_mm]
    assert ways[-1] is SawWay.RIP
    page = board_drawing(board, PageMaker(Paper.A4, Figures(LengthStyle.MM), view))
    told = texts_of(page.items)
    (name,) = [t.at[0] for t in told if t.text.startswith(f"{board.label}:")]
    scale = float(re.search(r"1:([\d.]+)", page.caption)[1])  # type: ignore[index]
    at = [t for t in told if re.fullmatch(r"cut \d: (30|45)", t.text)]
    assert len(at) == 2
    for text in at:
        assert text.at[0] > name + 1852.0 / scale
        wide = text_width_mm(text.text, text.size_mm)
        beside = [t for t in told if abs(t.at[1] - text.at[1]) < 1.0 and t.at[0] > text.at[0]]
        assert all(t.at[0] > text.at[0] + wide + 2.0 for t in beside)  # "30" and "2" read 302


def test_what_no_cuts_part_is_marked_from_both_edges(view: PlanView) -> None:
    """No fence runs round a pinwheel: its figures are places, and the page says from where."""
    figures = Figures(LengthStyle.MM)
    board = next(b for b in view.boards if len({c.cut.rip_to_mm for c in b.cuts}) > 1)
    wheel = replace(board, sawing=replace(board.sawing, steps=()))
    words = words_of(wheel, PageMaker(Paper.A4, figures, view))
    assert not wheel.saw_cuts
    assert "mark them from the black end and the lower edge, saw round them" in words
    assert "cut 1" not in end_words(wheel, figures)
    for cut in wheel.cuts:
        assert f" {figures.place(cut.cut.rip_to_mm)} " in f" {words} "


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
