"""Charts and sheets as they stand on pages: small drawings, tables in strips, columns of charts."""

from nestcut.papers.marking.drawn.chart_figure import Figure, chart_figure
from nestcut.papers.marking.drawn.flow import (
    GAP_MM,
    GUTTER_MM,
    Block,
    Columns,
    chart_blocks,
    laid,
)
from nestcut.papers.marking.drawn.sheet_figure import sheet_figure
from nestcut.papers.marking.drawn.strips import SIZE_MM, Strip, base_table, lines_of, names_width

__all__ = [
    "GAP_MM",
    "GUTTER_MM",
    "SIZE_MM",
    "Block",
    "Columns",
    "Figure",
    "Strip",
    "base_table",
    "chart_blocks",
    "chart_figure",
    "laid",
    "lines_of",
    "names_width",
    "sheet_figure",
]
