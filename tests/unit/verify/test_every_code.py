"""Every code of the verifier has a plan that it alone is said of: one thing wrong, one code."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

import nestcut
from nestcut.errors import Finding, Severity
from nestcut.facts import fact
from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.joints.split import whole_pieces
from nestcut.model.curves import Arc
from nestcut.model.job import Job
from nestcut.model.joint import JointRule, KeepClear
from nestcut.model.part import CutFrom, RailPart
from nestcut.model.plan import (
    BoardCut,
    Bound,
    Counted,
    Delivery,
    Offcut,
    Plan,
    SheetLayout,
    Unplaced,
)
from nestcut.model.pose import Lie, Placement
from nestcut.model.shape import Mark, Shape
from nestcut.model.stock import BoardLength, BoardStock, Defect, KeepOut
from nestcut.verify import verify_plan
from nestcut.words import tell
from nestcut.words.codes.verify import SENTENCES
from nestcut.words.speech import Speech
from tests.builders import a_job, a_part, a_plan, judged, polygon_shape, rectangle

Case = tuple[Job, Plan]
MADE: dict[str, Callable[[], Case]] = {}


def says(code: str) -> Callable[[Callable[[], Case]], Callable[[], Case]]:
    """Register the plan that one code is said of."""

    def note(make: Callable[[], Case]) -> Callable[[], Case]:
        MADE[code] = make
        return make

    return note


def codes(job: Job, plan: Plan) -> set[str]:
    return {f.code for f in verify_plan(job, plan).findings}


def a_holed_job(**changes: object) -> Job:
    """One plate with a round hole and two marks, nothing else."""
    plain = rectangle(400, 300)
    shape = Shape(
        plain.outline,
        (ring_from_curves((Arc((200.0, 150.0), 60.0, 0.0, -360.0),), 0.05, Side.HOLE),),
        (Mark(((100.0, 0.0), (100.0, 300.0)), (), "frame 1"),),
    )
    return a_job(sheet_parts=(a_part("plate", shape=shape, **changes),), rail_parts=())


def a_strapped() -> Case:
    from nestcut.model.joint import Face
    from tests.unit.verify.test_joint_rules import _strapped

    job, plan = _strapped(Face.BACK)
    return _turned_right(job, plan)


def _turned_right(job: Job, plan: Plan) -> Case:
    """Straps lie along the sheet: rows of pieces don't mind the grain, the verifier does."""
    free = tuple(replace(p, turning=p.turning) for p in job.sheet_parts)
    return replace(job, sheet_parts=free), judged(job, plan)


def pieces_changed(plan: Plan, piece: str, **changes: object) -> Plan:
    pieces = tuple(
        replace(p, **changes) if p.id == piece else p  # type: ignore[arg-type]
        for p in plan.pieces
    )
    return replace(plan, pieces=pieces)


def laid(plan: Plan, piece: str, **changes: object) -> Plan:
    sheets = tuple(
        replace(
            s,
            placements=tuple(
                replace(p, **changes) if p.piece == piece else p  # type: ignore[arg-type]
                for p in s.placements
            ),
        )
        for s in plan.sheets
    )
    return replace(plan, sheets=sheets)


def first_sheet(plan: Plan, **changes: object) -> Plan:
    sheet = replace(plan.sheets[0], **changes)  # type: ignore[arg-type]
    return replace(plan, sheets=(sheet, *plan.sheets[1:]))


def first_board(plan: Plan, **changes: object) -> Plan:
    board = replace(plan.boards[0], **changes)  # type: ignore[arg-type]
    return replace(plan, boards=(board, *plan.boards[1:]))


def cut_changed(plan: Plan, number: int, **changes: float) -> Plan:
    cuts = list(plan.boards[0].cuts)
    cuts[number] = replace(cuts[number], **changes)  # type: ignore[arg-type]
    return first_board(plan, cuts=tuple(cuts))


def joint_changed(plan: Plan, number: int, **changes: object) -> Plan:
    joints = list(plan.joints)
    joints[number] = replace(joints[number], **changes)  # type: ignore[arg-type]
    return replace(plan, joints=tuple(joints))


