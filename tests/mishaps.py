"""Mishaps while a boat is being cut, and what must hold of the plan made again after each.

Everything is checked from the two plan files by code of this module: where pieces lie, joints,
what is bought.  Only whether the new plan is proven is asked of nestcut itself.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

import nestcut
from nestcut.again.compare import Difference
from nestcut.boards import JointPreference, cut_boards
from nestcut.model.job import Job
from nestcut.model.part import CutFrom, Grain, Hands, RailPart, SheetPart, Turning
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.model.shape import Ring, Shape
from nestcut.model.stock import BoardLength, KeepOut
from nestcut.planfile.compare import contradictions
from nestcut.planfile.read import parse_plan_json
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.sheets.solve import lay_out_sheets

Document = dict[str, Any]
NEAR_MM = 2e-5
"""Plan files hold outlines to a nanometre; a piece moved along in its own frame is summed anew."""


@dataclass(frozen=True)
class Mishap:
    """What has happened: pieces cut, pieces spoilt, and the job as it is now."""

    name: str
    cut: frozenset[str]
    spoilt: frozenset[str]
    job: Job
    touched: frozenset[str] = frozenset()
    """Parts that are not what they were: their pieces may have changed."""


# ---- making them -------------------------------------------------------------------------------


def _ids(plan: Plan) -> list[str]:
    return sorted([*(p.id for p in plan.pieces), *(p.id for p in plan.rail_pieces)])


def _some(ids: list[str], luck: np.random.Generator, share: float) -> frozenset[str]:
    return frozenset(i for i in ids if luck.uniform() < share)


def _renewed(job: Job, note: str, **changes: Any) -> Job:
    """A job changed, so with a digest of its own."""
    return replace(job, sha256=f"{note}-{job.sha256}"[:64], **changes)


def _plain_parts(job: Job) -> list[SheetPart]:
    return [p for p in job.sheet_parts if p.joint is None and p.cut_from is CutFrom.SHEET]


def spoilt(job: Job, plan: Plan, luck: np.random.Generator) -> Mishap:
    """One to three pieces come off the saw spoilt."""
    ids = _ids(plan)
    lost = frozenset(str(i) for i in luck.choice(ids, int(luck.integers(1, 4)), replace=False))
    return Mishap("spoilt", _some(ids, luck, 0.4) - lost, lost, job)


def split_sheet(job: Job, plan: Plan, luck: np.random.Generator) -> Mishap:
    """A sheet falls and splits: everything on it is lost."""
    sheet = plan.sheets[int(luck.integers(len(plan.sheets)))]
    lost = frozenset(p.piece for p in sheet.placements)
    return Mishap("split sheet", _some(_ids(plan), luck, 0.4) - lost, lost, job)


def part_changed(job: Job, plan: Plan, luck: np.random.Generator) -> Mishap:
    """The plans are corrected: a part grows by 4 mm all round, or a rail by 20 mm."""
    parts: list[SheetPart | RailPart] = [*_plain_parts(job), *job.rail_parts]
    part = parts[int(luck.integers(len(parts)))]
    if isinstance(part, SheetPart):
        wider = replace(part, allowance_mm=part.allowance_mm + 4.0)
        now = _renewed(
            job,
            "changed",
            sheet_parts=tuple(wider if p is part else p for p in job.sheet_parts),
        )
    else:
        longer = replace(part, length_mm=part.length_mm + 20.0)
        now = _renewed(
            job, "changed", rail_parts=tuple(longer if r is part else r for r in job.rail_parts)
        )
    cut = _some(_ids(plan), luck, 0.5)
    return Mishap("part changed", cut, frozenset(), now, frozenset({part.name}))


def part_added(job: Job, plan: Plan, luck: np.random.Generator) -> Mishap:
    """Somebody wants a tray besides."""
    like = _plain_parts(job)[0]
    length, width = float(luck.uniform(200, 900)), float(luck.uniform(100, 500))
    points = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    tray = SheetPart(
        name="tray",
        shape=Shape(outline=Ring(points=points)),
        material=like.material,
        thickness_mm=like.thickness_mm,
        count=int(luck.integers(1, 4)),
        grain=Grain.ALONG,
        turning=Turning.HALF,
        hands=Hands.NONE,
    )
    now = _renewed(job, "added", sheet_parts=(*job.sheet_parts, tray))
    return Mishap("part added", _some(_ids(plan), luck, 0.5), frozenset(), now, frozenset({"tray"}))


def thickness_changed(job: Job, plan: Plan, luck: np.random.Generator) -> Mishap:
    """A part is to be thicker."""
    thick = sorted({s.thickness_mm for s in job.sheet_stocks})
    parts = [p for p in _plain_parts(job) if p.thickness_mm < thick[-1]]
    part = parts[int(luck.integers(len(parts)))]
    now_mm = min(t for t in thick if t > part.thickness_mm)
    other = replace(part, thickness_mm=now_mm)
    now = _renewed(
        job, "thicker", sheet_parts=tuple(other if p is part else p for p in job.sheet_parts)
    )
    cut = _some(_ids(plan), luck, 0.5)
    return Mishap("thickness changed", cut, frozenset(), now, frozenset({part.name}))


def short_boards(job: Job, plan: Plan, luck: np.random.Generator) -> Mishap:
    """Rails are spoilt, and the yard has nothing over 10 ft (3.048 m) any more."""
    boards = tuple(
        replace(b, lengths=tuple(o for o in b.lengths if o.length_mm <= 3048.0))
        for b in job.board_stocks
    )
    rails = sorted(p.id for p in plan.rail_pieces)
    longest = max(plan.rail_pieces, key=lambda p: (p.length_mm, p.id)).id
    other = str(luck.choice(rails))
    lost = frozenset({longest, other})
    now = _renewed(job, "short", board_stocks=boards)
    # With a joint more the numbers of a rail's pieces change.
    touched = frozenset(p.part for p in plan.rail_pieces if p.id in lost)
    return Mishap("short boards", _some(_ids(plan), luck, 0.6) - lost, lost, now, touched)


def box_wall(job: Job, plan: Plan, luck: np.random.Generator) -> Mishap:
    """One wall of a box is spoilt, the others are cut; where there is no box, a lid."""
    walls = sorted(p.id for p in plan.pieces if p.part.startswith("box ") and "lid" not in p.part)
    walls = walls or sorted(p.id for p in plan.pieces if "lid" in p.part or "thwart" in p.part)
    lost = frozenset({str(luck.choice(walls))})
    cut = (_some(_ids(plan), luck, 0.2) | set(walls)) - lost
    return Mishap("box wall spoilt", cut, lost, job)


def half_of_pair(job: Job, plan: Plan, luck: np.random.Generator) -> Mishap:
    """One half of a scarfed pair is spoilt when all its other pieces are cut and glued."""
    pieces: list[SheetPiece | RailPiece] = [*plan.pieces, *plan.rail_pieces]
    joined = sorted(p.id for p in pieces if p.n_shares > 1 and p.hand is not None)
    one = str(luck.choice(joined))
    part = next(p.part for p in pieces if p.id == one)
    mates = {p.id for p in pieces if p.part == part}
    cut = (_some(_ids(plan), luck, 0.2) | mates) - {one}
    return Mishap("half of a scarfed pair", cut, frozenset({one}), job)


KINDS: tuple[Callable[[Job, Plan, np.random.Generator], Mishap], ...] = (
    spoilt, split_sheet, part_changed, part_added, thickness_changed, short_boards, box_wall,
    half_of_pair,
)  # fmt: skip


# ---- checking ----------------------------------------------------------------------------------


def document_of(verified: VerifiedPlan) -> Document:
    """The plan file, read back as the checks need it; refused if it contradicts itself."""
    text = nestcut.plan_text(verified)
    read = parse_plan_json(text, "plan.json")
    assert contradictions(read, verified.job) == ()
    assert nestcut.verify_plan(verified.job, read.plan).is_proven
    document: Document = json.loads(text)
    return document


def _lies(document: Document) -> dict[str, tuple[str, int, list[list[float]]]]:
    """Where each piece lies: what it is cut from, its number, its corners there."""
    found = {}
    for sheet in document["sheets"]:
        for p in sheet["placements"]:
            found[p["piece"]] = ("sheet", sheet["number"], p["outline"])
    for board in document["boards"]:
        for c in board["cuts"]:
            corners = [[c["from_mm"], c["rip_from_mm"]], [c["to_mm"], c["rip_to_mm"]]]
            found[c["piece"]] = ("board", board["number"], corners)
    return found


def _same_place(
    a: tuple[str, int, list[list[float]]], b: tuple[str, int, list[list[float]]]
) -> bool:
    return (
        a[:2] == b[:2]
        and len(a[2]) == len(b[2])
        and all(math.dist(p, q) < NEAR_MM for p, q in zip(a[2], b[2], strict=True))
    )


def _joints_of(document: Document) -> dict[str, list[tuple[float, ...]]]:
    """Where each piece is joined: place, overlap and slope, along its part."""
    found: dict[str, list[tuple[float, ...]]] = {}
    for j in document["joints"]:
        for piece in j["pieces"]:
            row = (round(j["at_mm"], 6), round(j["overlap_mm"], 6), j["slope"])
            found.setdefault(piece, []).append(row)
    return found


def _twins(document: Document) -> dict[tuple[str, int], dict[str, list[float]]]:
    """Places of joints of both hands, by part and copy."""
    found: dict[tuple[str, int], dict[str, list[float]]] = {}
    for j in document["joints"]:
        if j["hand"] is not None:
            sides = found.setdefault((j["part"], j["copy"]), {"port": [], "starboard": []})
            sides[j["hand"]].append(round(j["at_mm"], 6))
    return found


def check(old: Document, new: Document, mishap: Mishap, told: Difference) -> None:
    """Assert everything that must hold between two plan files but the least to buy."""
    before, after = _lies(old), _lies(new)
    names = {b: a for a, b in told.renamed}
    whole = {p["id"] for p in new["pieces"]} | {p["id"] for p in new["rail_pieces"]}
    assert set(after) | {u["piece"] for u in new["unplaced"]} == whole

    # What is cut has neither moved nor changed its joints, unless the job wants another.
    old_joints, new_joints = _joints_of(old), _joints_of(new)
    parts = {p["id"]: p["part"] for p in (*old["pieces"], *old["rail_pieces"])}
    now_called = dict(told.renamed)
    kept = set(new.get("already_cut", ()))
    for piece in (set(old.get("already_cut", ())) | mishap.cut) - mishap.spoilt:
        name = now_called.get(piece, piece)
        if name not in kept or not (name in after and _same_place(before[piece], after[name])):
            assert parts[piece] in mishap.touched, f"{piece} has moved"
            assert mishap.name != "short boards", f"{piece} has moved"
            assert name not in kept
            continue
        assert new_joints.get(name, []) == old_joints.get(piece, []), piece
    for piece in mishap.spoilt:
        assert piece not in kept

    # Twins that matched still do, but where one side had to get a joint more.
    for key, sides in _twins(new).items():
        first = _twins(old).get(key)
        if (
            first is not None
            and first["port"] == first["starboard"]
            and sides["port"] != sides["starboard"]
        ):
            assert mishap.name == "short boards"
            assert key[0] in mishap.touched
            assert all(set(first[hand]) <= set(sides[hand]) for hand in sides)

    # All stock of the old plan is there under its number; what is beyond it is what is bought.
    for kind in ("sheets", "boards"):
        for first, second in zip(old[kind], new[kind], strict=False):
            assert [first[k] for k in ("number", "length_mm", "width_mm")] == [
                second[k] for k in ("number", "length_mm", "width_mm")
            ]
        assert len(new[kind]) >= len(old[kind])
    more = Counter(
        (x["stock"], x["length_mm"]) for k in ("sheets", "boards") for x in new[k][len(old[k]) :]
    )
    bought = Counter({(b["stock"], b["length_mm"]): b["count"] for b in new["buy"] if b["count"]})
    fresh = {k: n for k, n in bought.items() if n}
    hand = {k: n - fresh.get(k, 0) for k, n in more.items()}
    assert all(n >= 0 for n in hand.values()), "bought without need"
    assert not set(fresh) - set(more), "bought, and nothing is cut from it"
    sizes = Counter((x["stock"], x["length_mm"]) for k in ("sheets", "boards") for x in new[k])
    listed = Counter({(b["stock"], b["length_mm"]): b["count"] + b["to_hand"] for b in new["buy"]})
    assert sizes == listed

    # What the builder is told is what has changed.
    moved = {
        piece
        for piece in before.keys() | after.keys()
        if piece not in now_called
        and (
            piece in before
            if piece in names
            else not (piece in before and piece in after)
            or not _same_place(before[piece], after[piece])
        )
    }
    by_shape = {s.piece for s in told.shifts} | set(told.changed)
    assert moved <= by_shape, moved - by_shape
    still = {s.piece for s in told.shifts} - moved
    assert not still, f"told as moved: {still}"
    were = {*parts} - now_called.keys()
    assert set(told.added) == (whole - names.keys()) - were
    assert set(told.gone) == were - (whole - names.keys())
    for piece, name in told.renamed:
        assert _same_place(before[piece], after[name])
    assert sum(p.count * p.price_minor for p in told.purchases) == round(
        100 * sum(b["total"] for b in new["buy"])
    )
    numbers = {
        (kind, place[1])
        for piece in moved | set(told.changed) | set(now_called) | set(told.added)
        for place in (before.get(piece), after.get(piece))
        if place is not None
        for kind in (place[0],)
        if place[1] in {x["number"] for x in old[f"{kind}s"]}  # it had a page before
    }
    assert {(str(s), n) for s, n in told.pages} == numbers


def spent_minor(document: Document) -> int:
    """What has to be bought for a plan. [minor units]"""
    return round(100 * float(sum(b["total"] for b in document["buy"])))


def cost_afresh_minor(job: Job, old: Document, new: VerifiedPlan, effort: Effort) -> int | None:
    """What planning the remainder afresh comes to; None where it doesn't place everything.

    The remainder: all pieces of the new plan that aren't cut.  They come out of the old plan's
    sheets less what is sawn out of them, its boards beyond their last cut, and what the yard sells.
    """
    plan = new.plan
    cut = set(plan.already_cut)
    settings, deadline = Settings(effort=effort), Deadline()
    total = 0
    shapes = {p.id: p for p in plan.pieces}
    flat = tuple(p for p in plan.pieces if p.id not in cut and p.cut_from is CutFrom.SHEET)
    stocks = {s.name: s for s in new.job.sheet_stocks}
    begun = []
    for layout in plan.sheets[: len(old["sheets"])]:
        stock = stocks.get(layout.stock)
        if stock is None:
            continue
        reach = new.job.cutting.on(stock).clearance_mm + 0.02
        gone = [
            Polygon(nestcut.placed_shape(shapes[p.piece], p).outline.points)
            for p in layout.placements
            if p.piece in cut
        ] + [Polygon(k.points) for k in layout.spent]
        area = shapely.union_all(
            [Polygon(g.buffer(reach, join_style="mitre", mitre_limit=2.0).exterior) for g in gone]
        )
        begun.append(
            replace(
                stock,
                name=f"begun {layout.number}",
                count=1,
                held=0,
                price_minor=0,
                keep_outs=(*stock.keep_outs, *_areas(area)),
            )
        )
    sold = [s for s in job.sheet_stocks if s.count is None]
    if flat:
        outcome = lay_out_sheets(
            flat,
            (*begun, *sold),
            replace(job.cutting, reserve_mm=None),
            settings,
            deadline,
            Silent(),
        )
        if outcome.unplaced:
            return None
        prices = {s.name: s.price_minor for s in sold}
        total += sum(prices.get(s.stock, 0) for s in outcome.layouts)
    rails = [p for p in plan.rail_pieces if p.id not in cut]
    if rails:
        found = _rails_afresh(job, old, new, settings, deadline)
        if found is None:
            return None
        total += found
    return total


def _areas(area: Any) -> tuple[KeepOut, ...]:
    return tuple(
        KeepOut(points=tuple((x, y) for x, y in part.exterior.coords[:-1]), reason="cut")
        for part in shapely.get_parts(area)
        if isinstance(part, Polygon)
    )


def _rails_afresh(
    job: Job, old: Document, new: VerifiedPlan, settings: Settings, deadline: Deadline
) -> int | None:
    plan = new.plan
    cut = set(plan.already_cut)
    stocks = {b.name: b for b in new.job.board_stocks}
    ends = []
    for layout in plan.boards[: len(old["boards"])]:
        stock = stocks[layout.stock]
        used = [c for c in (*layout.cuts, *layout.spent) if c.piece in cut or c in layout.spent]
        defects = [d for o in stock.lengths for d in o.defects if o.length_mm == layout.length_mm]
        if defects:
            continue
        begins = max((c.to_mm for c in used), default=0.0)
        begins += job.cutting.on(stock).kerf_mm if used else stock.end_trim_mm
        length = layout.length_mm - stock.end_trim_mm - begins
        if length > 100.0:
            ends.append(
                replace(
                    stock,
                    name=f"end {layout.number}",
                    end_trim_mm=0.0,
                    lengths=(BoardLength(length_mm=length, count=1),),
                )
            )
    pieces = tuple(
        RailPart(
            name=p.id,
            material=p.material,
            thickness_mm=p.thickness_mm,
            width_mm=p.width_mm,
            length_mm=p.length_mm,
        )
        for p in plan.rail_pieces
        if p.id not in cut
    )
    sold = tuple(
        replace(b, lengths=tuple(o for o in b.lengths if o.count is None)) for b in job.board_stocks
    )
    outcome = cut_boards(
        pieces, (*ends, *sold), job.cutting, JointPreference.CHEAPEST, settings, deadline, Silent()
    )
    if outcome.unplaced:
        return None
    prices = {(b.name, o.length_mm): o.price_minor for b in sold for o in b.lengths}
    return sum(prices.get((x.stock, x.length_mm), 0) for x in outcome.layouts)
