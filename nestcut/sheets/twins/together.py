"""Sheets laid out anew with twins made one, so that they lie beside each other.

Nothing may get worse by it (:meth:`nestcut.sheets.standing.Standing.rearrange`).
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from nestcut.geometry.offset import polygons_of
from nestcut.geometry.pose import move_points, move_vector
from nestcut.model.plan import Offcut
from nestcut.model.pose import Placement, Pose
from nestcut.nesting.engine import ENGINE
from nestcut.nesting.problem import Budget, Container, NestPlacement, Problem
from nestcut.search.settings import Deadline
from nestcut.sheets.layouts import FilledSheet, on_sheet
from nestcut.sheets.prepare import Group, PreparedPiece, PreparedStock
from nestcut.sheets.search import engine_placements
from nestcut.sheets.standing import Standing
from nestcut.sheets.twins.exchange import exchanged
from nestcut.sheets.twins.glued import Glued, as_they_lie, ways_beside
from nestcut.sheets.twins.pairs import Lying, Nearness, Pair, pairs_of
from nestcut.tolerances import VERIFY_MM

_AT_ONCE = 60
"""Passes for one try. [-]"""
_LEAST = 3
"""Passes below which a try isn't worth its preparation: the largest twins are tried then. [-]"""


def bring_together(standing: Standing, passes: int, seed: int, deadline: Deadline) -> bool:
    """Bring the twins of a material beside each other, where nothing gets worse by it.

    Pieces of one outline exchange their places first.  Then the largest twins first are made one
    and their sheets laid out anew, or all sheets of the material.

    Parameters
    ----------
    passes
        Work, as the engine counts it.
    seed
        Source of chance.

    Returns
    -------
    bool
        Whether anything has been moved.
    """
    pairs = pairs_of(standing.group)
    before = standing.sure()
    if not pairs or before.unplaced:
        return False
    run = _Run(standing, pairs, passes, seed, deadline)
    run.exchange()
    for part in (2, 1):  # who found no room may find some when the others lie together
        waiting = run.waiting()
        for k, pair in enumerate(waiting):
            fair = run.left // (part * (len(waiting) - k))
            run.share = min(run.left, max(_LEAST, fair))
            run.bring(pair)
    run.exchange()
    return standing.sure() is not before


