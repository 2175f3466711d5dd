"""The rest of a plan searched again, while pinned pieces stay where they are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from concurrent.futures import Executor
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import Polygon

from nestcut.byhand.left import measured
from nestcut.byhand.move import boards_bounds
from nestcut.byhand.slide import outline_of
from nestcut.errors import PlanRejectedError
from nestcut.facts import Length, fact
from nestcut.model.held import with_held
from nestcut.model.job import Job
from nestcut.model.part import CutFrom
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Plan, SheetLayout, StopReason, Unplaced, VerifiedPlan
from nestcut.model.progress import Named, Phase, Progress, SoFar
from nestcut.model.stock import KeepOut, SheetStock
from nestcut.planning.plan_job import bought
from nestcut.planning.totals import renumber_sheets, with_purchases
from nestcut.search.settings import Deadline, Settings, Watcher
from nestcut.sheets.outcome import SheetsOutcome
from nestcut.sheets.solve import lay_out_sheets
from nestcut.tolerances import VERIFY_MM
from nestcut.verify import verify_plan


def plan_rest(
    job: Job,
    plan: Plan,
    pinned: frozenset[str],
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
    executor: Executor | None = None,
) -> VerifiedPlan:
    """Search new places for all pieces on sheets that aren't pinned.

    Sheets with pinned pieces on them are cut anyway: what is free on them costs nothing.  Boards,
    joints, and pieces sawn from boards stay as they are.

    Parameters
    ----------
    pinned
        Ids of the pieces that stay exactly where they lie; what is cut already stays as well.
    settings, deadline, watcher, executor
        As for a whole plan.

    Raises
    ------
    NoRoomError
        If a piece fits no sheet at all.
    PlanRejectedError
        If the verifier refuses the result: a fault of ours.
    """
    job = with_held(job, plan.held)
    pinned |= frozenset(plan.already_cut)
    pieces = {p.id: p for p in plan.pieces}
    sheets = {s.name: s for s in job.sheet_stocks}
    flat = tuple(s for s in plan.sheets if s.stock in sheets)
    curved = tuple(s for s in plan.sheets if s.stock not in sheets)
    held = [s for s in flat if s.spent or any(p.piece in pinned for p in s.placements)]
    begun = {f"held {s.number}": (s, _begun(s, sheets[s.stock], pieces, pinned, job)) for s in held}
    free = tuple(
        p
        for p in plan.pieces
        if p.cut_from is CutFrom.SHEET and p.id not in pinned and not _is_curved(p, curved)
    )
    order = {s.name: k for k, s in enumerate(job.sheet_stocks)}

    def whole(layouts: Iterable[SheetLayout], unplaced: tuple[Unplaced, ...]) -> Plan:
        """The plan in which what isn't pinned lies so."""
        laid = {s.stock: s for s in layouts}
        together = (
            *(_together(old, laid.get(name), pinned) for name, (old, _) in begun.items()),
            *(s for s in layouts if s.stock not in begun),
        )
        others = (u for u in plan.unplaced if u.piece not in {p.id for p in free})
        changed = replace(
            plan,
            sheets=renumber_sheets((*sorted(together, key=lambda s: order[s.stock]), *curved)),
            unplaced=(*others, *unplaced),
            bounds=boards_bounds(plan),
            notes=(),
            # the job alone, without what lay there, gives another
            stopped_by=StopReason.INTERRUPTED,
        )
        return with_purchases(job, changed)

    def tell_better(outcome: SheetsOutcome) -> None:
        found = measured(job, whole(outcome.layouts, outcome.unplaced))
        if verify_plan(job, found).is_proven:
            watcher.tell(_proven(found))

    outcome = lay_out_sheets(
        free,
        (*(s for _, s in begun.values()), *_left(job, held)),
        job.cutting,
        settings,
        deadline,
        _WithHeld(watcher, job, whole((), ())),
        executor,
        tell_better,
    )
    changed = measured(job, whole(outcome.layouts, outcome.unplaced))
    told = verify_plan(job, changed)
    if not told.is_proven:
        raise PlanRejectedError(told.findings)
    return VerifiedPlan(job=job, plan=changed, checks=told.checks)


