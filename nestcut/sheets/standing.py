"""The best layout of one material so far, and every checked sheet met on the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from nestcut.errors import SearchError
from nestcut.model.plan import Offcut, is_within
from nestcut.sheets.layouts import FilledSheet, faults_of
from nestcut.sheets.left.offcuts import area_mm2, largest_mm2, offcuts_of
from nestcut.sheets.prepare import RESERVE_ID, Group
from nestcut.tolerances.likeness import SAME_AREA_SHARE

Score = tuple[float, float, float, int, int, float]
"""Smaller is better: area left over, reserve missing, cost, sheets bought, sheets used, minus the
largest offcut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """Filled sheets of one material, checked, with its score."""

    sheets: tuple[FilledSheet, ...]
    unplaced: tuple[str, ...]
    score: Score

    @property
    def cost(self) -> float:
        """What the sheets cost, in the group's own measure."""
        return self.score[2]

    @property
    def offcut_mm2(self) -> float:
        """Area of the largest offcut seen on the sheets that count. [mm2]"""
        return -self.score[5]


@dataclass(slots=True)
class Standing:
    """Keeps the best candidate of a group; only checked sheets enter.

    ``pool`` holds every checked sheet once for each set of pieces, in the order met: columns for
    choosing among sheets.
    """

    group: Group
    best: Candidate | None = None
    pool: dict[tuple[str, tuple[str, ...]], FilledSheet] = field(default_factory=dict)
    refused: int = 0
    _largest: dict[FilledSheet, float] = field(default_factory=dict)
    _offcuts: dict[FilledSheet, tuple[Offcut, ...]] = field(default_factory=dict)

    def offer(self, sheets: tuple[FilledSheet, ...]) -> bool:
        """Check sheets, keep them in the pool, and say whether they make a better whole.

        A sheet with a fault is refused and counted, and the whole with it: the engine is never
        trusted.
        """
        filled = tuple(s for s in sheets if s.lying and not self._is_for_reserve_alone(s))
        sound = [self._take(s) for s in filled]
        if not all(sound):
            return False
        candidate = self._score(filled)
        if self.best is not None and candidate.score[:5] > self.best.score[:5]:
            return False
        better = self._with_offcut(candidate)
        if self.best is None or better.score < self.best.score:
            self.best = better
            return True
        return False

    def rearrange(self, sheets: tuple[FilledSheet, ...]) -> bool:
        """Take the best pieces in other places, if nothing gets worse by it; say whether.

        It costs the same, the rectangles that are kept are as large together, and those of
        :meth:`firm` lie within some that are kept then.
        """
        best = self.sure()
        if sheets == best.sheets or not all(self._take(s) for s in sheets):
            return False
        candidate = self._with_offcut(self._score(sheets))
        if candidate.score[:5] > best.score[:5] or not self._keeps_as_much(best, candidate):
            return False
        self.best = candidate
        return True

    def firm(self, sheet: FilledSheet) -> tuple[Offcut, ...]:
        """Return what is kept of a sheet that nothing may be laid on for looks.

        The largest rectangle, and those that run from edge to edge and come off in one cut.
        """
        offcuts = self.offcuts(sheet)
        x0, y0, x1, y1 = self.group.stock_of(sheet.stock).usable.bounds
        slack = self.group.clearance_mm
        return tuple(
            o
            for k, o in enumerate(offcuts)
            if k == 0
            or o.to_mm[0] - o.from_mm[0] >= x1 - x0 - slack
            or o.to_mm[1] - o.from_mm[1] >= y1 - y0 - slack
        )

    def _keeps_as_much(self, best: Candidate, candidate: Candidate) -> bool:
        kept = [
            sum(area_mm2(o) for s in c.sheets for o in self.offcuts(s)) for c in (best, candidate)
        ]
        return kept[1] >= kept[0] * (1.0 - SAME_AREA_SHARE) and all(
            any(is_within(was, now) for now in self.offcuts(new))
            for old, new in zip(best.sheets, candidate.sheets, strict=True)
            for was in self.firm(old)
        )

    def sure(self) -> Candidate:
        """Return the best candidate.

        Raises
        ------
        SearchError
            If there is none: a fault of ours.
        """
        if self.best is None:
            raise SearchError(f"no valid layout of {self.group.name} was found at all")
        return self.best

    def offcuts(self, sheet: FilledSheet) -> tuple[Offcut, ...]:
        """Return the rectangles left over on a sheet, each sheet worked out once."""
        if sheet not in self._offcuts:
            self._offcuts[sheet] = offcuts_of(self.group, sheet)
        return self._offcuts[sheet]

    def largest_kept_mm2(self, candidate: Candidate) -> float:
        """Area of the largest rectangle that is kept of the sheets that count. [mm2]

        The search compares layouts by :attr:`Candidate.offcut_mm2`, which is measured quickly.
        """
        sheets = self._counted(candidate)
        return max((area_mm2(o) for s in sheets for o in self.offcuts(s)), default=0.0)

    def _counted(self, candidate: Candidate) -> Sequence[FilledSheet]:
        """The sheets that were bought, or all if none was."""
        bought = [s for s in candidate.sheets if self.group.stock_of(s.stock).cost > 0.0]
        return bought or candidate.sheets

    def _is_for_reserve_alone(self, sheet: FilledSheet) -> bool:
        """Whether a sheet would be bought for nothing but the reserve: nobody wants that."""
        return sheet.ids == (RESERVE_ID,) and self.group.stock_of(sheet.stock).cost > 0.0

    def _take(self, sheet: FilledSheet) -> bool:
        key = (sheet.stock, sheet.ids)
        if self.pool.get(key) == sheet:
            return True
        if faults_of(self.group, sheet):
            self.refused += 1
            return False
        self.pool.setdefault(key, sheet)
        return True

    def _score(self, sheets: tuple[FilledSheet, ...]) -> Candidate:
        placed = {i for s in sheets for i in s.ids}
        if sum(len(s.ids) for s in sheets) != len(placed):
            raise SearchError(f"a piece of {self.group.name} was placed twice")
        left = [p for p in self.group.pieces if p.id not in placed]
        costs = [self.group.stock_of(s.stock).cost for s in sheets]
        return Candidate(
            sheets=sheets,
            unplaced=tuple(sorted(p.id for p in left)),
            score=(
                sum(p.net.area for p in left if p.id != RESERVE_ID),
                float(any(p.id == RESERVE_ID for p in left)),
                sum(costs),
                sum(c > 0.0 for c in costs),
                len(sheets),
                0.0,
            ),
        )

    def _with_offcut(self, candidate: Candidate) -> Candidate:
        """Add the largest offcut: of the sheets that were bought, or of all if none was."""
        best = 0.0
        for sheet in self._counted(candidate):
            if sheet not in self._largest:
                self._largest[sheet] = largest_mm2(self.group, sheet)
            best = max(best, self._largest[sheet])
        return Candidate(
            sheets=candidate.sheets,
            unplaced=candidate.unplaced,
            score=(*candidate.score[:5], -best),
        )
