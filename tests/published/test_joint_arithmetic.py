"""Joint arithmetic against handbook figures and worked numbers.

Sources: slopes, USDA Wood Handbook FPL-GTR-190 ch. 10 (1 in 8 plywood, 1 in 12 solid wood);
7.1 and 8.1 degrees for 8:1 and 7:1 as builders' logs state them (common practice); spacing, FAA
AC 43.13-1B para 1-40 and US Army TB 55-1900-201-45/1 para 2-13.  Lengths and numbers of pieces are
geometry worked by hand (n b - (n - 1) o and its inverse).
"""

from itertools import pairwise

import pytest

from nestcut.joints.arithmetic import (
    joined_length_mm,
    plank_stagger_mm,
    scarf_angle_deg,
    scarf_length_mm,
    strap_width_mm,
)
from nestcut.joints.candidates import offer_more, offer_positions
from nestcut.joints.rules import JoinedPart, Neighbour, check_positions, possible_numbers
from nestcut.model.joint import JointKind, JointRule
from nestcut.model.stock import SheetStock
from nestcut.trade.joints import SLOPE_PLYWOOD, SLOPE_SOLID, STRAP_WIDTH_THICKNESSES
from tests.unit.joints.panels import plain_panel

INCH = 25.4


@pytest.mark.parametrize(
    ("thickness", "at_8", "at_12"),
    [(4.0, 32.0, 48.0), (6.0, 48.0, 72.0), (9.0, 72.0, 108.0), (12.0, 96.0, 144.0),
     (18.0, 144.0, 216.0)],
)  # fmt: skip
def test_scarf_lengths(thickness: float, at_8: float, at_12: float) -> None:
    """4 mm at 8:1 is 32 mm: the step of stacked sheets that a kit maker's forum gives."""
    assert scarf_length_mm(thickness, SLOPE_PLYWOOD.value) == at_8
    assert scarf_length_mm(thickness, SLOPE_SOLID.value) == at_12


@pytest.mark.parametrize(
    ("thickness_in", "slope", "length_in"),
    [(0.25, 8, 2), (0.375, 8, 3), (0.5, 8, 4), (0.75, 12, 9)],
)
def test_scarf_lengths_in_inches(thickness_in: float, slope: float, length_in: float) -> None:
    """A quarter-inch panel is bevelled over two inches (workshop log of July 2009)."""
    assert scarf_length_mm(thickness_in * INCH, slope) == pytest.approx(length_in * INCH)


@pytest.mark.parametrize(
    ("slope", "angle"),
    [(5, 11.31), (6, 9.46), (7, 8.13), (8, 7.125), (10, 5.71), (12, 4.76), (15, 3.81)],
)
def test_scarf_angles(slope: float, angle: float) -> None:
    assert scarf_angle_deg(slope) == pytest.approx(angle, abs=0.005)


@pytest.mark.parametrize(
    ("stock", "n", "overlap", "joined"),
    [
        (2440, 2, 48, 4832), (2440, 3, 48, 7224), (2440, 4, 48, 9616),
        (2440, 2, 96, 4784), (2440, 3, 96, 7128), (2500, 2, 48, 4952),
        (96, 2, 2, 190), (96, 3, 2, 284), (96, 4, 2, 378), (96, 2, 3, 189),
    ],
)  # fmt: skip
def test_joined_lengths(stock: float, n: int, overlap: float, joined: float) -> None:
    assert joined_length_mm(stock, n, overlap) == joined


@pytest.mark.parametrize(
    ("length", "stock", "overlap", "n"),
    [
        (4648, 2400, 152, 2), (4649, 2400, 152, 3), (5400, 2400, 152, 3),
        (186 * INCH, 96 * INCH, 6 * INCH, 2), (186.01 * INCH, 96 * INCH, 6 * INCH, 3),
        (240 * INCH, 144 * INCH, 9 * INCH, 2), (279 * INCH, 144 * INCH, 9 * INCH, 2),
        (2400, 2400, 152, 1),
    ],
)  # fmt: skip
def test_pieces_needed(length: float, stock: float, overlap: float, n: int) -> None:
    """19 mm rail at 8:1 from 2400 mm boards: 4648 mm is two pieces, one more millimetre three."""
    part = JoinedPart(name="rail", length_mm=length, overlap_mm=overlap, rule=JointRule())
    assert possible_numbers(part, stock, 5)[0] + 1 == n


