"""The verifier accepts a good plan and names the piece in every corrupted one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.model.plan import Lie, Plan
from nestcut.model.stock import KeepOut
from nestcut.verify import verify_plan
from tests.builders import a_job, a_part, a_plan, rectangle


def objections(plan: Plan) -> dict[str, str]:
    return {f.code: f"{f.where}: {f.message}" for f in verify_plan(a_job(), plan).findings}


def move(plan: Plan, piece: str, **changes: object) -> Plan:
    """Change the placement of one piece."""
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


def test_a_good_plan_is_proven() -> None:
    """A plan made by hand is proven, and what was proven is said."""
    verification = verify_plan(a_job(), a_plan())

    assert verification.findings == ()
    assert verification.is_proven
    assert any("8 pieces" in c for c in verification.checks)


def test_a_shifted_piece_comes_too_near() -> None:
    """A piece shifted to 4 mm from its neighbour breaks the 5 mm of kerf and gap."""
    found = objections(move(a_plan(), "plate 2", shift_mm=(404.0, 0.0)))

    assert set(found) == {"VER-027"}
    assert "plate" in found["VER-027"]
    assert "4.00 mm" in found["VER-027"]


def test_a_piece_pushed_off_the_sheet_is_named() -> None:
    """A piece over the edge is named with the area that hangs out."""
    found = objections(move(a_plan(), "plate 1", shift_mm=(-1.0, 0.0)))

    assert found["VER-025"].startswith("plate 1: sheet 1: it leaves the sheet")


def test_a_turned_piece_breaks_its_grain() -> None:
    """A plate with grain along may be turned by 180 degrees, never by 90 or by 3."""
    for turn in (90.0, 3.0):
        assert "VER-024" in objections(move(a_plan(), "plate 1", turn_deg=turn))
    half = move(a_plan(), "plate 1", turn_deg=180.0, shift_mm=(400.0, 300.0))
    assert objections(half) == {}


def test_a_piece_laid_face_down_is_refused() -> None:
    """Good face down makes the other hand of a piece."""
    plan = move(a_plan(), "knee P1", lie=Lie.FACE_DOWN)

    assert objections(plan)["VER-023"].startswith("knee P1")


def test_two_pieces_of_one_hand_are_refused() -> None:
    """The starboard knee cut to the port outline: two identical knees."""
    plan = a_plan()
    port = next(p for p in plan.pieces if p.id == "knee P1")
    pieces = tuple(
        replace(p, shape=port.shape, net=port.net) if p.id == "knee S1" else p for p in plan.pieces
    )
    found = verify_plan(a_job(), replace(plan, pieces=pieces)).findings

    assert any(f.code == "VER-007" and f.where == "knee S1" for f in found)


def test_a_dropped_piece_is_missed() -> None:
    """A piece that lies nowhere, and one that isn't even listed, are both missed."""
    plan = a_plan()
    first = plan.sheets[0]
    unlaid = replace(
        plan,
        sheets=(replace(first, placements=first.placements[1:]), *plan.sheets[1:]),
    )
    assert objections(unlaid) == {"VER-040": "plate 1: this piece has no place in the plan."}

    unlisted = replace(unlaid, pieces=plan.pieces[1:])
    assert "VER-002" in objections(unlisted)


def test_a_doubled_piece_is_refused() -> None:
    """A piece cut twice, and one listed twice, are refused."""
    plan = a_plan()
    first = plan.sheets[0]
    again = replace(first.placements[0], shift_mm=(0.0, 800.0))
    twice = replace(first, placements=(*first.placements, again))
    found = objections(replace(plan, sheets=(twice, *plan.sheets[1:])))
    assert found["VER-041"].startswith("plate 1: this piece is cut 2 times")

    listed = replace(plan, pieces=(*plan.pieces, plan.pieces[0]))
    assert "VER-001" in objections(listed)


def test_a_piece_nobody_asked_for_is_refused() -> None:
    """An unknown piece on a sheet or in the list is named."""
    stray = replace(a_plan().sheets[0].placements[0], piece="ghost 1")
    plan = a_plan()
    first = replace(plan.sheets[0], placements=(*plan.sheets[0].placements, stray))

    assert "ghost 1" in objections(replace(plan, sheets=(first, *plan.sheets[1:])))["VER-021"]


