"""Plans with one thing wrong each: `CASES` has one for every code of the verifier."""

from tests.unit.verify.untrue import boards, buying, joints, pieces, reserves, shared, sheets
from tests.unit.verify.untrue.made import MADE as CASES

__all__ = ["CASES", "boards", "buying", "joints", "pieces", "reserves", "shared", "sheets"]
