"""Rails and parts sawn out of boards that may come from one board: whoever is laid out second.

Each kind is searched as its own room does it, and is stock to the other.  Three ways are tried, and
the cheapest plan of both counts: every kind from boards of its own; sawn parts from what rails
leave of their boards; and *blanks*, rectangles that hold sawn parts, cut from boards among rails.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import cached_property

from nestcut.boards import BoardsOutcome, Rest, RestsBy, is_cut_from, single_rails
from nestcut.facts import Fact, Money, fact
from nestcut.model.job import Job
from nestcut.model.part import RailPart
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import BoardCut, Counted, SheetLayout, StopReason, each_once
from nestcut.model.stock import SheetStock
from nestcut.planning.sawn.as_sheets import (
    boards_as_sheets,
    boards_left,
    name_board,
    named_for_readers,
)
from nestcut.planning.sawn.blanks import (
    Blank,
    as_cut,
    box_of,
    clear_rests,
    moved,
    offcuts_on_board,
    on_board,
    parted,
    put_on_boards,
    rests_as_sheets,
)
from nestcut.planning.sawn.bounds import Wood, wood_of
from nestcut.planning.totals import deliveries_of, draw_up_buying_list
from nestcut.search.settings import Deadline, Settings, Silent, Watcher
from nestcut.sheets.outcome import SheetsOutcome
from nestcut.sheets.solve import lay_out_at_once, lay_out_sheets

CutRails = Callable[[tuple[RailPart, ...]], BoardsOutcome]
"""Cuts rails from the job's boards."""


@dataclass(frozen=True, slots=True)
class SawBench:
    """Lays sawn parts out on boards as sheets: how hard, how long, and who is told."""

    job: Job
    settings: Settings
    deadline: Deadline
    watcher: Watcher
    executor: Executor | None

    def apart(self, pieces: tuple[SheetPiece, ...], rails: BoardsOutcome) -> SheetsOutcome:
        """Lay parts out on boards of their own, besides those to hand that rails are cut from."""
        boards = self.job.board_stocks
        laid = self.lay_out(pieces, boards_as_sheets(boards_left(boards, rails.layouts)))
        named = tuple(name_board(s, boards) for s in laid.layouts)
        return replace(named_for_readers(laid, boards), layouts=named)

    def lay_out(
        self, pieces: tuple[SheetPiece, ...], stocks: tuple[SheetStock, ...]
    ) -> SheetsOutcome:
        """Lay parts out; where no time is left, without a search."""
        rules = replace(self.job.cutting, reserve_mm=None)
        if self.deadline.stop_reason() is not None:
            return lay_out_at_once(pieces, stocks, rules, self.settings)
        spend = (self.settings, self.deadline, self.watcher, self.executor)
        return lay_out_sheets(pieces, stocks, rules, *spend)


@dataclass(frozen=True, slots=True, kw_only=True)
class FromBoards:
    """All that comes from boards: rails, and sawn parts on layouts named after their boards.

    Bounds of either kind are of that kind alone; ``notes`` say what was saved where one board
    carries both.
    """

    rails: BoardsOutcome
    sawn: SheetsOutcome
    notes: tuple[Fact, ...] = ()

    @property
    def is_shared(self) -> bool:
        """Whether a board carries both."""
        return any(b.blanks for b in self.rails.layouts)


def woods_shared(job: Job, pieces: Sequence[SheetPiece]) -> frozenset[Wood]:
    """Return the woods of which rails and sawn parts could come from one board.

    Parameters
    ----------
    pieces
        What is sawn from boards.
    """
    wanted = {(p.material, p.thickness_mm) for p in pieces}
    return frozenset(
        (board.material, board.thickness_mm)
        for board in job.board_stocks
        if (board.material, board.thickness_mm) in wanted
        and any(is_cut_from(rail, board) for rail in job.rail_parts)
    )


def share_boards(
    job: Job,
    asked: Job,
    pieces: Sequence[SheetPiece],
    apart: FromBoards,
    bench: SawBench,
    cut: CutRails,
) -> FromBoards:
    """Return rails and sawn parts where they cost least together.

    Parameters
    ----------
    job, asked
        The job that is searched, and as it is paid for.
    pieces
        What is sawn from boards.
    apart
        Every kind from boards of its own.
    bench, cut
        Search for one kind.
    """
    sharing = _Sharing(job, tuple(pieces), apart)
    ways = [apart, *sharing.from_rests(replace(bench, watcher=Silent())), *sharing.among_rails(cut)]
    best = min(ways, key=lambda w: _worth(asked, w))
    if not best.is_shared:
        return apart
    paid, apart_paid = (_worth(asked, w)[1] for w in (best, apart))
    number = sum(bool(b.blanks) for b in best.rails.layouts)
    is_told = paid < apart_paid and not apart.sawn.unplaced and not apart.rails.unplaced
    told = fact("PLN-141", n=number, cost=Money(paid), apart=Money(apart_paid))
    return replace(best, notes=(told,) if is_told else ())


