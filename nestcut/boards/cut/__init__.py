"""Pieces of known length out of boards: cutting patterns, a bound, and an exact choice.

:func:`solve_cutting` is the call; the rest of the house needs no other.  Patterns and the records
of what is used are shared with the rooms above.
"""

from nestcut.boards.cut.rounding import Answer, solve_cutting

__all__ = ["Answer", "solve_cutting"]
