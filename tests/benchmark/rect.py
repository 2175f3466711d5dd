"""Rectangles in strips, in bins and by through cuts; checked here with whole numbers alone."""

from __future__ import annotations

from nestcut.model.job import CuttingRules
from nestcut.model.part import Faces, Grain, HoleUse, Turning
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import SheetLayout
from nestcut.model.shape import Ring, Shape
from nestcut.model.stock import SheetStock
from nestcut.nesting import rectangles
from nestcut.nesting.problem import Rect, RectBin
from nestcut.nesting.rectangles import pack_strip, strip_bound
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.sheets.rectangles.through_cuts import Panel, best_through_cutting
from nestcut.sheets.solve import lay_out_sheets
from tests.benchmark.outcome import Better, Instance, Outcome, Spend

Box = tuple[int, int, int, int]
"""Left, bottom, right, top of a placed rectangle."""


def sizes_of(instance: Instance) -> list[tuple[int, int]]:
    """Return every piece's sides, one by one."""
    return [
        (int(p["width"]), int(p["height"]))
        for p in instance["pieces"]
        for _ in range(p.get("quantity") or 1)
    ]


def apart_and_inside(boxes: list[Box], width: int, height: int) -> bool:
    """Whether boxes lie inside width x height and no two of them overlap."""
    inside = all(a >= 0 and b >= 0 and c <= width and d <= height for a, b, c, d in boxes)
    return inside and not any(
        p[0] < q[2] and q[0] < p[2] and p[1] < q[3] and q[1] < p[3]
        for k, p in enumerate(boxes)
        for q in boxes[k + 1 :]
    )


def rect_strip(instance: Instance, known: Instance | None, spend: Spend) -> Outcome:
    """Least height on a strip of fixed width, quarter turns as the instance allows."""
    width = int(instance["strip_width"])
    sizes = sizes_of(instance)
    can_turn = bool(instance.get("rotation_90_allowed"))
    rects = tuple(Rect(width=w, height=h, can_turn=can_turn) for w, h in sizes)
    tall = sum(max(s) for s in sizes)
    plain = rectangles.first(rects, (RectBin(width=width, height=tall),))
    height, packing = pack_strip(
        rects, width, tries=10**9, seed=spend.seed, deadline=Deadline(spend.seconds)
    )
    boxes: list[Box] = []
    for (w, h), place in zip(sizes, packing.places, strict=True):
        if place is None:
            continue
        a, b = (h, w) if place.turned else (w, h)
        boxes.append((place.x, place.y, place.x + a, place.y + b))
    turned_rightly = can_turn or not any(p and p.turned for p in packing.places)
    best = instance.get("optimum_height") or (known or {}).get("optimum_height")
    return Outcome(
        pieces=len(sizes),
        value=height,
        bound=strip_bound(rects, width, sum(w * h for w, h in sizes)),
        best=float(best) if best else None,
        verified=len(boxes) == len(sizes)
        and turned_rightly
        and apart_and_inside(boxes, width, height),
        beside={"plain": plain.top, "orders": packing.work},
    )


def rect_bins(instance: Instance, known: Instance | None, spend: Spend) -> Outcome:
    """Fewest equal bins, no turning, through the call that a plan uses (no kerf)."""
    width, height = int(instance["bin_width"]), int(instance["bin_height"])
    sizes = sizes_of(instance)
    pieces = tuple(_piece(k, w, h) for k, (w, h) in enumerate(sizes))
    stock = SheetStock(
        name="bin",
        material="plain",
        thickness_mm=1.0,
        length_mm=float(width),
        width_mm=float(height),
        price_minor=1,
    )
    outcome = lay_out_sheets(
        pieces,
        (stock,),
        CuttingRules(kerf_mm=0.0),
        Settings(seed=spend.seed, effort=Effort.THOROUGH, workers=spend.workers),
        Deadline(spend.seconds),
        Silent(),
    )
    entry = known or {}
    best = instance.get("best_packing_found_no_turning") or entry.get("best_found_no_turning")
    proven = instance.get("proven_lower_bound_no_turning") or entry.get("lower_bound_no_turning")
    return Outcome(
        pieces=len(sizes),
        value=len(outcome.layouts),
        bound=outcome.bounds[0].lower if outcome.bounds else None,
        best=float(best) if best else None,
        verified=_is_sound(sizes, outcome.layouts, width, height),
        beside={
            "proven_elsewhere": proven,
            "simple": instance.get("simple_shelf_packing_no_turning"),
            "reason": outcome.bounds[0].reason.code
            if outcome.bounds and outcome.bounds[0].reason
            else None,
        },
    )


