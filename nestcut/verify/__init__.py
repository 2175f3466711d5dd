"""The verifier: proves a plan against its job, or says which piece breaks what.

It shares no code with the solvers: true outlines, shapely's distances and affinities, and the
records of :mod:`nestcut.model`, nothing else.  A plan that it refuses is never written.
"""

from nestcut.verify.prove import Verification, verify_plan

__all__ = ["Verification", "verify_plan"]
