"""Seams inside pieces cut from joined sheets: places, faces, and where papers show them."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest
from shapely.geometry import Polygon

from nestcut.joints.blanks import join_sheets
from nestcut.joints.split import whole_pieces
from nestcut.model.job import Job
from nestcut.model.joint import Face, JointAxis, JointRule, KeepClear
from nestcut.model.part import Hands
from nestcut.model.plan import Plan, SheetLayout, VerifiedPlan
from nestcut.model.pose import Lie, Placement
from nestcut.papers.book.joint_page import joint_pages
from nestcut.papers.draw.diagram import Path, Pen
from nestcut.papers.draw.paper import Paper
from nestcut.papers.lists.csv_lists import joints_csv
from nestcut.papers.lists.lists import joint_rows
from nestcut.papers.page.maker import PageMaker
from nestcut.papers.screen.tables import joints_grid
from nestcut.papers.sheet.drawing import draw_sheet
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.sheet.legend import sheet_legend
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.rows import PlanView, plan_view
from nestcut.papers.view.seams import seam_joints
from nestcut.units import LengthStyle
from tests.builders import PLY, a_job, a_part, a_plan, rectangle

BLANK = join_sheets(PLY, 2, 8.0)
"""4832 x 1220 mm, its seam's middle at 2416, 48 mm of overlap."""


def _view(
    *placements: Placement, hands: Hands = Hands.NONE, rule: JointRule | None = None
) -> PlanView:
    """A long panel, 4000 x 300, placed as said on the blank."""
    panel = a_part("panel", shape=rectangle(4000, 300), hands=hands, joint=rule)
    job: Job = a_job(sheet_parts=(panel,), rail_parts=(), sheet_stocks=(BLANK,))
    layout = SheetLayout(
        stock=BLANK.name,
        number=1,
        length_mm=BLANK.length_mm,
        width_mm=BLANK.width_mm,
        thickness_mm=BLANK.thickness_mm,
        outline=None,
        edge_trim_mm=0.0,
        keep_outs=(),
        placements=placements,
    )
    plan: Plan = replace(
        a_plan(replace(job, sheet_parts=())), pieces=whole_pieces(panel), sheets=(layout,), buy=()
    )
    return plan_view(VerifiedPlan(job=job, plan=plan, checks=()))


def _lying(
    piece: str, turn: float, shift: tuple[float, float], lie: Lie = Lie.FACE_UP
) -> Placement:
    return Placement(piece=piece, lie=lie, turn_deg=turn, shift_mm=shift)


def test_a_seam_where_the_plans_want_no_joint_is_told_beside_it() -> None:
    """The seam is 48 mm long and lies 2316 mm from the end: it reaches to 2340."""
    zone = KeepClear(from_mm=2330.0, to_mm=2400.0, reason="rowlock")
    free = replace(zone, from_mm=2345.0)
    for rule, broken in (
        (JointRule(keep_clear=(zone,)), ["JNT-223"]),
        (JointRule(keep_clear=(free,)), []),
    ):
        ((joint, _),) = seam_joints(_view(_lying("panel 1", 0.0, (100.0, 0.0)), rule=rule))
        assert [f.code for f in joint.rule_findings] == broken


@pytest.mark.parametrize(
    ("turn", "shift", "lie", "at", "near"),
    [
        (0.0, (100.0, 0.0), Lie.FACE_UP, 2316.0, Face.BACK),
        (180.0, (4100.0, 300.0), Lie.FACE_UP, 1684.0, Face.GOOD),
        (0.0, (4100.0, 0.0), Lie.FACE_DOWN, 1684.0, Face.BACK),
        (180.0, (100.0, 300.0), Lie.FACE_DOWN, 2316.0, Face.GOOD),
    ],
)
def test_place_and_face_follow_how_the_piece_lies(
    turn: float, shift: tuple[float, float], lie: Lie, at: float, near: Face
) -> None:
    """Worked by hand: the seam is 2316 mm from the end at x = 100 of the sheet.

    Seen from the sheet's good face the first sheet is planed on its back. Turned end for end, the
    reference end lies on the second sheet, planed on the good face; turned over, faces swap too.
    """
    ((joint, line),) = seam_joints(_view(_lying("panel 1", turn, shift, lie)))
    assert joint.at_mm == pytest.approx(at)
    assert joint.part_length_mm == 4000.0
    assert dict(joint.distances)["the part's other end"] == pytest.approx(4000.0 - at)
    assert (joint.slope, joint.overlap_mm, joint.axis) == (8.0, 48.0, JointAxis.LENGTH)
    assert joint.planed[0] is near
    assert joint.planed[1] is not near
    assert {round(x, 6) for x, _ in line} == {at}
    assert sorted(round(y, 6) for _, y in line) == [0.0, 300.0]


