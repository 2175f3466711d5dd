"""Every cut that a board takes, to the last one, in an order in which it comes apart.

The marked end is squared first, a clear end worth keeping comes off next; then whatever can be
ripped from end to end is ripped, and what can't is crosscut, block by block, until every piece has
its four edges.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from nestcut.boards.sawing.order import Sawing, SawWay, Span, blocks_of, span_of
from nestcut.model.plan import BoardCut
from nestcut.tolerances import VERIFY_MM


@dataclass(frozen=True, slots=True)
class SawCut:
    """One cut of a board.

    Parameters
    ----------
    way
        Which way it runs.
    ends_mm, begins_mm
        Where what lies before the cut ends, and where what lies beyond it begins; the blade runs
        between. None: that side is waste, or a clear end that is kept. [mm]
    pieces
        Ids of the pieces in what is sawn.
    is_keep
        Whether a clear end worth keeping comes off.
    is_planed
        Whether the blade would leave a shaving thinner than itself, or none: that is planed.
    """

    way: SawWay
    ends_mm: float | None
    begins_mm: float | None
    pieces: frozenset[str]
    is_keep: bool = False
    is_planed: bool = False

    @property
    def at_mm(self) -> float:
        """Where it is measured. [mm]"""
        found = self.begins_mm if self.ends_mm is None else self.ends_mm
        return 0.0 if found is None else found


@dataclass(frozen=True, slots=True)
class Wood:
    """A rectangle of a board: along and across. [mm]"""

    along_mm: Span
    across_mm: Span

    def side(self, way: SawWay) -> Span:
        """The side that a cut of that direction shortens. [mm]"""
        return self.across_mm if way is SawWay.RIP else self.along_mm

    def part(self, span: Span, way: SawWay) -> Wood:
        """What is left between two cuts of that direction."""
        return replace(self, across_mm=span) if way is SawWay.RIP else replace(self, along_mm=span)


def every_cut(
    sawing: Sawing, board: Wood, kerf_mm: float, end_trim_mm: float, kept_from_mm: float | None
) -> tuple[SawCut, ...]:
    """Return a board's cuts in their order; none where no cuts right through part its pieces.

    Parameters
    ----------
    kerf_mm
        Taken by every cut. [mm]
    end_trim_mm
        What comes off the marked end. [mm]
    kept_from_mm
        Where the last piece ends and a clear end is kept beyond the blade. [mm]
    """
    if not sawing.comes_apart or not sawing.cuts:
        return ()
    everything = _names(sawing.cuts)
    found: list[SawCut] = []
    first, last = board.along_mm
    if end_trim_mm > VERIFY_MM:
        first = end_trim_mm
        found.append(SawCut(way=SawWay.CROSSCUT, ends_mm=None, begins_mm=first, pieces=everything))
    if kept_from_mm is not None:
        last = kept_from_mm
        kept = SawCut(
            way=SawWay.CROSSCUT, ends_mm=last, begins_mm=None, pieces=everything, is_keep=True
        )
        found.append(kept)
    wood = board.part((first, last), SawWay.CROSSCUT)
    return (*found, *_apart(sawing.cuts, wood, kerf_mm))


def _apart(cuts: tuple[BoardCut, ...], wood: Wood, kerf_mm: float) -> Iterator[SawCut]:
    """Cuts of one block: right through it where they can be, then in what that makes."""
    for way in SawWay:
        blocks = blocks_of(cuts, kerf_mm, way)
        if len(blocks) == 1 and len(cuts) > 1:
            continue
        yield from _through(blocks, wood, kerf_mm, way)
        for block in blocks:
            rest = wood.part(_extent(block, way), way)
            if len(block) > 1:
                yield from _apart(block, rest, kerf_mm)
            else:
                yield from _through([block], rest, kerf_mm, way.other)
        return


def _through(
    blocks: Sequence[tuple[BoardCut, ...]], wood: Wood, kerf_mm: float, way: SawWay
) -> Iterator[SawCut]:
    """Cuts of one direction: before the first block, between blocks, and beyond the last."""

    def cut(
        ends: float | None, begins: float | None, whose: frozenset[str], waste_mm: float = math.inf
    ) -> SawCut:
        is_planed = way is SawWay.RIP and waste_mm < 2.0 * kerf_mm - VERIFY_MM
        return SawCut(way=way, ends_mm=ends, begins_mm=begins, pieces=whose, is_planed=is_planed)

    low, high = wood.side(way)
    spans = [_extent(block, way) for block in blocks]
    left = list(blocks)
    if spans[0][0] > low + VERIFY_MM:
        yield cut(None, spans[0][0], _names(c for b in left for c in b), spans[0][0] - low)
    for (_, end), (begin, _) in pairwise(spans):
        whose = _names(c for b in left for c in b)
        left = left[1:]
        if begin - end <= kerf_mm + VERIFY_MM:
            yield cut(end, begin, whose)
        else:
            yield cut(end, None, whose)
            waste_mm = begin - end - kerf_mm  # as the blade before has left it
            yield cut(None, begin, _names(c for b in left for c in b), waste_mm)
    if spans[-1][1] < high - VERIFY_MM:
        yield cut(spans[-1][1], None, _names(left[-1]), high - spans[-1][1])


def _extent(cuts: Sequence[BoardCut], way: SawWay) -> Span:
    spans = [span_of(c, way) for c in cuts]
    return min(s[0] for s in spans), max(s[1] for s in spans)


def _names(cuts: Iterable[BoardCut]) -> frozenset[str]:
    return frozenset(c.piece for c in cuts)
