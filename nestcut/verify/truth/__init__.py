"""True lines as the verifier sees them: its own evaluation of curves, its own poses and regions.

Nothing here is shared with the search.  Curves become rows of points that lie on the curve, with
chords nowhere further off than :data:`~nestcut.tolerances.lengths.SAGITTA_MM`.
"""

from nestcut.verify.truth.lines import (
    mark_line,
    mirrored_curve,
    mirrored_point,
    reversed_curve,
    ring_line,
    same_curve,
    widest_gap_mm,
)
from nestcut.verify.truth.regions import (
    Rows,
    covered,
    depth_mm,
    line_off_mm,
    mirrored,
    placed,
    region,
    rough,
    stretches,
)

__all__ = [
    "Rows",
    "covered",
    "depth_mm",
    "line_off_mm",
    "mark_line",
    "mirrored",
    "mirrored_curve",
    "mirrored_point",
    "placed",
    "region",
    "reversed_curve",
    "ring_line",
    "rough",
    "same_curve",
    "stretches",
    "widest_gap_mm",
]