@pytest.mark.parametrize("shift", [-5.0, 5.0])
def test_a_moved_joint_is_refused(shift: float) -> None:
    """A joint that the plan says is elsewhere than it is cut is refused, flat or rail."""
    plan = a_plan()
    for number, joint in enumerate(plan.joints):
        joints = list(plan.joints)
        joints[number] = replace(joint, at_mm=joint.at_mm + shift)
        found = verify_plan(a_job(), replace(plan, joints=tuple(joints))).findings

        assert {f.code for f in found} >= {"VER-012", "VER-015"}
        assert all(f.where == joint.pieces[0] for f in found)


def test_a_short_overlap_is_refused() -> None:
    """Overlap is slope x thickness, neither more nor less."""
    plan = a_plan()
    joints = tuple(replace(j, overlap_mm=j.overlap_mm - 1.0) for j in plan.joints)

    assert "VER-013" in objections(replace(plan, joints=joints))


def test_an_overfilled_board_is_refused() -> None:
    """Pieces over the end, without kerf, or of the wrong length are named."""
    plan = a_plan()
    board = plan.boards[0]
    over = replace(board.cuts[0], from_mm=290.0, to_mm=2410.0)
    assert "VER-034" in objections(
        replace(plan, boards=(replace(board, cuts=(over, board.cuts[1])),))
    )
    tight = replace(board.cuts[1], rip_from_mm=46.0, rip_to_mm=91.0)
    found = objections(replace(plan, boards=(replace(board, cuts=(board.cuts[0], tight)),)))
    assert found["VER-036"].startswith("rail 1 1/2")
    short = replace(board.cuts[0], to_mm=2000.0)
    assert "VER-033" in objections(
        replace(plan, boards=(replace(board, cuts=(short, board.cuts[1])),))
    )


def test_a_wrong_buying_list_is_refused() -> None:
    """One sheet less than is cut, or a price of its own, is refused."""
    plan = a_plan()
    fewer = (replace(plan.buy[0], count=plan.buy[0].count - 1), *plan.buy[1:])
    cheaper = (replace(plan.buy[0], price_minor=1), *plan.buy[1:])

    assert "VER-043" in objections(replace(plan, buy=fewer))
    assert "VER-043" in objections(replace(plan, buy=cheaper))


def test_a_keep_out_is_kept_out() -> None:
    """A piece on a knot is named with the reason."""
    knot = KeepOut(points=((10, 10), (60, 10), (60, 60), (10, 60)), reason="knot")
    job = a_job()
    stock = replace(job.sheet_stocks[0], keep_outs=(knot,))
    plan = a_plan()
    sheets = tuple(replace(s, keep_outs=(knot,)) for s in plan.sheets)
    found = verify_plan(replace(job, sheet_stocks=(stock,)), replace(plan, sheets=sheets)).findings

    assert ("VER-026", "plate 1") in {(f.code, f.where) for f in found}
    assert all("knot" in f.message for f in found if f.code == "VER-026")


def test_an_undersized_piece_is_refused() -> None:
    """A piece cut smaller than its part differs from it by the missing area."""
    plan = a_plan()
    small = rectangle(400, 299)
    pieces = tuple(
        replace(p, shape=small, net=small) if p.id == "plate 1" else p for p in plan.pieces
    )

    assert "100" not in objections(plan)
    assert "400.0 mm2" in objections(replace(plan, pieces=pieces))["VER-007"]


def test_an_allowance_must_be_there() -> None:
    """A part with 10 mm allowance isn't cut to the bare line."""
    job = a_job(sheet_parts=(a_part("plate", allowance_mm=10.0),), rail_parts=())
    plan = a_plan(job)
    assert verify_plan(job, plan).findings == ()

    bare = tuple(replace(p, shape=p.net) for p in plan.pieces)
    found = verify_plan(job, replace(plan, pieces=bare)).findings
    assert {f.code for f in found} == {"VER-008"}


def test_more_than_is_to_hand_is_refused() -> None:
    """A stock with one sheet to hand doesn't give two."""
    job = a_job()
    stock = replace(job.sheet_stocks[0], count=0)
    found = verify_plan(replace(job, sheet_stocks=(stock,)), a_plan()).findings

    assert "VER-042" in {f.code for f in found}
