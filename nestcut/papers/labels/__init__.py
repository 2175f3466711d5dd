"""Labels to stick on pieces, and full-size patterns."""

from nestcut.papers.labels.pattern_pages import pattern_pdf
from nestcut.papers.labels.patterns import TileChoice
from nestcut.papers.labels.sticky import (
    default_grid,
    labels_pdf,
    parse_grid,
    stock_label,
    texts_pdf,
)

__all__ = [
    "TileChoice",
    "default_grid",
    "labels_pdf",
    "parse_grid",
    "pattern_pdf",
    "stock_label",
    "texts_pdf",
]
