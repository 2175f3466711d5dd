"""The room's one call: money first, everything accounted for, all faults at once."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from itertools import count
from typing import Any

import numpy as np
import pytest

from nestcut.errors import NoRoomError
from nestcut.model.job import CuttingRules
from nestcut.model.part import Faces, Grain, HoleUse, Turning
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import StopReason
from nestcut.model.stock import KeepOut, SheetGrain, SheetStock
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.sheets.outcome import SheetsOutcome, ignore_better
from nestcut.sheets.solve import lay_out_sheets
from nestcut.words import Speech, tell
from tests.told import said
from tests.unit.sheets.cases import SAW, blob, box, complaints, piece, sheet

QUICK = Settings(effort=Effort.QUICK, seed=5)


def laid_out(
    pieces: tuple[SheetPiece, ...],
    stocks: tuple[SheetStock, ...],
    cutting: CuttingRules = SAW,
    deadline: Deadline | None = None,
) -> SheetsOutcome:
    outcome = lay_out_sheets(
        pieces, stocks, cutting, QUICK, deadline or Deadline(), Silent(), better=ignore_better
    )
    assert complaints(pieces, stocks, outcome.layouts, cutting) == []
    placed = {p.piece for layout in outcome.layouts for p in layout.placements}
    missing = {u.piece for u in outcome.unplaced}
    assert placed | missing == {p.id for p in pieces}
    assert not placed & missing
    for bound in outcome.bounds:
        assert bound.lower <= bound.used + 1e-9
    if outcome.stopped_by is StopReason.INTERRUPTED:  # before there was one pass to compare with
        assert outcome.compared == ()
    else:
        assert sum(c.sheets for c in outcome.compared) >= len(outcome.layouts)
    return outcome


def mixed(seed: int, n: int) -> tuple[SheetPiece, ...]:
    rng = np.random.default_rng(seed)
    grains = (Grain.ALONG, Grain.ACROSS)
    return tuple(
        piece(
            f"lump {k}",
            blob(rng, float(rng.uniform(80.0, 220.0))),
            grain=grains[k % 2],
            faces=Faces.EITHER if k % 3 == 0 else Faces.GOOD_UP,
        )
        for k in range(n)
    )


def test_shapes_of_all_kinds_are_laid_out_soundly() -> None:
    free = piece("free", box(700, 90), grain=Grain.ANY, turning=Turning.FREE)
    small = piece("small", box(800, 120), turning=Turning.SMALL)

    outcome = laid_out((*mixed(1, 12), free, small), (sheet(),))

    assert not outcome.unplaced
    assert outcome.stopped_by is StopReason.WORK_DONE


def test_what_is_to_hand_is_used_before_anything_is_bought() -> None:
    old = sheet("old", length_mm=900.0, width_mm=700.0, price_minor=0, count=1)

    outcome = laid_out((piece("a", box(600, 400)), piece("b", box(200, 600))), (sheet(), old))

    assert [layout.stock for layout in outcome.layouts] == ["old"]
    assert outcome.bounds[0].used == 0


def test_the_cheaper_way_to_the_same_area_is_taken() -> None:
    pieces = tuple(piece(f"p{k}", box(1150, 550)) for k in range(4))
    small = sheet("small", length_mm=1220.0, width_mm=1220.0, price_minor=2900)

    outcome = laid_out(pieces, (sheet(), small))

    assert [layout.stock for layout in outcome.layouts] == ["small", "small"]
    (bound,) = outcome.bounds
    assert (bound.measure, bound.lower, bound.used) == ("money", 5800.0, 5800.0)
    assert bound.is_proven_optimal


def test_too_little_to_hand_leaves_pieces_with_a_reason() -> None:
    pieces = tuple(piece(f"p{k}", box(1150, 550)) for k in range(5))

    outcome = laid_out(pieces, (sheet(count=1, price_minor=0),))

    assert len(outcome.unplaced) == 1
    assert "all 1 to hand" in said(outcome.unplaced[0].reason)


def test_all_pieces_without_room_are_named_at_once() -> None:
    pieces = (
        piece("plank", box(2500, 100)),
        piece("panel", box(1300, 1300)),
        piece("ok", box(100, 100)),
        piece("oak", box(100, 100), material="oak", thickness_mm=9.0),
    )

    with pytest.raises(NoRoomError) as caught:
        laid_out(pieces, (sheet(),))

    assert {(f.code, f.where) for f in caught.value.findings} == {
        ("SHT-001", "oak"),
        ("SHT-002", "plank 1"),
        ("SHT-002", "panel 1"),
    }
    assert any("2500 x 100 mm" in tell(f, Speech()).message for f in caught.value.findings)


@pytest.mark.parametrize(
    ("sheet_grain", "grain", "code"),
    [
        (SheetGrain.ALONG_WIDTH, Grain.ALONG, "SHT-004"),
        (SheetGrain.ALONG_WIDTH, Grain.ANY, "SHT-002"),
        (SheetGrain.ALONG_LENGTH, Grain.ALONG, "SHT-002"),
    ],
)
def test_a_sheet_whose_grain_runs_across_is_told(
    sheet_grain: SheetGrain, grain: Grain, code: str
) -> None:
    with pytest.raises(NoRoomError) as caught:
        laid_out((piece("plank", box(2500, 100), grain=grain),), (sheet(grain=sheet_grain),))
    assert [f.code for f in caught.value.findings] == [code]
    said = tell(caught.value.findings[0], Speech()).message
    assert ("its face grain runs across its length" in said) == (code == "SHT-004")


@pytest.mark.parametrize("useless", [{"count": 0}, {"edge_trim_mm": 700.0}])
def test_sheets_that_offer_nothing_do_not_count(useless: dict[str, Any]) -> None:
    with pytest.raises(NoRoomError) as caught:
        laid_out((piece("a", box(100, 100)),), (sheet(**useless),))
    assert [f.code for f in caught.value.findings] == ["SHT-001"]

    outcome = laid_out((piece("a", box(100, 100)),), (sheet("no", **useless), sheet("yes")))
    assert [layout.stock for layout in outcome.layouts] == ["yes"]


def test_nothing_to_lay_out_is_no_layout() -> None:
    outcome = laid_out((), (sheet(),))
    assert (outcome.layouts, outcome.unplaced, outcome.bounds) == ((), (), ())


def test_a_pool_of_somebody_elses_workers_gives_a_sound_layout() -> None:
    """Threads stand in for a yard's engine: the same calls, the same result each time."""
    pieces = mixed(8, 8)
    with ThreadPoolExecutor(2) as pool:
        outcomes = [
            lay_out_sheets(
                pieces,
                (sheet(length_mm=1220.0),),
                SAW,
                Settings(effort=Effort.QUICK, seed=5, workers=2),
                Deadline(),
                Silent(),
                pool,
            )
            for _ in range(2)
        ]
    assert outcomes[0] == outcomes[1]
    stocks = (sheet(length_mm=1220.0),)
    assert complaints(pieces, stocks, outcomes[0].layouts, SAW) == []


