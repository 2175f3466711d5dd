"""What pages say in cases that the builders' boats don't have."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pdfplumber
import pytest

from nestcut.facts import fact
from nestcut.model.joint import Face, Joint, JointEnd, JointKind, JointRule
from nestcut.model.part import StrapOf
from nestcut.model.plan import Bound, Counted, Offcut, StopReason, VerifiedPlan
from nestcut.model.pose import Placement
from nestcut.model.stock import BoardLength, BoardStock, KeepOut, SheetGrain
from nestcut.papers.book.joint_cards import joint_cards
from nestcut.papers.book.joint_page import joint_pages
from nestcut.papers.draw.diagram import Drawing, texts_of
from nestcut.papers.draw.paper import SCALES, Paper, larger_scale
from nestcut.papers.draw.tables import LINE_MM, Column, column_widths, laid_table
from nestcut.papers.lists.amounts import amounts_of
from nestcut.papers.lists.board_feet import board_feet_to_buy
from nestcut.papers.lists.csv_lists import joints_csv
from nestcut.papers.lists.lists import joint_rows
from nestcut.papers.lists.summary import summary_text
from nestcut.papers.page.maker import PageMaker
from nestcut.papers.sheet.page import sheet_pages
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.piece_words import shown_name
from nestcut.papers.view.plan_words import bound_words, count_words, search_words
from nestcut.papers.view.rows import plan_view
from nestcut.papers.write import write_papers
from nestcut.trade.woods import density_of
from nestcut.units import LengthStyle
from tests.builders_boat import part, pieces_of, rectangle
from tests.builders_papers import plan_for, ply, small_plan, whole_boat

MM = Figures(LengthStyle.MM, 16, "EUR")


def words_of(pages: tuple[Drawing, ...]) -> str:
    return "\n".join(t.text for page in pages for t in texts_of(page.items))


def pages_of(verified: VerifiedPlan, paper: Paper = Paper.A4) -> list[tuple[Drawing, ...]]:
    view = plan_view(verified)
    return [sheet_pages(s, PageMaker(paper, MM, view)) for s in view.sheets]


def many_alike(count: int, length: float, width: float) -> VerifiedPlan:
    return plan_for(
        "many",
        [part("slat", rectangle(length, width), 9, count=count)],
        [ply(9, 7990)],
        LengthStyle.MM,
    )


def with_joint(kind: JointKind, rule: JointRule) -> VerifiedPlan:
    """Two halves of one panel that meet in a joint without a slope."""
    verified = small_plan()
    whole = part("deck", rectangle(1000, 300), 9)
    halves = []
    for share in (1, 2):
        x = 1000.0 if share == 1 else 0.0
        end = JointEnd(
            joint="deck 1 J1", kind=kind, line=((x, 0.0), (x, 300.0)), planed=None, overlap_mm=0.0
        )
        (piece,) = pieces_of(whole)
        halves.append(replace(piece, id=f"deck 1 {share}/2", share=share, n_shares=2, ends=(end,)))
    joint = Joint(
        id="deck 1 J1", part="deck", hand=None, copy=1, kind=kind, slope=8.0, thickness_mm=9.0,
        at_mm=1000.0, overlap_mm=0.0, part_length_mm=2000.0, pieces=(halves[0].id, halves[1].id),
    )  # fmt: skip
    sheet = replace(
        verified.plan.sheets[2],
        placements=tuple(
            Placement(piece=h.id, lie=verified.plan.sheets[0].placements[0].lie, turn_deg=0.0,
                      shift_mm=(10.0, 10.0 + 350.0 * k))
            for k, h in enumerate(halves)
        ),
        offcuts=(Offcut(from_mm=(10.0, 800.0), to_mm=(2000.0, 1200.0)),),
    )  # fmt: skip
    plan = replace(
        verified.plan,
        pieces=tuple(halves),
        rail_pieces=(),
        sheets=(sheet,),
        boards=(),
        joints=(joint,),
    )
    job = replace(verified.job, sheet_parts=(replace(whole, joint=rule),), rail_parts=())
    return replace(verified, job=job, plan=plan)


def test_strap_page_says_how_wide_and_on_which_face() -> None:
    """Sixteen thicknesses of 9 mm are 144 mm."""
    rule = JointRule(kind=JointKind.BUTT_STRAP, strap_width_thicknesses=16.0, strap_face=Face.BACK)
    verified = with_joint(JointKind.BUTT_STRAP, rule)
    view = plan_view(verified)
    words = words_of(joint_pages(PageMaker(Paper.A4, MM, view)))

    assert "144 mm" in words
    assert "on the back" in words
    assert "J1  butt strap" in words_of(pages_of(verified)[0])
    assert ",144,back," in joints_csv(view, MM)


def test_strap_without_rule_is_left_to_the_plans() -> None:
    verified = with_joint(JointKind.BUTT_STRAP, JointRule())
    job = replace(verified.job, sheet_parts=())
    view = plan_view(replace(verified, job=job))

    assert joint_rows(view)[0].strap_mm is None
    assert "as the plans say" in words_of(joint_pages(PageMaker(Paper.A4, MM, view)))


def test_a_strap_is_named_by_its_joint_on_the_papers() -> None:
    verified = with_joint(JointKind.BUTT_STRAP, JointRule(kind=JointKind.BUTT_STRAP))
    note = "strap over joint 1 of {}: glue it to the panel's back"
    joint = replace(verified.plan.joints[0], number=1)
    for part_name, told in (("deck", "strap over J1: glue"), ("hull", note.format("hull"))):
        strap = StrapOf(part_name, 1, Face.BACK)
        pieces = [replace(p, strap_of=strap) for p in verified.plan.pieces]
        plan = replace(verified.plan, pieces=tuple(pieces), joints=(joint,))
        (sheet,) = plan_view(replace(verified, plan=plan)).sheets
        assert all(told in p.piece.note for p in sheet.placed)


def test_scarf_pictures_name_the_faces_that_the_text_names() -> None:
    verified = whole_boat()
    figures = Figures(LengthStyle.MM)
    for joint in [j for j in verified.plan.joints if j.kind is JointKind.SCARF][:4]:
        plan = replace(verified.plan, joints=(joint,))
        view = plan_view(replace(verified, plan=plan))
        (row,) = joint_rows(view)
        ((_, card),) = joint_cards(PageMaker(Paper.A4, figures, view), 277.0)
        texts = [t for t in texts_of(card) if t.text in {"good face", "back"}]
        highest = max(texts, key=lambda t: t.at[1])
        lowest = min(texts, key=lambda t: t.at[1])
        assert len(texts) == 4
        # both lie good face up, as they're glued: what is planed on top is in sight
        assert (highest.text, lowest.text) == ("good face", "back")
        assert {row.planed_words(0), row.planed_words(1)} == {"good face", "back"}


def test_lines_of_a_sheet_are_explained_where_it_has_them() -> None:
    plain = words_of(pages_of(many_alike(2, 300.0, 90.0))[0])
    shown = words_of(pages_of(with_joint(JointKind.BUTT_STRAP, JointRule()))[0])

    assert "KEEP: dashes not sawn" in shown
    assert "do not saw here" not in shown
    assert "pencil only" not in plain


def test_words_in_tables_are_broken_and_never_cut() -> None:
    note = "glue it to the back of the panel with its line on the joint and its good face in sight"
    name = "a name that is much too long for its column, starboard, piece B of 3"
    columns = (Column("no."), Column("piece"), Column("notes"))
    for width in (200.0, 90.0, 50.0):
        table = laid_table(columns, [("1", name, note)], width)
        ((_, named, noted),) = table.rows
        assert (" ".join(named), " ".join(noted)) == (name, note)
        assert table.heights_mm == (LINE_MM * max(len(named), len(noted)),)
        texts = texts_of(table.items((0.0, 0.0), 0, 1))
        assert max(t.box[1][0] for t in texts) <= width + 0.2


def test_a_single_piece_goes_by_its_parts_name() -> None:
    placed = [p for s in plan_view(whole_boat()).sheets for p in s.placed]
    named = {p.piece.id: shown_name(p) for p in placed}
    for p in placed:
        is_only = sum(q.piece.part == p.piece.part for q in placed) == 1
        assert (named[p.piece.id] == p.piece.part) is is_only
        assert named[p.piece.id].startswith(p.piece.part)
    assert len(set(named.values())) == len(placed)


def test_keyed_joint_has_a_card() -> None:
    view = plan_view(with_joint(JointKind.KEYED, JointRule(kind=JointKind.KEYED)))

    words = words_of(joint_pages(PageMaker(Paper.A4, MM, view)))

    assert "Keyed joint in 9 mm: J1" in words
    assert "router" in words


def test_no_joints_no_page() -> None:
    verified = many_alike(3, 500.0, 200.0)
    plan = replace(verified.plan, joints=())

    assert joint_pages(PageMaker(Paper.A4, MM, plan_view(replace(verified, plan=plan)))) == ()


def test_long_table_goes_on_overleaf() -> None:
    """Sixty slats have their names on the sheet, but not all fit the table under it."""
    pages = pages_of(many_alike(60, 320.0, 95.0))[0]

    assert len(pages) >= 2
    rows = [t.text for page in pages for t in texts_of(page.items) if t.size_mm == 3.2]
    assert len({text for text in rows if text.startswith("slat, ")}) == 60


def test_grain_across_and_irregular_offcut_and_barred_area() -> None:
    verified = many_alike(2, 500.0, 200.0)
    layout = verified.plan.sheets[0]
    outline = ((0.0, 0.0), (0.0, 900.0), (1500.0, 900.0), (2000.0, 0.0))
    knot = KeepOut(points=((900, 700), (1000, 700), (1000, 800), (900, 800)), reason="knot")
    layout = replace(layout, outline=outline, keep_outs=(knot,), offcuts=())
    stock = replace(verified.job.sheet_stocks[0], grain=SheetGrain.ALONG_WIDTH, outline=outline)
    verified = replace(
        verified,
        job=replace(verified.job, sheet_stocks=(stock,)),
        plan=replace(verified.plan, sheets=(layout,)),
    )
    words = words_of(pages_of(verified)[0]).replace("\n", " ")

    assert "face grain (across the sheet)" in words
    assert "cross-hatched: knot" in words
    assert "diagonals" not in words
    assert plan_view(verified).sheets[0].outline[0] == (2000.0, 0.0)


def test_board_with_sawn_curves_is_called_a_board() -> None:
    verified = many_alike(2, 500.0, 90.0)
    board = BoardStock(
        name="larch 18 x 245", material="larch", thickness_mm=9.0, width_mm=245.0,
        lengths=(BoardLength(length_mm=3600.0, price_minor=2100),), end_trim_mm=20.0,
    )  # fmt: skip
    layout = replace(
        verified.plan.sheets[0], stock=board.name, length_mm=3600.0, width_mm=245.0, keep_outs=(),
        edge_trim_mm=0.0, end_trim_mm=20.0, offcuts=(),
    )  # fmt: skip
    verified = replace(
        verified,
        job=replace(verified.job, board_stocks=(*verified.job.board_stocks, board)),
        plan=replace(verified.plan, sheets=(layout,)),
    )

    assert "a board, for sawn curves" in words_of(pages_of(verified)[0])
    assert plan_view(verified).sheets[0].material == "larch"


@pytest.mark.parametrize(
    ("bound", "words"),
    [
        (Bound(name="ply", measure=Counted.SHEETS, lower=1, used=1, reason=fact("SHT-112")),
         "ply: 1 sheet; no plan can use fewer (lengths and widths of the large pieces)."),
        (Bound(name="ply", measure=Counted.SHEETS, lower=2, used=3),
         "ply: 3 sheets; fewer than 2 sheets is impossible, what lies between is open."),
        (Bound(name="rails", measure=Counted.MONEY, lower=4420, used=4420),
         "rails: 44.20 EUR; no plan can use less."),
    ],
)  # fmt: skip
def test_bounds_in_words(bound: Bound, words: str) -> None:
    assert bound_words(bound, MM) == words


def test_summary_of_an_empty_and_interrupted_plan() -> None:
    verified = small_plan()
    plan = replace(
        verified.plan, pieces=(), rail_pieces=(), sheets=(), boards=(), joints=(), unplaced=(),
        bounds=(), buy=(), stopped_by=StopReason.INTERRUPTED,
    )  # fmt: skip
    text = summary_text(replace(verified, plan=plan), LengthStyle.MM)

    assert "nothing to cut" in text
    assert "it was cut short, or laid in part by hand." in text
    assert "may come out differently" in text
    assert count_words(replace(verified, plan=plan)) == "nothing to cut"
    assert board_feet_to_buy(plan_view(replace(verified, plan=plan))) == 0.0


def test_a_plan_made_again_needs_more_than_its_job_to_come_out_the_same() -> None:
    verified = small_plan()
    gone_on = replace(verified, plan=replace(verified.plan, continues="0123456789abcdef"))

    assert search_words(verified)[1] == "The same job gives the same plan."
    assert search_words(gone_on)[1].startswith("The same earlier plan, job and mishaps")


def test_sheets_to_hand_cost_nothing_and_come_first() -> None:
    verified = many_alike(40, 900.0, 95.0)
    assert len(verified.plan.sheets) == 2
    (line, *rest) = verified.plan.buy
    buy = (replace(line, count=1, to_hand=1), *rest)
    view = plan_view(replace(verified, plan=replace(verified.plan, buy=buy)))

    assert [s.price_minor for s in view.sheets] == [0, 7990]


def test_details_are_drawn_at_the_next_standard_scale_that_is_worth_it() -> None:
    assert larger_scale(Paper.A4, 10) == 5
    assert larger_scale(Paper.A4, 1) is None


def test_in_narrow_tables_the_widest_column_gives_way_first() -> None:
    columns = (Column("no."), Column("piece"), Column("notes"))
    rows = [("1", "side panel P1", "a very long note that can't be kept whole in here")]
    wide = column_widths(columns, rows, 200.0)
    tight = column_widths(columns, rows, 60.0)
    tiny = column_widths(columns, rows, 24.0)

    assert tight[:2] == wide[:2]
    assert sum(tight) == pytest.approx(60.0)
    assert sum(tiny) <= 24.0 + 0.01


def test_figures_in_both_worlds() -> None:
    inch = Figures(LengthStyle.INCH, 16, "USD")

    assert inch.fine(3.175) == '1/8"'
    assert inch.fine(2.0) == '2 mm (5/64")'
    assert inch.fine(10.0) == '10 mm (25/64")'
    assert inch.fine(25.4 * 1.0625) == '1 1/16"'
    assert MM.fine(3.175) == '3.2 mm (1/8")'
    assert inch.thickness(6.0) == '6 mm (15/64")'
    assert inch.called(6.0) == "6 mm"
    assert inch.pair(2438.4, 1219.2) == "8'-0\" x 4'-0\""
    assert inch.weights((9.9, 10.0)) == "21 to 23 lb"
    assert inch.volume(3.785411784) == "1.0 US gal"
    assert inch.area(304.8**2 * 32) == "32.00 ft²"
    assert MM.money(-5) == "-0.05 EUR"
    assert MM.volume(1.01) == "1.1 l"
    assert (MM.step_words, inch.step_words) == ("mm", '1/16"')


def test_no_name_breaks_a_page(tmp_path: Path) -> None:
    """Markup, control characters, other scripts, formulas, templates and endless names."""
    names = [
        "a\x07b<b>", "x" * 5000, "new\nline", "日本語", "שלום", "&amp; {{7*7}} ${x}", "%s%d\\",
        "'\"`", " ",
    ]  # fmt: skip
    parts = [
        part(name, rectangle(300.0 + 10 * k, 150.0), 9, note=name) for k, name in enumerate(names)
    ]
    verified = plan_for("</title><script>\x00", parts, [ply(9, 7990)], LengthStyle.MM)
    job = replace(verified.job, currency="=EUR", assumed=tuple(names))

    write_papers(replace(verified, job=job), tmp_path, Paper.LETTER, LengthStyle.MM)

    with pdfplumber.open(tmp_path / "shop.pdf") as book:
        assert "{{7*7}}" in "".join(p.extract_text() for p in book.pages)
    assert "<script>\x00" not in (tmp_path / "shop.html").read_text("utf-8")


@pytest.mark.parametrize(
    ("material", "low", "high"),
    [
        ("okoume ply", 450, 550),
        ("gaboon plywood", 450, 550),
        ("ply", 450, 750),
        ("Douglas fir", 480, 560),
        ("fir", 380, 560),
        ("western red cedar", 330, 390),
        ("cedar", 330, 580),
    ],
)
def test_densities_by_name(material: str, low: float, high: float) -> None:
    """A species' span by its whole name, the genus's by its one word (common practice)."""
    density = density_of(material)

    assert density is not None
    assert (density.low, density.high) == (low, high)


def test_density_of_an_unknown_wood_is_not_guessed() -> None:
    assert density_of("unobtainium") is None
    assert density_of("firm sapwood") is None


def test_weight_of_a_sheet_by_the_published_example() -> None:
    """1220 x 2440 mm of 6 mm at 500 kg/m3 weighs 8.93 kg; okoume is within a tenth of that."""
    verified = plan_for("one", [part("whole", rectangle(2440.0, 1220.0), 6)], [], LengthStyle.MM)
    plan = replace(verified.plan, rail_pieces=(), boards=())
    low, high = amounts_of(plan_view(replace(verified, plan=plan))).kilograms

    assert (low + high) / 2 == pytest.approx(8.93, abs=0.005)


@pytest.mark.parametrize("paper", list(Paper))
def test_no_sheet_is_drawn_much_smaller_for_a_rows_sake(paper: Paper) -> None:
    """One row of a sheet drawn 1:15 stood overleaf alone: the next scale was 1:20."""
    usual = [s for s in SCALES[paper] if 12.0 <= s <= 20.0]
    assert len(usual) > 2
    assert all(b / a <= 1.25 for a, b in pairwise(usual))