def _piece(k: int, width: int, height: int) -> SheetPiece:
    w, h = float(width), float(height)
    shape = Shape(Ring(((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))))
    return SheetPiece(
        id=f"piece {k}",
        part=f"piece {k}",
        hand=None,
        copy=1,
        share=1,
        n_shares=1,
        shape=shape,
        net=shape,
        material="plain",
        thickness_mm=1.0,
        grain=Grain.ALONG,
        turning=Turning.NONE,
        small_angle_deg=0.0,
        faces=Faces.GOOD_UP,
        hole_use=HoleUse.KEEP,
    )


def _is_sound(
    sizes: list[tuple[int, int]], layouts: tuple[SheetLayout, ...], width: int, height: int
) -> bool:
    seen: list[int] = []
    for layout in layouts:
        boxes: list[Box] = []
        for p in layout.placements:
            k = int(p.piece.split()[1])
            x, y = round(p.shift_mm[0]), round(p.shift_mm[1])
            if p.turn_deg != 0.0 or max(abs(x - p.shift_mm[0]), abs(y - p.shift_mm[1])) > 1e-6:
                return False
            seen.append(k)
            boxes.append((x, y, x + sizes[k][0], y + sizes[k][1]))
        if not apart_and_inside(boxes, width, height):
            return False
    return sorted(seen) == list(range(len(sizes)))


def through_cut(instance: Instance, known: Instance | None, spend: Spend) -> Outcome:
    """Largest value from one sheet by cuts from edge to edge, copies unlimited, exact."""
    del spend
    width, height = int(instance["sheet_width"]), int(instance["sheet_height"])
    upright = tuple(
        Panel(width=int(p["width"]), height=int(p["height"]), value=float(p["value"]))
        for p in instance["pieces"]
    )
    turned = tuple(Panel(width=p.height, height=p.width, value=p.value) for p in upright)
    fixed = best_through_cutting(width, height, upright)
    either = best_through_cutting(width, height, upright + turned)
    can_turn = bool(instance.get("rotation_90_allowed"))
    cutting, panels = (either, upright + turned) if can_turn else (fixed, upright)
    boxes = [(p.x, p.y, p.x + p.width, p.y + p.height) for p in cutting.places]
    entry = known or {}
    key = "optimum_turns" if can_turn else "optimum_fixed"
    best = instance.get("optimum_value_with_rotation" if can_turn else "optimum_value")
    best = best or entry.get(key)
    return Outcome(
        pieces=len(instance["pieces"]),
        value=cutting.value,
        bound=cutting.value,
        best=float(best) if best else None,
        verified=apart_and_inside(boxes, width, height)
        and comes_apart(boxes, (0, 0, width, height))
        and sum(panels[p.panel].value for p in cutting.places) == cutting.value,
        better=Better.LARGER,
        beside={
            "with_turns": either.value,
            "best_with_turns": instance.get("optimum_value_with_rotation"),
        },
    )


def comes_apart(boxes: list[Box], sheet: Box) -> bool:
    """Whether cuts from edge to edge can separate all boxes: found anew, by trying every edge."""
    if len(boxes) < 2:
        return True
    for axis in (0, 1):
        for at in sorted({b[axis + 2] for b in boxes}):
            if at >= sheet[axis + 2] or any(b[axis] < at < b[axis + 2] for b in boxes):
                continue
            low = [b for b in boxes if b[axis + 2] <= at]
            high = [b for b in boxes if b[axis + 2] > at]
            if not high:
                continue
            left, right = list(sheet), list(sheet)
            left[axis + 2] = right[axis] = at
            if comes_apart(low, (left[0], left[1], left[2], left[3])) and comes_apart(
                high, (right[0], right[1], right[2], right[3])
            ):
                return True
    return False