def rail_changed(plan: Plan, number: int, **changes: object) -> Plan:
    rails = list(plan.rail_pieces)
    rails[number] = replace(rails[number], **changes)  # type: ignore[arg-type]
    return replace(plan, rail_pieces=tuple(rails))


def a_rail_job(rule: JointRule) -> Job:
    job = a_job()
    return replace(job, rail_parts=(replace(job.rail_parts[0], joint=rule),))


@says("VER-001")
def listed_twice() -> Case:
    job, plan = a_job(), a_plan()
    return job, replace(plan, pieces=(*plan.pieces, plan.pieces[0]))


@says("VER-002")
def missing() -> Case:
    job = a_job()
    more = replace(job, sheet_parts=(*job.sheet_parts, a_part("thwart")))
    return more, a_plan()


@says("VER-003")
def unasked() -> Case:
    job = a_job()
    return replace(job, sheet_parts=job.sheet_parts[1:]), a_plan()


@says("VER-004")
def not_whole() -> Case:
    return a_job(), pieces_changed(a_plan(), "panel 1 2/2", share=3)


@says("VER-005")
def crossing() -> Case:
    plan = a_plan()
    shape = next(p for p in plan.pieces if p.id == "plate 1").shape
    a, b, c, d = shape.outline.points
    crossed = polygon_shape((a, c, b, d))
    return a_job(), pieces_changed(plan, "plate 1", shape=crossed, net=crossed)


def grown_job() -> Job:
    return a_job(sheet_parts=(a_part("plate", allowance_mm=10.0),), rail_parts=())


@says("VER-007")
def smaller() -> Case:
    small = rectangle(400, 299.99)
    return a_job(), pieces_changed(a_plan(), "plate 1", shape=small, net=small)


@says("VER-008")
def bare() -> Case:
    job = grown_job()
    plan = a_plan(job)
    ring = rectangle(419.5, 319.5).outline
    moved = tuple((x - 9.75, y - 9.75) for x, y in ring.points)
    shape = plan.pieces[0].shape
    slim = replace(shape, outline=polygon_shape(moved).outline)
    return job, pieces_changed(plan, "plate 1", shape=slim)


@says("VER-009")
def other_wood() -> Case:
    return a_job(), pieces_changed(a_plan(), "plate 1", small_angle_deg=9.0)


@says("VER-010")
def joint_lost() -> Case:
    return a_job(), replace(a_plan(), joints=a_plan().joints[1:])


@says("VER-011")
def not_to_be_joined() -> Case:
    job = a_job()
    rail = replace(job.rail_parts[0], joint=None)
    return replace(job, rail_parts=(rail,)), a_plan()


@says("VER-012")
def elsewhere() -> Case:
    plan = a_plan()
    piece = next(p for p in plan.pieces if p.id == "panel 1 1/2")
    (end,) = piece.ends
    (ax, ay), (bx, by) = end.line
    moved = replace(end, line=((ax + 60.0, ay), (bx + 60.0, by)))
    return a_job(), pieces_changed(plan, piece.id, ends=(moved,))


@says("VER-013")
def short_overlap() -> Case:
    return a_job(), joint_changed(a_plan(), 0, overlap_mm=47.0)


@says("VER-014")
def short_stretch() -> Case:
    return a_job(), rail_changed(a_plan(), 0, from_mm=1.0)


@says("VER-015")
def not_as_given() -> Case:
    return a_rail_job(JointRule(slope=12.0, at_mm=(1990.0,))), a_plan()


@says("VER-016")
def in_the_way() -> Case:
    zone = KeepClear(from_mm=1980.0, to_mm=2020.0, reason="rowlock")
    job = a_rail_job(JointRule(slope=12.0, keep_clear=(zone,)))
    return job, judged(job, a_plan())


@says("VER-017")
def runs_out() -> Case:
    job, plan = a_band()
    (placement,) = plan.sheets[0].placements[:1]
    limit = replace(job.sheet_parts[0].joint or JointRule(), run_out=2000.0)
    part = replace(job.sheet_parts[0], joint=limit)
    job = replace(job, sheet_parts=(part,))
    del placement
    return job, judged(job, plan)


