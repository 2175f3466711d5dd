"""A plan changed by hand: a piece moved, turned, flipped, carried to another sheet.

Pure: a plan goes in, another comes out.  A piece that is pushed slides along its neighbours at the
clearance and never lies over them.  What is said of a changed plan is the verifier's word alone.
"""

from nestcut.byhand.hand import Hand, Tried
from nestcut.byhand.move import Moved, put_down
from nestcut.byhand.slide import Bench, slide_to

# rest.plan_rest loads the solvers, so it is asked for where it is needed.

__all__ = ["Bench", "Hand", "Moved", "Tried", "put_down", "slide_to"]
