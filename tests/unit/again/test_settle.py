"""Boards and sheets that are alike: pieces stay on the pages that are on the wall."""

from __future__ import annotations

from dataclasses import replace

from nestcut.again.plan import Search
from nestcut.again.settle import changed, settled
from nestcut.facts import Fact
from nestcut.model.plan import BoardCut, BoardLayout, Plan, StopReason, Unplaced
from nestcut.model.stock import BoardLength, Defect
from nestcut.search.settings import Deadline, Settings, Silent
from tests.builders import SPRUCE, a_job


def a_cut(piece: str, at: float, long: float = 500.0) -> BoardCut:
    return BoardCut(piece=piece, from_mm=at, to_mm=at + long, rip_from_mm=0.0, rip_to_mm=40.0)


def a_layout(number: int, *pieces: str, spent: tuple[BoardCut, ...] = ()) -> BoardLayout:
    return BoardLayout(
        stock="spruce", number=number, length_mm=3000.0, width_mm=100.0, thickness_mm=20.0,
        cuts=tuple(a_cut(p, 510.0 * k) for k, p in enumerate(pieces)), spent=spent,
    )  # fmt: skip


def a_plan(*boards: BoardLayout, cut: tuple[str, ...] = ()) -> Plan:
    return Plan(
        seed=0, effort="quick", workers=1, seconds_limit=None, stopped_by=StopReason.WORK_DONE,
        pieces=(), rail_pieces=(), sheets=(), boards=boards, joints=(), unplaced=(), bounds=(),
        buy=(), already_cut=cut,
    )  # fmt: skip


JOB = a_job(board_stocks=(replace(SPRUCE, name="spruce"),))


def test_boards_dealt_out_otherwise_are_as_they_were() -> None:
    old = a_plan(a_layout(1, "a", "b"), a_layout(2, "c", "d"), a_layout(3, "e"))
    new = a_plan(a_layout(1, "d", "c"), a_layout(2, "e", "f"), a_layout(3, "b", "a"))
    now = settled(JOB, old, new).boards
    assert now[:2] == old.boards[:2]
    assert now[2] == a_layout(3, "e", "f")


def test_a_begun_board_keeps_what_is_cut_from_it() -> None:
    spent = (a_cut("", 2000.0),)
    old = a_plan(a_layout(1, "a", "b"), a_layout(2, "c"), a_layout(3, "e", spent=spent))
    new = a_plan(a_layout(1, "a", "c"), a_layout(2, "b"), a_layout(3, "f", spent=spent), cut=("a",))
    assert settled(JOB, old, new) == new


def test_a_board_with_a_knot_is_like_no_other() -> None:
    knot = Defect(from_mm=100.0, to_mm=200.0, reason="knot")
    lengths = (
        BoardLength(length_mm=3000.0),
        BoardLength(length_mm=3000.0, count=1, defects=(knot,)),
    )
    job = a_job(board_stocks=(replace(SPRUCE, name="spruce", lengths=lengths),))
    old = a_plan(a_layout(1, "a"), a_layout(2, "b"))
    new = a_plan(a_layout(1, "b"), a_layout(2, "a"))
    assert settled(job, old, new) == new
    assert settled(JOB, old, new) == old


def test_a_piece_of_another_length_is_another() -> None:
    old = a_plan(a_layout(1, "a", "b"))
    longer = replace(a_layout(1, "a"), cuts=(a_cut("a", 0.0, 700.0), a_cut("b", 710.0)))
    assert settled(JOB, old, a_plan(longer)) == a_plan(longer)


class Poor(Search):
    """A search that shuffles whatever it may move, and needs two boards to be open."""

    def together(self, plan: Plan, moving: frozenset[str]) -> Plan:
        a, b, c = plan.boards
        if {"a", "b"} <= moving and "c" not in moving:
            return replace(plan, boards=(a_layout(1, "b", "x"), a_layout(2, "a"), c))
        if {"a", "b", "c"} <= moving:
            return replace(plan, boards=(a_layout(1, "c"), a_layout(2, "a", "x"), a_layout(3, "b")))
        missing = Unplaced(piece="x", reason=Fact("BRD-101"))
        return replace(plan, boards=(a, b, c), unplaced=(missing,))


def test_for_the_same_price_as_few_boards_change_as_can_be() -> None:
    base = a_plan(a_layout(1, "a"), a_layout(2, "b"), a_layout(3, "c"))
    search = Poor(JOB, Settings(), Deadline(), Silent())
    free, lost = frozenset({"a", "b", "c"}), frozenset({"x"})
    full = search.together(base, free | lost)
    assert len(changed(base, full, free)) == 3
    calm = search.calmer(base, full, free, lost)
    assert calm.boards[2] == base.boards[2]
    assert calm.unplaced == ()
    late = Poor(JOB, Settings(), Deadline(0.0), Silent())
    assert late.calmer(base, full, free, lost) == settled(JOB, base, full)