def a_band() -> Case:
    """A straight cap of two pieces on one board, drawn half a degree off the board's length."""
    from nestcut.joints.split import split_part
    from tests.builders import SPRUCE

    lean = math.radians(0.5)
    c, s = math.cos(lean), math.sin(lean)
    corners = ((0, 0), (3000, 0), (3000, 50), (0, 50))
    points = tuple((x * c - y * s, x * s + y * c) for x, y in corners)
    part = a_part(
        "cap",
        shape=polygon_shape(points),
        material="spruce",
        thickness_mm=20.0,
        cut_from=CutFrom.BOARD,
        width_along_mm=50.0,
        joint=JointRule(slope=12.0, at_mm=(1500.0,)),
    )
    job = a_job(sheet_parts=(part,), rail_parts=())
    made = split_part(part, (1500.0,))
    sheets = []
    for number, piece in enumerate(made.pieces, start=1):
        xs = [x for x, _ in piece.shape.outline.points]
        ys = [y for _, y in piece.shape.outline.points]
        where = Placement(
            piece=piece.id,
            lie=Lie.FACE_UP,
            turn_deg=0.0,
            shift_mm=(10.0 - min(xs), 10.0 - min(ys)),
        )
        sheets.append(
            SheetLayout(
                stock=SPRUCE.name,
                number=number,
                length_mm=2400.0,
                width_mm=95.0,
                thickness_mm=20.0,
                outline=None,
                edge_trim_mm=0.0,
                keep_outs=(),
                placements=(where,),
            )
        )
    # each lies as it is drawn, half a degree from the board's length
    pieces = tuple(replace(p, grain_deg=0.0) for p in made.pieces)
    rail = a_plan().buy[1]
    plan = replace(
        a_plan(replace(job, sheet_parts=())),
        pieces=pieces,
        joints=made.joints,
        sheets=tuple(sheets),
        buy=(replace(rail, count=2),),
    )
    return job, judged(job, plan)


@says("VER-018")
def too_short() -> Case:
    job = a_rail_job(JointRule(slope=12.0, min_piece_mm=2150.0))
    return job, judged(job, a_plan())


@says("VER-019")
def abreast() -> Case:
    from tests.unit.verify.test_joint_rules import _pair_job, _plan_at

    job = _pair_job(250.0)
    return job, judged(job, _plan_at(job, 900.0, 1149.0))


@says("VER-020")
def another_sheet() -> Case:
    return a_job(), first_sheet(a_plan(), width_mm=1221.0)


@says("VER-021")
def ghost() -> Case:
    plan = a_plan()
    stray = replace(plan.sheets[0].placements[0], piece="ghost 1")
    return a_job(), first_sheet(plan, placements=(*plan.sheets[0].placements, stray))


@says("VER-022")
def other_stock() -> Case:
    job = a_job()
    stock = replace(job.sheet_stocks[0], material="oak")
    return replace(job, sheet_stocks=(stock,)), a_plan()


@says("VER-023")
def face_down() -> Case:
    return a_job(), laid(a_plan(), "plate 1", lie=Lie.FACE_DOWN, shift_mm=(400.0, 0.0))


@says("VER-024")
def askew() -> Case:
    job = a_holed_job()
    return job, laid(a_plan(job), "plate 1", turn_deg=3.0, shift_mm=(100.0, 100.0))


@says("VER-025")
def over_the_edge() -> Case:
    return a_job(), laid(a_plan(), "plate 1", shift_mm=(-0.05, 0.0))


@says("VER-026")
def on_a_knot() -> Case:
    knot = KeepOut(points=((10, 10), (60, 10), (60, 60), (10, 60)), reason="knot")
    job = a_job()
    stock = replace(job.sheet_stocks[0], keep_outs=(knot,))
    plan = a_plan()
    sheets = tuple(replace(s, keep_outs=(knot,)) for s in plan.sheets)
    return replace(job, sheet_stocks=(stock,)), replace(plan, sheets=sheets)


@says("VER-027")
def too_near() -> Case:
    return a_job(), laid(a_plan(), "plate 2", shift_mm=(404.98, 0.0))


@says("VER-028")
def in_a_hole() -> Case:
    job = a_holed_job()
    small = a_part("lid", shape=rectangle(40, 40))
    job = replace(job, sheet_parts=(*job.sheet_parts, small))
    return job, laid(a_plan(job), "lid 1", shift_mm=(180.0, 130.0))


