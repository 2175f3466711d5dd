"""Laws of laid-out sheets, on invented jobs."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from nestcut.model.job import CuttingRules
from nestcut.model.part import Faces, Grain, HoleUse, Turning
from nestcut.model.piece import SheetPiece
from nestcut.model.stock import KeepOut, SheetGrain, SheetStock
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.sheets.prepare import prepare_group
from nestcut.sheets.solve import lay_out_sheets
from nestcut.sheets.standing import Standing
from tests.unit.sheets.cases import blob, box, complaints, piece, sheet


@st.composite
def jobs(
    draw: st.DrawFn,
) -> tuple[tuple[SheetPiece, ...], tuple[SheetStock, ...], CuttingRules, int]:
    """A few pieces of all freedoms on a few kinds of sheets."""
    seed = draw(st.integers(0, 10_000))
    rng = np.random.default_rng(seed)
    n = draw(st.integers(1, 5))
    only_boxes = draw(st.booleans())
    pieces = []
    for k in range(n):
        is_box = only_boxes or draw(st.booleans())
        size = (float(rng.uniform(40, 280)), float(rng.uniform(30, 200)))
        points = box(*size) if is_box else blob(rng, float(rng.uniform(40, 110)))
        grain = draw(st.sampled_from(list(Grain)))
        limited = [Turning.NONE, Turning.HALF, Turning.SMALL]
        turning = draw(
            st.sampled_from([*limited, Turning.QUARTER, Turning.FREE])
            if grain is Grain.ANY
            else st.sampled_from(limited)
        )
        holes = (tuple(reversed(box(20, 12, 10, 9))),) if is_box else ()
        pieces.append(
            piece(
                f"p{k}",
                points,
                holes,
                grain=grain,
                turning=turning,
                faces=draw(st.sampled_from(list(Faces))),
                hole_use=draw(st.sampled_from(list(HoleUse))),
            )
        )
    knots = (KeepOut(points=box(50, 40, 200, 150), reason="knot"),)
    grain_way = draw(st.sampled_from(list(SheetGrain)))
    stocks = [
        sheet(
            length_mm=700.0,
            width_mm=520.0,
            edge_trim_mm=draw(st.sampled_from([0.0, 4.0])),
            keep_outs=draw(st.sampled_from([(), knots])),
            grain=grain_way,
        )
    ]
    if draw(st.booleans()):
        corner = ((0.0, 0.0), (500.0, 0.0), (500.0, 200.0), (300.0, 430.0), (0.0, 430.0))
        stocks.append(
            sheet(
                "offcut",
                length_mm=500.0,
                width_mm=430.0,
                outline=corner,
                count=1,
                price_minor=0,
                grain=grain_way,
            )
        )
    saw = CuttingRules(
        kerf_mm=draw(st.sampled_from([0.0, 1.0, 2.5])), gap_mm=draw(st.sampled_from([0.0, 3.0]))
    )
    return tuple(pieces), tuple(stocks), saw, seed


@settings(max_examples=12, derandomize=True, deadline=None)
@given(jobs())
def test_layouts_are_sound_complete_and_not_below_their_bound(
    job: tuple[tuple[SheetPiece, ...], tuple[SheetStock, ...], CuttingRules, int],
) -> None:
    """Checked by shapely from the model's records alone."""
    pieces, stocks, saw, seed = job

    outcome = lay_out_sheets(
        pieces, stocks, saw, Settings(effort=Effort.QUICK, seed=seed), Deadline(), Silent()
    )

    assert complaints(pieces, stocks, outcome.layouts, saw) == []
    assert sorted(p.piece for s in outcome.layouts for p in s.placements) == sorted(
        p.id for p in pieces
    )
    for bound in outcome.bounds:
        assert bound.lower <= bound.used + 1e-9


@settings(max_examples=10, derandomize=True, deadline=None)
@given(jobs())
def test_no_layout_of_the_engine_is_refused(
    job: tuple[tuple[SheetPiece, ...], tuple[SheetStock, ...], CuttingRules, int],
) -> None:
    """What lies apart when grown keeps its clearance: the inner check finds nothing to refuse."""
    from nestcut.nesting.problem import Budget
    from nestcut.nesting.separating.bins import first_layout
    from nestcut.sheets.layouts import sheets_of

    pieces, stocks, saw, _ = job
    group = prepare_group(pieces, stocks, saw)
    standing = Standing(group)

    standing.offer(sheets_of(group, first_layout(group.problem(), Budget(passes=0)).placements))

    assert standing.refused == 0
