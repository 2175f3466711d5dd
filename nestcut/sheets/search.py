"""The search for one material: a first layout, cheaper ones, then a larger offcut.

Each stage offers its layouts to the group's :class:`Standing`, which checks them; nothing else
decides what is best.  Stages spend a given amount of work, so they repeat; a deadline may cut
them short.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from nestcut.geometry.offset import polygons_of
from nestcut.geometry.pose import move_point, move_vector
from nestcut.model.plan import Offcut
from nestcut.model.pose import Pose
from nestcut.nesting.engine import ENGINE
from nestcut.nesting.problem import Budget, Container, Nest, NestPlacement, Problem, Progress
from nestcut.search.settings import Deadline
from nestcut.search.work import SheetWork
from nestcut.sheets.choose import choose_sheets
from nestcut.sheets.layouts import FilledSheet, moved_polygon, sheets_of
from nestcut.sheets.least.bounds import LeastBuy
from nestcut.sheets.left.offcuts import area_mm2, largest_seen
from nestcut.sheets.prepare import Group
from nestcut.sheets.standing import Standing
from nestcut.sheets.timing import Share
from nestcut.tolerances.noise import SOLVER_SLACK
from nestcut.tolerances.search import OFFCUT_GAIN

Told = Callable[[], None]
"""Called after every improvement."""


@dataclass(slots=True)
class PolygonSearch:
    """Search with the polygon engine."""

    group: Group
    standing: Standing
    seed: int
    workers: int
    told: Told
    executor: Executor | None = None
    _rounds: int = 0
    _share: Share | None = None
    _least: LeastBuy | None = None

    def first(self, deadline: Deadline) -> None:
        """One pass, biggest pieces first: something valid at once."""
        nest = ENGINE.first(
            self.group.problem(), Budget(passes=0, deadline=deadline, seed=self.seed)
        )
        self._offer(nest)

    def cheaper(self, work: SheetWork, share: Share, least: LeastBuy | None) -> None:
        """Look for a cheaper set of sheets, until the bound is met or the work is done."""
        if is_cheapest(self.standing, least):
            return
        self._share, self._least = share, least
        self._rounds += 1
        nest = ENGINE.pack(
            self.group.problem(),
            self._budget(
                work.cost_passes, share, f"cheaper {self._rounds}", progress=self._take_note
            ),
            start=self._as_nest(),
        )
        self._take_note(nest)
        if not is_cheapest(self.standing, least):
            chosen = choose_sheets(self.standing, share)
            if chosen is not None and self.standing.offer(chosen):
                self.told()

    def _budget(
        self, passes: int, deadline: Deadline, stream: str, progress: Progress | None = None
    ) -> Budget:
        return Budget(
            passes=passes,
            deadline=deadline,
            seed=self.seed,
            stream=f"{self.group.name} {stream}",
            workers=self.workers,
            executor=self.executor,
            progress=progress or _ignore,
        )

    def larger_offcut(self, work: SheetWork, deadline: Deadline) -> None:
        """Crop the emptiest sheet, and see whether all pieces still find their places."""
        gain, spent = 0.2, 0
        stage = 0
        while spent < work.offcut_passes and deadline.stop_reason() is None and gain > OFFCUT_GAIN:
            stage += 1
            share = max(20, min(work.offcut_passes // 8, work.offcut_passes - spent))
            done = False
            for cropped in self._crops(gain):
                budget = self._budget(share, deadline, f"offcut {stage}")
                spent += share
                nest = self._settle_cropped(cropped, budget)
                if nest is not None and self._offer(nest):
                    done = True
                    break
            if not done:
                gain /= 2.0

    def _offer(self, nest: Nest) -> bool:
        better = self.standing.offer(sheets_of(self.group, nest.placements))
        if better:
            self.told()
        return better

    def _take_note(self, nest: Nest) -> None:
        self._offer(nest)
        if self._share is not None and is_cheapest(self.standing, self._least):
            self._share.finish()

    def _as_nest(self) -> Nest:
        """The best layout in the engine's terms."""
        placements: list[NestPlacement] = []
        numbers: dict[str, int] = {}
        best = self.standing.sure()
        for sheet in best.sheets:
            number = numbers.get(sheet.stock, 0)
            numbers[sheet.stock] = number + 1
            placements += engine_placements(self.group, sheet, number)
        return Nest(placements=tuple(placements), unplaced=best.unplaced, cost=best.cost)

    def _crops(self, gain: float) -> list[tuple[int, Container]]:
        """Ways to crop the sheet with the largest offcut so that the offcut grows by this share.

        Each is the number of the sheet among the best ones and the cropped container.
        """
        best = self.standing.sure()
        bought = [
            k for k, s in enumerate(best.sheets) if self.group.stock_of(s.stock).cost > 0.0
        ] or list(range(len(best.sheets)))
        left = {k: largest_seen(self.group, best.sheets[k]) for k in bought}
        last = max(bought, key=lambda k: (_area(left[k]), k))
        sheet = best.sheets[last]
        stock = self.group.stock_of(sheet.stock)
        wanted = _area(left[last]) * (1.0 + gain)
        x0, y0, x1, y1 = stock.usable.bounds
        whole = (x1 - x0) * (y1 - y0)
        wanted = max(wanted, whole * gain / 4.0)
        crops = []
        kerf = stock.kerf_mm
        for along in (True, False):
            keep = (x1 - x0) - wanted / (y1 - y0) if along else (y1 - y0) - wanted / (x1 - x0)
            keep -= kerf
            if keep <= 0.0:
                continue
            reach = keep + self.group.clearance_mm / 2.0
            # the crop leaves the marking-out corner whole
            window = (
                shapely.box(x0 - 1e6, y0 - 1e6, x0 + reach, y1 + 1e6)
                if along
                else shapely.box(x0 - 1e6, y0 - 1e6, x1 + 1e6, y0 + reach)
            )
            container = _cropped(stock.container, window, stock.frame_turn_deg)
            if container is not None:
                crops.append((last, container))
        return crops

    def _settle_cropped(self, crop: tuple[int, Container], budget: Budget) -> Nest | None:
        last, cropped = crop
        best = self.standing.sure()
        containers: dict[str, Container] = {cropped.id: cropped}
        places: list[tuple[str, int]] = []
        start: list[NestPlacement] = []
        numbers: dict[str, int] = {}
        for k, sheet in enumerate(best.sheets):
            if k == last:
                key = (cropped.id, 0)
            else:
                number = numbers.get(sheet.stock, 0)
                numbers[sheet.stock] = number + 1
                containers[sheet.stock] = replace(
                    self.group.stock_of(sheet.stock).container, count=None
                )
                key = (sheet.stock, number)
            places.append(key)
            start += [
                replace(p, container=key[0]) for p in engine_placements(self.group, sheet, key[1])
            ]
        placed = {p.item for p in start}
        problem = Problem(
            items=tuple(p.item for p in self.group.pieces if p.id in placed),
            containers=tuple(containers.values()),
        )
        nest = ENGINE.settle(problem, tuple(places), budget, tuple(start))
        if nest is None:
            return None
        # back to the sheet's own name, with a number that no other sheet of the kind has
        name = best.sheets[last].stock
        return replace(
            nest,
            placements=tuple(
                replace(p, container=name, number=numbers.get(name, 0))
                if p.container == cropped.id
                else p
                for p in nest.placements
            ),
        )