def test_fixed_allowance_is_a_trap() -> None:
    """A guide's 1-1/2 in for two joined sheets holds for 3/16 in at 8:1, not for 1/4 in."""
    assert scarf_length_mm(3 / 16 * INCH, 8) == pytest.approx(1.5 * INCH)
    assert scarf_length_mm(1 / 4 * INCH, 8) == pytest.approx(2.0 * INCH)


@pytest.mark.parametrize("at", [(1488.0, 1680.0), (1500.0, 1900.0)])
def test_clear_wood_between_splices(at: tuple[float, float]) -> None:
    """Three lengths of the longer splice between two of them (AC 43.13-1B, para 1-40).

    Scarfs of 48 mm (6 mm at 8:1): 144 mm of clear wood, 192 mm from middle to middle.
    """
    part = JoinedPart(name="panel", length_mm=4000.0, overlap_mm=48.0, rule=JointRule())
    assert at[1] - at[0] - 48.0 >= 144.0
    assert check_positions(part, at) == ()
    near = (at[0], at[0] + 191.9)
    assert [f.code for f in check_positions(part, near)] == ["JNT-007"]


def test_positions_on_offer_leave_clear_wood_between_splices() -> None:
    """Every set of joints that the search may choose keeps the same distance."""
    sheet = SheetStock(name="s", material="ply", thickness_mm=6, length_mm=2440, width_mm=1220)
    part = plain_panel(4000.0)
    more = offer_more(offer_positions(part, (sheet,)), (sheet,))
    gaps = [b - a - 48.0 for c in more.choices for a, b in pairwise(c.at_mm)]
    assert len(gaps) > 50
    assert min(gaps) >= 3.0 * 48.0


def test_butts_of_adjacent_planks() -> None:
    """Three frame spaces, or 5 ft where frames are spaced oddly (TB 55-1900-201-45/1, 2-13)."""
    assert plank_stagger_mm(3, 16 * INCH) == pytest.approx(4 * 12 * INCH)
    assert plank_stagger_mm(3, None) == pytest.approx(60 * INCH)
    rule = JointRule(kind=JointKind.BUTT_STRAP, stagger_mm=plank_stagger_mm(3, 16 * INCH))
    plank = JoinedPart(name="plank", length_mm=5000.0, overlap_mm=0.0, rule=rule)
    beside = Neighbour(name="next strake", at_mm=(1000.0,))
    assert check_positions(plank, (1000.0 + 48 * INCH,), (beside,)) == ()
    abreast = check_positions(plank, (1000.0 + 47.9 * INCH,), (beside,))
    assert [f.code for f in abreast] == ["JNT-006"]


def test_strap_of_16_thicknesses() -> None:
    """8 t each side of the joint (common practice, no source)."""
    assert strap_width_mm(6.0, STRAP_WIDTH_THICKNESSES.value) == 96.0


def test_nonsense_is_refused() -> None:
    for thickness, slope in ((0.0, 8.0), (6.0, 0.0), (-1.0, 8.0)):
        with pytest.raises(ValueError, match="thickness and a slope"):
            scarf_length_mm(thickness, slope)
    with pytest.raises(ValueError, match="slope is positive"):
        scarf_angle_deg(0.0)
    with pytest.raises(ValueError, match="0 pieces"):
        joined_length_mm(2440.0, 0, 48.0)
    with pytest.raises(ValueError, match="strap"):
        strap_width_mm(0.0, 16.0)


def test_angles_and_straps_of_any_size() -> None:
    """Geometry: 1 in 1 is 45 degrees; half a thickness of half a millimetre is a quarter."""
    assert scarf_angle_deg(1.0) == pytest.approx(45.0)
    assert scarf_angle_deg(0.5) == pytest.approx(63.43494882292201)
    assert strap_width_mm(0.5, 0.5) == 0.25
    for bad in ((0.0, 16.0), (6.0, 0.0), (-6.0, 16.0)):
        with pytest.raises(ValueError, match="a strap needs a width"):
            strap_width_mm(*bad)
    with pytest.raises(ValueError, match="a slope is positive"):
        scarf_angle_deg(0.0)