def _worth(job: Job, way: FromBoards) -> tuple[int, int, float, int]:
    """Pieces left out, money, wood, joints: less is better. [-, minor units, mm3, -]"""
    lines = draw_up_buying_list(job, way.sawn.layouts, way.rails.layouts)
    paid = sum(line.price_minor * line.count for line in lines)
    paid += sum(d.fee_minor for d in deliveries_of(job, lines))
    wood = sum(
        x.length_mm * x.width_mm * x.thickness_mm
        for x in each_once(way.sawn.layouts, way.rails.layouts)
    )
    left_out = len(way.sawn.unplaced) + len(way.rails.unplaced)
    return left_out, paid, round(wood), len(way.rails.joints)


@dataclass(frozen=True)
class _Sharing:
    """Rails and sawn parts of the woods of which one board could carry both."""

    job: Job
    every: tuple[SheetPiece, ...]
    apart: FromBoards

    @cached_property
    def woods(self) -> frozenset[Wood]:
        return woods_shared(self.job, self.every)

    @cached_property
    def pieces(self) -> dict[str, SheetPiece]:
        """Sawn parts of these woods."""
        own = (p for p in self.every if (p.material, p.thickness_mm) in self.woods)
        return {p.id: p for p in own}

    @cached_property
    def rails(self) -> tuple[RailPart, ...]:
        """Rails of their materials: what they leave of boards hangs together."""
        materials = {material for material, _ in self.woods}
        return tuple(r for r in self.job.rail_parts if r.material in materials)

    def from_rests(self, bench: SawBench) -> Iterator[FromBoards]:
        """Sawn parts from what rails leave of their boards, and from further boards."""
        boards = self.apart.rails.layouts
        known: list[tuple[Rest, ...]] = []
        for by in (RestsBy.AREA, RestsBy.BREADTH):
            rests = clear_rests(self.job, boards, by)
            if not rests or rests in known:
                continue
            known.append(rests)
            bought = boards_as_sheets(boards_left(self.job.board_stocks, boards))
            stocks = (*rests_as_sheets(rests), *bought)
            found = bench.lay_out(tuple(self.pieces.values()), stocks)
            cut, layouts = put_on_boards(self.job, self.pieces, boards, rests, found.layouts)
            yield FromBoards(
                rails=replace(self.apart.rails, layouts=cut),
                sawn=self._beside_others(replace(found, layouts=layouts)),
            )

    def _beside_others(self, found: SheetsOutcome) -> SheetsOutcome:
        """Put new layouts of these woods beside all others; bounds stay those of one kind."""
        boards = self.job.board_stocks
        woods = {b.name: (b.material, b.thickness_mm) for b in boards}
        was = self.apart.sawn
        return replace(
            was,
            layouts=(
                *(s for s in was.layouts if woods[s.stock] not in self.woods),
                *found.layouts,
            ),
            unplaced=(
                *(u for u in was.unplaced if u.piece not in self.pieces),
                *found.unplaced,
            ),
            compared=tuple(c for c in was.compared if wood_of(c.name, boards) not in self.woods),
            stopped_by=max(was.stopped_by, found.stopped_by, key=list(StopReason).index),
        )

    def among_rails(self, cut: CutRails) -> Iterator[FromBoards]:
        """Blanks cut from boards among the rails, where all of them find a place."""
        for blanks in self._blanks():
            named = {b.name: b for b in blanks}
            outcome = cut((*self.rails, *(b.as_rail for b in blanks)))
            of_part = {p.id: p.part for p in outcome.pieces}
            if any(of_part.get(u.piece) in named for u in outcome.unplaced):
                continue
            found = self._taken_apart(outcome, of_part, named)
            if found is not None:
                yield found

    def _blanks(self) -> Iterator[tuple[Blank, ...]]:
        """Yield blanks: one for all that lies on a board, and as many as come apart."""
        stocks = {b.name: b for b in self.job.board_stocks}
        layouts = [
            s for s in self.apart.sawn.layouts if any(p.piece in self.pieces for p in s.placements)
        ]
        whole = [[layout.placements] for layout in layouts]
        apart = [parted(self.pieces, layout.placements) for layout in layouts]
        for lots in (whole, apart) if apart != whole else (whole,):
            pairs = [
                (stocks[layout.stock], lot)
                for layout, own in zip(layouts, lots, strict=True)
                for lot in own
            ]
            yield tuple(
                Blank(
                    name=f"blank {k} for sawn parts",
                    stock=stock,
                    box=box_of(self.pieces, lot),
                    placements=lot,
                    gap_mm=self.job.cutting.on(stock).gap_mm if len(pairs) > 1 else 0.0,
                )
                for k, (stock, lot) in enumerate(pairs, start=1)
            )

    def _taken_apart(
        self, outcome: BoardsOutcome, of_part: dict[str, str], named: dict[str, Blank]
    ) -> FromBoards | None:
        """Tell blanks and rails apart; None: parts would lie nearer than saw or trim allows."""
        saws = {b.name: b.saw for b in self.job.board_stocks}
        trims = {b.name: b.edge_trim_mm for b in self.job.board_stocks}
        kept = self._other_rails()
        boards = list(kept.layouts)
        sawn: list[SheetLayout] = []
        for layout in outcome.layouts:
            lying = [(c, named[of_part[c.piece]]) for c in layout.cuts if of_part[c.piece] in named]
            if any(b.stock.saw != saws[layout.stock] for _, b in lying):
                return None
            trim = trims[layout.stock]  # rails lie nearer to a board's ends than sawn parts may
            ends = trim, layout.length_mm - trim
            if any(c.from_mm < ends[0] or c.to_mm > ends[1] for c, _ in lying):
                return None
            board = replace(
                layout,
                number=len(boards) + 1,
                cuts=tuple(c for c in layout.cuts if of_part[c.piece] not in named),
                blanks=tuple(_tight(c, b) for c, b in lying),
            )
            if board.cuts:
                boards.append(board)
            placements = tuple(
                p
                for c, b in lying
                for p in moved(b.placements, (c.from_mm - b.box[0], c.rip_from_mm - b.box[2]))
            )
            if lying and board.cuts:
                sawn.append(on_board(self.job, board, placements))
            elif lying:
                alone = replace(on_board(self.job, board, placements), board=0)
                offcuts = offcuts_on_board(self.job, alone, self.pieces)
                sawn.append(replace(alone, offcuts=offcuts))
        numbered = tuple(replace(b, number=k) for k, b in enumerate(boards, start=1))
        rails = BoardsOutcome(
            pieces=(*kept.pieces, *(p for p in outcome.pieces if p.part not in named)),
            layouts=numbered,
            joints=(*kept.joints, *outcome.joints),
            unplaced=(*kept.unplaced, *outcome.unplaced),
            bounds=(
                *(b for b in self.apart.rails.bounds if b.measure is not Counted.JOINTS),
                *(b for b in kept.bounds if b.measure is Counted.JOINTS),
                *(b for b in outcome.bounds if b.measure is Counted.JOINTS),
            ),
            findings=(*kept.findings, *outcome.findings),
            stopped_by=max(
                self.apart.rails.stopped_by, outcome.stopped_by, key=list(StopReason).index
            ),
        )
        new = replace(self.apart.sawn, layouts=tuple(sawn), unplaced=())
        return FromBoards(rails=rails, sawn=self._beside_others(new))

    def _other_rails(self) -> BoardsOutcome:
        """What was cut of other materials."""
        was = self.apart.rails
        again = {r.name for r in self.rails}
        ids = {p.id for p in was.pieces if p.part in again}
        wholes = {r.id for r in single_rails(self.rails)} | again | ids
        boards = {b.name for b in self.job.board_stocks if b.material in {m for m, _ in self.woods}}
        return replace(
            was,
            pieces=tuple(p for p in was.pieces if p.id not in ids),
            layouts=tuple(b for b in was.layouts if b.stock not in boards),
            joints=tuple(j for j in was.joints if j.part not in again),
            unplaced=tuple(u for u in was.unplaced if u.piece not in ids),
            bounds=tuple(
                b
                for b in was.bounds
                if not boards & set(b.name.removeprefix("joints in ").split(", "))
            ),
            findings=tuple(f for f in was.findings if f.where not in wholes),
        )


def _tight(cut: BoardCut, blank: Blank) -> BoardCut:
    """A blank where it is parted, without the gap that it was searched with."""
    x0, x1, y0, y1 = blank.box
    x, y = cut.from_mm, cut.rip_from_mm
    return as_cut((x, x + x1 - x0, y, y + y1 - y0))