def test_a_piece_as_large_as_the_sheet_fits_it() -> None:
    outcome = laid_out((piece("all", box(2440, 1220)),), (sheet(),))
    assert len(outcome.layouts) == 1

    curved = (*box(2440, 1220)[:3], (1220.0, 1215.0), (0.0, 1220.0))
    assert len(laid_out((piece("all", curved),), (sheet(),)).layouts) == 1


def test_trim_and_keep_outs_are_respected() -> None:
    knot = KeepOut(points=box(300, 300, 1000, 400), reason="knot")
    stock = sheet(edge_trim_mm=10.0, keep_outs=(knot,))

    outcome = laid_out((*mixed(2, 8), piece("long", box(2400, 300))), (stock,))

    assert not outcome.unplaced


def test_a_sheet_with_its_grain_across_turns_the_pieces_with_it() -> None:
    pieces = tuple(piece(f"p{k}", box(700, 300)) for k in range(4))
    across = sheet(grain=SheetGrain.ALONG_WIDTH)

    outcome = laid_out(pieces, (across,))

    turns = {p.turn_deg for layout in outcome.layouts for p in layout.placements}
    assert turns <= {90.0, 270.0}


def test_sheets_of_both_grains_are_used_together() -> None:
    pieces = tuple(piece(f"p{k}", blob(np.random.default_rng(k), 150.0)) for k in range(8))
    across = sheet("across", length_mm=1300.0, grain=SheetGrain.ALONG_WIDTH, count=1, price_minor=0)

    outcome = laid_out(pieces, (sheet(), across))

    for layout in outcome.layouts:
        allowed = {90.0, 270.0} if layout.stock == "across" else {0.0, 180.0}
        assert {p.turn_deg for p in layout.placements} <= allowed
    assert "across" in {layout.stock for layout in outcome.layouts}


