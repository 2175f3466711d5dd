"""Small drawings of marking-out pages: a chart's shape, and a sheet with its base lines."""

from nestcut.papers.marking.drawn.chart_figure import Figure, chart_figure
from nestcut.papers.marking.drawn.sheet_figure import sheet_figure

__all__ = ["Figure", "chart_figure", "sheet_figure"]
