"""Kinds of joints as the verifier works them out: a module each, none shared with the search.

A kind that isn't in :data:`KINDS` is refused: to add one, write its module here and name it below.
"""

from nestcut.model.joint import JointKind
from nestcut.verify.kinds.butt import BUTT
from nestcut.verify.kinds.keyed import KEYED
from nestcut.verify.kinds.kind import FAR_MM, Kind, Sides
from nestcut.verify.kinds.scarf import SCARF

KINDS: dict[JointKind, Kind] = {
    JointKind.SCARF: SCARF,
    JointKind.BUTT_STRAP: BUTT,
    JointKind.KEYED: KEYED,
}

__all__ = ["FAR_MM", "KINDS", "Kind", "Sides"]