@says("VER-029")
def other_points() -> Case:
    job = a_holed_job()
    plan = a_plan(job)
    shape = plan.pieces[0].shape
    (hole,) = shape.holes
    (x, y), *rest = hole.points
    bent = replace(shape, holes=(replace(hole, points=((x + 0.01, y), *rest)),))
    return job, pieces_changed(plan, "plate 1", shape=bent, net=bent)


@says("VER-030")
def no_such_board() -> Case:
    return a_job(), first_board(a_plan(), width_mm=96.0)


@says("VER-031")
def ghost_on_board() -> Case:
    plan = a_plan()
    stray = replace(plan.boards[0].cuts[0], piece="ghost 1")
    return a_job(), first_board(plan, cuts=(*plan.boards[0].cuts, stray))


@says("VER-032")
def other_section() -> Case:
    return a_job(), cut_changed(a_plan(), 1, rip_to_mm=91.0)


@says("VER-033")
def cut_short() -> Case:
    return a_job(), cut_changed(a_plan(), 0, to_mm=2119.9)


@says("VER-034")
def off_the_board() -> Case:
    return a_job(), cut_changed(a_plan(), 0, from_mm=280.1, to_mm=2400.1)


@says("VER-035")
def through_a_knot() -> Case:
    job = a_job()
    stock = job.board_stocks[0]
    knot = Defect(from_mm=100.0, to_mm=110.0, reason="knot")
    offers = (
        replace(stock.lengths[0], defects=(knot,)),
        BoardLength(length_mm=3000.0, price_minor=1200),
    )
    job = replace(job, board_stocks=(replace(stock, lengths=offers),))
    plan = a_plan()
    return job, replace(plan, boards=(replace(plan.boards[0], cuts=plan.boards[0].cuts),))


@says("VER-036")
def no_kerf() -> Case:
    return a_job(), cut_changed(a_plan(), 1, rip_from_mm=46.9, rip_to_mm=91.9)


@says("VER-067")
def a_whirl() -> Case:
    """Four pieces round a hole, each in the way of the cut that would free the next."""
    stock = BoardStock(
        name="board",
        material="larch",
        thickness_mm=20.0,
        width_mm=93.0,
        lengths=(BoardLength(length_mm=300.0, price_minor=500),),
    )
    long = RailPart(name="long", material="larch", thickness_mm=20.0, width_mm=30.0,
                    length_mm=60.0, count=2)  # fmt: skip
    wide = replace(long, name="wide", width_mm=60.0, length_mm=30.0)
    job = a_job(sheet_parts=(), rail_parts=(long, wide), board_stocks=(stock,))
    plan = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK)).plan
    boxes = {
        "long 1": (0.0, 60.0, 0.0, 30.0),
        "wide 1": (63.0, 93.0, 0.0, 60.0),
        "long 2": (33.0, 93.0, 63.0, 93.0),
        "wide 2": (0.0, 30.0, 33.0, 93.0),
    }
    cuts = tuple(
        BoardCut(piece=i, from_mm=a, to_mm=b, rip_from_mm=c, rip_to_mm=d)
        for i, (a, b, c, d) in boxes.items()
    )
    return job, first_board(plan, cuts=cuts)


@says("VER-037")
def mark_moved() -> Case:
    job = a_holed_job()
    plan = a_plan(job)
    shape = plan.pieces[0].shape
    moved = replace(shape, marks=(Mark(((125.0, 0.0), (125.0, 300.0)), (), "frame 1"),))
    return job, pieces_changed(plan, "plate 1", shape=moved, net=moved)


@says("VER-038")
def other_slope() -> Case:
    return a_job(), joint_changed(a_plan(), 0, slope=4.0)


@says("VER-039")
def other_face() -> Case:
    plan = a_plan()
    piece = next(p for p in plan.pieces if p.id == "panel 1 1/2")
    (end,) = piece.ends
    other = replace(end, planed=next(p for p in plan.joints[0].planed if p != end.planed))
    return a_job(), pieces_changed(plan, piece.id, ends=(other,))


@says("VER-040")
def unlaid() -> Case:
    plan = a_plan()
    return a_job(), first_sheet(plan, placements=plan.sheets[0].placements[1:])


