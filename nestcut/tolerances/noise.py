"""Float noise: what numbers worked out in two ways may differ by."""

NOISE = 1e-9
"""What floats worked out in two ways may differ by: of numbers near one, or as a share. [-]"""

DUST = 1e-12
"""What is smaller than this share of what it is held against is nothing: a divisor, a turn. [-]"""

STILL = 1e-14
"""A step of a curve's parameter that moves nothing. [-]"""

LEAST_DIVISOR = 1e-300
"""Keeps a divisor from being nothing without changing any other. [-]"""

SOLVER_SLACK = 1e-6
"""What a solver's sums, and what is worked out from them, may be off by. [-]"""

REDUCED_COST_SLACK = 1e-7
"""By how much a solver's reduced costs, and the rents made of them, may be off. [-]"""

WHOLE_SLACK = 1e-6
"""A count of steps this near to a whole number is that number. [-]"""

NOISE_UM = 1e-3
"""Float noise that isn't rounded up to a whole micrometre. [um]"""

FULL_SHARE = 1e-8
"""Area by which a container may seem not full, as a share of it. [-]"""

SAME_ANGLE_RAD = 1e-7
"""Angles of corners put together that differ by less are the same. [rad]"""

SAME_SIDE_SHARE = 1e-8
"""Lengths put together that differ by less are the same, as a share of a container's side. [-]"""

SAME_CORNER_SHARE = 1e-7
"""Squared distance, as a share of a side's square, below which two corners are one. [-]"""

STRAIGHT_SLACK_RAD = 1e-6
"""A corner that is straight but for this has no inside. [rad]"""

COUNT_SHARE = 1e-6
"""A room that lacks this share of a piece has room for it. [-]"""

COVER_SLACK = 1e-9
"""How far a part may stick out of its polygon, as a share of the polygon's size. [-]"""

MISSING_AREA = 1e-10
"""Area that a dropped part may leave uncovered, as a share of the polygon's area. [-]"""

OVERLAP_DEPTH = 1e-9
"""Depth of overlap that counts as touching, as a share of the largest container side. [-]"""

SHORTER_SHARE = 1e-7
"""A strip that is shorter by less than this share isn't shorter. [-]"""

NUDGE = 1e-9
"""Relative sides this near a threshold count as below it: the safe side. [-]"""

STEP_OUT = 1e-6
"""Where a curve is nothing at a point it is tried this far beside it, in its parameter. [-]"""

STEP_FAR_OUT = 1e-3
"""And then this far. [-]"""

SAME_KNOT = 1e-12
"""Knots nearer than this share of their range are one knot. [-]"""

LEAST_SPAN = 1e-6
"""Least span of a spline's knots that says anything, as a share of their range. [-]"""

LEAST_WEIGHT = 1e-9
"""A spline's weights are larger than this, and smaller than one over it. [-]"""

SECTION_PARALLEL = 1e-6
"""Sine of the angle below which two lines of a section run alongside each other. [-]"""

JUDGED_SHARE = 1e-6
"""Sums of squares that differ by less than this share are alike. [-]"""
