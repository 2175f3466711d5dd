"""What a board leaves when it is sawn as its page says, cut by cut: one truth for page and book.

After the last cut a board has come apart into rectangles: its pieces, and others that hold none.
These others are what is left, whole where nothing crosscuts them, and in short lengths where cuts
run through them: nobody finds a strip in one length that the page has had sawn in three.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from nestcut.boards.sawing.every import SawCut, Wood, every_cut
from nestcut.boards.sawing.order import Sawing, SawWay, Span, sawing_of
from nestcut.boards.sawing.rests import Box, Rest, free_boxes, kept_end_mm, rests_at
from nestcut.model.job import Job
from nestcut.model.plan import BoardCut, BoardLayout
from nestcut.model.stock import BoardLength
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.trade.boards import KEPT_END_MM, KEPT_STRIP_MM


def named_blanks(layout: BoardLayout) -> tuple[BoardCut, ...]:
    """Return a board's blanks with names of their own, as its cuts call them."""
    return tuple(replace(c, piece=f"blank {k}") for k, c in enumerate(layout.blanks, start=1))


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardAtSaw:
    """A board as it is sawn: its pieces and blanks, the blade, and what isn't used of it.

    Parameters
    ----------
    layout
        Its size, and what was sawn out of it before and is spoilt.
    sawing
        Pieces and blanks by names, in the order in which they come off.
    kerf_mm
        Taken by every cut. [mm]
    end_trim_mm, edge_trim_mm
        What isn't used of each end and of each edge. [mm]
    """

    layout: BoardLayout
    sawing: Sawing
    kerf_mm: float
    end_trim_mm: float
    edge_trim_mm: float

    @property
    def usable(self) -> Wood:
        """All that can be used of it."""
        size = (self.layout.length_mm, self.layout.width_mm)
        ends, edges = self.end_trim_mm, self.edge_trim_mm
        return Wood((ends, size[0] - ends), (edges, size[1] - edges))

    @property
    def keep_mm(self) -> Span | None:
        """Where the full-width end worth keeping begins, behind the blade, and where it ends. [mm]

        Measured from the marked end, as it is before any cut; without what comes off the far end.
        """
        return kept_end_mm(self._last_mm, self.usable.along_mm[1], self.kerf_mm)

    @property
    def saw_cuts(self) -> tuple[SawCut, ...]:
        """Every cut in its order, to the last one; none where cuts right through don't part it."""
        kept_from = None if self.keep_mm is None else self._last_mm
        return every_cut(self.sawing, self._whole, self.kerf_mm, self.end_trim_mm, kept_from)

    @property
    def left(self) -> tuple[Wood, ...]:
        """What holds no piece after the last cut, in the order in which it comes off.

        Without trim.  Round what is spoilt, and where no cuts right through part the pieces, it is
        the largest rectangles that lie free.
        """
        cuts = self.saw_cuts
        if cuts:
            free = _come_off(cuts, self.sawing.cuts, self._whole, self.kerf_mm)
        else:
            free = _before_and_end(self.usable, self.keep_mm)
        gone = (*self.layout.spent, *(() if cuts else self.sawing.cuts))
        return tuple(
            found
            for block in free
            if (wood := _shared(block, self.usable)) is not None
            for found in _round(gone, wood, self.kerf_mm)
        )

    def kept(self, least_mm: float = KEPT_END_MM.value) -> tuple[Wood, ...]:
        """Return what of it is worth keeping: strips that are wide enough, and ends of any board.

        Parameters
        ----------
        least_mm
            The shortest length that is kept. [mm]
        """
        least_across = min(KEPT_STRIP_MM.value, _size(self.usable.across_mm)) - SAME_LENGTH_MM
        return tuple(
            w
            for w in self.left
            if _size(w.along_mm) >= least_mm - SAME_LENGTH_MM and _size(w.across_mm) >= least_across
        )

    @property
    def _whole(self) -> Wood:
        return Wood((0.0, self.layout.length_mm), (0.0, self.layout.width_mm))

    @property
    def _last_mm(self) -> float:
        """Where the last piece ends, or the last place that is spoilt. [mm]"""
        return max((c.to_mm for c in (*self.sawing.cuts, *self.layout.spent)), default=0.0)