@says("VER-041")
def cut_twice() -> Case:
    plan = a_plan()
    return a_job(), replace(plan, unplaced=(Unplaced(piece="plate 1", reason=fact("BRD-103")),))


@says("VER-042")
def overdrawn() -> Case:
    job, plan = a_job(), a_plan()
    stock = replace(job.sheet_stocks[0], count=len(plan.sheets) - 1)
    line = replace(plan.buy[0], count=0, to_hand=len(plan.sheets), price_minor=0)
    return replace(job, sheet_stocks=(stock,)), replace(plan, buy=(line, *plan.buy[1:]))


@says("VER-043")
def cheaper() -> Case:
    plan = a_plan()
    return a_job(), replace(plan, buy=(replace(plan.buy[0], price_minor=1), *plan.buy[1:]))


def a_bound(**changes: object) -> Bound:
    used = float(len(a_plan().sheets))
    values = {"name": "6 mm ply", "measure": Counted.SHEETS, "lower": used, "used": used, **changes}
    return Bound(**values)  # type: ignore[arg-type]


@says("VER-044")
def above_what_is_used() -> Case:
    return a_job(), replace(a_plan(), bounds=(a_bound(lower=a_bound().used + 1.0),))


@says("VER-045")
def misnumbered() -> Case:
    return a_job(), first_sheet(a_plan(), number=3)


@says("VER-046")
def bought_for_nothing() -> Case:
    plan = a_plan()
    empty = replace(plan.sheets[0], placements=(), number=len(plan.sheets) + 1)
    line = replace(plan.buy[0], count=plan.buy[0].count + 1)
    return a_job(), replace(plan, sheets=(*plan.sheets, empty), buy=(line, *plan.buy[1:]))


@says("VER-047")
def offcut_over_pieces() -> Case:
    over = Offcut(from_mm=(0.0, 0.0), to_mm=(600.0, 400.0))
    return a_job(), first_sheet(a_plan(), offcuts=(over,))


@says("VER-048")
def used_less() -> Case:
    return a_job(), replace(a_plan(), bounds=(a_bound(used=a_bound().used - 1.0, lower=0.0),))


@says("VER-049")
def unknown_stock() -> Case:
    return a_job(), replace(a_plan(), bounds=(a_bound(name="oak"),))


@says("VER-050")
def no_strap() -> Case:
    job, plan = a_strapped()
    strap = plan.added_parts[0]
    lost = replace(plan, added_parts=())
    gone = tuple(p for p in plan.pieces if p.part != strap.name)
    sheets = tuple(
        replace(s, placements=tuple(p for p in s.placements if not p.piece.startswith(strap.name)))
        for s in plan.sheets
    )
    return job, replace(lost, pieces=gone, sheets=sheets)


@says("VER-051")
def added_for_nothing() -> Case:
    job = a_job(rail_parts=())
    extra = a_part("cleat", shape=rectangle(100, 100))
    plan = a_plan(job)
    pieces = whole_pieces(extra)
    room = Placement(piece=pieces[0].id, lie=Lie.FACE_UP, turn_deg=0.0, shift_mm=(2000.0, 1000.0))
    laid_too = first_sheet(plan, placements=(*plan.sheets[0].placements, room))
    return job, replace(laid_too, pieces=(*plan.pieces, *pieces), added_parts=(extra,))


@says("VER-052")
def told_wrong() -> Case:
    zone = KeepClear(from_mm=500.0, to_mm=600.0, reason="frame")
    job = a_rail_job(JointRule(slope=12.0, keep_clear=(zone,)))
    plan = judged(job, a_plan())
    joint = plan.joints[1]
    false = replace(joint.standings[0], has=joint.standings[0].has + 1.0)
    return job, joint_changed(plan, 1, standings=(false, *joint.standings[1:]))


@says("VER-053")
def not_told() -> Case:
    told = Finding(code="JOB-035", severity=Severity.NOTE, where="plate", values=(("name", "it"),))
    return a_job(findings=(told,)), a_plan()


@says("VER-054")
def unknown_unplaced() -> Case:
    return a_job(), replace(a_plan(), unplaced=(Unplaced(piece="ghost 1", reason=fact("BRD-103")),))


@says("VER-055")
def line_lost() -> Case:
    return a_job(), replace(a_plan(), buy=a_plan().buy[1:])


