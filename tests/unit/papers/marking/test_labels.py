"""Labels: one a piece, inside their measures, nothing on top of anything."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pdfplumber
import pytest
from shapely.geometry import Polygon, box

from nestcut.errors import InputError
from nestcut.model.joint import Word
from nestcut.papers.draw.diagram import texts_of
from nestcut.papers.draw.paper import SIZES, Paper
from nestcut.papers.labels.sticky import (
    GRIDS,
    LabelGrid,
    check_grid,
    default_grid,
    label_pages,
    label_texts,
    labels_pdf,
    parse_grid,
)
from nestcut.papers.lists import cut_rows
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.rows import PlanView, plan_view
from nestcut.units import LengthStyle
from tests.builders_demos import demo_on_shelves
from tests.builders_papers import random_plan, small_plan, whole_boat

MM = Figures(LengthStyle.MM)
NARROW = LabelGrid(
    page=SIZES[Paper.A4],
    columns=4,
    rows=12,
    width_mm=45.7,
    height_mm=21.2,
    left_mm=9.7,
    top_mm=21.5,
    gap_across_mm=2.5,
)


def cells(grid: LabelGrid) -> list[Polygon]:
    made = []
    for place in range(grid.count):
        x, y = grid.corner(place)
        made.append(box(x, y, x + grid.width_mm, y + grid.height_mm))
    return made


def check_texts(view: PlanView, figures: Figures, grid: LabelGrid) -> None:
    reach = box(0, 0, grid.page.width_mm, grid.page.height_mm).buffer(-4.5)
    inner = [c.buffer(-1.2).intersection(reach) for c in cells(grid)]
    for page in label_pages(label_texts(view, figures), grid, 0):
        boxes = [Polygon(t.box) for t in texts_of(page.items)]
        for k, text in enumerate(boxes):
            assert sum(c.covers(text) for c in inner) == 1
            assert not any(text.intersection(o).area > 1e-6 for o in boxes[:k])


@pytest.mark.parametrize("grid", [*GRIDS.values(), NARROW], ids=["a4", "letter", "narrow"])
@pytest.mark.parametrize("style", list(LengthStyle))
def test_every_text_lies_inside_its_label(grid: LabelGrid, style: LengthStyle) -> None:
    check_texts(plan_view(whole_boat(style)), Figures(style), grid)


@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
def test_the_demos_labels_fit(demo: str) -> None:
    verified = demo_on_shelves(demo)
    for paper, style in ((Paper.A4, LengthStyle.MM), (Paper.LETTER, LengthStyle.INCH)):
        check_texts(plan_view(verified), Figures(style), default_grid(paper))


@pytest.mark.parametrize("seed", [0, 3, 5, 8])
def test_long_and_hostile_names_stay_inside(seed: int) -> None:
    check_texts(plan_view(random_plan(seed)), MM, NARROW)


def test_there_is_a_label_a_piece() -> None:
    view = plan_view(whole_boat())
    plan = view.verified.plan

    labels = label_texts(view, MM)

    placed = [p.piece for s in plan.sheets for p in s.placements]
    placed += [c.piece for b in plan.boards for c in b.cuts]
    assert sorted(label.piece for label in labels) == sorted(placed)


def test_a_label_says_hand_face_thickness_sheet_and_joint() -> None:
    view = plan_view(whole_boat())
    told = {label.piece: " | ".join((label.which, *label.lines)) for label in label_texts(view, MM)}

    panel = told["side panel P1 1/2"]
    for words in (
        "port",
        "this face: GOOD",
        "6 mm okoume ply",
        "Sheet ",
        "8:1",
        "plane BACK",
        "to piece B of 2",
    ):
        assert words in panel
    assert "plane GOOD face" in told["gunwale S1 2/2"]
    down = [p for s in view.sheets for p in s.placed if not p.is_face_up]
    assert down
    assert all("this face: BACK" in told[p.piece.id] for p in down)


def test_labels_and_lists_say_whose_word_each_joint_is() -> None:
    """Chosen by the search or (unsaid) given by the job, and weak where the job accepts that."""
    verified = whole_boat()
    joints = tuple(
        replace(j, word=list(Word)[k % 2], is_weak=k % 3 == 0)
        for k, j in enumerate(verified.plan.joints)
    )
    view = plan_view(replace(verified, plan=replace(verified.plan, joints=joints)))
    labels = {label.piece: " | ".join(label.lines) for label in label_texts(view, MM)}
    rows = {r.piece: r.joints for r in cut_rows(view, MM)}
    assert len(joints) > 3
    for joint in joints:
        key = view.joint_keys[joint.id]
        is_chosen = joint.word is Word.CHOSEN
        told = ", place chosen: see Joints first" if is_chosen else ""
        told += ", WEAK" if joint.is_weak else ""
        for piece in joint.pieces:
            for text in (labels[piece], rows[piece]):
                (line,) = re.findall(rf"\b{key}  ?[^|;]*", text)
                said = line.rstrip().partition(", to piece")[0]
                assert said.endswith(told)
                assert is_chosen is ("chosen" in said)
                assert joint.is_weak is ("WEAK" in said)


def test_labels_already_used_are_passed_over() -> None:
    view = plan_view(small_plan())
    grid = default_grid(Paper.A4)
    count = len(label_texts(view, MM))

    (first, *_) = label_pages(label_texts(view, MM), grid, used=5)

    xs = sorted(t.at for t in texts_of(first.items))
    assert xs
    free = cells(grid)[:5]
    assert not any(c.intersects(Polygon(t.box)) for c in free for t in texts_of(first.items))
    pages = label_pages(label_texts(view, MM), grid, used=grid.count - 1)
    assert len(pages) == 1 + -(-(count - 1) // grid.count)


def test_places_are_printed_at_full_size() -> None:
    grid = default_grid(Paper.LETTER)
    data = labels_pdf(plan_view(small_plan()), MM, grid)

    with pdfplumber.open(io.BytesIO(data)) as book:
        page = book.pages[0]
        frames = [(r["width"] * 25.4 / 72, r["height"] * 25.4 / 72) for r in page.rects]

    assert frames
    assert all(w == pytest.approx(grid.width_mm, abs=0.05) for w, _ in frames)
    assert all(h == pytest.approx(grid.height_mm, abs=0.05) for _, h in frames)


def test_the_usual_grids_are_sound() -> None:
    assert [check_grid(g) for g in (*GRIDS.values(), NARROW)] == [(), (), ()]


@pytest.mark.parametrize(
    "change",
    [
        {"columns": 0},
        {"columns": 6},
        {"rows": 20},
        {"left_mm": -1.0},
        {"width_mm": 20.0},
        {"height_mm": 8.0},
    ],
)
def test_impossible_measures_are_told(change: dict[str, float]) -> None:
    findings = check_grid(replace(GRIDS[Paper.A4], **change))  # type: ignore[arg-type]

    assert findings
    assert all(f.code == "LBL-001" and f.is_blocking for f in findings)


def test_measures_are_read_as_one_text() -> None:
    metric = parse_grid("3, 8, 70 mm, 37 mm, 0 mm, 0.5 mm", Paper.A4)
    inches = parse_grid("3, 10, 2-5/8in, 1in, 3/16in, 1/2in, 1/8in", Paper.LETTER)

    assert metric == GRIDS[Paper.A4]
    assert inches == GRIDS[Paper.LETTER]


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        ("", 2),
        ("3, 8, 70 mm", 1),
        ("three, 8, 70, 37 mm, 0 mm, 0 mm", 2),
        ("3, -8, 70 mm, 37 mm, 0 mm, 0 mm", 1),
        ("3, 8, 90 mm, 37 mm, 0 mm, 0 mm", 1),
        ("3, 8, 70 mm, 37 mm, 0 mm, 0 mm, 1 mm, 1 mm, 1 mm", 1),
    ],
)
def test_other_texts_are_refused(text: str, faults: int) -> None:
    with pytest.raises(InputError) as caught:
        parse_grid(text, Paper.A4)

    assert len(caught.value.findings) == faults
    assert {f.code for f in caught.value.findings} == {"LBL-001"}


def test_a_plan_without_pieces_has_no_pages() -> None:
    view = replace(plan_view(small_plan()), sheets=(), boards=())

    assert label_pages(label_texts(view, MM), default_grid(Paper.A4), 0) == ()


def test_the_same_plan_gives_the_same_bytes() -> None:
    first, second = (
        labels_pdf(plan_view(small_plan()), MM, default_grid(Paper.A4), 3) for _ in range(2)
    )

    assert first == second
