"""Small measures of pictures and pages."""

PICTURE_MARGIN = 0.03
"""Margin round a drawing's picture, as a share of its size. [-]"""

HATCH_MM = 0.09
"""Width of a hatching's lines on paper. [mm]"""

CELL_SLACK_MM = 0.05
"""A word may be wider than its cell of a table by so much before it is broken. [mm]"""

LEAST_CUT_MM = 1e-3
"""A column that is too wide loses at least so much at a time. [mm]"""

LABEL_SLACK_MM = 0.05
"""Labels may stand out of their sheet by so much: makers round. [mm]"""

EDGE_MM = 0.05
"""What is nearer than this to a drawn edge lies on it. [mm]"""

WINDOW_MM = 0.01
"""A window on a sheet is drawn with lines this near its edge. [mm]"""

CHART_RING_MM = 0.02
"""Corners that bend a ring by less aren't looked at when a circle is looked for. [mm]"""

CHART_ROUND_SHARE = 0.005
"""A ring that fills its box as a circle does to this share is a hole to be drilled. [-]"""

BESIDE_SHARE = 0.01
"""An edge's direction at a place is taken from here to both sides, as a share of its length. [-]"""

STATION_LABEL = 0.08
"""Names of stations stand so far below a lines plan, as a share of its height. [-]"""

LINE_LABEL = 0.02
"""And names of lines so far above their ends. [-]"""

WALL_GAP = 0.06
"""Room between walls of a box opened out, in shares of its height. [-]"""

SIZE_LINE = 0.05
"""Lines of sizes stand so far off a part, as a share of its size. [-]"""

ADVANCE = 1e-3
"""A letter whose advance differs by less, in ems, needs no place of its own. [-]"""

TWINS_APART_MM = 25.0
"""Port and starboard lie beside each other where no more than this and the saw's clearance is
between them: no piece of a boat fits in there. [mm]"""

TWINS_SHARE = 0.5
"""And where their edges run so near each other over this share of their shorter side. [-]"""

SAME_WAY = 0.02
"""Directions whose unit vectors differ by less are told as one: a degree. [-]"""
EASED_SHARE = 0.02
"""No more of an offcut's side is given up for room beside the cut that takes it off. [-]"""
