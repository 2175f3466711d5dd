"""What became of a plan's pieces, and the plan with that written into it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nestcut.byhand.slide import outline_of
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import BoardLayout, Plan, SheetLayout
from nestcut.model.stock import KeepOut
from nestcut.tolerances import SPENT_ROUNDING_MM

SPOILT = "spoilt"
"""Why nothing is cut any more where a spoilt piece lay; its name stands before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Events:
    """Ids of pieces that came off the saw.

    Parameters
    ----------
    cut
        Cut and good.
    spoilt
        Cut and of no use: each has to be made again.
    uncut
        Said to be cut by mistake: they are still to be cut where the plan has them.
    """

    cut: frozenset[str] = frozenset()
    spoilt: frozenset[str] = frozenset()
    uncut: frozenset[str] = frozenset()


def add_events(plan: Plan, events: Events, lapsed: frozenset[str] = frozenset()) -> Plan:
    """Write events into a plan: spoilt pieces leave their places, and nothing comes there again.

    The result is no whole plan: spoilt pieces lie nowhere.  ValueError for ids that it hasn't.

    Parameters
    ----------
    lapsed
        Ids of pieces that are cut and good but that the job doesn't ask for any more.
    """
    known = {p.id for p in plan.pieces} | {p.id for p in plan.rail_pieces}
    strange = sorted((events.cut | events.spoilt | events.uncut) - known)
    if strange:
        raise ValueError(f"no pieces of this plan: {', '.join(strange)}")
    pieces = {p.id: p for p in plan.pieces}
    cut = (frozenset(plan.already_cut) | events.cut) - events.spoilt - events.uncut - lapsed
    gone = {
        **dict.fromkeys(events.spoilt, SPOILT),
        **dict.fromkeys(lapsed, "not wanted any more"),
    }
    return replace(
        plan,
        sheets=tuple(_sheet(s, gone, pieces) for s in plan.sheets),
        boards=tuple(_board(b, frozenset(gone)) for b in plan.boards),
        already_cut=tuple(sorted(cut)),
    )


def _sheet(
    layout: SheetLayout, spoilt: dict[str, str], pieces: dict[str, SheetPiece]
) -> SheetLayout:
    gone = [p for p in layout.placements if p.piece in spoilt]
    if not gone:
        return layout
    areas = []
    for placement in gone:
        outline = outline_of(pieces[placement.piece], placement).exterior
        # A coarser outline will do, on the outer side: nothing is cut so near again.
        shown = outline.simplify(SPENT_ROUNDING_MM) if len(outline.coords) > 5 else outline
        areas.append(
            KeepOut(
                points=tuple((x, y) for x, y, *_ in shown.coords[:-1]),
                reason=f"{placement.piece}, {spoilt[placement.piece]}",
            )
        )
    return replace(
        layout,
        placements=tuple(p for p in layout.placements if p.piece not in spoilt),
        spent=(*layout.spent, *areas),
        offcuts=(),
    )


def _board(layout: BoardLayout, spoilt: frozenset[str]) -> BoardLayout:
    gone = tuple(c for c in layout.cuts if c.piece in spoilt)
    if not gone:
        return layout
    return replace(
        layout,
        cuts=tuple(c for c in layout.cuts if c.piece not in spoilt),
        spent=(*layout.spent, *gone),
    )
