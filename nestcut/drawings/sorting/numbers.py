"""Numbers of outlines that stay the same whatever gaps are closed.

The numbers are those of the drawing read without any setting of the job.  What only closing a gap
brings to light is numbered after all of these, in the order in which it was drawn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nestcut.drawings.records import Drawing, DrawnOutline
from nestcut.tolerances.likeness import SAME_AREA_SHARE, SAME_PLACE_SHARE


@dataclass(frozen=True, slots=True)
class Numbers:
    """Numbers that outlines have where nothing is closed.

    ``mm_per_unit`` is how large the other reading takes the drawing's unit to be: two readings may
    differ in it as long as only the builder knows it.
    """

    plain: Drawing | None
    mm_per_unit: float

    def of(self, outlines: Sequence[DrawnOutline], last: int) -> list[int]:
        """Numbers for outlines in the order in which they were drawn; new ones follow ``last``."""
        if self.plain is None:
            return [last + k for k in range(1, len(outlines) + 1)]
        known = [o for o in (*self.plain.outlines, *self.plain.offered) if o.number]
        last = max(last, self.plain.numbered)
        found = []
        for outline in outlines:
            here = next((o for o in known if self._is_same(o, outline)), None)
            if here is None:
                last += 1
            else:
                known = [o for o in known if o is not here]
            found.append(last if here is None else here.number)
        return found

    def _is_same(self, plain: DrawnOutline, closed: DrawnOutline) -> bool:
        """Whether two readings show one outline: on one layer, at one place, of one size."""
        if self.plain is None or plain.layer != closed.layer:
            return False
        one, other = self.plain.mm_per_unit, self.mm_per_unit
        size = max(plain.box_mm[2] - plain.box_mm[0], plain.box_mm[3] - plain.box_mm[1]) / one
        boxes = zip(plain.box_mm, closed.box_mm, strict=True)
        areas = plain.area_mm2 / one**2, closed.area_mm2 / other**2
        return (
            all(abs(a / one - b / other) <= SAME_PLACE_SHARE * size for a, b in boxes)
            and abs(areas[0] - areas[1]) <= SAME_AREA_SHARE * areas[0]
        )
