"""Every numeric tolerance, named, with its unit and its reason.

No other room but `trade` writes a number below a tenth (a house test says so).  Here are those that
many rooms share; `noise` has what floats and solvers may be off by, `lengths` how near lines and
angles must follow each other, `likeness` the shares by which shapes are told apart, `search` the
steps of the searches, `looks` small measures of pictures and pages.
"""

FLATNESS_MM = 0.05
"""Greatest distance between a curve and the polyline that stands for it. [mm]
A pencil line is ten times as wide."""

JOIN_GAP_MM = 0.1
"""Loose ends nearer than this are taken for one point. [mm]
A gap of 1 mm is a gap, and reported."""

VERIFY_MM = 0.01
"""Slack that the verifier grants a clearance, an edge or a position. [mm]
Ten times smaller than any saw can show, a thousand times larger than float noise at 10 m."""

BULGE_MM = 0.03
"""Points nearer than this to an arc are written to a DXF file as part of it. [mm]
Less than the flatness of outlines, and than any saw can show."""

SAME_POINT_MM = 1e-6
"""Points nearer than this are the same point to geometry code. [mm]"""

SAME_LENGTH_MM = 1e-6
"""Lengths that differ by less are equal. [mm]"""

AREA_MM2 = 1e-2
"""Areas below this are nothing. [mm2]"""

ANGLE_DEG = 1e-9
"""Angles that differ by less are equal. [deg]"""

UM_PER_MM = 1000
"""Integer models work in micrometres; pieces are rounded up, stock down."""

NM_PER_MM = 1_000_000
"""Board models count in multiples of a nanometre: 1/64 in is a whole number of them."""

SPENT_ROUNDING_MM = 0.05
"""How far a spoilt piece's outline is simplified before it bars its place. [mm]"""
TILT_MM = 0.05
"""A line that climbs less than this from end to end lies flat. [mm]
Drawn heights of some hundredths are rounding of the program that wrote them."""

REDRAWN_MM = 0.6
"""Outlines that run this near to each other all round are one outline, drawn twice. [mm]
About the width of a pencil line: no saw follows both."""