def test_rectangles_on_sheets_of_both_grains_lie_right() -> None:
    pieces = tuple(piece(f"p{k}", box(700, 300 + k)) for k in range(9))
    across = sheet("across", length_mm=1300.0, grain=SheetGrain.ALONG_WIDTH, count=1, price_minor=0)

    outcome = laid_out(pieces, (sheet(), across))

    for layout in outcome.layouts:
        allowed = {90.0, 270.0} if layout.stock == "across" else {0.0, 180.0}
        assert {p.turn_deg for p in layout.placements} <= allowed


def test_holes_are_used_only_where_the_builder_allows() -> None:
    hole = tuple(reversed(box(1100, 700, 60, 60)))
    disc = piece("disc", blob(np.random.default_rng(0), 180.0))
    frame = piece("frame", box(1220, 820), (hole,))
    stock = sheet(length_mm=1220.0, width_mm=820.0)

    kept = laid_out((frame, disc), (stock,))
    used = laid_out((piece("frame", box(1220, 820), (hole,), hole_use=HoleUse.USE), disc), (stock,))

    assert (len(kept.layouts), len(used.layouts)) == (2, 1)


def test_the_reserve_is_kept_free() -> None:
    cutting = CuttingRules(kerf_mm=2.0, reserve_mm=(600.0, 1000.0))

    outcome = laid_out((piece("a", box(1700, 1200)),), (sheet(),), cutting)

    assert _has_room(outcome, cutting.reserve_mm)


def _has_room(outcome: SheetsOutcome, size_mm: tuple[float, float] | None) -> bool:
    """Whether a rectangle that is kept holds an upright one of a size, either way."""
    assert size_mm is not None
    return any(
        o.to_mm[0] - o.from_mm[0] >= a and o.to_mm[1] - o.from_mm[1] >= b
        for a, b in (size_mm, size_mm[::-1])
        for layout in outcome.layouts
        for o in layout.offcuts
    )


def test_a_reserve_that_is_held_by_no_large_offcut_has_one_of_its_own() -> None:
    """The largest rectangle beside the piece is broad and low: what is kept must hold it anyhow."""
    cutting = CuttingRules(kerf_mm=2.0, reserve_mm=(300.0, 1000.0))
    outline = ((0, 0), (2040, 0), (2040, 1000), (1600, 1000), (1600, 620), (0, 620))
    part = piece("a", tuple((float(x), float(y)) for x, y in outline))

    outcome = laid_out((part,), (sheet(),), cutting)

    assert _has_room(outcome, cutting.reserve_mm)


def test_a_reserve_is_no_piece_that_a_bound_names() -> None:
    """It shares no sheet with the large piece: that needs two sheets, and the plan is proven."""
    cutting = CuttingRules(kerf_mm=2.0, reserve_mm=(1500.0, 1000.0))

    outcome = laid_out(
        (piece("a", box(2400, 1200)), piece("b", box(300, 200))), (sheet(),), cutting
    )

    (bound,) = outcome.bounds
    assert (bound.lower, bound.used) == (2.0, 2.0)
    assert bound.reason is not None
    assert "reserve" not in str(bound.reason.values)


