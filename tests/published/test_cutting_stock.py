"""Textbook cutting stock, saw kerf, and the same small models solved by another solver.

Sources: 73 rolls, encyclopaedia article "Cutting stock problem" (13 widths from 5600); 453 rolls
of 100 for 97, 610, 395, 211 pieces of 45, 36, 31, 14, and 19 boards of 17 ft for 3, 5 and 9 ft,
common textbook numbers; four 24 in pieces from a 96 in board, a workshop article on kerf (the last
piece is 3/8 in short at 1/8 in).
"""

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from nestcut.boards import BoardsOutcome, JointPreference, cut_boards
from nestcut.facts import Length
from nestcut.model.job import CuttingRules
from nestcut.model.part import RailPart
from nestcut.model.plan import StopReason
from nestcut.model.stock import BoardLength, BoardStock
from nestcut.search.settings import Deadline, Settings, Silent

INCH = 25.4
PAPER = [
    (1380, 22), (1520, 25), (1560, 12), (1710, 14), (1820, 18), (1880, 18), (1930, 20),
    (2000, 10), (2050, 12), (2100, 14), (2140, 16), (2150, 18), (2200, 20),
]  # fmt: skip


def cut(
    lengths: list[tuple[float, int]], offers: tuple[BoardLength, ...], kerf: float = 0.0
) -> BoardsOutcome:
    """Cut unjoined rails as wide as the board."""
    rails = tuple(
        RailPart(name=f"r{k}", material="m", thickness_mm=20, width_mm=95, length_mm=n, count=q)
        for k, (n, q) in enumerate(lengths)
    )
    stock = BoardStock(name="b", material="m", thickness_mm=20, width_mm=95, lengths=offers)
    return cut_boards(
        rails, (stock,), CuttingRules(kerf_mm=kerf), JointPreference.CHEAPEST, Settings(),
        Deadline(), Silent(),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("stock", "lengths", "rolls"),
    [
        (5600, PAPER, 73),
        (100, [(45, 97), (36, 610), (31, 395), (14, 211)], 453),
        (17 * 12 * INCH, [(9 * 12 * INCH, 15), (5 * 12 * INCH, 20), (3 * 12 * INCH, 25)], 19),
    ],
)
def test_textbook_examples_are_proven(
    stock: float, lengths: list[tuple[float, int]], rolls: int
) -> None:
    """The known number, and a bound equal to it."""
    outcome = cut(lengths, (BoardLength(length_mm=stock),))

    assert len(outcome.layouts) == rolls
    assert outcome.bounds[0].lower == rolls
    assert outcome.bounds[0].is_proven_optimal
    assert outcome.stopped_by is StopReason.PROVEN


def test_four_24_in_pieces_do_not_come_out_of_96_in() -> None:
    """With 1/8 in kerf they need 96-3/8 in; n p + (n - 1) k, no kerf behind the last."""
    board = (BoardLength(length_mm=96 * INCH),)
    enough = (BoardLength(length_mm=96.375 * INCH),)

    assert len(cut([(24 * INCH, 4)], board, INCH / 8).layouts) == 2
    assert len(cut([(24 * INCH, 4)], enough, INCH / 8).layouts) == 1
    assert len(cut([(24 * INCH, 4)], board, 0.0).layouts) == 1


def test_4x8_ft_is_not_1220_x_2440() -> None:
    """A 2440 mm rail doesn't come out of an 8 ft board: it is 1.6 mm short."""
    outcome = cut([(2440.0, 1)], (BoardLength(length_mm=8 * 12 * INCH),))

    assert [u.piece for u in outcome.unplaced] == ["r0 1"]
    longest = outcome.unplaced[0].reason["longest"]
    assert isinstance(longest, Length)
    assert longest.mm == pytest.approx(2438.4)


def least_cost_by_assignment(
    lengths: list[tuple[float, int]], offers: list[tuple[float, int]], kerf: float
) -> float:
    """Least cost by HiGHS: every piece to one of enough single boards, no patterns anywhere."""
    sizes = [n for n, q in lengths for _ in range(q)]
    boards = [o for o in offers for _ in range(len(sizes))]
    n, m = len(sizes), len(boards)
    cost = np.concatenate([np.zeros(n * m), [price for _, price in boards]])
    once = np.zeros((n, n * m + m))
    fits = np.zeros((m, n * m + m))
    for i, size in enumerate(sizes):
        for b in range(m):
            once[i, i * m + b] = 1.0
            fits[b, i * m + b] = size + kerf
    for b, (length, _) in enumerate(boards):
        fits[b, n * m + b] = -(length + kerf)
    result = milp(
        cost,
        constraints=[LinearConstraint(once, 1.0, 1.0), LinearConstraint(fits, -np.inf, 0.0)],
        integrality=np.ones(cost.size, dtype=np.int64),
        bounds=Bounds(0.0, 1.0),
        options={"mip_rel_gap": 0.0},
    )
    assert result.success
    return float(result.fun)


@pytest.mark.parametrize("kerf", [0.0, 3.0])
@pytest.mark.parametrize(
    ("lengths", "offers"),
    [
        ([(1200, 3), (800, 2), (450, 2)], [(2400, 910), (3000, 1120)]),
        ([(1499, 2), (1501, 1), (700, 3)], [(3000, 1000), (2400, 805), (4200, 1390)]),
        ([(2050, 2), (930, 4)], [(2400, 900), (3900, 1500)]),
    ],
)
def test_same_cost_by_another_solver(
    lengths: list[tuple[float, int]], offers: list[tuple[float, int]], kerf: float
) -> None:
    """An assignment model solved by HiGHS through scipy agrees with the pattern method."""
    outcome = cut(lengths, tuple(BoardLength(length_mm=n, price_minor=p) for n, p in offers), kerf)

    assert outcome.bounds[0].is_proven_optimal
    assert outcome.bounds[0].used == pytest.approx(least_cost_by_assignment(lengths, offers, kerf))