def test_twins_are_mirrored() -> None:
    """The starboard piece is the mirror image: its reference end lies at its greatest x."""
    view = _view(
        _lying("panel P1", 0.0, (100.0, 0.0)),
        _lying("panel S1", 0.0, (4100.0, 400.0)),
        hands=Hands.PAIR,
    )
    port, starboard = (joint for joint, _ in seam_joints(view))
    assert (port.hand, starboard.hand) == ("port", "starboard")
    assert port.at_mm == pytest.approx(2316.0)
    assert starboard.at_mm == pytest.approx(4100.0 - 2416.0)
    assert port.planed == (Face.BACK, Face.GOOD)
    assert starboard.planed == (Face.GOOD, Face.BACK)


def test_small_turns_and_quarter_turns() -> None:
    """A seam across a turned piece is told by its middle; along it where the piece lies across."""
    ((joint, line),) = seam_joints(_view(_lying("panel 1", 2.0, (100.0, 0.0))))
    assert joint.at_mm == pytest.approx(sum(x for x, _ in line) / 2.0)
    assert line[0][0] != pytest.approx(line[1][0])
    ((joint, _),) = seam_joints(_view(_lying("panel 1", 90.0, (2500.0, 0.0))))
    assert joint.axis is JointAxis.WIDTH
    assert joint.at_mm == pytest.approx(2500.0 - 2416.0)
    assert joint.planed == (Face.GOOD, Face.BACK)


def test_pieces_beside_the_seam_have_none() -> None:
    assert seam_joints(_view(_lying("panel 1", 0.0, (2440.0, 0.0)))) == ()


def test_seams_are_in_the_table_on_the_page_and_in_the_joints_file() -> None:
    rule = JointRule(keep_clear=(KeepClear(from_mm=2330.0, to_mm=2400.0, reason="rowlock"),))
    view = _view(_lying("panel 1", 0.0, (100.0, 0.0)), rule=rule)
    (row,) = joint_rows(view)
    assert row.key == "S1"
    figures = Figures(LengthStyle.MM)
    (line,) = csv.DictReader(io.StringIO(joints_csv(view, figures)))
    assert line["kind"] == "scarf in a joined sheet"
    assert (line["middle at mm"], line["from other end mm"]) == ("2316", "1684")
    assert (line["first planed"], line["second planed"]) == ("back", "good face")
    assert "kept for 'rowlock' (BROKEN)" in line["rules"]
    assert "rowlock" in line["to mind"]
    cells = joints_grid(view, figures).rows[0]
    assert any("planed on the back towards the reference end" in cell for cell in cells)
    sheet = view.sheets[0]
    words = str(sheet_legend(sheet.placed, sheet))
    assert "seam: middle of a scarf" in words
    frame = SheetFrame(20.0, (10.0, 10.0), (0.0, 0.0, 4832.0, 1220.0))
    items = draw_sheet(sheet, frame, figures, Polygon()).items
    seam = Path(((130.8, 10.0), (130.8, 71.0)), Pen.HIDDEN)
    assert any(isinstance(i, Path) and i.pen is seam.pen and i.points == seam.points for i in items)
    pages = joint_pages(PageMaker(Paper.A4, figures, view))
    assert "seam of sheets joined before marking out" in str(pages)