def is_cheapest(standing: Standing, least: LeastBuy | None) -> bool:
    """Whether the best layout meets the bound on cost and on sheets."""
    best = standing.sure()
    if best.unplaced or least is None:
        return False
    return best.cost <= least.cost + SOLVER_SLACK and best.score[3] <= least.sheets


def _ignore(nest: Nest) -> None:
    del nest


def _area(found: Offcut | None) -> float:
    return 0.0 if found is None else area_mm2(found)


def _cropped(container: Container, window: Polygon, frame_turn_deg: float) -> Container | None:
    """Return the part of a container in a window given in the sheet's frame."""
    turned = moved_polygon(window, Pose(turn_deg=-frame_turn_deg))
    parts = polygons_of(Polygon(container.outline).intersection(turned))
    if len(parts) != 1 or parts[0].interiors:
        return None
    ring = shapely.geometry.polygon.orient(parts[0], 1.0).exterior.coords[:-1]
    blocked = tuple(
        np.asarray(b.exterior.coords[:-1])
        for area in container.blocked
        for b in polygons_of(Polygon(area).intersection(parts[0]))
    )
    return replace(
        container,
        id=f"{container.id} (cropped)",
        outline=np.asarray(ring),
        blocked=blocked,
        count=1,
    )


def engine_placements(group: Group, sheet: FilledSheet, number: int) -> list[NestPlacement]:
    """Return a filled sheet in the engine's terms: the inverse of ``on_sheet``.

    Parameters
    ----------
    number
        The sheet's number among those of its kind, as the engine counts.
    """
    stock = group.stock_of(sheet.stock)
    back = Pose(turn_deg=-stock.frame_turn_deg)
    found = []
    for placed in sheet.lying:
        centre = move_point(group.piece_of(placed.piece).centre, placed)
        found.append(
            NestPlacement(
                item=placed.piece,
                container=sheet.stock,
                number=number,
                lie=placed.lie,
                turn_deg=(placed.turn_deg - stock.frame_turn_deg) % 360.0,
                shift_mm=move_vector(centre, back),
            )
        )
    return found