def test_a_reserve_that_finds_no_room_leaves_no_piece_out() -> None:
    cutting = CuttingRules(kerf_mm=2.0, reserve_mm=(600.0, 1000.0))

    outcome = laid_out((piece("a", box(2200, 1200)),), (sheet(count=1, price_minor=0),), cutting)

    assert len(outcome.layouts) == 1
    assert not outcome.unplaced
    assert not _has_room(outcome, cutting.reserve_mm)


@pytest.mark.parametrize(
    ("stock", "size_mm"),
    [
        (sheet(), (3000.0, 400.0)),
        (sheet(outline=((0.0, 0.0), (2440.0, 0.0), (0.0, 1220.0))), (1500.0, 1000.0)),
    ],
)
def test_a_reserve_that_no_sheet_can_hold_keeps_nobody_from_a_plan(
    stock: SheetStock, size_mm: tuple[float, float]
) -> None:
    """It may be meant for other sheets of the job; the plan says that it is given up here."""
    cutting = CuttingRules(kerf_mm=2.0, reserve_mm=size_mm)

    outcome = laid_out((piece("a", box(600, 300)),), (stock,), cutting)

    assert len(outcome.layouts) == 1
    assert not outcome.unplaced
    assert not _has_room(outcome, size_mm)


def test_no_sheet_is_bought_for_the_reserve_alone() -> None:
    cutting = CuttingRules(kerf_mm=2.0, reserve_mm=(600.0, 1000.0))

    outcome = laid_out((piece("a", box(2200, 1200)),), (sheet(),), cutting)

    assert len(outcome.layouts) == 1
    assert not _has_room(outcome, cutting.reserve_mm)


def test_interrupting_at_once_still_gives_a_sound_layout() -> None:
    deadline = Deadline()
    deadline.interrupt()

    outcome = laid_out(mixed(3, 10), (sheet(),), deadline=deadline)

    assert outcome.stopped_by is StopReason.INTERRUPTED


def test_every_better_outcome_is_told_and_the_last_is_the_result() -> None:
    """By a clock that goes so fast that none is passed over for having been found too soon."""
    told: list[SheetsOutcome] = []
    pieces = mixed(4, 10)
    hurried = Deadline(clock=count(0.0, 60.0).__next__)

    outcome = lay_out_sheets(pieces, (sheet(),), SAW, QUICK, hurried, Silent(), better=told.append)

    assert told
    assert told[-1].layouts == outcome.layouts


def test_the_same_seed_gives_the_same_layouts() -> None:
    assert laid_out(mixed(6, 9), (sheet(),)) == laid_out(mixed(6, 9), (sheet(),))


@pytest.mark.parametrize("kerf_mm", [0.0, 0.5, 3.0])
def test_two_triangles_that_keep_exactly_the_clearance_share_a_sheet(kerf_mm: float) -> None:
    """Legs a and b on a sheet W x b: the gap is (W/a - 1) / hypot(1/a, 1/b), here the kerf.

    Plane geometry; a sheet cut along its diagonal.
    """
    a, b = 1100.0, 700.0
    width = a * (1.0 + kerf_mm * float(np.hypot(1 / a, 1 / b)))
    tight = sheet(length_mm=width, width_mm=b)
    triangles = tuple(piece(f"brace {k}", ((0.0, 0.0), (a, 0.0), (0.0, b))) for k in range(2))

    outcome = laid_out(triangles, (tight,), CuttingRules(kerf_mm=kerf_mm))

    assert len(outcome.layouts) == 1
    wider = CuttingRules(kerf_mm=kerf_mm + 0.01)
    assert len(laid_out(triangles, (tight,), wider).layouts) == 2
