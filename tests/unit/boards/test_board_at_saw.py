"""What boards leave that is worth keeping, sawn cut by cut as their pages say."""

from __future__ import annotations

import pytest

from nestcut.boards import BoardAtSaw, sawing_of
from nestcut.model.plan import BoardCut, BoardLayout

KERF = 3.0
Box = tuple[float, float, float, float]
"""From, to, rip from, rip to. [mm]"""


def at_saw(
    *boxes: Box,
    size: tuple[float, float] = (2000.0, 120.0),
    trim: tuple[float, float] = (10.0, 0.0),
    spent: tuple[Box, ...] = (),
) -> BoardAtSaw:
    cuts, spoilt = (
        tuple(
            BoardCut(piece=f"p{k}", from_mm=a, to_mm=b, rip_from_mm=c, rip_to_mm=d)
            for k, (a, b, c, d) in enumerate(those)
        )
        for those in (boxes, spent)
    )
    layout = BoardLayout(
        stock="fir",
        number=1,
        length_mm=size[0],
        width_mm=size[1],
        thickness_mm=20.0,
        cuts=cuts,
        spent=spoilt,
    )
    return BoardAtSaw(
        layout=layout,
        sawing=sawing_of(cuts, KERF),
        kerf_mm=KERF,
        end_trim_mm=trim[0],
        edge_trim_mm=trim[1],
    )


def kept(board: BoardAtSaw, least_mm: float = 300.0) -> list[Box]:
    return [(*w.along_mm, *w.across_mm) for w in board.kept(least_mm)]


def test_a_strip_is_as_long_as_the_cuts_leave_it() -> None:
    """Ripped first, the strip is whole; crosscut first, it is in two lengths."""
    ripped = at_saw(
        (10.0, 700.0, 0.0, 45.0), (703.0, 1980.0, 0.0, 45.0), (10.0, 1980.0, 48.0, 80.0)
    )
    assert kept(ripped) == [(10.0, 1990.0, 83.0, 120.0)]
    crosscut = at_saw((10.0, 700.0, 0.0, 45.0), (703.0, 1400.0, 0.0, 60.0))
    assert kept(crosscut) == [
        (1403.0, 1990.0, 0.0, 120.0),
        (10.0, 700.0, 48.0, 120.0),
        (703.0, 1400.0, 63.0, 120.0),
    ]


def test_strips_behind_and_between_pieces_are_kept() -> None:
    board = at_saw(
        (10.0, 1100.0, 0.0, 40.0), (10.0, 1985.0, 43.0, 83.0), (10.0, 500.0, 86.0, 120.0)
    )
    assert sorted(kept(board)) == [(503.0, 1990.0, 86.0, 120.0), (1103.0, 1990.0, 0.0, 40.0)]


@pytest.mark.parametrize(
    ("end_mm", "top_mm", "is_kept"),
    [(1000.0, 87.0, True), (1000.0, 87.1, False), (310.0, 60.0, True), (309.9, 60.0, False)],
)
def test_a_strip_is_kept_from_30_by_300_mm(end_mm: float, top_mm: float, is_kept: bool) -> None:  # noqa: FBT001
    board = at_saw((10.0, end_mm, 0.0, top_mm))
    strips = [k for k in kept(board) if k[2] > 0.0]
    assert strips == ([(10.0, end_mm, top_mm + KERF, 120.0)] if is_kept else [])


def test_trim_is_in_nothing_that_is_kept() -> None:
    board = at_saw((10.0, 1500.0, 5.0, 60.0), trim=(10.0, 5.0))
    assert kept(board) == [(1503.0, 1990.0, 5.0, 115.0), (10.0, 1500.0, 63.0, 115.0)]


def test_the_end_of_a_narrow_board_is_kept_as_its_page_has_it() -> None:
    board = at_saw((10.0, 1500.0, 0.0, 25.0), size=(2000.0, 25.0))
    assert board.keep_mm == (1503.0, 1990.0)
    assert kept(board) == [(1503.0, 1990.0, 0.0, 25.0)]


def test_what_is_spoilt_is_in_nothing_that_is_kept() -> None:
    """Beside a place that was sawn out and spoilt the rest of a strip is kept."""
    sound = at_saw((10.0, 1980.0, 0.0, 45.0))
    assert kept(sound) == [(10.0, 1990.0, 48.0, 120.0)]
    spoilt = at_saw((10.0, 1980.0, 0.0, 45.0), spent=((10.0, 700.0, 48.0, 100.0),))
    assert kept(spoilt) == [(703.0, 1990.0, 48.0, 120.0)]
    behind = at_saw((10.0, 500.0, 0.0, 45.0), spent=((503.0, 1000.0, 0.0, 120.0),))
    assert behind.keep_mm == (1003.0, 1990.0)


def test_round_pieces_that_no_cuts_part_the_largest_rectangles_are_kept() -> None:
    wheel = at_saw(
        (10.0, 400.0, 0.0, 40.0),
        (403.0, 443.0, 0.0, 77.0),
        (53.0, 443.0, 80.0, 120.0),
        (10.0, 50.0, 43.0, 120.0),
    )
    assert wheel.saw_cuts == ()
    assert kept(wheel) == [(446.0, 1990.0, 0.0, 120.0), (53.0, 400.0, 43.0, 77.0)]


def test_a_shorter_least_length_takes_shorter_pieces_of_the_same_cuts() -> None:
    board = at_saw((10.0, 1750.0, 0.0, 120.0))
    assert kept(board) == []
    assert kept(board, 200.0) == [(1753.0, 1990.0, 0.0, 120.0)]
