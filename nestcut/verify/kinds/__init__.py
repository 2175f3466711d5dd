"""Kinds of joints as the verifier works them out: a module each, none shared with the search.

To add a kind, write its module here, named as in :class:`~nestcut.model.joint.JointKind`.  A kind
without a module stops the program at its start.
"""

from importlib import import_module

from nestcut.model.joint import JointKind
from nestcut.verify.kinds.kind import FAR_MM, Kind, Sides


def _module(kind: JointKind) -> Kind:
    made: Kind = import_module(f"nestcut.verify.kinds.{kind.name.lower()}").KIND
    return made


KINDS: dict[JointKind, Kind] = {kind: _module(kind) for kind in JointKind}

__all__ = ["FAR_MM", "KINDS", "Kind", "Sides"]
