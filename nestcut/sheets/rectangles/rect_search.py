"""The search for one material whose pieces are all upright rectangles on whole sheets.

Sides are micrometres, pieces rounded up and sheets down, each with the clearance added once, so
that only kerfs between pieces count.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from nestcut.geometry.pose import move_vector
from nestcut.model.curves import Point
from nestcut.model.pose import Placement, Pose
from nestcut.nesting.engine import Rectangles
from nestcut.nesting.problem import Rect, RectBin, RectPacking, RectPlace, Turns
from nestcut.search.settings import Deadline
from nestcut.search.work import SheetWork
from nestcut.sheets.choose import choose_sheets
from nestcut.sheets.layouts import FilledSheet
from nestcut.sheets.least.bounds import LeastBuy
from nestcut.sheets.left.offcuts import is_useful
from nestcut.sheets.prepare import RESERVE_ID, Group, PreparedPiece, PreparedStock
from nestcut.sheets.search import Told, is_cheapest
from nestcut.sheets.standing import Standing
from nestcut.tolerances import UM_PER_MM
from nestcut.tolerances.noise import NOISE, NOISE_UM, SOLVER_SLACK

_MOST_SETS = 400
"""Sets of sheets looked at in one round."""


def is_rectangular(group: Group) -> bool:
    """Whether all pieces are upright rectangles and all sheets whole ones without keep-outs."""
    return all(
        p.sides_mm is not None and _quarters(p.item.turns) is not None for p in group.pieces
    ) and all(s.stock.outline is None and not s.container.blocked for s in group.stocks)


def _quarters(turns: Turns) -> tuple[float, ...] | None:
    """One upright and one sideways turn, as far as they are allowed; None if others matter."""
    if turns.is_free:
        return (0.0, 90.0)
    if not turns.is_discrete:
        return None
    upright = [t for t in turns.centres_deg if t % 180.0 == 0.0]
    sideways = [t for t in turns.centres_deg if t % 180.0 == 90.0]
    if len(upright) + len(sideways) != len(turns.centres_deg):
        return None
    return (*upright[:1], *sideways[:1])


class Filled(Enum):
    """Which way a sheet is filled: what is left lies beyond."""

    ALONG = "along"
    ACROSS = "across"


@dataclass(slots=True)
class RectSearch:
    """Search with whole numbers; ``engine`` packs."""

    engine: Rectangles
    group: Group
    standing: Standing
    seed: int
    told: Told
    _rounds: int = 0

    def first(self, deadline: Deadline) -> None:
        """Greedy packings on each kind of sheet; the cheapest stands."""
        del deadline
        pieces = self.group.pieces
        for kinds in self._endless_sets():
            packing = self.engine.first(self._rects(pieces), self._bins(kinds))
            self._offer(pieces, kinds, packing)

    def cheaper(self, work: SheetWork, deadline: Deadline, least: LeastBuy | None) -> None:
        """Try cheaper and cheaper sets of sheets until the bound is met or the work is done."""
        tries, share = 0, 2000
        self._rounds += 1
        if is_cheapest(self.standing, least):
            return
        while tries < work.rect_tries and deadline.stop_reason() is None:
            tried = False
            for kinds in self._cheaper_sets(least):
                tried = True
                tries += share
                if self._try(kinds, share, f"{self._rounds} {share}", deadline):
                    break
                if tries >= work.rect_tries or deadline.stop_reason() is not None:
                    break
            else:
                share *= 3
                chosen = choose_sheets(self.standing, deadline)
                if chosen is not None and self.standing.offer(chosen):
                    self.told()
            if not tried:
                return

    def larger_offcut(self, work: SheetWork, deadline: Deadline) -> None:
        """With these sheets, make the last bought one as empty as possible, along or across."""
        best = self.standing.sure()
        if not any(is_useful(*self._mm(s.stock)) for s in best.sheets):
            return
        order = sorted(
            (s.stock for s in best.sheets),
            key=lambda name: (self.group.stock_of(name).cost > 0.0, self._place(name)),
        )
        kinds = tuple(self._place(name) for name in order)
        for way in Filled:
            tries = work.rect_tries // 4
            self._try(kinds, tries, f"offcut {way.value}", deadline, way)

    def _mm(self, name: str) -> tuple[float, float]:
        x0, y0, x1, y1 = self.group.stock_of(name).usable.bounds
        return x1 - x0, y1 - y0

    def _place(self, name: str) -> int:
        return next(k for k, s in enumerate(self.group.stocks) if s.container.id == name)

    def _try(
        self,
        kinds: tuple[int, ...],
        tries: int,
        name: str,
        deadline: Deadline,
        filled: Filled = Filled.ALONG,
    ) -> bool:
        placed = set(self.standing.sure().unplaced)
        pieces = tuple(p for p in self.group.pieces if p.id not in placed) or self.group.pieces
        if placed and placed != {RESERVE_ID}:
            pieces = self.group.pieces
        packing = self.engine.search(
            self._rects(pieces, filled),
            self._bins(kinds, filled),
            tries=tries,
            seed=self.seed,
            name=f"{self.group.name} {kinds} {name}",
            deadline=deadline,
            good_enough=None if name.startswith("offcut") else 2**62,
        )
        return self._offer(pieces, kinds, packing, filled)

    def _rects(
        self, pieces: tuple[PreparedPiece, ...], filled: Filled = Filled.ALONG
    ) -> tuple[Rect, ...]:
        rects = []
        for p in pieces:
            w, h = self._sides(p)
            quarters = _quarters(p.item.turns) or (0.0,)
            if (quarters[0] % 180.0 == 90.0) != (filled is Filled.ACROSS):
                w, h = h, w
            rects.append(Rect(width=w, height=h, can_turn=len(quarters) > 1))
        return tuple(rects)

    def _sides(self, piece: PreparedPiece) -> tuple[int, int]:
        w, h = piece.sides_mm or (0.0, 0.0)
        c = self.group.clearance_mm
        return piece_um(w, c), piece_um(h, c)

    def _bins(self, kinds: tuple[int, ...], filled: Filled = Filled.ALONG) -> tuple[RectBin, ...]:
        bins = []
        for k in kinds:
            w, h = self._room(self.group.stocks[k])
            if filled is Filled.ACROSS:
                w, h = h, w
            bins.append(RectBin(width=w, height=h))
        return tuple(bins)

    def _room(self, stock: PreparedStock) -> tuple[int, int]:
        """Sides of the usable area in the engine's frame, clearance added. [um]"""
        x0, y0, x1, y1 = stock.usable.bounds
        c = self.group.clearance_mm
        sides = sheet_um(x1 - x0, c), sheet_um(y1 - y0, c)
        return sides if stock.frame_turn_deg == 0.0 else sides[::-1]

    def _endless_sets(self) -> Iterator[tuple[int, ...]]:
        """Everything to hand, then as much of one kind on sale as could ever be needed."""
        stocks = self.group.stocks
        n = len(self.group.pieces)
        counted = [k for k, s in enumerate(stocks) for _ in range(min(s.stock.count or 0, n))]
        on_sale = [k for k, s in enumerate(stocks) if s.stock.count is None]
        if not on_sale:
            yield tuple(counted)
        for k in on_sale:
            yield (*counted, *([k] * n))
        if counted and on_sale:
            for k in on_sale:
                yield tuple([k] * n)

    def _cheaper_sets(self, least: LeastBuy | None) -> list[tuple[int, ...]]:
        """Sets of sheets that cost less than the best, or as much with fewer sheets.

        Only those with area enough, the cheapest first; what is to hand for nothing is always in.
        """
        best = self.standing.sure()
        stocks = self.group.stocks
        if best.unplaced and not any(s.stock.count is None for s in stocks):
            return [next(iter(self._endless_sets()))]
        need = sum(a * b for a, b in (self._sides(p) for p in self.group.pieces))
        rooms = [a * b for a, b in (self._room(s) for s in stocks)]
        floor = least.cost if least is not None else 0.0
        free = tuple(
            k
            for k, s in enumerate(stocks)
            if s.cost == 0.0
            for _ in range(min(s.stock.count or 0, len(self.group.pieces)))
        )
        paid = [k for k, s in enumerate(stocks) if s.cost > 0.0]
        found: list[tuple[float, int, tuple[int, ...]]] = []
        start = sum(rooms[k] for k in free)

        def extend(chosen: tuple[int, ...], cost: float, room: int, at: int) -> None:
            if len(found) >= _MOST_SETS:
                return
            better = (cost, len(chosen)) < (best.cost - NOISE, 0) or (
                abs(cost - best.cost) <= NOISE and len(chosen) < best.score[3]
            )
            if not better:
                return
            if room >= need and cost >= floor - SOLVER_SLACK:
                found.append((cost, len(chosen), (*free, *chosen)))
            for k in paid[at:]:
                limit = stocks[k].stock.count
                if limit is None or chosen.count(k) < limit:
                    extend((*chosen, k), cost + stocks[k].cost, room + rooms[k], paid.index(k))

        extend((), 0.0, start, 0)
        # dearest first: it is the most likely to hold everything, and each success prunes
        found.sort(key=lambda f: (-f[0], f[1], f[2]))
        return [f[2] for f in found[:8]]

    def _offer(
        self,
        pieces: tuple[PreparedPiece, ...],
        kinds: tuple[int, ...],
        packing: RectPacking,
        filled: Filled = Filled.ALONG,
    ) -> bool:
        by_bin: dict[int, list[Placement]] = {}
        for piece, place in zip(pieces, packing.places, strict=True):
            if place is not None:
                stock = self.group.stocks[kinds[place.bin]]
                lies = self._lies(piece, stock, place, filled)
                by_bin.setdefault(place.bin, []).append(lies)
        sheets = tuple(
            FilledSheet(
                stock=self.group.stocks[kinds[b]].container.id,
                lying=tuple(sorted(by_bin[b], key=lambda p: p.piece)),
            )
            for b in sorted(by_bin)
        )
        better = self.standing.offer(sheets)
        if better:
            self.told()
        return better

    def _lies(
        self, piece: PreparedPiece, stock: PreparedStock, place: RectPlace, filled: Filled
    ) -> Placement:
        """Placement in the sheet's frame of a piece whose lower left corner is given."""
        quarters = _quarters(piece.item.turns) or (0.0,)
        turn_engine = quarters[1] if place.turned else quarters[0]
        w, h = piece.sides_mm or (0.0, 0.0)
        turn = (turn_engine + stock.frame_turn_deg) % 360.0
        wide, high = (h, w) if turn % 180.0 == 90.0 else (w, h)
        x, y = (place.y, place.x) if filled is Filled.ACROSS else (place.x, place.y)
        if stock.frame_turn_deg != 0.0:
            # the engine's x runs along the sheet's y here; the corner stays the lower left one
            x, y = y, x
        ux, uy = stock.usable.bounds[0], stock.usable.bounds[1]
        centre: Point = (ux + x / UM_PER_MM + wide / 2.0, uy + y / UM_PER_MM + high / 2.0)
        cx, cy = move_vector(piece.centre, Pose(turn_deg=turn))
        return Placement(
            piece=piece.id,
            turn_deg=turn,
            shift_mm=(round(centre[0] - cx, 4) + 0.0, round(centre[1] - cy, 4) + 0.0),
        )


def piece_um(length_mm: float, clearance_mm: float) -> int:
    """Side of a piece with the clearance, rounded up. [um]"""
    return math.ceil((length_mm + clearance_mm) * UM_PER_MM - NOISE_UM)


def sheet_um(length_mm: float, clearance_mm: float) -> int:
    """Side of a sheet's usable area with the clearance, rounded down. [um]"""
    return math.floor((length_mm + clearance_mm) * UM_PER_MM + NOISE_UM)
