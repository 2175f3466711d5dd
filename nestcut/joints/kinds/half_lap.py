"""Half laps in rails and frames: half the thickness is taken from either piece.

The lap is as long as the slope makes of the thickness, as a scarf's: the cheeks are glued along
the grain over the same length.  Its shoulders are end grain and carry nothing, so half the wood is
cut at either end of the lap: for frames, cleats and straight rails, not for what is bent round a
hull (common practice, no source).
"""

from __future__ import annotations

from nestcut.joints.kinds.kind import JointMaking
from nestcut.joints.kinds.scarf import lapped_faces, lapped_mm, steep

KIND = JointMaking(
    overlap_mm=lapped_mm,
    need_mm=lapped_mm,
    planed=lapped_faces,
    weakness=steep,
    mark="lap begins",
    end=((1.0, 0.0), (1.0, 0.5), (0.0, 0.5), (0.0, 1.0)),
)