@dataclass(slots=True)
class _Run:
    """One material's twins under way."""

    standing: Standing
    pairs: tuple[Pair, ...]
    left: int
    """Passes that may still be spent."""
    seed: int
    deadline: Deadline
    share: int = 0
    """Passes of those for the pair at hand."""
    _tries: int = 0
    _looked_at: tuple[tuple[FilledSheet, ...], Lying] | None = None
    """The sheets that were looked at last, and what was seen."""
    _ways: dict[Hashable, tuple[Glued, ...]] = field(default_factory=dict)
    """Ways beside each other of outlines: copies share them."""

    def exchange(self) -> None:
        group, sheets = self.standing.group, self.standing.sure().sheets
        self.standing.rearrange(exchanged(group, sheets, self.pairs))

    def waiting(self) -> tuple[Pair, ...]:
        """Return the pairs that don't lie side by side."""
        lying = self._lying()
        return tuple(p for p in self.pairs if lying.nearness(p) is not Nearness.BESIDE)

    def bring(self, pair: Pair) -> None:
        """Try to have one pair lie side by side."""
        if not self._goes_on():
            return
        group, sheets = self.standing.group, self.standing.sure().sheets
        lying = self._lying()
        own = [lying.number_of(i) for i in pair]
        if lying.nearness(pair) is Nearness.BESIDE:
            return
        before = lying.sum_of(self.pairs)
        ways = tuple(w for w in self._ways_beside(pair) if _has_room(group, w))
        mine = sorted({n for n in own if n is not None})
        for numbers, barred in self._fields(mine, len(sheets)):
            desk = _Desk(group, lying, sheets, self.pairs, numbers, barred)
            for way in ways:
                for anchor in pair:
                    if not self._goes_on():
                        return
                    found = desk.laid_anew(way, anchor, self._budget())
                    if found is None:
                        continue
                    whole = tuple(found.get(k, s) for k, s in enumerate(sheets))
                    now = exchanged(group, whole, self.pairs)
                    nearer = Lying.of(group, now).sum_of(self.pairs) > before
                    if nearer and self.standing.rearrange(now):
                        return

    def _goes_on(self) -> bool:
        return self.share > 0 and self.deadline.stop_reason() is None

    def _lying(self) -> Lying:
        """Look at the sheets as they are, anew only if they have changed."""
        sheets = self.standing.sure().sheets
        if self._looked_at is None or self._looked_at[0] is not sheets:
            self._looked_at = (sheets, Lying.of(self.standing.group, sheets))
        return self._looked_at[1]

    def _ways_beside(self, pair: Pair) -> tuple[Glued, ...]:
        group = self.standing.group
        first, second = (group.piece_of(i) for i in pair)
        key = (_outline_of(first), _outline_of(second))
        if key not in self._ways:
            self._ways[key] = ways_beside(first, second, group.clearance_mm)
        return tuple(way.of_copies(first, second) for way in self._ways[key])

    def _fields(
        self, own: list[int], count: int
    ) -> Iterator[tuple[list[int], dict[int, tuple[Offcut, ...]]]]:
        """Sheets that are laid out anew, and what stays free on each of them: the least first."""
        sheets = self.standing.sure().sheets
        firm = {k: self.standing.firm(s) for k, s in enumerate(sheets)}
        kept = {k: self.standing.offcuts(s) for k, s in enumerate(sheets)}
        yield own, kept
        if any(kept[k] != firm[k] for k in own):
            yield own, firm
        if len(own) < count:
            yield list(range(count)), firm

    def _budget(self) -> Budget:
        passes = min(_AT_ONCE, self.share)
        self.share -= passes
        self.left -= passes
        self._tries += 1
        return Budget(
            passes=passes,
            deadline=self.deadline,
            seed=self.seed,
            stream=f"{self.standing.group.name} twins {self._tries}",
        )


def _outline_of(piece: PreparedPiece) -> Hashable:
    """What decides about the ways in which a piece lies beside its twin."""
    item = piece.item
    return (piece.net.wkb, piece.centre, item.outline.tobytes(), item.lies, item.turns)


def _has_room(group: Group, way: Glued) -> bool:
    """Whether twins made one are no longer and no wider than some sheet, as they lie or turned."""
    x0, y0, x1, y1 = way.piece.net.bounds
    sides = [(x1 - x0, y1 - y0)]
    if len(way.piece.item.turns.centres_deg) == len(_ALL_TURNS):
        sides.append((y1 - y0, x1 - x0))
    return any(
        width <= high[0] - low[0] and height <= high[1] - low[1]
        for s in group.stocks
        for low, high in [(s.container.outline.min(axis=0), s.container.outline.max(axis=0))]
        for width, height in sides
    )


_ALL_TURNS = (0.0, 90.0, 180.0, 270.0)


