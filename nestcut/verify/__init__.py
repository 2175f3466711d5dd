"""The verifier: proves a plan against its job, or says which piece breaks what.

It reads the job itself: true outlines, joint rules, stock, kerf and prices.  Of the search it uses
nothing: curves are evaluated, pieces joined and laid, and sums made by its own code (rooms
``truth``, ``kinds``, ``flat``, ``stock``) with shapely's predicates.  A plan that it refuses is
never written.
"""

from nestcut.verify.prove import Prover, Verification, verify_plan
from nestcut.verify.tally import tally

__all__ = ["Prover", "Verification", "tally", "verify_plan"]
