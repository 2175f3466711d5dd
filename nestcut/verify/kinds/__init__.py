"""Kinds of joints as the verifier works them out: a module each, none shared with the search.

To add a kind, write its module here, named as in :class:`~nestcut.model.joint.JointKind`.  A kind
without a module stops the program at its start.
"""

from importlib import import_module

from nestcut.model.joint import JointKind
from nestcut.verify.kinds.kind import FAR_MM, JointProof, Sides


def _module(kind: JointKind) -> JointProof:
    made: JointProof = import_module(f"nestcut.verify.kinds.{kind.name.lower()}").KIND
    return made


KINDS: dict[JointKind, JointProof] = {kind: _module(kind) for kind in JointKind}

__all__ = ["FAR_MM", "KINDS", "JointProof", "Sides"]