@dataclass(slots=True)
class _Desk:
    """Some sheets of a layout that are laid out anew. ``barred`` is what stays free on each."""

    group: Group
    lying: Lying
    sheets: tuple[FilledSheet, ...]
    pairs: tuple[Pair, ...]
    numbers: list[int]
    barred: dict[int, tuple[Offcut, ...]]

    def laid_anew(self, way: Glued, anchor: str, budget: Budget) -> dict[int, FilledSheet] | None:
        """Lay the sheets out with a pair made one, from where ``anchor`` lies; None: no room found.

        Twins that lie beside each other already stay as they lie to each other.
        """
        at = {
            p.item: p
            for k in self.numbers
            for p in engine_placements(self.group, self.sheets[k], k)
        }
        glued = {way.piece.id: way}
        for pair in self.pairs:
            if pair[0] in at and self.lying.nearness(pair) is Nearness.BESIDE:
                one = self._as_they_lie(pair, at)
                glued[one.piece.id] = one
        begin = {name: _begins(self.group, g, anchor, at) for name, g in glued.items()}
        members = {m.piece for g in glued.values() for m in g.members}
        begin |= {name: p for name, p in at.items() if name not in members}
        pieces = [self.group.piece_of(name) for name in at if name not in members]
        pieces += [g.piece for g in glued.values()]
        pieces.sort(key=lambda p: (-p.net.area, p.id))
        containers = {k: self._container(k) for k in self.numbers}
        nest = ENGINE.settle(
            Problem(items=tuple(p.item for p in pieces), containers=tuple(containers.values())),
            tuple((c.id, 0) for c in containers.values()),
            budget,
            tuple(replace(p, container=containers[p.number].id, number=0) for p in begin.values()),
        )
        if nest is None:
            return None
        by_id = {p.id: p for p in pieces}
        number_of = {c.id: k for k, c in containers.items()}
        found: dict[int, list[Placement]] = {k: [] for k in self.numbers}
        for placed in nest.placements:
            k = number_of[placed.container]
            lies = on_sheet(by_id[placed.item], self._stock(k), placed)
            found[k] += glued[placed.item].apart(lies) if placed.item in glued else (lies,)
        return {
            k: replace(self.sheets[k], lying=tuple(sorted(some, key=lambda p: p.piece)))
            for k, some in found.items()
        }

    def _stock(self, number: int) -> PreparedStock:
        return self.group.stock_of(self.sheets[number].stock)

    def _as_they_lie(self, pair: Pair, at: dict[str, NestPlacement]) -> Glued:
        first, second = (self.group.piece_of(i) for i in pair)
        lies = _by_own_frame(first, at[first.id]), _by_own_frame(second, at[second.id])
        return as_they_lie((first, second), lies)

    def _container(self, number: int) -> Container:
        """A sheet on which the rectangles that stay free are barred."""
        stock = self._stock(number)
        container = stock.container
        # pieces are grown by half the clearance already; a hair less, as they may touch it
        more = stock.kerf_mm - self.group.clearance_mm / 2.0 - VERIFY_MM / 2.0
        turn = Pose(turn_deg=-stock.frame_turn_deg)
        inside = shapely.Polygon(container.outline)
        blocked = [
            np.asarray(part.exterior.coords[:-1])
            for offcut in self.barred[number]
            for box in [_grown_box(offcut, more)]
            for part in polygons_of(shapely.Polygon(move_points(box, turn)).intersection(inside))
        ]
        return replace(
            container,
            id=f"{container.id} {number}",
            blocked=(*container.blocked, *blocked),
            count=1,
        )


def _grown_box(offcut: Offcut, by_mm: float) -> tuple[tuple[float, float], ...]:
    (x0, y0), (x1, y1) = offcut.from_mm, offcut.to_mm
    x0, y0, x1, y1 = x0 - by_mm, y0 - by_mm, x1 + by_mm, y1 + by_mm
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def _by_own_frame(piece: PreparedPiece, placed: NestPlacement) -> Placement:
    """The engine's placement of a centred item as one of the piece's own frame."""
    x, y = move_vector(piece.centre, placed)
    shift = (placed.shift_mm[0] - x, placed.shift_mm[1] - y)
    return Placement(piece=piece.id, lie=placed.lie, turn_deg=placed.turn_deg, shift_mm=shift)


def _begins(group: Group, glued: Glued, anchor: str, at: dict[str, NestPlacement]) -> NestPlacement:
    """Where twins made one begin: one of them where it lies, turned as it lies if it may be."""
    mate = next((m for m in glued.members if m.piece == anchor), glued.members[0])
    lies = at[mate.piece]
    wanted = lies.turn_deg - mate.turn_deg
    turns = glued.piece.item.turns.centres_deg
    turn = min(turns, key=lambda t: (abs((t - wanted + 180.0) % 360.0 - 180.0), t))
    mx, my = move_vector(group.piece_of(mate.piece).centre, mate)
    cx, cy = glued.piece.centre
    out = (mx + mate.shift_mm[0] - cx, my + mate.shift_mm[1] - cy)
    x, y = move_vector(out, Pose(turn_deg=turn))
    return NestPlacement(
        turn_deg=turn,
        shift_mm=(lies.shift_mm[0] - x, lies.shift_mm[1] - y),
        item=glued.piece.id,
        container=lies.container,
        number=lies.number,
    )
