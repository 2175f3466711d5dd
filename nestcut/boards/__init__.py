"""Rails out of boards: what is ripped and crosscut from which board, and where rails are joined.

Exact where it can be, and honest where it can't: every outcome carries a proven bound.  Flat parts
aren't cut here (:mod:`nestcut.sheets`), nor is anything checked (:mod:`nestcut.verify`).

How a builder mostly cuts a board: rip it into full-length strips, one kerf between neighbours, then
crosscut each strip.  So a board gives *strips*; defects divide each strip into *stretches*; and
pieces lie one behind the other in a stretch, one kerf apart: ``n`` pieces of ``p`` need
``n p + (n - 1) k``, for the last cut needs no kerf behind it when nothing is left.

Where strips differ in width, a board that is crosscut first, or a strip ripped once more, may give
more: pieces are sawn anew then (``sawing``), and bounds hold for that as well (``anycut``).

Frame of a board: x from its marked end, y from its marked edge.

Rooms, each above the next: this floor (one call, what it offers, words about it), ``proof``
(purchases in rising cost), ``join`` (free joints), ``cut`` (patterns of known pieces), ``sawing``
(rips and crosscuts in any order), ``wood`` (rails, boards, strips and whole numbers).
"""

from nestcut.boards.equal import RailComparison, compare_with_equal
from nestcut.boards.given import divide_rails
from nestcut.boards.more_joints import cut_with_more_joints
from nestcut.boards.outcome import BoardsOutcome, JointPreference, JointWay, joint_ways
from nestcut.boards.sawing import (
    BoardAtSaw,
    Rest,
    RestsBy,
    SawCut,
    Sawing,
    SawStep,
    SawWay,
    Wood,
    clear_of_defects,
    every_cut,
    named_blanks,
    place_in_rests,
    rests_as_sawn,
    rests_at,
    rests_of,
    sawing_of,
    span_of,
)
from nestcut.boards.solve import cut_boards
from nestcut.boards.wood.at_hand import n_from_hand
from nestcut.boards.wood.problem import usable_stretches
from nestcut.boards.wood.rails import Rail, divide_rail, is_cut_from, single_rails

__all__ = [
    "BoardAtSaw",
    "BoardsOutcome",
    "JointPreference",
    "JointWay",
    "Rail",
    "RailComparison",
    "Rest",
    "RestsBy",
    "SawCut",
    "SawStep",
    "SawWay",
    "Sawing",
    "Wood",
    "clear_of_defects",
    "compare_with_equal",
    "cut_boards",
    "cut_with_more_joints",
    "divide_rail",
    "divide_rails",
    "every_cut",
    "is_cut_from",
    "joint_ways",
    "n_from_hand",
    "named_blanks",
    "place_in_rests",
    "rests_as_sawn",
    "rests_at",
    "rests_of",
    "sawing_of",
    "single_rails",
    "span_of",
    "usable_stretches",
]
