"""Charts as plain text, a line a row: for the screen, and for whoever wants to copy figures."""

from __future__ import annotations

from nestcut.papers.marking.base_lines import base_lines
from nestcut.papers.marking.charts import charts_of
from nestcut.papers.marking.rules import MarkingRule
from nestcut.papers.marking.told.chart_words import Table, base_line_row, chart_text
from nestcut.papers.view import PlanView, stance_of


def marking_texts(view: PlanView, rule: MarkingRule) -> tuple[tuple[str, str], ...]:
    """Return a title and the text under it: base lines a sheet, then every chart."""
    charts = charts_of(view, rule)
    found = []
    for sheet, lines in zip(view.sheets, base_lines(view, charts), strict=True):
        told = []
        for line in lines:
            number, which, begins, ends, side, name = base_line_row(line, rule, view)
            named = "; ".join((name, *stance_of(line.placed).words))
            told.append(
                f"{number} {named}: chart {which}, begins {begins}, ends {ends}, off to {side}"
            )
        found.append((f"{sheet.label}: where base lines lie", "\n".join(told)))
    for chart in charts:
        text = chart_text(chart, view)
        lines_ = []
        lines_ += [text.warning] if text.warning else []
        for part in text.parts:
            lines_ += _aligned(part) if isinstance(part, Table) else [part]
        found.append((f"{text.title}: {text.names}", "\n".join(lines_)))
    return tuple(found)


def _aligned(table: Table) -> list[str]:
    rows = [table.head, *table.rows]
    widths = [max(len(row[k]) for row in rows) for k in range(len(table.head))]
    return [
        "  ".join(cell.rjust(w) for cell, w in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]
