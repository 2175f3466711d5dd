"""Kinds of joints, a module each behind one record of answers (:class:`Kind`).

To add one: a line in :class:`~nestcut.model.joint.JointKind`, and a module of that name here and
in the verifier's own room of kinds.  A kind without its module stops the program at its start, so
none falls through to another.
"""

from importlib import import_module

from nestcut.joints.kinds.kind import Kind, NoRail, Profile, Weakness
from nestcut.model.joint import JointKind


def _module(kind: JointKind) -> Kind:
    made: Kind = import_module(f"nestcut.joints.kinds.{kind.name.lower()}").KIND
    return made


KINDS: dict[JointKind, Kind] = {kind: _module(kind) for kind in JointKind}
"""What each kind answers."""

__all__ = ["KINDS", "Kind", "NoRail", "Profile", "Weakness"]
