"""Centres of arcs that lie beside the sheet: said of those pieces for which it is so."""

from __future__ import annotations

import re

import numpy as np
import pytest

from nestcut.geometry.affine import apply, inverse
from nestcut.geometry.pose import move_points
from nestcut.papers.marking.chart_plain import marking_texts
from nestcut.papers.marking.charts import charts_of
from nestcut.papers.marking.rules import marking_rule
from nestcut.units import LengthStyle
from tests.builders_demos import demo_view

SAID = re.compile(r"arcs? ([\d ,toand]+) lies? beside the sheet(?: \(([^)]*)\))?:")


@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
def test_centres_beside_the_sheet_are_said_of_the_pieces_that_they_belong_to(demo: str) -> None:
    view = demo_view(demo)
    rule = marking_rule(LengthStyle.MM)
    texts = {t.split(":")[0].split()[1]: x for t, x in marking_texts(view, rule) if "Chart" in t}
    sheets = {p.piece.id: sheet for sheet in view.sheets for p in sheet.placed}
    said = 0
    for chart in charts_of(view, rule):
        off = set()
        for use in chart.uses:
            sheet = sheets[use.piece.id]
            long, wide = sheet.layout.length_mm, sheet.layout.width_mm
            for line in chart.marking.lines:
                for p in line.points:
                    if p.circle is None:
                        continue
                    own = apply(inverse(use.matrix), np.array([(p.circle.x, p.circle.y)]))[0]
                    ((x, y),) = move_points(((own[0], own[1]),), use.placed.placement)
                    if not (0.0 <= x <= long and 0.0 <= y <= wide):
                        off.add(f"{sheet.label} no. {use.placed.number}")
        told = SAID.search(texts[str(chart.number)].replace("\n", " "))
        if told is None:
            assert off == set(), chart.number
            continue
        said += 1
        named = set((told[2] or "").split(", ")) - {""}
        everyone = {f"{sheets[u.piece.id].label} no. {u.placed.number}" for u in chart.uses}
        assert off <= (named or everyone)
    assert said or demo == "punt"