def rests_as_sawn(
    job: Job, layouts: Sequence[BoardLayout], offers: dict[int, BoardLength], least_mm: float
) -> tuple[Rest, ...]:
    """Return what boards of a plan leave that is worth keeping, sawn as their page says.

    Parameters
    ----------
    layouts
        Boards with the cuts that stay, and those that are spent.
    offers
        By a board's number what it was sold as: its defects.
    least_mm
        The shortest length that is kept. [mm]
    """
    stocks = {b.name: b for b in job.board_stocks}
    found: list[Rest] = []
    for layout in layouts:
        stock = stocks[layout.stock]
        kerf_mm = job.cutting.on(stock).kerf_mm
        at_saw = BoardAtSaw(
            layout=layout,
            sawing=sawing_of((*layout.cuts, *named_blanks(layout)), kerf_mm),
            kerf_mm=kerf_mm,
            end_trim_mm=stock.end_trim_mm,
            edge_trim_mm=stock.edge_trim_mm,
        )
        boxes = [(*w.along_mm, *w.across_mm) for w in at_saw.kept(least_mm)]
        found += rests_at(stock, layout.number, boxes, offers.get(layout.number))
    return tuple(found)


def _size(span: Span) -> float:
    """How long a stretch is. [mm]"""
    return span[1] - span[0]


def _come_off(
    cuts: Sequence[SawCut], pieces: Sequence[BoardCut], board: Wood, kerf_mm: float
) -> Iterator[Wood]:
    """Saw a board as told, each cut through the wood that its pieces lie in."""
    places = {c.piece: c for c in pieces}
    blocks = [board]
    for cut in cuts:
        lies = places[min(cut.pieces)]
        block = next(b for b in blocks if _holds(b, lies))
        blocks.remove(block)
        for part in _halves(block, cut, kerf_mm):
            if any(_holds(part, c) for c in pieces):
                blocks.append(part)
            else:
                yield part


def _halves(block: Wood, cut: SawCut, kerf_mm: float) -> Iterator[Wood]:
    """What lies before the blade, and what beyond it; nothing where the blade takes it all."""
    low, high = block.side(cut.way)
    ends = cut.at_mm - kerf_mm if cut.ends_mm is None else cut.ends_mm
    begins = cut.at_mm + kerf_mm if cut.begins_mm is None else cut.begins_mm
    for span in ((low, ends), (begins, high)):
        if span[1] > span[0]:
            yield block.part(span, cut.way)


def _holds(wood: Wood, cut: BoardCut) -> bool:
    """Whether the middle of a piece lies in it: no blade runs through one."""
    x, y = (cut.from_mm + cut.to_mm) / 2.0, (cut.rip_from_mm + cut.rip_to_mm) / 2.0
    (x0, x1), (y0, y1) = wood.along_mm, wood.across_mm
    return x0 < x < x1 and y0 < y < y1


def _before_and_end(usable: Wood, keep_mm: Span | None) -> Iterator[Wood]:
    """A clear end that is kept comes off whole, however the rest is sawn."""
    if keep_mm is None:
        yield usable
        return
    yield usable.part(keep_mm, SawWay.CROSSCUT)
    yield usable.part((usable.along_mm[0], keep_mm[0]), SawWay.CROSSCUT)


def _shared(one: Wood, other: Wood) -> Wood | None:
    """What two rectangles share."""
    along, across = (
        (max(a[0], b[0]), min(a[1], b[1]))
        for a, b in ((one.along_mm, other.along_mm), (one.across_mm, other.across_mm))
    )
    return Wood(along, across) if along[0] < along[1] and across[0] < across[1] else None


def _round(gone: Iterable[BoardCut], wood: Wood, kerf_mm: float) -> Iterator[Wood]:
    """The wood itself where none of it is gone, else the largest rectangles beside what is."""
    whole: Box = (*wood.along_mm, *wood.across_mm)
    near = [c for c in gone if _is_near(c, whole, kerf_mm)]
    if not near:
        yield wood
        return
    for box in free_boxes(whole, near, kerf_mm):
        yield Wood(box[:2], box[2:])


def _is_near(cut: BoardCut, box: Box, kerf_mm: float) -> bool:
    """Whether a place that was sawn out reaches into a rectangle, blade and all."""
    grown = kerf_mm - SAME_LENGTH_MM
    return (
        cut.from_mm - grown < box[1]
        and cut.to_mm + grown > box[0]
        and cut.rip_from_mm - grown < box[3]
        and cut.rip_to_mm + grown > box[2]
    )
