"""Lengths and angles below which nothing matters, and how near lines follow each other."""

NOISE_MM = 1e-9
"""Float noise of a length within a boat. [mm]"""

LEAST_MM = 1e-9
"""Stands for no length where something is divided by it. [mm]"""

LEAST_EXTENT_MM = 1e-6
"""Extent that a picture of a single point, or of a straight line, is given. [mm]"""

ON_JOINT_LINE_MM = 1e-9
"""Curves whose middle is nearer to a joint line than this run along it. [mm]
A thousand times float noise at 5 m, and over 5 m no area that matters."""

FIGURES_MM = 1e-6
"""Figures of records that differ by no more are equal. [mm, deg or -]"""

WRITTEN_FIGURES = 2e-6
"""Figures that were written to six places and read again differ by no more. [mm, deg or -]"""

STANDING_MM = 1e-5
"""Margins of a rule that search and verifier measure differ by no more. [mm]"""

EXACT_MM = 1e-6
"""Floats of a length that is an exact number of inches are off by no more. [mm]"""

TURN_DEG = 1e-6
"""A turn may be beyond what a grain allows by float noise only. [deg]"""

ARC_DEG = 1e-7
"""Angles of arcs that differ by no more are the same, whatever the radius. [deg]"""

FACING_SLACK_DEG = 1e-6
"""An edge at 45 degrees faces the sides to both sides of it. [deg]"""

WHOLE_TURN_RAD = 1e-9
"""Arcs that lack less than this of a whole turn are whole. [rad]"""

FINE_ARC_MM = 1e-4
"""Arcs written to a DXF file pass this near the points that they stand for. [mm]"""

CURVE_ARC_MM = 4e-4
"""Arcs stand for a true curve this nearly: its drawing is read back to a micrometre. [mm]"""

THINNEST_MM = 1e-4
"""Loops thinner than this on average enclose nothing. [mm]"""

SAGITTA_MM = 0.00025
"""Chords that stand for a curve are nowhere further from it, for the verifier. [mm]"""

READ_CHORD_MM = 0.0005
"""How near chords follow what is read back. [mm]"""

GIVEN_MM = 0.001
"""Given positions are kept to this. [mm]"""

HORN_MM = 0.1
"""Wood that a notch leaves at the end of its edge is none if it is thinner than this. [mm]"""

SAME_LINE_MM = 0.001
"""True lines that differ by no more are the same line. [mm]
A hundredth of a pencil line's fuzz; a thousand times float noise at 5 m."""

LEAST_FLATNESS_MM = 0.001
"""Finer curves have more points than anything needs. [mm]"""

CLEAN_MM = 1e-3
"""Step of the points of a piece made again, and of figures cleaned of float noise. [mm]"""

READ_LINE_MM = 0.002
"""Drawn lines that are no further from the plan's are the plan's: chords on both sides. [mm]"""

LISTED_MM = 0.0051
"""Lists are written to a hundredth. [mm]"""

COPY_MM = 0.01
"""Copies of an outline agree within this at every corner. [mm]"""

TOLD_MM = 0.01
"""The least distance that a finding tells. [mm]"""

SAME_BOARD_MM = 0.01
"""Boards whose lengths differ by less are of one length. [mm]"""

LINE_LEFT_MM = 0.01
"""Lines this near the end of a cut are at its end. [mm]"""

RULE_MM = 0.01
"""A rule's measure may fall short by so much: it is told to a tenth. [mm]"""

PASSED_MM = 0.005
"""What reaches no further into the way of an offcut's side doesn't stop it: half of what the
verifier grants. [mm]"""

MISSED_MM = 0.5
"""A rectangle that no KEEP names is missing where it is longer and wider by so much than the least
that is worth keeping: the search finds those that are so by a fifth of a millimetre. [mm]"""

SAME_FIGURE_MM = 0.05
"""Corners that differ by no more along a piece have one figure, however finely it is printed. [mm]
Half the finest step of places."""

MERGE_MM = 0.02
"""Vertices that bend an edge by less are dropped before it's read for marking out. [mm]"""

ROUND_MM = 0.02
"""And so far, where the margin is too small for a share of it to matter. [mm]"""

DEVELOPED_EDGE_MM = 0.02
"""How near the edge curves of a panel follow its developed points. [mm]"""

CURVED_GRAIN_DEG = 0.02
"""Slack of the grain's direction, which is read off straight bits that stand for a curve. [deg]"""

DEVELOPED_MARK_MM = 0.05
"""How near station lines follow the section. [mm]"""

ON_LINE_MM = 0.05
"""A corner nearer than this to an edge's line lies on it. [mm]"""

GAP_FLATNESS_MM = 0.05
"""Lines between whose ends a gap is looked for are flattened so finely. [mm]"""

ALIKE_MM = 0.05
"""Two sides of a shape that match so well are one half, drawn twice. [mm]"""

PANEL_EDGE_MM = 0.06
"""A vertex this near a panel's edge lies on it. [mm]"""

CHART_EDGE_MM = 2.0
"""A base line through a panel keeps so far from its edges. [mm]"""

BLANK_EDGE_MM = 0.05
"""An edge of the smaller face nearer the blank's than this isn't marked. [mm]"""

NOT_WORTH_A_LINE_MM = 0.05
"""What is nearer than this isn't worth a line: a butt lies at its pieces' ends. [mm]"""

WHOLE_MM = 0.05
"""A length so near to a whole number of millimetres is shown as one. [mm]"""

DENSIFY_SHARE = 0.05
"""Outlines are held against each other at points a share of their edges apart. [-]"""

STRAP_ROUND_MM = 0.05
"""Slack of a strap's edges where chords stand for round corners. [mm]"""

SQUARE_DEG = 0.05
"""Slack of a joint's direction across a curve. [deg]"""

ALIKE_DEG = 0.05
"""Angles nearer than this are told as one. [deg]"""

SEEN_DEG = 0.05
"""An angle below this prints as nothing. [deg]"""

HAIR_MM = 0.1
"""Left of the longest stock when a joint is placed without a solver: lengths are rounded once more
before boards are cut. [mm]"""

SAME_PLACE_MM = 2e-3
"""A piece fills another's place where no edge is off by more: a fifth of what the verifier grants.
[mm]"""
