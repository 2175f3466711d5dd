"""Shares by which lines, loops and shapes are told apart, or taken for the same."""

CURVE_SHARE = 1e-6
"""A curve isn't followed finer than this share of its size. [-]
At 0.05 mm that begins with curves 50 m across, which no boat has, and keeps the number of points of
a curve a kilometre wide in bounds."""

NOTHING_SHARE = 1e-9
"""Loops of less than this share of their box enclose nothing. [-]"""

SAME_AREA_SHARE = 1e-4
"""Areas, or lengths of lines, that differ by less than this share may be the same. [-]"""

FIRST_TURNS_SHARE = 1e-3
"""Outlines may be alike where a corner's turn differs by less than this share. [-]"""

CLOSE_SHARE = 5e-4
"""Largest distance between the edges of like shapes, as a share of their size. [-]"""

SIZE_SHARE = 2e-3
"""Like shapes are looked for among those whose size differs by so little. [-]"""

ROUND_SHARE = 1e-3
"""Distances from a circle's middle differ by less than this share. [-]"""

FILLS_SHARE = 0.005
"""A shape fills its box as a circle or a square does within this share. [-]"""

NEAR_SHARE = 0.005
"""What is nearer than this share of an extent is at the same place. [-]"""

SQUARE_SHARE = 0.01
"""Sides of a square differ by less than this share. [-]"""

BOUGHT_SHARE = 0.01
"""A rectangle as long and as wide as a bought sheet, to this share, is a sheet. [-]"""

TIGHT_SHARE = 0.01
"""Ends this share of the joining gap apart are one point for certain. [-]"""

FINEST_SHARE = 0.01
"""Where a flattened ring touches itself it is flattened finer, down to this share. [-]"""

JUST_AFTER = 0.01
"""A curve's direction at its beginning is looked at here, in its parameter. [-]"""

INSIDE_SHARE = 1e-3
"""A loop may stand out of another that it lies in by this share: flattening explains it. [-]"""

LEVEL_SHARE = 1e-3
"""A line that rises by less than this share of its width is level. [-]"""

MARKED_SHARE = 0.02
"""A mark lies on an outline if this share of it does. [-]"""

MARKER_SHARE = 0.03
"""A part drawn in a rectangle isn't shorter than this share of its length. [-]"""

SMALL_SHARE = 0.05
"""Small is what is no longer than this share of the longest outline. [-]"""

HULL_SHARE = 0.002
"""How far from the hull, as a share of the extent, counts as on it: a notch isn't an edge of the
part. [-]"""

SHORT_SHARE = 0.05
"""Stretches shorter than this share of the longest on their side are corners, not edges. [-]"""

STRAIGHT_SHARE = 0.002
"""An edge longer than the straight way by less than this share is straight. [-]"""

ANY_RUN_OUT = 1e-3
"""Run-out of grain that may run as it likes. [-]"""

STRAIGHT_DEG = 1e-4
"""Grain that leans no more from an edge doesn't run out there: 1 in 570,000. [deg]"""

RUN_OUT_SHARE = 0.02
"""Slack of a run-out that search and verifier measure on lines drawn by points. [-]"""

ROUND_CORNER_SHARE = 0.012
"""A margin's outline may stand out by so much more where it goes round a corner. [-]"""

UNSEEN_SHARE = 0.01
"""A mark's flattened line may be longer by so much: chords outside small circles are. [-]
A line drawn twice, or missing, makes far more."""

SAME_LINE_SHARE = 1e-4
"""And by so much, where the line is a true one. [-]"""

KERF_SHARE = 0.02
"""Round corners an offcut was measured by chords, this share of a kerf further out at most. [-]"""

LINE_NOISE = 0.03
"""Least noise of a line of readings, against the common one. [-]"""

SLIP_CHANCE = 0.02
"""Chance of a slip that is too small to be misread, against one that isn't. [-]"""

RUNS_ALIKE = 0.02
"""Runs whose lengths differ by less than this share can't be told apart by their length. [-]"""

SAME_PLACE_SHARE = 1e-5
"""Outlines of two readings whose boxes differ by no more, in shares of their size, are one. [-]"""

END_SHARE = 0.02
"""A panel's width at its end is measured so far in, as a share of its length. [-]"""

WIDENS_SHARE = 0.01
"""A panel whose width changes by a smaller share from its end inwards doesn't widen. [-]"""

COUNTED_AREA_SHARE = 0.02
"""Share by which an area that the search counted may differ from what the verifier works out: the
search keeps on the safe side in growing pieces, there they are not grown, or wholly. [-]"""

FLATTENED_SHARE = 2e-3
"""Share by which flattened outlines may be larger than true ones. [-]"""

SHOWN_SHEETS = 0.011
"""Sheets filled are shown to a hundredth, rounded down. [sheets]"""
