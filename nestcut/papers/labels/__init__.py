"""Labels to stick on pieces, and full-size patterns."""

from nestcut.papers.labels.pattern_pages import placed_pattern_pdf
from nestcut.papers.labels.patterns import TileChoice, find_placed, pattern_of
from nestcut.papers.labels.serves import Served
from nestcut.papers.labels.sticky import (
    default_grid,
    labels_pdf,
    parse_grid,
    stock_label,
    texts_pdf,
)

__all__ = [
    "Served",
    "TileChoice",
    "default_grid",
    "find_placed",
    "labels_pdf",
    "parse_grid",
    "pattern_of",
    "placed_pattern_pdf",
    "stock_label",
    "texts_pdf",
]
