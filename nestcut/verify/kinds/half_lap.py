"""Half laps: both pieces have slope times thickness, and half of either is taken away."""

from __future__ import annotations

from nestcut.verify.kinds.kind import JointProof
from nestcut.verify.kinds.scarf import lapped

KIND: JointProof = lapped("lap begins")
