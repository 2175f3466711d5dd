"""Kinds of joints, a module each behind one record of answers (:class:`JointMaking`).

To add one: a line in :class:`~nestcut.model.joint.JointKind`, a module of that name here and in
the verifier's own room of kinds, and its words in :mod:`nestcut.words.joint_kinds`.  A kind without
one of these stops the program at its start, so none falls through to another.
"""

from importlib import import_module

from nestcut.joints.kinds.kind import JointMaking, NoRail, Picture, Profile, Weakness
from nestcut.model.joint import JointKind


def _module(kind: JointKind) -> JointMaking:
    made: JointMaking = import_module(f"nestcut.joints.kinds.{kind.name.lower()}").KIND
    return made


KINDS: dict[JointKind, JointMaking] = {kind: _module(kind) for kind in JointKind}
"""What each kind answers."""
FOR_RAILS = tuple(kind.value for kind in JointKind if KINDS[kind].no_rail is None)
"""Kinds that rails are joined with."""
LAPPED = tuple(kind.value for kind in JointKind if KINDS[kind].laps)
"""Kinds whose pieces share wood."""

__all__ = [
    "FOR_RAILS",
    "KINDS",
    "LAPPED",
    "JointMaking",
    "NoRail",
    "Picture",
    "Profile",
    "Weakness",
]
