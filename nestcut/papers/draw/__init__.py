"""Drawings: shapes and texts on paper, the fonts, where labels go, and how they become PDF and SVG.

It knows nothing of boats: lengths are mm on paper.
"""

from nestcut.papers.draw.diagram import (
    Anchor,
    Area,
    Disc,
    Drawing,
    Fill,
    Group,
    Item,
    Lines,
    Path,
    Pen,
    Text,
    arrow_head,
    lowest,
    moved,
    rectangle,
)
from nestcut.papers.draw.drawing_pdf import drawings_pdf
from nestcut.papers.draw.fonts import (
    MM_PER_POINT,
    Weight,
    font_face,
    shorten,
    spelled,
    text_width_mm,
    wrap,
)
from nestcut.papers.draw.hatching import hatch
from nestcut.papers.draw.label_places import Block, BlockLine, Placed, place_balloon, place_inside
from nestcut.papers.draw.paper import (
    MARGIN_MM,
    SCALES,
    SIZES,
    PageSize,
    Paper,
    larger_scale,
    scale_for,
)
from nestcut.papers.draw.pdf_canvas import paint
from nestcut.papers.draw.png import svg_png
from nestcut.papers.draw.running_figures import (
    SIZE_MM,
    Figure,
    along_bottom,
    along_left,
    capacity,
    depth_mm,
    figure_text,
    merged,
    row_below,
    spread,
)
from nestcut.papers.draw.svg import svg_element, svg_text
from nestcut.papers.draw.tables import Column, LaidTable, laid_table

__all__ = [
    "MARGIN_MM",
    "MM_PER_POINT",
    "SCALES",
    "SIZES",
    "SIZE_MM",
    "Anchor",
    "Area",
    "Block",
    "BlockLine",
    "Column",
    "Disc",
    "Drawing",
    "Figure",
    "Fill",
    "Group",
    "Item",
    "LaidTable",
    "Lines",
    "PageSize",
    "Paper",
    "Path",
    "Pen",
    "Placed",
    "Text",
    "Weight",
    "along_bottom",
    "along_left",
    "arrow_head",
    "capacity",
    "depth_mm",
    "drawings_pdf",
    "figure_text",
    "font_face",
    "hatch",
    "laid_table",
    "larger_scale",
    "lowest",
    "merged",
    "moved",
    "paint",
    "place_balloon",
    "place_inside",
    "rectangle",
    "row_below",
    "scale_for",
    "shorten",
    "spelled",
    "spread",
    "svg_element",
    "svg_png",
    "svg_text",
    "text_width_mm",
    "wrap",
]