def _proven(plan: Plan) -> Progress:
    counts = tuple(SoFar(name, n) for name, n in bought(plan).items())
    return Progress(phase=Phase.PROVEN, counts=counts, cost_minor=plan.cost_minor, plan=plan)


@dataclass(frozen=True, slots=True)
class _WithHeld:
    """Passes on where the search for the rest stands, with what is bought whatever it finds.

    ``held``: the plan without what is searched: sheets that pinned pieces lie on, and boards.
    """

    watcher: Watcher
    job: Job
    held: Plan

    def tell(self, progress: Progress) -> None:
        """Add sheets, boards and money of what stays."""
        stays = {self._group_of(name): n for name, n in bought(self.held).items() if n}
        here = {c.name for c in progress.counts}
        # where nothing has a price, sheets that stay are counted there as well
        priced = {self._group_of(s.name) for s in self.job.sheet_stocks if s.price_minor > 0}
        counts = (
            *(self._with(c, stays.get(c.name, 0)) for c in progress.counts if c.name in priced),
            *(SoFar(name, n) for name, n in stays.items() if name not in here),
        )
        cost, bound = progress.cost_minor, progress.bound_minor
        self.watcher.tell(
            replace(
                progress,
                counts=counts,
                cost_minor=None if cost is None else cost + self.held.cost_minor,
                bound_minor=None if bound is None else bound + self.held.cost_minor,
            )
        )

    @staticmethod
    def _with(so_far: SoFar, stays: int) -> SoFar:
        return replace(
            so_far,
            count=so_far.count + stays,
            least=so_far.least + stays if so_far.least else 0,
        )

    def _group_of(self, name: str) -> Named:
        """Under which name sheets of a stock are counted while they are searched."""
        stock = next((s for s in self.job.sheet_stocks if s.name == name), None)
        if stock is None:
            return name
        alike = {
            s.name
            for s in self.job.sheet_stocks
            if s.is_to_buy and (s.material, s.thickness_mm) == (stock.material, stock.thickness_mm)
        }
        if len(alike) == 1:
            return name
        return fact("SHT-105", material=stock.material, thickness=Length(stock.thickness_mm))


def _is_curved(piece: SheetPiece, curved: tuple[SheetLayout, ...]) -> bool:
    return any(p.piece == piece.id for s in curved for p in s.placements)


def _left(job: Job, held: list[SheetLayout]) -> tuple[SheetStock, ...]:
    """What can still be had: sheets to hand less those that are held."""
    used = Counter(s.stock for s in held)
    return tuple(
        s if s.count is None else replace(s, count=max(0, s.count - used[s.name]))
        for s in job.sheet_stocks
    )


def _begun(
    layout: SheetLayout,
    stock: SheetStock,
    pieces: dict[str, SheetPiece],
    pinned: frozenset[str],
    job: Job,
) -> SheetStock:
    """The sheet with its pinned pieces, and the clearance round them, kept out."""
    reach = job.cutting.on(stock).clearance_mm + 2 * VERIFY_MM
    areas = [
        outline_of(pieces[p.piece], p).buffer(reach, join_style="mitre", mitre_limit=2.0)
        for p in layout.placements
        if p.piece in pinned
    ] + [Polygon(k.points).buffer(reach, join_style="mitre", mitre_limit=2.0) for k in layout.spent]
    barred = tuple(
        KeepOut(points=tuple(part.exterior.coords[:-1]), reason="pinned")
        for part in shapely.get_parts(shapely.union_all([Polygon(a.exterior) for a in areas]))
    )
    return replace(
        stock,
        name=f"held {layout.number}",
        price_minor=0,
        count=1,
        keep_outs=(*stock.keep_outs, *barred),
    )


def _together(old: SheetLayout, new: SheetLayout | None, pinned: frozenset[str]) -> SheetLayout:
    stay = tuple(p for p in old.placements if p.piece in pinned)
    if new is None:
        return replace(old, placements=stay, offcuts=())
    # What is left of it was measured with more room round the pinned pieces than the saw takes.
    return replace(old, placements=(*stay, *new.placements), offcuts=())
