"""Board feet against published worked examples, and nominal sizes against PS 20."""

import pytest

from nestcut.papers.lists.board_feet import board_feet, nominal_in
from nestcut.trade.boards import PS20_THICKNESS_IN, PS20_WIDTH_IN

INCH, FOOT = 25.4, 304.8


@pytest.mark.parametrize(
    ("thick_in", "wide_in", "long_ft", "published"),
    [
        # 12 in x 1 in x 10 ft is 10 board feet (www.tpub.com/engbas/6-3.htm)
        (1.0, 12.0, 10.0, 10.0),
        # 2x4 x 14 ft is 112/12 = 9-1/3 (same page), bought as 1-1/2 x 3-1/2
        (1.5, 3.5, 14.0, 112 / 12),
        # 1x3 x 8 ft is 2 (furnituremaking.us, ordering lumber by the board foot), 3/4 x 2-1/2
        (0.75, 2.5, 8.0, 2.0),
    ],
)
def test_published_examples(
    thick_in: float, wide_in: float, long_ft: float, published: float
) -> None:
    if thick_in == 1.0:  # rough, not dressed: 1 in dressed would be 5/4
        assert thick_in * wide_in * long_ft / 12 == pytest.approx(published)
        assert board_feet(0.75 * INCH, 11.25 * INCH, long_ft * FOOT) == pytest.approx(published)
    else:
        found = board_feet(thick_in * INCH, wide_in * INCH, long_ft * FOOT)
        assert found == pytest.approx(published)


@pytest.mark.parametrize(
    ("thick_in", "wide_in", "long_ft", "expected"),
    [(0.75, 5.5, 16, 8.0), (1.5, 3.5, 8, 16 / 3), (1.5, 5.5, 12, 12.0), (1.0, 5.5, 12, 7.5),
     (0.75, 7.25, 10, 20 / 3)],
)  # fmt: skip
def test_usual_boards(thick_in: float, wide_in: float, long_ft: float, expected: float) -> None:
    """1x6x16, 2x4x8, 2x6x12, 5/4x6x12, 1x8x10: worked by hand from the definition."""
    assert board_feet(thick_in * INCH, wide_in * INCH, long_ft * FOOT) == pytest.approx(expected)


def test_ps20_dressed_widths_lose_half_or_three_quarters() -> None:
    """PS 20, dry: widths lose 1/2 in up to 7 in nominal, 3/4 in from 8 in on."""
    for dressed, nominal in PS20_WIDTH_IN:
        assert nominal - dressed == pytest.approx(0.5 if nominal <= 7.0 else 0.75)
    assert nominal_in(19.05, PS20_THICKNESS_IN) == 1.0
    assert nominal_in(38.1, PS20_THICKNESS_IN) == 2.0


def test_thinner_than_an_inch_counts_as_one() -> None:
    assert board_feet(0.5 * INCH, 12.0 * INCH, 12.0 * FOOT) == pytest.approx(12.0)
