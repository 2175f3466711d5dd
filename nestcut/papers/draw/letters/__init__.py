"""Letters: the fonts, how wide a text is, where it breaks, how it gets on a PDF page."""

from nestcut.papers.draw.letters.fonts import FOLDER, Weight, font_face, scripts
from nestcut.papers.draw.letters.measures import (
    ASCENT,
    CAP_HEIGHT,
    DESCENT,
    HALF_CAPITAL,
    MM_PER_POINT,
    shorten,
    spelled,
    text_width_mm,
    wrap,
)
from nestcut.papers.draw.letters.on_pdf import draw_line
from nestcut.papers.draw.letters.runs import fenced
from nestcut.papers.draw.letters.web import WEB_FAMILIES, web_fonts

__all__ = [
    "ASCENT",
    "CAP_HEIGHT",
    "DESCENT",
    "FOLDER",
    "HALF_CAPITAL",
    "MM_PER_POINT",
    "WEB_FAMILIES",
    "Weight",
    "draw_line",
    "fenced",
    "font_face",
    "scripts",
    "shorten",
    "spelled",
    "text_width_mm",
    "web_fonts",
    "wrap",
]
