"""Both demos marked out: from printed numbers alone, against the drawings' true curves."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from nestcut.geometry.curves import flatten
from nestcut.geometry.pose import move_shape
from nestcut.intake.job import read_job
from nestcut.model.curves import Curve
from nestcut.model.part import SheetPart
from nestcut.model.shape import Mark, Ring
from nestcut.papers.marking.outline import mark_shape
from nestcut.papers.marking.rules import (
    MarkingRule,
    inch_rule,
    marking_rule,
    metric_rule,
    offsets_rule,
)
from nestcut.papers.marking.table import (
    Origin,
    PieceMarking,
    mark_alone,
    mark_on_sheets,
    marking_csv,
)
from nestcut.papers.view.base_line import base_line_pose
from nestcut.papers.view.rows import plan_view
from nestcut.planfile.write import plan_to_json
from nestcut.units import LengthStyle
from tests.builders_demos import demo_on_shelves
from tests.redraw import Array, apart, from_csv, redraw, rows_of

PARTS = Path(__file__).parents[2] / "parts"
DEMOS = {
    "beach boat": "beach-boat/job.toml",
    "punt": "punt/job.toml",
    "punt in mm": "punt/job-mm.toml",
}
RULES = {"mm": metric_rule(), "inch/16": inch_rule(), "offsets": offsets_rule()}


def true_line(line: Ring | Mark) -> Array:
    """A line's true curves, as good as straight: within 2 micrometres of a chord."""
    curves: tuple[Curve, ...] = line.curves
    if not curves:
        points = [*line.points, line.points[0]] if isinstance(line, Ring) else list(line.points)
        return np.array(points)
    return np.array([p for c in curves for p in flatten(c, 0.002)])


def greatest(part: SheetPart, rule: MarkingRule) -> tuple[float, float]:
    """Distance to the true edge as found here, and as the table states it."""
    shape = move_shape(part.shape, base_line_pose(part.shape))
    marking = mark_shape(shape, rule)
    table = PieceMarking(
        sheet="",
        stock="",
        pieces=(part.name,),
        origin=Origin.BASE_LINE,
        pose=base_line_pose(part.shape),
        marking=marking,
    )
    rows = [r for r in rows_of(table) if r["line"] != "check"]
    lines: tuple[Ring | Mark, ...] = (shape.outline, *shape.holes, *shape.marks)
    groups = []
    for line in marking.lines:
        count = max(1, len(line.points))
        groups.append(rows[:count])
        rows = rows[count:]
    found = [
        apart(redraw(group, rule, closed=isinstance(line, Ring)), true_line(line))
        for group, line in zip(groups, lines, strict=True)
    ]
    return max(found), marking.error_mm


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
@pytest.mark.parametrize("demo", DEMOS.values(), ids=DEMOS)
def test_every_part_is_drawn_again_within_what_is_stated(demo: str, rule: MarkingRule) -> None:
    worst: dict[str, float] = {}
    for part in read_job(PARTS / demo).sheet_parts:
        found, stated = greatest(part, rule)
        assert found <= stated + 0.02, part.name
        assert stated <= rule.allowed_mm, part.name
        worst[part.name] = found

    name, distance = max(worst.items(), key=lambda w: w[1])
    print(f"{demo} {rule.notation}: {len(worst)} parts, worst {distance:.3f} mm ({name})")
    assert distance <= rule.allowed_mm


@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
def test_every_piece_of_a_plan_is_drawn_again_from_the_list(demo: str, style: LengthStyle) -> None:
    """marking-out.csv on the one hand, the outlines in plan.json on the other, nothing else."""
    verified = demo_on_shelves(demo)
    view, rule = plan_view(verified), marking_rule(style)
    text = marking_csv((*mark_on_sheets(view, rule), *mark_alone(view, rule)))
    outlines = {
        str(p["piece"]): [np.array([*ring, ring[0]]) for ring in (p["outline"], *p["holes"])]
        for sheet in json.loads(plan_to_json(verified))["sheets"]
        for p in sheet["placements"]
    }

    found = from_csv(text, rule, outlines)

    piece, distance = max(found.items(), key=lambda w: w[1])
    print(f"{demo}, {style}: {len(found)} pieces, worst {distance:.3f} mm ({piece})")
    assert distance <= rule.allowed_mm - rule.flatness_mm
