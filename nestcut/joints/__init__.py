"""Where long parts are divided, and what the pieces look like.

Arithmetic of joints, the builder's rules about them, the cutting of outlines at joint lines, and
the positions that come into question.  Which position wins is decided above, together with the
stock (:mod:`nestcut.boards`, :mod:`nestcut.sheets`, :mod:`nestcut.planning`).

Frame of a part: the drawing's own, seen from the good face.  ``at_mm`` is measured along x from
the outline's least x (along y from the least y where the part is divided across its width) to the
middle of the overlap.
"""
