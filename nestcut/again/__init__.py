"""Planning again when something has gone wrong: what is cut stays, the rest finds its place.

A plan and what became of it go in; a plan of the same job comes out, with the same pieces, joints,
names and marks.  Cut pieces lie where they were sawn, spoilt ones leave a place that nothing can be
cut from, sheets and boards that were bought are used before any other is.  Pure, but for the
search, which is loaded when ``plan`` or ``stages`` is asked for.
"""

from nestcut.again.compare import Difference, Shift, compare_plans
from nestcut.again.events import Events, add_events

__all__ = ["Difference", "Events", "Shift", "add_events", "compare_plans"]
