"""Every cut of a board, followed with a saw that knows only what the list says."""

from __future__ import annotations

import numpy as np
import pytest

from nestcut.boards import SawCut, SawWay, Wood, every_cut, sawing_of
from nestcut.model.plan import BoardCut

KERF = 3.0
Box = tuple[float, float, float, float]


def a_cut(piece: str, along: tuple[float, float], across: tuple[float, float]) -> BoardCut:
    return BoardCut(
        piece=piece,
        from_mm=along[0],
        to_mm=along[1],
        rip_from_mm=across[0],
        rip_to_mm=across[1],
    )


def sawn(cuts: tuple[BoardCut, ...], length: float, width: float, trim: float) -> list[SawCut]:
    return list(
        every_cut(sawing_of(cuts, KERF), Wood((0.0, length), (0.0, width)), KERF, trim, None)
    )


def followed(cuts: list[SawCut], pieces: dict[str, Box], board: Box) -> set[Box]:
    """Saw a board as the list says: each cut through the one block that has all its pieces."""
    blocks = [board]
    for cut in cuts:
        k = 1 if cut.way is SawWay.RIP else 0
        (block,) = [
            b
            for b in blocks
            if all(b[0] <= pieces[p][0] and b[1] <= pieces[p][1] for p in cut.pieces)
            and all(b[2] >= pieces[p][2] and b[3] >= pieces[p][3] for p in cut.pieces)
        ]
        ends = (
            cut.begins_mm - KERF
            if cut.ends_mm is None and cut.begins_mm is not None
            else cut.ends_mm
        )
        begins = ends + KERF if cut.begins_mm is None and ends is not None else cut.begins_mm
        assert ends is not None
        assert begins is not None
        assert begins - ends == pytest.approx(KERF)
        # the blade runs through the whole block and nicks no piece in it
        for p in cut.pieces:
            assert pieces[p][k + 2] <= ends + 1e-6 or pieces[p][k] >= begins - 1e-6, (cut, p)
        blocks.remove(block)
        before, after = list(block), list(block)
        before[k + 2], after[k] = ends, begins
        blocks += [(b[0], b[1], b[2], b[3]) for b in (before, after) if b[k + 2] > b[k]]
    return {(round(a, 3), round(b, 3), round(c, 3), round(d, 3)) for a, b, c, d in blocks}


def boxes(cuts: tuple[BoardCut, ...]) -> dict[str, Box]:
    return {c.piece: (c.from_mm, c.rip_from_mm, c.to_mm, c.rip_to_mm) for c in cuts}


def test_a_board_that_is_crosscut_first_is_sawn_to_the_last_cut() -> None:
    slat = a_cut("slat", (10.0, 1850.0), (0.0, 95.0))
    inwale = a_cut("inwale", (1853.0, 4013.0), (0.0, 30.0))
    riser = a_cut("riser", (1853.0, 4003.0), (33.0, 78.0))
    cuts = sawn((slat, inwale, riser), 4200.0, 95.0, 10.0)
    told = [(c.way is SawWay.RIP, c.ends_mm, c.begins_mm, sorted(c.pieces)) for c in cuts]
    both = ["inwale", "riser"]
    assert told == [
        (False, None, 10.0, ["inwale", "riser", "slat"]),
        (False, 1850.0, 1853.0, ["inwale", "riser", "slat"]),
        (False, 4013.0, None, both),
        (True, 30.0, 33.0, both),
        (True, 78.0, None, ["riser"]),
        (False, 4003.0, None, ["riser"]),
    ]


def random_board(seed: int) -> tuple[tuple[BoardCut, ...], float, float]:
    """A board cut into blocks by lot; some are pieces, the rest is waste."""
    luck = np.random.default_rng([seed, 17])
    length, width = 3000.0, 140.0
    pieces: list[BoardCut] = []

    def divide(box: Box, depth: int) -> None:
        x0, y0, x1, y1 = box
        if depth == 0 or luck.random() < 0.25 or x1 - x0 < 300 or y1 - y0 < 45:
            if luck.random() < 0.8:
                short = float(luck.choice([0.0, 40.0, 15.0]))
                pieces.append(a_cut(f"p{len(pieces)}", (x0, x1 - short), (y0, y1)))
            return
        if luck.random() < 0.5:
            at = float(luck.integers(int(x0) + 100, int(x1) - 100))
            divide((x0, y0, at, y1), depth - 1)
            divide((at + KERF, y0, x1, y1), depth - 1)
        else:
            at = float(luck.integers(int(y0) + 18, int(y1) - 20))
            divide((x0, y0, x1, at), depth - 1)
            divide((x0, at + KERF, x1, y1), depth - 1)

    divide((10.0, 0.0, length, width), 4)
    return tuple(pieces), length, width


@pytest.mark.parametrize("seed", range(60))
def test_whoever_saws_as_told_has_every_piece_to_size(seed: int) -> None:
    pieces, length, width = random_board(seed)
    if not pieces:
        return
    assert sawing_of(pieces, KERF).comes_apart
    left = followed(sawn(pieces, length, width, 10.0), boxes(pieces), (0.0, 0.0, length, width))
    assert {tuple(round(v, 3) for v in b) for b in boxes(pieces).values()} <= left


def test_pieces_that_no_cuts_part_have_no_list() -> None:
    """A pinwheel: every cut right through meets a piece."""
    wheel = (
        a_cut("a", (0.0, 200.0), (0.0, 40.0)),
        a_cut("b", (203.0, 243.0), (0.0, 90.0)),
        a_cut("c", (43.0, 243.0), (93.0, 133.0)),
        a_cut("d", (0.0, 40.0), (43.0, 133.0)),
    )
    assert sawn(wheel, 300.0, 140.0, 0.0) == []


@pytest.mark.parametrize(
    ("across", "planed"),
    [
        ((0.0, 95.0 - KERF - 2.9), [True]),  # 2.9 mm beyond the blade
        ((0.0, 95.0 - KERF - KERF), [False]),
        ((5.0, 95.0), [True]),  # the lower edge
        ((7.0, 95.0), [False]),
    ],
)
def test_what_is_thinner_than_the_blade_is_planed(
    across: tuple[float, float], planed: list[bool]
) -> None:
    """A strip thinner than the blade can't be ripped off; crosscuts fall free at any length."""
    cuts = sawn((a_cut("p", (0.0, 995.0), across),), 1000.0, 95.0, 0.0)
    assert [c.is_planed for c in cuts if c.way is SawWay.RIP] == planed
    assert not any(c.is_planed for c in cuts if c.way is SawWay.CROSSCUT)


@pytest.mark.parametrize(("begin_mm", "is_planed"), [(44.0, True), (48.9, True), (49.1, False)])
def test_what_one_rip_leaves_beside_another_is_planed(begin_mm: float, is_planed: bool) -> None:  # noqa: FBT001
    """Between a strip that ends at 40 mm and the next one the first blade has taken 3 mm."""
    strips = (
        a_cut("p", (0.0, 1000.0), (0.0, 40.0)),
        a_cut("q", (0.0, 1000.0), (begin_mm, 95.0)),
    )
    rips = [c for c in sawn(strips, 1000.0, 95.0, 0.0) if c.way is SawWay.RIP]
    assert [c.is_planed for c in rips] == [False, is_planed]