@says("VER-060")
def hole_lost() -> Case:
    job = a_holed_job()
    plan = a_plan(job)
    shape = replace(plan.pieces[0].shape, holes=())
    return job, pieces_changed(plan, "plate 1", shape=shape, net=shape)


@says("VER-062")
def other_neighbours() -> Case:
    plan = a_plan()
    first, second = plan.joints[1].pieces
    return a_job(), joint_changed(plan, 1, pieces=(second, first))


@says("VER-063")
def one_joint_too_many() -> Case:
    job = a_rail_job(JointRule(slope=12.0, max_joints=0))
    return job, judged(job, a_plan())


@says("VER-064")
def into_each_other() -> Case:
    return _joined_twice(1900.0, 2100.0)


@says("VER-065")
def brought_for_money() -> Case:
    """A yard of whom nothing is bought brings something."""
    return a_job(), replace(a_plan(), deliveries=(Delivery(supplier="east", fee_minor=100),))


@says("VER-066")
def too_near_each_other() -> Case:
    return _joined_twice(1700.0, 2300.0)


def test_as_much_clear_wood_as_is_asked_for_is_enough() -> None:
    assert codes(*_joined_twice(1520.0, 2480.0)) == set()
    assert codes(*_joined_twice(1520.0, 2479.9)) == {"VER-066"}


def _joined_twice(*at_mm: float) -> Case:
    """A rail whose joints, of 240 mm each, the search chose."""
    from nestcut.boards import Rail, divide_rail

    part = replace(a_job().rail_parts[0], joint=JointRule(slope=12.0))
    job = replace(a_job(sheet_parts=()), rail_parts=(part,))
    pieces, joints = divide_rail(Rail(part=part, hand=None, copy=1), at_mm)
    ends = ((0.0, 0.0), (0.0, 47.0), (2050.0, 0.0))
    board = replace(
        a_plan().boards[0],
        cuts=tuple(
            BoardCut(
                piece=p.id,
                from_mm=0.0,
                to_mm=p.length_mm,
                rip_from_mm=ends[k][1],
                rip_to_mm=ends[k][1] + 45.0,
            )
            for k, p in enumerate(pieces[:2])
        ),
    )
    third = replace(
        board,
        number=2,
        cuts=(
            BoardCut(
                piece=pieces[2].id,
                from_mm=0.0,
                to_mm=pieces[2].length_mm,
                rip_from_mm=0.0,
                rip_to_mm=45.0,
            ),
        ),
    )
    plan = replace(
        a_plan(job),
        sheets=(),
        pieces=(),
        rail_pieces=pieces,
        joints=joints,
        boards=(board, third),
        buy=(replace(a_plan().buy[1], count=2),),
    )
    return job, judged(job, plan)


@pytest.mark.parametrize("code", sorted(MADE))
def test_one_thing_wrong_has_one_code(code: str) -> None:
    job, plan = MADE[code]()
    findings = verify_plan(job, plan).findings

    assert {f.code for f in findings} == {code}
    for finding in findings:
        told = tell(finding, Speech())
        assert told.message
        assert told.remedy


def test_no_code_is_without_its_plan() -> None:
    """Whoever adds a code adds the plan that shows it."""
    assert set(MADE) == {c for c in SENTENCES if c.startswith("VER-")}


def test_a_net_outside_its_cut_is_refused() -> None:
    job = grown_job()
    plan = a_plan(job)
    assert codes(job, plan) == set()
    small = replace(plan.pieces[0].shape, outline=rectangle(399.0, 299.0).outline)
    assert codes(job, pieces_changed(plan, "plate 1", shape=small)) == {"VER-008"}


def test_a_good_plan_is_proven_and_what_was_looked_at_is_counted() -> None:
    for job in (a_job(), a_holed_job(), grown_job()):
        verification = verify_plan(job, a_plan(job))
        assert verification.findings == ()
        assert verification.is_proven
    counted = {f.code: f.values for f in verify_plan(a_job(), a_plan()).checks}
    assert counted["CHK-001"] == (("pieces", 8), ("parts", 4))
    assert counted["CHK-009"][0] == ("joints", 2)
    assert "CHK-011" not in counted  # nothing is told where there was nothing to look at
