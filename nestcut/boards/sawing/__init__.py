"""Boards taken apart by cuts right through: rips and crosscuts in any order.

Patterns (``cut``) rip a board from end to end and then crosscut its strips.  Where strips differ in
width, a board that is crosscut first, or a strip ripped again behind a crosscut, may give more.
Here every lot of pieces is asked whether it comes out of a board at all, and boards are chosen
among those answers.
"""

from nestcut.boards.sawing.better import IN_ANY_ORDER, sawn_better
from nestcut.boards.sawing.every import SawCut, Wood, every_cut
from nestcut.boards.sawing.left import BoardAtSaw, named_blanks, rests_as_sawn
from nestcut.boards.sawing.order import Sawing, SawStep, SawWay, sawing_of, span_of
from nestcut.boards.sawing.rests import (
    Rest,
    RestsBy,
    clear_of_defects,
    place_in_rests,
    rests_at,
    rests_of,
)

__all__ = [
    "IN_ANY_ORDER",
    "BoardAtSaw",
    "Rest",
    "RestsBy",
    "SawCut",
    "SawStep",
    "SawWay",
    "Sawing",
    "Wood",
    "clear_of_defects",
    "every_cut",
    "named_blanks",
    "place_in_rests",
    "rests_as_sawn",
    "rests_at",
    "rests_of",
    "sawing_of",
    "sawn_better",
    "span_of",
]
