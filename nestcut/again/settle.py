"""Sheets and boards that nobody has begun are alike: what is dealt out otherwise needn't be.

A search deals pieces out to sheets and boards as they come.  Where it gives one of them the pieces
that another had, or the same pieces in another order, the papers on the wall can stay.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from nestcut.model.job import Job
from nestcut.model.plan import BoardLayout, Plan, SheetLayout

Layout = TypeVar("Layout", SheetLayout, BoardLayout)


def settled(job: Job, old: Plan, new: Plan) -> Plan:
    """Return a plan with as many sheets and boards as can be as they were; it costs the same.

    Parameters
    ----------
    job
        Its boards with defects are left as they are: no other is like them.
    old
        The plan on the wall; its sheets and boards are the first of the new one's, under the same
        numbers.
    """
    cut = frozenset(new.already_cut)
    own = {
        (board.name, offer.length_mm)
        for board in job.board_stocks
        for offer in board.lengths
        if offer.defects
    }
    both = {b.number for p in (old, new) for b in p.boards for s in p.sheets if s.board == b.number}
    sheets = _dealt(old.sheets, new.sheets, cut, _Fixed(own, both))
    return replace(
        new,
        sheets=tuple(replace(s, board=n.board) for s, n in zip(sheets, new.sheets, strict=True)),
        boards=_dealt(old.boards, new.boards, cut, _Fixed(own, both)),
    )


@dataclass(frozen=True, slots=True)
class _Fixed:
    """What isn't dealt out otherwise: lengths with defects, boards with rails and sawn parts."""

    own: set[tuple[str, float]]
    both: set[int]

    def holds(self, layout: SheetLayout | BoardLayout) -> bool:
        number = layout.board if isinstance(layout, SheetLayout) else layout.number
        return (layout.stock, layout.length_mm) in self.own or number in self.both


def changed(old: Plan, new: Plan, free: frozenset[str]) -> list[frozenset[str]]:
    """Return which free pieces each sheet or board had that isn't as it was.

    Parameters
    ----------
    free
        Ids of the pieces of interest.
    """
    pairs: list[tuple[SheetLayout | BoardLayout, SheetLayout | BoardLayout]] = [
        *zip(old.sheets, new.sheets, strict=False),
        *zip(old.boards, new.boards, strict=False),
    ]
    moved = [_pieces(was) & free for was, now in pairs if was != now]
    return [ids for ids in moved if ids]


def _dealt(
    old: Sequence[Layout],
    new: Sequence[Layout],
    cut: frozenset[str],
    fixed: _Fixed,
) -> tuple[Layout, ...]:
    now = list(new)
    kinds: dict[Hashable, list[int]] = defaultdict(list)
    for place, (was, then) in enumerate(zip(old, new, strict=False)):
        is_begun = was.spent or then.spent or cut & (_pieces(was) | _pieces(then))
        if not is_begun and not fixed.holds(was):
            kinds[_kind(was)].append(place)
    for places in kinds.values():
        _deal(old, now, places)
    for place, was in enumerate(old[: len(now)]):
        # The same pieces laid otherwise: the old page still holds.
        if (
            not fixed.holds(was)
            and was.spent == now[place].spent
            and _sizes(was) == _sizes(now[place])
        ):
            now[place] = was
    return tuple(now)


def _deal(old: Sequence[Layout], now: list[Layout], places: list[int]) -> None:
    """Give layouts of stock that is alike to the places where most of their pieces lay."""
    layouts = [now[p] for p in places]
    pairs = sorted(
        (-len(_pieces(old[p]) & _pieces(layout)), j != k, j, k)
        for j, p in enumerate(places)
        for k, layout in enumerate(layouts)
    )
    given: dict[int, int] = {}
    for _, _, j, k in pairs:
        if j not in given and k not in given.values():
            given[j] = k
    for j, p in enumerate(places):
        now[p] = replace(layouts[given[j]], number=now[p].number)


def _kind(layout: SheetLayout | BoardLayout) -> Hashable:
    own = (layout.outline, layout.keep_outs) if isinstance(layout, SheetLayout) else ()
    return (layout.stock, layout.length_mm, layout.width_mm, own)


def _pieces(layout: SheetLayout | BoardLayout) -> frozenset[str]:
    if isinstance(layout, SheetLayout):
        return frozenset(p.piece for p in layout.placements)
    return frozenset(c.piece for c in layout.cuts)


def _sizes(layout: SheetLayout | BoardLayout) -> frozenset[Hashable]:
    """The pieces of a layout; a rail's with its size, which a joint more would change."""
    if isinstance(layout, SheetLayout):
        return frozenset(p.piece for p in layout.placements)
    return frozenset(
        (c.piece, round(c.to_mm - c.from_mm, 6), round(c.rip_to_mm - c.rip_from_mm, 6))
        for c in layout.cuts
    )
