"""Steps and shares of the searches, and the beats of those who wait for them."""

PURCHASE_STEP = 0.02
"""By what share the cost is raised when all purchases up to it have been tried. [-]"""

DEPTH_OFFSET = 1e-3
"""Depth added to every overlap, as a share of the mean item size, so that small ones matter. [-]"""

GRID_OFFSET = 0.3
"""The same where all corners lie on one grid: there an overlap goes whole steps at a time, so that
it is there counts for more than how deep it is. [-]"""

SAME_BASIN = 0.02
"""Overlaps that differ by less count as the same layout found again. [-]"""

EXPLORE = 0.01
"""Share by which a strip is shortened at a step while new layouts are explored. [-]"""

EXPLORE_LEAST = 0.002
"""And the least. [-]"""

SQUEEZE_FIRST = 0.002
"""Share by which the best strip is shortened when squeezing begins. [-]"""

SQUEEZE_LAST = 2e-5
"""And when it ends. [-]"""

COARSE_STEP = 0.03
"""First step of walking downhill, as a share of an item's size. [-]"""

FINE_STEP = 1e-3
"""And the last. [-]"""

FINISH_BELOW = 0.05
"""Overlap, as a share of the mean item area, below which a linear programme is tried. [-]
After one that failed the next waits until the overlap has halved."""

WIDEN = 3e-3
"""How far an intricate outline may be widened for the search, as a share of the mean item size. [-]
The true outlines are pulled together at the end, so little of it is lost."""

LEAST_REACH = 0.02
"""How far an item jumps at least from its place, as a share of its size. [-]"""

PARALLEL = 1e-3
"""Sine of the angle below which two lines have no crossing for a jump. [-]"""

SAME_TURN = 1e-4
"""Normals of two lines that differ by less are one. [-]"""

SAME_LINE = 1e-6
"""And the lines are one if they are no further apart, as a share of an item's size. [-]"""

SQUARE_RUN = 0.75
"""Share of the outlines that runs square or by half a right angle from which places on a grid are
looked at, all at once. [-]"""

ON_GRID = 1e-6
"""Corners that are off a grid by less lie on it, as a share of an outline's size. [-]"""

SLOPE_STEP = 1e-5
"""Step by which a slope is measured, as a share of an item's size. [-]"""

WARMTH_LEAST = 0.03
"""Lowest starting temperature of a round, as a share of the mean area. [-]"""

OFFCUT_GAIN = 0.004
"""An offcut that grew by less than this share isn't worth another pass. [-]"""

SWEEP_ROOM_MM = 1e-4
"""Left between an edge and a corner that a piece by hand has run into, against rounding. [mm]"""

SWEEP_TOUCH_MM = 0.05
"""Edges that a piece by hand meets within this after the first are touched as well. [mm]"""

SWEEP_PARALLEL = 1e-9
"""An edge that a move comes nearer to by less than this share of its way isn't entered. [-]"""

SWEEP_ALIKE = 1e-6
"""Unit vectors along edges that differ by less are one direction. [-]"""

LEAST_SOLVER_S = 0.05
"""Given to a solver even after the deadline, so that it can hand back what it knows. [s]"""

LISTEN_BEAT_S = 0.05
"""How often the process that listens to a search looks up. [s]"""

PRESS_BEAT_S = 0.02
"""How often papers that are being made are looked at. [s]"""

LATE_S = 1.0
"""How long after a stop, or after the limit, papers may still be made. [s]"""

PAPERS_PER_PIECE_S = 0.04
"""Time for papers before any were made, for each piece (beach boat, 98 pieces: 3.2 s of processor
time). [s]"""

LISTS_PER_PIECE_S = 0.7e-3
"""Time that plan.json and the lists take per piece (1,000 pieces: 0.67 s of processor time). [s]"""
