"""The same boat in several ways, side by side: what each costs in money, joints and offcuts.

``ways`` makes jobs that differ from the one asked in one thing each; whoever runs them hands back
what was found, and ``weighed`` makes of it plans that hold for the job as asked, and figures to
compare.  Nothing is searched here.
"""

from nestcut.choices.ways import Way, ways_of, ways_of_joints
from nestcut.choices.weighed import Found, as_plan_of, best_of_all, better_of, row_of

__all__ = [
    "Found",
    "Way",
    "as_plan_of",
    "best_of_all",
    "better_of",
    "row_of",
    "ways_of",
    "ways_of_joints",
]
